"""Days away: what may wait and what may not, and the page for somebody who stands in."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from history.kept import build, first, history, moment, one_of_each
from pratique.figure import Figure
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar
from pratique.schedule.day import tasks_on
from pratique.schedule.model import Task
from pratique.schedule.plan import make_plan
from pratique.schedule.slip import STAND_IN, during, next_away, slip_of, with_stand_in
from pratique.schedule.tasks import MIX_FOR_CHANGE, NEW_WATER
from pratique.sheets.away import away_parts
from pratique.sheets.deputy import deputy_sheet, plain_words
from pratique.sheets.rows import Facts, Lines, Sheet, Table
from pratique.water.mixing import salt_for
from schedule_rooms import tanks

KIM = {"away": [{"from": "2027-03-08", "to": "2027-03-09", "stand_in": "Kim"}]}
ROOM = one_of_each(room=KIM)


def task(act: str, text: str = "", **more: object) -> Task:
    at = moment("2027-03-08T08:00")
    fields: dict[str, object] = {"id": f"x/copper/{act}/1", "at": at, "until": at + dt.timedelta(hours=10)}
    return Task(**{**fields, "tank": "ward", "batch": "x", "act": act, "text": text, **more})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("found", "treatment", "may", "until"),
    [
        (task("transfer", deadline=True), "tank-transfer", False, "18:00"),
        (task("redose"), "praziquantel-bath", True, "18:00"),
        (task("test", "copper: write the reading", routine=True), "copper-chelated", True, "20:00"),
        (task("test", "copper: write the reading", routine=True), "copper-ionic", True, "14:00"),
        (task("test", "ammonia, temperature", routine=True), "tank-transfer", False, ""),
        (task("test", "copper: write the reading", routine=True), "tank-transfer", False, "08:00"),
        (task("look", routine=True), "", False, ""),
        (task("feed", routine=True), "", True, ""),
        (task("redose", routine=True), "copper-chelated", False, ""),
        (task("change-water", routine=True), "", True, "08:00"),
        (task("dry"), "", True, "18:00"),
        (task("release"), "", True, ""),
        (task("arrive"), "", False, ""),
    ],
)
def test_what_may_slip(found: Task, treatment: str, may: bool, until: str) -> None:
    slip = slip_of(found, treatment)
    assert slip.may is may
    assert (f"{slip.until:%H:%M}" if slip.until is not None else "") == until


def test_the_days_away_that_hold_a_moment_or_come_next() -> None:
    room = one_of_each(room={"away": [{"from": "2027-04-01", "to": "2027-04-02"}, *KIM["away"]]})
    first_one = next_away(room, moment("2027-03-08T12:00"))
    assert first_one is not None
    assert first_one.stand_in == "Kim"
    later = next_away(room, moment("2027-03-11T12:00"))
    assert later is not None
    assert later.start.date() == dt.date(2027, 4, 1)
    assert next_away(room, moment("2027-05-01T12:00")) is None
    assert [days.stand_in for days in with_stand_in(room).away] == [STAND_IN, "Kim"]


def test_what_falls_inside_them_in_the_plan() -> None:
    room = one_of_each(room=KIM)
    plan = first(room, "2027-03-05T19:00 arrived first in tub a", "2027-03-07T08:00")
    (part,) = away_parts(room, plan, moment("2027-03-07T08:00"))
    assert isinstance(part, Lines)
    assert part.title == "first · days away Mon 8 Mar 00:00 to Wed 10 Mar 00:00 (stand-in: Kim)"
    must, may = (cell.text for cell in part.lines)
    assert must == "may not wait: transfer, tub b, Mon 8 Mar 08:30 until Mon 8 Mar 19:00; 2 × look; 2 × ammonia test"
    assert "dry, tub a" in may
    assert "2 × feed" in may
    assert away_parts(room, plan, moment("2027-03-12T08:00")) == []


def test_what_is_done_is_not_told_again() -> None:
    room = one_of_each(room=KIM)
    log = "2027-03-05T19:00 arrived first in tub a\n2027-03-08T07:30 move first to tub b"
    plan = first(room, log, "2027-03-08T08:00")
    acts = [found.act for found, _ in during(plan, Calendar(room), room.away[0])]
    assert "transfer" not in acts


def page(room: Room, log: str, at: str, days: int = 2) -> Sheet:
    covered = with_stand_in(room)
    record = history(covered, log, at)
    plan = make_plan(covered, record)
    begin = room.away[0].start.date()
    dates = [begin + dt.timedelta(days=number) for number in range(days)]
    found = tuple((date, tasks_on(covered, plan, date, record)) for date in dates)
    return deputy_sheet(covered, plan, found, moment(at), who="Kim")


def texts(sheet: Sheet) -> str:
    out = [sheet.title]
    for part in sheet.parts:
        if isinstance(part, Table):
            out += [cell.text for row in part.rows for cell in row]
        elif isinstance(part, Lines):
            out += [part.title, *(cell.text for cell in part.lines)]
        else:
            out += [f"{label} {cell.text}" for label, cell in part.pairs]
    return "\n".join(out)


def test_the_page_has_phones_what_never_to_do_and_each_day() -> None:
    room = one_of_each(room={**KIM, "veterinarian": "Dr. Example"})
    sheet = page(room, "2027-03-05T19:00 arrived first in tub a", "2027-03-07T08:00")
    assert sheet.title == "For Kim · test room · Mon 8 Mar to Tue 9 Mar"
    assert isinstance(sheet.parts[0], Facts)
    said = texts(sheet)
    assert "veterinarian Dr. Example  ____" in said
    assert "put no new fish" in said
    assert "NO, by Mon 8 Mar 19:00" in said
    assert "look at every fish and count them (there should be 2)" in said
    assert "`pratique" not in said


def test_nothing_is_dosed_that_is_not_written_with_its_amount() -> None:
    room = build(room=KIM, batches={"first": {"source": "a shop", "trust": "untrusted", "arrives": "2027-03-06T18:30",
                 "signs": ["dust"], "animals": [{"species": "ocellaris clownfish"}]}})  # fmt: skip
    said = texts(page(room, "", "2027-03-05T08:00"))
    assert "DO NOT GIVE without a call: copper, chelated, step 2 of 2" in said


def test_nobody_named_and_nobody_away_still_make_a_page() -> None:
    room = one_of_each(room={"away": [{"from": "2027-03-08", "to": "2027-03-09"}]})
    said = texts(page(room, "2027-03-05T19:00 arrived first in tub a", "2027-03-07T08:00"))
    assert "move every fish from tub a to tub b" in said


def test_words_for_somebody_who_does_not_keep_fish() -> None:
    assert plain_words(ROOM, task("feed", "feed a little")).startswith("a little food")
    assert plain_words(ROOM, task("test", "copper: write the reading; too low …", routine=True)) == (
        "test copper: write down the number"
    )
    assert plain_words(ROOM, task("dose", "fluke powder", refused="D401")).startswith("DO NOT GIVE")
    assert plain_words(ROOM, task("strip", "empty it")) == "empty it"


def test_a_change_is_said_in_litres_and_a_batch_in_grams_of_salt() -> None:
    mixed = replace(task("prepare-water", MIX_FOR_CHANGE), tank="ward", amount=Figure.exact(15.0, "L"))
    said = plain_words(ROOM, mixed)
    salt = salt_for(15.0, 35.0).salt
    assert f"weigh {salt.low:.0f} g of salt, measure, add up to {salt.high:.0f} g: to 35 g/kg, as on file" in said
    changed = replace(mixed, act="change-water", text=f"change 25 %, {NEW_WATER}")
    said = plain_words(ROOM, changed)
    assert said.startswith("take out 15.0 L and pour in as much, the new water as salty and as warm as the tank")
    assert said.endswith("on file: 35 g/kg, 25 degC")


def test_salt_is_reckoned_for_sea_water_where_no_salinity_is_on_file() -> None:
    bare = build(tanks={**tanks(), "ward": {"use": "ward", "volume": {"measured": "60 L ± 1 L"}}})
    mixed = replace(task("prepare-water", MIX_FOR_CHANGE), tank="ward", amount=Figure.exact(15.0, "L"))
    assert plain_words(bare, mixed).endswith("to 35 g/kg, unless the tank reads otherwise")
    changed = replace(mixed, act="change-water", text=f"change 25 %, {NEW_WATER}")
    assert "on file" not in plain_words(bare, changed)


def test_what_is_dried_and_disinfected_is_said_whole() -> None:
    strip = replace(task("strip", "empty it, scrub, disinfect, rinse"), tank="tub a")
    assert "leave it empty, and call" in plain_words(ROOM, strip)
    bleach = {"active": "chlorine", "strength": "5 % w/v as NaOCl", "left": "1 L"}
    assert "by the sheet `Clean · tub a`" in plain_words(build(shelf={"bleach": bleach}), strip)
    assert plain_words(ROOM, task("dry", "tank, net: until no drop is left")).startswith("dry tank, net")


def test_what_is_urgent_is_a_call_for_somebody_who_stands_in() -> None:
    seen = "signs SEEN Sun 7 Mar 07:25 on kole tang: fine coat like dust. `pratique signs ward dust` says the rest"
    said = plain_words(ROOM, task("signs", seen))
    assert said.startswith("CALL THE KEEPER")
    assert "fine coat like dust" in said
    assert "`" not in said
    gone = "x went straight into reef on Fri 5 Mar 19:00: `pratique trace reef` says who has been exposed"
    assert plain_words(ROOM, task("trace", gone)).endswith("x went straight into reef on Fri 5 Mar 19:00")
