"""The page of a stand-in: a change and its dose are one row, and every number at which to call is on it."""

from __future__ import annotations

import datetime as dt

import pytest

from history.kept import batch, build, history, moment, plan, tank
from pratique.room.resolve import Room
from pratique.schedule.day import tasks_on
from pratique.sheets.deputy import deputy_sheet
from pratique.sheets.rows import Lines, Table
from schedule_rooms import COPPER_KIT

HELD = """
    2027-03-05T19:00 arrived first in ward
    2027-03-06T19:00 dose ward 12 mL of copper bottle
    2027-03-08T19:00 dose ward 1.5 mL of copper bottle
    2027-03-09T08:00 reading ward copper 2.25 mg/L with copper meter
"""


def ward(**more: object) -> Room:
    return build(tanks={"ward": tank("ward", **more)}, batches={"first": batch()})


def page(room: Room, lines: str, at: str, days: int = 4) -> tuple[list[list[str]], list[str]]:
    """The rows of the days, and every line of the rest."""
    found, made = history(room, lines, at), plan(room, lines, at)
    dates = [moment(at).date() + dt.timedelta(days=number) for number in range(days)]
    parts = deputy_sheet(
        room, made, tuple((date, tasks_on(room, made, date, found)) for date in dates), moment(at), who="Kim"
    ).parts
    rows = [[cell.text for cell in row] for part in parts if isinstance(part, Table) for row in part.rows]
    return rows, [cell.text for part in parts if isinstance(part, Lines) for cell in part.lines]


def test_the_dose_of_a_change_stands_in_its_row_with_the_band() -> None:
    """Found on a walk: the change might wait, the dose on the next line might not; together 2.8 mg/L."""
    rows, _ = page(ward(), HELD, "2027-03-10T07:00")
    (change,) = [row for row in rows if "3.38 mL" in " ".join(row)]
    assert change[3] == "15.0 L"
    assert "ONLY if it is from 2.00 to 2.50 mg/L" in change[4]
    assert "Else change nothing, give nothing, and call" in change[4]
    assert "if the change waits, its dose waits with it" in change[4]
    assert change[5].startswith("until ")
    assert not [row for row in rows if "into the new water of the" in row[4]]


def test_a_reading_has_its_band_beside_it() -> None:
    rows, rest = page(ward(), HELD, "2027-03-10T07:00")
    copper = [row[4] for row in rows if row[4].startswith("test copper")]
    assert copper
    assert all("it should be from 2.00 to 2.50 mg/L, else call" in text for text in copper)
    assert "copper in ward reads below 2.00 or above 2.50 mg/L: give nothing" in rest


def test_the_ammonia_to_call_at_is_that_of_its_water() -> None:
    """Warmer water holds more of it as the part that harms, so less of it may be there."""
    _, cool = page(ward(), HELD, "2027-03-10T07:00")
    _, warm = page(ward(temperature="29 degC"), HELD, "2027-03-10T07:00")
    limits = [float(line.split()[2]) for lines in (cool, warm) for line in lines if line.startswith("ammonia reads ")]
    assert len(limits) == 2
    assert 0 < limits[1] < limits[0]


@pytest.mark.parametrize(("step", "said"), [("0.25 mg/L", "0.25"), ("0.5 mg/L", "0.5"), ("0.05 mg/L", "0.15")])
def test_the_ammonia_to_call_at_is_a_mark_of_the_kit(step: str, said: str) -> None:
    """0.162 mg/L is read by nobody: half a step below the mark its reading may be that much."""
    kits = {"copper meter": COPPER_KIT, "ammonia kit": {"measures": "ammonia", "resolution": step}}
    room = build(tanks={"ward": tank("ward")}, batches={"first": batch()}, kits=kits)
    _, rest = page(room, HELD, "2027-03-10T07:00")
    assert f"ammonia reads {said} mg/L or more in ward" in rest


def test_heads_of_a_batch_are_those_of_its_fish() -> None:
    animals = [{"species": "ocellaris clownfish", "count": 2}]
    room = build(tanks={"ward": tank("ward")}, batches={"first": {**batch(), "animals": animals}})
    rows, _ = page(room, HELD, "2027-03-10T07:00")
    assert "(there should be 2)" in next(row[4] for row in rows if row[4].startswith("look at"))
    reef = [{"species": "cleaner shrimp", "count": 2, "tank": "reef"}, {"species": "acropora", "tank": "reef"}]
    room = build(tanks={"reef": tank("display"), "ward": tank("ward")}, batches={"first": batch()}, animals=reef)
    rows, _ = page(room, HELD, "2027-03-10T07:00")
    assert next(row[4] for row in rows if row[2] == "reef").startswith("look at every animal (3), none of them a fish")


def test_a_dose_says_what_to_do_with_how_much_of_what() -> None:
    """`copper, chelated, step 1 of 2: copper bottle, to 2 mg/L` tells a neighbour neither."""
    rows, _ = page(ward(), "2027-03-05T19:00 arrived first in ward", "2027-03-06T07:00", days=1)
    (dose,) = [row for row in rows if row[3].endswith("mL")]
    assert dose[3] == "12.0 mL"
    assert dose[4].startswith("give 12.0 mL of copper bottle, measured with a syringe and no more; copper, chelated")
