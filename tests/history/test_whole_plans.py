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

from history.keeper import Keeper
from history.kept import batch, build, copper_room, history, one_of_each, tank, tanks
from history.test_keepers import REGIMENS
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


LOW = tank("transfer")
LOW.pop("salinity")
UNKNOWN = {**tanks(), "tub a": LOW}
TWICE = """
2027-03-06T08:00 reading tub a ammonia 1 mg/L
2027-03-06T08:10 reading ward ammonia 0.1 mg/L
2027-03-06T08:20 reading reef ammonia 1 mg/L
"""
POWDER = "2027-03-05T19:00 arrived first in ward\n2027-03-06T09:00 dose ward praziquantel-bath {} g of fluke powder\n"
MARKED = """
2027-03-05T18:40 done first/copper/arrive/1
2027-03-05T18:50 done first/copper/dose/1
2027-03-07T18:50 done first/copper/redose/1
"""
HELD = IN_BAND + "".join(f"2027-03-{day:02}T08:00 reading ward copper 2.25 mg/L\n" for day in range(10, 32))
HELD += "".join(f"2027-04-{day:02}T08:00 reading ward copper 2.25 mg/L\n" for day in range(1, 9))


def together() -> Room:
    """Two batches that may share the ward."""
    ward = {"reef": tank("display"), "ward": tank("ward"), "long": tank("observation")}
    return build(batches={"first": batch(signs=["dust"]), "second": SIGHTED}, tanks=ward)


def one_ward() -> Room:
    return build(batches={"first": batch(signs=["dust"])}, tanks={"reef": tank("display"), "ward": tank("ward")})


MORE: dict[str, tuple[Callable[[], Room], str, str]] = {
    "ammonia-twice": (lambda: one_of_each(animals=RESIDENTS), CAME + TWICE + IN_WARD, "2027-03-06T09:00"),
    "ammonia-no-salinity": (
        lambda: one_of_each(tanks=UNKNOWN),
        CAME + "2027-03-06T08:00 reading tub a ammonia 1 mg/L",
        "2027-03-06T09:00",
    ),
    "powder": (without_copper, POWDER.format("0.13"), "2027-03-12T09:00"),
    "powder-overdose": (without_copper, POWDER.format("0.6"), "2027-03-06T10:00"),
    "powder-elsewhere": (one_of_each, CAME + POWDER.format("0.6").split("\n")[1], "2027-03-06T10:00"),
    "overdose-elsewhere": (
        one_of_each,
        CAME + "2027-03-06T09:00 dose tub a copper-chelated 120 mL of copper bottle",
        "2027-03-06T10:00",
    ),
    "cleaned-then-dosed": (
        copper_room,
        "2027-03-02T09:00 cleaned ward\n2027-03-04T09:00 dried ward\n" + IN_WARD,
        "2027-03-06T10:00",
    ),
    "marked": (copper_room, MARKED, "2027-03-08T09:00"),
    "marked-before-its-turn": (
        one_of_each,
        CAME + "2027-03-06T09:00 done first/transfers/transfer/2",
        "2027-03-06T10:00",
    ),
    "marked-move": (
        one_of_each,
        CAME + "2027-03-08T18:30 done first/transfers/transfer/1\n2027-03-09T16:00 done first/transfers/dry/1",
        "2027-03-10T09:00",
    ),
    "newcomer": (together, IN_BAND + "2027-03-12T19:00 arrived second in ward", "2027-03-13T09:00"),
    "left-early": (copper_room, IN_BAND + "2027-03-12T09:00 move first to long", "2027-03-13T09:00"),
    "left-long-ago": (copper_room, IN_BAND + "2027-03-12T09:00 move first to long", "2027-04-13T09:00"),
    "gone": (copper_room, IN_BAND + "2027-03-12T09:00 move first to reef", "2027-03-13T09:00"),
    "gone-long-ago": (copper_room, IN_BAND + "2027-03-12T09:00 move first to reef", "2027-12-13T09:00"),
    "all-dead": (copper_room, IN_BAND + "2027-03-10T09:00 died ward ocellaris clownfish", "2027-03-10T12:00"),
    "full-in-one-ward": (one_ward, HELD, "2027-04-08T09:00"),
    "cleared-in-one-ward": (
        one_ward,
        HELD + "2027-04-08T20:00 change ward 90 %\n2027-04-09T08:00 reading ward copper 0 mg/L",
        "2027-04-09T09:00",
    ),
    "into-new-water": (
        copper_room,
        IN_BAND + "2027-03-09T20:00 change ward 25 %\n"
        "2027-03-09T20:05 dose ward copper-chelated 3.4 mL of copper bottle into new water\n"
        "2027-03-09T20:06 dose ward praziquantel-bath 0.1 g of fluke powder into new water",
        "2027-03-10T07:00",
    ),
    "too-high": (copper_room, IN_BAND + "2027-03-10T08:00 reading ward copper 2.8 mg/L", "2027-03-10T09:00"),
    "doubtful": (copper_room, IN_BAND + "2027-03-10T08:00 reading ward copper 2.03 mg/L", "2027-03-10T09:00"),
    "within-the-grace": (one_of_each, SERIES, "2027-03-17T18:30"),
    "at-the-end-of-the-grace": (one_of_each, SERIES, "2027-03-17T19:00"),
    "signs-twice": (
        lambda: one_of_each(animals=RESIDENTS),
        CAME + "2027-03-06T08:00 sign tub a yellow tang dust\n2027-03-06T08:05 sign reef yellow tang white-spots",
        "2027-03-07T08:30",
    ),
    "left-wet": (one_of_each, CAME + "2027-03-07T08:00 move first to long", "2027-03-21T09:00"),
    "left-wet-longer": (one_of_each, CAME + "2027-03-07T08:00 move first to long", "2027-03-22T09:00"),
}
FOLLOWED |= MORE


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
    """Of the tasks that lie farther ahead only moment, act and amount; only the routines of the stage that goes on."""
    tasks = [task if task.at < until else replace(task, text="", sources=(), reason="") for task in plan.tasks]
    goes_on = [stage.state is not None and not stage.over for stage in plan.stages]
    stages = [stage if on else replace(stage, routines=()) for stage, on in zip(plan.stages, goes_on, strict=True)]
    return replace(plan, tasks=tuple(tasks), stages=tuple(stages))


@pytest.mark.parametrize("name", REGIMENS)
def test_a_keeper_at_work(name: str, golden: Golden) -> None:
    """The plan as it stands before every seventh act, and at the end: each stage, and what is to do within a week."""
    keeper = Keeper(build(**REGIMENS[name]), "x", late=lambda task: 2.0 if task.act == "dry" else 0.0)
    plans = list(keeper.work())
    shown = [plan for number, plan in enumerate(plans) if number % 7 == 3] + plans[-2:]
    golden(PLANS / f"kept-{name.replace(' ', '-')}.txt", "\n".join(map(at_work, shown)))


def at_work(plan: BatchPlan) -> str:
    now = plan.as_of or plan.batch.arrives
    release = "none" if plan.release is None else f"{plan.release.earliest:%Y-%m-%d %H:%M}"
    lines = [f"{now:%Y-%m-%d %H:%M} {plan.regimen.id} {plan.over or 'goes on'}: release {release}"]
    lines += [f"  {problem.code} {problem.message}" for problem in plan.problems]
    return "\n".join([*lines, *stages_and_tasks(plan)])


def stages_and_tasks(plan: BatchPlan) -> list[str]:
    """Each stage with its clock, and what is to do within a week."""
    now, lines = plan.as_of or plan.batch.arrives, []
    for stage in plan.stages:
        state = stage.state
        count = "" if state is None else f" {state.counted:g} of {state.needed:g} h, restarts {state.restarts}"
        over = " over" if stage.over else ""
        span = f"{stage.start:%m-%d %H:%M} to {stage.end:%m-%d %H:%M}{over}"
        lines.append(f"  {stage.name}: {stage.treatment} in {', '.join(stage.tanks)}, {span}{count}; {stage.clock}")
    soon = [task for task in plan.tasks if task.state != "done" and task.at < now + dt.timedelta(days=7)]
    return [*lines, *(f"    {line}" for line in whole(soon).splitlines())]
