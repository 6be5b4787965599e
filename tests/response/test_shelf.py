"""The shelf against sums done by hand, laws of a ledger, and a Friday evening without the medicine.

What an emergency kit holds is common practice, no published source, and is not checked against itself here.
"""

from __future__ import annotations

import copy
import datetime as dt
import math
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from first_rooms import FRIDAY, ZONE, history, house
from pratique.checks.tonight import not_tonight, stale
from pratique.knowledge import store
from pratique.problem import Problem
from pratique.response.need import Need
from pratique.response.scene import scene_of
from pratique.response.shelf.ledger import ledger
from pratique.response.shelf.look import look_over
from pratique.response.shelf.model import Line, Shelf, Supply, Use
from pratique.response.shelf.planned import measures_of
from pratique.room.money import read_price
from pratique.room.resolve import Room
from pratique.schedule.plan import make_plan
from pratique.sheets.rows import Table
from pratique.sheets.shelf import shelf_sheet

BATCH = {
    "batches": {
        "tangs": {
            "trust": "untrusted", "arrives": "2027-03-06T18:00", "regimen": "copper-hold", "into": "reef",
            "animals": [{"species": "kole tang", "size": "9 cm"}],
        }
    },
    "tanks": {
        "watch": {"use": "observation", "salinity": "35 g/kg", "temperature": "25 degC", "cycled": "yes",
                  "volume": {"measured": "100 L"}, "lid": "yes"},
    },
}  # fmt: skip


def merged(*more: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = copy.deepcopy(BATCH)
    for one in more:
        for key, value in one.items():
            known = found.get(key)
            found[key] = {**known, **value} if isinstance(known, dict) and isinstance(value, dict) else value
    return found


def shelf_of(changes: Any = None, *lines: str, at: dt.datetime = FRIDAY) -> Shelf:
    room = house(changes)
    return look_over(room, history(room, lines, at))


def line_of(shelf: Shelf, name: str) -> Line:
    return next(line for line in shelf.lines if line.supply.name == name)


def tonight(changes: Any = None, *lines: str, at: dt.datetime = FRIDAY) -> list[Problem]:
    room = house(changes)
    return list(not_tonight(scene_of(room, history(room, lines, at), at)))


def test_the_doses_of_the_plan_by_hand() -> None:
    """75 L of ward from 10 mg in each mL (treatments 3): up to 2.0 mg/L 75 × 2.0 ÷ 10 = 15 mL, on to 2.25 another
    75 × 0.25 ÷ 10 = 1.875, of which the syringe's steps of 0.02 mL give 1.86; each change of a quarter takes
    75 × 0.25 × 2.25 ÷ 10 = 4.21875, by the syringe 4.20, and on the ramp its share of 2.0 / 2.25."""
    copper = line_of(shelf_of(merged()), "chelate")
    ramp = [use.amount for use in copper.uses if "step" in use.text]
    changes = [use.amount for use in copper.uses if "into the new water" in use.text]
    assert ramp == pytest.approx([15.0, 1.86])
    assert changes[0] == pytest.approx(4.20 * 2.0 / 2.25)
    assert changes[1:] == pytest.approx([4.20] * (len(changes) - 1))
    assert len(changes) > 3
    assert copper.need == pytest.approx(16.86 + 4.20 * 2.0 / 2.25 + 4.20 * (len(changes) - 1))
    assert copper.short == 0
    assert copper.left == pytest.approx(250 - copper.need)


def test_every_dose_of_the_plan_is_on_the_ledger() -> None:
    room = house(merged())
    plan = make_plan(room, history(room))
    doses = {task.id for batch in plan.batches for task in batch.tasks if task.act in ("dose", "redose")}
    shelf = shelf_of(merged())
    on_ledger = {use.task for line in shelf.lines for use in line.uses}
    assert doses
    assert doses <= on_ledger


def test_a_bottle_that_does_not_last_names_what_is_short_and_the_day() -> None:
    """20 mL are there: the ramp takes 15 + 1.875, so 3.125 are left for what changes take. Delivery: three days."""
    changes = merged({"shelf": {"chelate": {"left": "20 mL"}}, "room": {"delivery": "3 d"}})
    copper = line_of(shelf_of(changes), "chelate")
    assert copper.short == pytest.approx(copper.need - 20)
    assert copper.runs_out is not None
    assert copper.buy_by == (copper.runs_out - dt.timedelta(days=3)).date()
    before = math.fsum(use.amount or 0.0 for use in copper.uses if use.at < copper.runs_out)
    assert before <= 20 < before + next(use.amount or 0.0 for use in copper.uses if use.at == copper.runs_out)
    room = house(changes)
    assert [problem.code for problem in stale(shelf_of(changes), room)] == ["X741"]
    assert not list(stale(shelf_of(merged()), room))


def test_a_bottle_that_expires_before_its_use_is_told_though_no_dose_is_worked_out_from_it() -> None:
    changes = merged({"shelf": {"chelate": {"expires": "2027-03-06"}}})
    copper = line_of(shelf_of(changes), "chelate")
    assert (copper.lacks, copper.short, copper.left) == (True, None, 250)
    assert copper.buy_by == dt.date(2027, 3, 7), "arrival, a day of rest, the first dose"
    (problem,) = stale(shelf_of(changes), house(changes))
    assert (problem.code, "it expires before" in problem.message) == ("X741", True)


def test_what_is_used_after_the_last_day_is_short() -> None:
    """10 + 20 before the last day, 30 after it: 100 mL cover 30, and 30 are short."""
    line = one_line([(1, 10.0), (2, 20.0), (9, 30.0)], 100.0, 5)
    assert (line.need, line.covered, line.short, line.left, line.expired) == (60, 30, 30, 70, 30)
    assert line.buy_by == dt.date(2027, 1, 7), "the tenth, less 72 h"


def test_what_the_log_used_bought_and_spoiled_is_counted() -> None:
    """250 - 15 used + 100 bought - 5 spoiled = 330 mL."""
    lines = (
        "dose ward copper-chelated 15 mL of chelate at 2027-03-01T12:00",
        "bought chelate 100 mL at 2027-03-02T12:00",
        "spoiled chelate 5 mL at 2027-03-03T12:00",
    )
    assert line_of(shelf_of(None, *lines), "chelate").supply.have == 330


def test_each_reading_takes_a_test_and_none_is_left_below_nought() -> None:
    changes = {"kits": {"ammonia drops": {"left": "3"}}}
    read = tuple(f"reading ward ammonia 0 mg/L at 2027-03-0{day}T08:00" for day in range(1, 5))
    left = [line_of(shelf_of(changes, *read[:count]), "ammonia drops").supply.have for count in range(5)]
    assert left == [3, 2, 1, 0, 0]
    other = "reading ward ph 8.1 at 2027-03-01T08:00"
    assert line_of(shelf_of(changes, other), "ammonia drops").supply.have == 3


def test_the_tests_of_the_plan_are_counted_day_by_day() -> None:
    """The daily test of an uncycled ward: one of ammonia a day, so two weeks and more of them."""
    kit = line_of(shelf_of(merged({"kits": {"ammonia drops": {"left": "10"}}})), "ammonia drops")
    days = {use.at.date() for use in kit.uses}
    assert kit.need == len(kit.uses) >= 14
    assert len(days) == (max(days) - min(days)).days + 1
    assert kit.short == kit.need - 10
    assert kit.runs_out == kit.uses[10].at


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("copper: write the reading; too low, correct with `--reading`", ("copper",)),
        ("ammonia, pH, temperature; a medicine may falsify the ammonia test", ("ammonia", "pH")),
        ("the water that stands in it: ammonia, pH, salinity (on file: 35 g/kg)", ("ammonia", "pH")),
        ("ammonia, temperature, of the tank the fish are in now", ("ammonia",)),
    ],
)
def test_what_a_task_reads(text: str, wanted: tuple[str, ...]) -> None:
    assert measures_of(text) == wanted


def test_every_test_of_the_plan_reads_something() -> None:
    room = house(merged())
    plan = make_plan(room, history(room))
    texts = {task.text for batch in plan.batches for task in batch.tasks if task.act == "test"}
    texts |= {r.text for batch in plan.batches for stage in batch.stages for r in stage.routines if r.act == "test"}
    assert texts
    assert all(measures_of(text) for text in texts)


def test_mixed_water_is_used_before_salt() -> None:
    """The first filling of the ward is 75 L, and 120 L are mixed; without them it takes 75 L × 35 g/kg of salt or so:
    76.7 kg of water at 35 g/kg hold 2.69 kg, and the purity of the salt takes that up to about 3.2 kg."""
    with_water = line_of(shelf_of(merged()), "salt")
    without = line_of(shelf_of(merged({"mixed_water": []})), "salt")
    assert without.need > with_water.need
    assert without.uses[0].at < with_water.uses[0].at
    assert 2690 < (without.uses[0].amount or 0) < 3200
    more = {"volume": "90 L", "salinity": "20 g/kg", "made": "2027-03-04"}
    assert line_of(shelf_of(merged({"mixed_water": [more]})), "salt").need == pytest.approx(without.need)


def test_mixed_water_says_how_old_it_is_and_what_its_container_is_wanted_for() -> None:
    changes = {
        "mixed_water": [
            {"volume": "90 L", "salinity": "35 g/kg", "made": "2027-03-02", "container": "grey barrel"},
            {"volume": "70 L", "container": "reef"},
            {"volume": "10 L", "container": "dip bucket"},
            {"volume": "75 L", "container": "ward"},
        ]
    }
    barrel, reef, bucket, ward = shelf_of(changes).containers
    assert barrel.age == pytest.approx(3 + 17 / 24)
    assert (barrel.busy, reef.age) == ("", None)
    assert "Lemon" in reef.busy
    assert "dip" in bucket.busy
    assert "empty now" in ward.busy


def test_changes_logged_since_it_was_mixed_are_told() -> None:
    assert shelf_of(None, "change ward 20 L at 2027-03-05T08:00").containers[0].changed == 20
    assert shelf_of(None, "change ward 20 L at 2027-03-01T08:00").containers[0].changed == 0


def test_money_is_summed_in_whole_packs_and_only_where_a_price_is() -> None:
    """Short of need - 20 mL; packs of 50 mL at 9.90: ⌈short ÷ 50⌉ packs."""
    priced = merged({"shelf": {"chelate": {"left": "20 mL", "price": "9.90 crown per 50 mL"}}})
    shelf = shelf_of(priced)
    copper = line_of(shelf, "chelate")
    assert copper.short is not None
    packs = -(-copper.short // 50)
    assert copper.packs == packs
    assert shelf.spent == {"crown": Decimal("9.90") * int(packs)}
    assert shelf_of(merged({"shelf": {"chelate": {"left": "20 mL"}}})).spent == {}
    assert read_price("0.10 euro per 0.5 L").money * 3 == Decimal("0.30")


VITAL = {
    "medicine": ({"shelf": None}, "no medicine that is held"),
    "tank": ({"tanks": {"ward": None}}, "no free bare tank"),
    "water": ({"mixed_water": None, "salt": None}, "no salt water"),
    "kit": ({"kits": {"copper meter": None}}, "no kit that reads the copper"),
}


def test_a_room_with_everything_could_answer_tonight() -> None:
    assert tonight() == []
    assert shelf_of().unanswered == ()
    assert shelf_of().lacking == ()


@pytest.mark.parametrize(("changes", "wanted"), VITAL.values(), ids=VITAL)
def test_check_warns_of_each_thing_a_friday_evening_would_miss(changes: dict[str, Any], wanted: str) -> None:
    (problem,) = tonight(changes)
    assert (problem.code, problem.severity) == ("X740", "warning")
    assert wanted in problem.message
    assert "`reef system`" in problem.message
    assert wanted in shelf_of(changes).unanswered
    assert problem.hint.startswith("get ")


def test_salt_to_mix_with_answers_for_mixed_water() -> None:
    assert tonight({"mixed_water": None}) == []


def test_a_medicine_missing_on_a_friday_evening() -> None:
    """75 L to 2.25 mg/L from the usual bottle of 10 mg/mL (response.yaml): 75 × 2.25 ÷ 10 = 16.875 mL to be bought.

    By the syringe 16.86.
    """
    shelf = shelf_of({"shelf": {"chelate": None}})
    copper = next(row for row in shelf.wanted if row.need.treatment.startswith("copper"))
    assert not copper.need.enough
    assert copper.need.need is not None
    assert copper.need.need.value == pytest.approx(16.86)
    assert copper.short is not None
    assert copper.short.value == pytest.approx(16.86)
    assert copper.need.buy
    assert shelf.wanted[0].need.enough is False, "what lacks stands first"


def test_a_bottle_past_its_date_is_no_medicine() -> None:
    changes = {"shelf": {"chelate": {"expires": "2027-03-01"}}}
    (problem,) = tonight(changes)
    assert "no medicine" in problem.message


def test_a_water_in_which_copper_is_held_has_its_answer() -> None:
    """The tank is full of fish under copper: no free tank, and none is needed for them."""
    lines = (
        "arrived tangs in ward at 2027-03-01T18:00",
        "dose ward copper-chelated 15 mL of chelate at 2027-03-02T12:00",
    )
    arrived = merged()
    arrived["batches"]["tangs"]["arrives"] = "2027-03-01T18:00"
    arrived["animals"] = [{"species": "torch coral", "tank": "reef"}]
    assert [problem for problem in tonight(arrived, *lines) if "`ward`" in problem.message] == []


def test_the_kit_names_amounts_for_this_room_and_what_is_there() -> None:
    kit = {line.item.id: line for line in shelf_of().kit}
    assert kit["held"].amount is not None
    assert kit["held"].amount.value == pytest.approx(2 * 16.86)
    assert kit["mixed"].amount is not None
    assert kit["mixed"].amount.value == pytest.approx(75 * 1.5)
    assert (kit["held"].there, kit["tank"].there, kit["microscope"].there) == (True, True, None)
    empty = {line.item.id: line.there for line in shelf_of({"shelf": None, "tanks": {"ward": None}}).kit}
    assert (empty["held"], empty["tank"], empty["formalin"]) == (False, False, False)


@pytest.mark.parametrize(("left", "there", "have"), [("13", False, "13 left"), ("14", True, "14 left"), ("", True, "")])
def test_a_kit_of_tests_has_to_last_for_the_days_it_is_for(left: str, there: bool, have: str) -> None:
    """Ammonia once a day for two weeks; where nobody wrote down how many are left, that it is there counts."""
    changes = {"kits": {"ammonia drops": {"left": left}}} if left else None
    (line,) = [line for line in shelf_of(changes).kit if line.item.id == "ammonia-test"]
    assert line.amount is not None
    assert (line.amount.value, line.there, line.have) == (14, there, have)


def test_every_thing_of_the_kit_says_who_says_so() -> None:
    for item in store.shelf().kit:
        assert item.source in store.sources()
        assert item.where
        assert item.confidence in ("C", "M"), "none of it has a published source"


SUPPLY = Supply(kind="product", name="bottle", unit="mL", have=100.0)
DAYS = st.integers(0, 400)
AMOUNTS = st.floats(0, 1e4, allow_nan=False)
USES = st.lists(st.tuples(DAYS, AMOUNTS), max_size=30)


def uses_of(found: list[tuple[int, float]]) -> list[Use]:
    start = dt.datetime(2027, 1, 1, 8, tzinfo=ZONE)
    return [
        Use(kind="product", name="bottle", at=start + dt.timedelta(days=day), amount=amount, task=str(number))
        for number, (day, amount) in enumerate(found)
    ]


def one_line(found: list[tuple[int, float]], have: float | None, last: int | None = None) -> Line:
    last_day = dt.date(2027, 1, 1) + dt.timedelta(days=last) if last is not None else None
    supply = Supply(kind="product", name="bottle", unit="mL", have=have, last_day=last_day)
    return ledger((supply,), uses_of(found), 72.0)[0]


@given(found=USES, have=st.floats(0, 1e5), last=st.none() | DAYS)
def test_stock_is_never_negative_and_short_is_need_less_what_is_covered(
    found: list[tuple[int, float]], have: float, last: int | None
) -> None:
    line = one_line(found, have, last)
    assert line.left is not None
    assert line.short is not None
    assert 0 <= line.left <= have
    assert line.short >= 0
    assert line.covered <= have
    assert line.short == pytest.approx(line.need - line.covered, abs=1e-6 * (line.need + 1))
    assert line.left + line.covered == pytest.approx(have)
    if last is None:
        assert line.short == pytest.approx(max(line.need - have, 0.0), abs=1e-6 * (line.need + 1))
        assert (line.runs_out is None) == (line.short == 0)


@given(found=USES, have=st.floats(0, 1e5), last=st.none() | DAYS, data=st.data())
def test_the_order_of_the_tasks_does_not_matter(
    found: list[tuple[int, float]], have: float, last: int | None, data: st.DataObject
) -> None:
    shuffled = data.draw(st.permutations(found))
    line, other = one_line(found, have, last), one_line(list(shuffled), have, last)
    for key in ("need", "covered", "short", "left", "expired", "runs_out", "buy_by"):
        assert getattr(line, key) == getattr(other, key), key


@given(found=USES, have=st.floats(0, 1e4), more=st.floats(0, 1e4))
def test_a_fuller_bottle_is_never_shorter_and_never_runs_out_sooner(
    found: list[tuple[int, float]], have: float, more: float
) -> None:
    line, fuller = one_line(found, have), one_line(found, have + more)
    assert (fuller.short or 0) <= (line.short or 0) + 1e-6
    if fuller.runs_out is not None:
        assert line.runs_out is not None
        assert line.runs_out <= fuller.runs_out


def test_a_bottle_nobody_measured_has_no_figure_for_what_is_short() -> None:
    line = one_line([(1, 5.0)], None)
    assert (line.short, line.left, line.runs_out) == (None, None, None)
    assert line.need == 5


def test_a_use_of_what_is_no_supply_is_a_bug() -> None:
    with pytest.raises(KeyError):
        ledger((), uses_of([(1, 1.0)]), None)


def room_of_nobody() -> Room:
    return house({"animals": [{"species": "torch coral", "tank": "reef"}]})


def test_a_room_without_fish_has_nothing_to_answer() -> None:
    room = room_of_nobody()
    assert look_over(room, history(room)).wanted == ()
    assert list(not_tonight(scene_of(room, history(room), FRIDAY))) == []


def test_a_need_that_is_not_counted_has_no_figure() -> None:
    from pratique.response.shelf.model import Wanted

    need = Need(kind="tank", what="a tank", why="", enough=False)
    assert Wanted(need=need, waters=("reef",), pathogens=("amyloodinium",)).short is None


def test_salt_for_changes_that_are_on_nobodys_file_says_what_it_rests_on() -> None:
    """The habit of changes is a placeholder (M) until the keeper writes one."""
    told = []
    for habit in ({}, {"change": "50 % every 2 d"}):
        changes = merged({"salt": {"left": "1 kg"}, "tanks": {"ward": habit}})
        problems = stale(shelf_of(changes), house(changes))
        told += [problem.note for problem in problems if problem.places[0].line and "salt" in problem.message]
    assert "changes of 25 % every 3 d where none are on file, as in `ward`" in told[0]
    assert told[1] == ""


def test_what_is_short_tonight_is_not_told_again_in_the_kit() -> None:
    """The page names a thing once: short tonight with what to buy, else with its tick in the kit."""
    room = house(merged({"kits": {"copper meter": None}}))
    found = look_over(room, history(room, (), FRIDAY))
    sheet = shelf_sheet(room, found, 30)
    tables = {table.title: table for table in sheet.parts if isinstance(table, Table)}
    tonight = next(table for title, table in tables.items() if title.startswith("If a fast killer"))
    kit = tables["The emergency kit of this room, beside what is short tonight"]
    lacking = {row[0].text for row in tonight.rows}
    assert "a test for copper" in lacking
    assert lacking == {row.need.what for row in found.wanted if not row.need.enough}
    assert "tests of copper, for the form" not in {row[1].text for row in kit.rows}
    assert "dry salt" in {row[1].text for row in kit.rows}
    buy = next(row[-1].text for row in tonight.rows if row[0].text == "a test for copper")
    assert buy.startswith("a test for copper in sea water; for the kit ")
