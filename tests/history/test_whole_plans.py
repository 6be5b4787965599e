"""Plans and day sheets written out whole, before anything happened and as a log went on. Dates and doses are held
against plain arithmetic elsewhere; here a change that no other test notices is shown to whoever makes it.

After a change that is meant: `python -m pytest tests/history/test_whole_plans.py --golden`, and read the difference.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from history.kept import batch, build, copper_room, history, one_of_each, tank, tanks
from pratique.room.resolve import Room
from pratique.schedule.changes import changes_since_yesterday
from pratique.schedule.day import tasks_on
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import BatchPlan
from pratique.schedule.plan import make_plan
from whole import whole

PLANS = Path(__file__).parent / "plans"
Golden = Callable[[Path, str], None]

RESIDENTS = [{"species": "yellow tang", "count": 2, "tank": "reef"}]
AWAY = {
    "away": [{"from": "2027-03-08", "to": "2027-03-09", "stand_in": "Kim"}, {"from": "2027-04-02", "to": "2027-04-05"}]
}
SIGHTED = batch("2027-03-12T18:30", "untrusted", "yellow tang", "ocellaris clownfish", signs=["dust"])
CORALS = batch("2027-03-20T18:30", "trusted", "torch coral", regimen="watch-only")


def household() -> Room:
    """Three batches at once, a keeper who is away, residents; more wards and tanks than one."""
    more = {"second ward": tank("ward", volume={"nominal": "100 L"}), "corals": tank("observation")}
    batches = {"first": batch(), "second": SIGHTED, "third": CORALS}
    return build(batches=batches, animals=RESIDENTS, room=AWAY, tanks={**tanks(), **more})


def watched() -> Room:
    return build(batches={"first": batch(trust="trusted", regimen="watch-only")}, animals=RESIDENTS)


def without_copper() -> Room:
    return build(batches={"first": batch(regimen="without-copper")})


PLANNED: dict[str, Callable[[], Room]] = {
    "one": one_of_each,
    "copper": copper_room,
    "household": household,
    "watched": watched,
    "without-copper": without_copper,
    "one-tank": lambda: build(tanks={"reef": tank("display"), "ward": tank("ward")}),
}

CAME = "2027-03-05T19:00 arrived first in tub a\n"
SERIES = (
    CAME
    + """
2027-03-08T18:30 move first to tub b
2027-03-09T16:00 dried tub a
2027-03-11T19:10 move first to tub a
2027-03-12T20:00 dried tub b
2027-03-14T18:00 move first to tub b
"""
)
IN_BAND = """
2027-03-05T18:40 arrived first in ward
2027-03-05T18:50 dose ward copper-chelated 12 mL of copper bottle
2027-03-07T18:50 dose ward 1.5 mL of copper bottle
2027-03-08T08:00 reading ward copper 2.25 mg/L with copper meter
2027-03-09T08:00 reading ward copper 2.20 mg/L with copper meter
"""
IN_WARD = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle\n"

FOLLOWED: dict[str, tuple[Callable[[], Room], str, str]] = {
    "arrived": (one_of_each, CAME, "2027-03-06T09:00"),
    "series": (one_of_each, SERIES, "2027-03-14T20:00"),
    "series-late": (one_of_each, SERIES, "2027-03-17T19:30"),
    "series-wet": (
        one_of_each,
        CAME + "2027-03-08T18:30 move first to tub b\n2027-03-09T08:00 move first to tub a",
        "2027-03-09T09:00",
    ),
    "death": (one_of_each, CAME + "2027-03-07T08:00 died tub a yellow tang", "2027-03-07T09:00"),
    "sign": (one_of_each, CAME + "2027-03-06T08:00 sign tub a yellow tang dust", "2027-03-06T08:30"),
    "copper": (copper_room, IN_BAND, "2027-03-10T09:00"),
    "copper-unread": (copper_room, IN_BAND, "2027-03-12T09:00"),
    "copper-low": (copper_room, IN_BAND + "2027-03-10T08:00 reading ward copper 1.5 mg/L", "2027-03-10T09:00"),
    "copper-changed": (copper_room, IN_BAND + "2027-03-09T20:00 change ward 50 %", "2027-03-10T09:00"),
    "copper-ammonia": (copper_room, IN_BAND + "2027-03-10T08:00 reading ward ammonia 1 mg/L", "2027-03-10T09:00"),
    "ammonia": (
        one_of_each,
        CAME + "2027-03-06T07:50 reading tub a ph 8.2\n2027-03-06T08:00 reading tub a ammonia 2 mg/L\n"
        "2027-03-06T09:00 change tub a 20 %",
        "2027-03-06T10:00",
    ),
    "overdose": (copper_room, IN_WARD.replace("12 mL", "120 mL"), "2027-03-05T19:30"),
    "overdose-read": (
        copper_room,
        IN_WARD.replace("12 mL", "120 mL") + "2027-03-06T08:00 reading ward copper 9 mg/L",
        "2027-03-06T08:30",
    ),
    "household": (household, CAME + "2027-03-12T19:00 arrived second in ward", "2027-03-13T09:00"),
    "watched": (
        watched,
        "2027-03-05T19:00 arrived first in long\n2027-03-20T08:00 sign long scratching",
        "2027-03-20T09:00",
    ),
    "not-arrived": (one_of_each, "2027-03-01T08:00 note the log begins", "2027-03-06T08:00"),
}


@pytest.mark.parametrize("name", PLANNED)
def test_a_plan_before_anything_happened(name: str, golden: Golden) -> None:
    room = PLANNED[name]()
    found = make_plan(room)
    arrives = next(iter(room.batches.values())).arrives
    days = [arrives.date() + dt.timedelta(days=number) for number in (0, 3, 30)]
    sheets = [task for day in days for task in tasks_on(room, found, day)]
    golden(PLANS / f"planned-{name}.txt", whole(found) + whole(sheets))


@pytest.mark.parametrize("name", FOLLOWED)
def test_a_plan_that_follows_a_log(name: str, golden: Golden) -> None:
    make, lines, at = FOLLOWED[name]
    room = make()
    known = history(room, lines, at)
    found = make_plan(room, known)
    today = lines_of_day(room, found, known, known.at.date())
    changes = [f"{change.batch}: {change.text}" for change in changes_since_yesterday(room, found, known)]
    near = [nearby(plan, known.at + dt.timedelta(days=4)) for plan in found.batches]
    golden(PLANS / f"followed-{name}.txt", whole(replace(found, batches=tuple(near))) + whole(today) + whole(changes))


def nearby(plan: BatchPlan, until: dt.datetime) -> BatchPlan:
    """Of the tasks that lie farther ahead only moment, act and amount: their words are in the plan before."""
    tasks = [task if task.at < until else replace(task, text="", sources=(), reason="") for task in plan.tasks]
    return replace(plan, tasks=tuple(tasks))
