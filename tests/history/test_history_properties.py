"""What holds of every log: order is no matter, a correction is as if never erred, no log is the plan of the room."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise
from typing import Any, NamedTuple

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from history.kept import log_of
from pratique.export.plan_json import day_json, plan_json
from pratique.history.fold import History, fold
from pratique.logbook.amount import read_quantity
from pratique.logbook.book import Log
from pratique.logbook.entry import KINDS, Common, Correction
from pratique.logbook.ids import Ids
from pratique.room.resolve import Room
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.changes import changes_since_yesterday
from pratique.schedule.day import whereabouts
from pratique.schedule.day_lines import lines_of_day
from pratique.schedule.model import Plan
from pratique.schedule.plan import make_plan
from pratique.sheets.day import day_sheet
from pratique.sheets.deputy import deputy_sheet
from pratique.sheets.plan import News, plan_sheet
from schedule_rooms import build
from schedule_strategies import rooms

quick = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
few = settings(quick, max_examples=30)

LEVELS = ("0.05 mg/L", "0.5 mg/L", "1.7 mg/L", "2.05 mg/L", "2.25 mg/L", "2.4 mg/L", "3.2 mg/L")


def fields(draw: st.DrawFn, room: Room, kind: str) -> dict[str, Any]:
    """The fields of one entry about the tanks, batches and bottles of a room."""
    tank = st.sampled_from(sorted(room.tanks))
    name = draw(st.sampled_from(sorted(room.batches)))
    animal = draw(st.sampled_from([animal.label for animal in room.batches[name].animals]))
    task = f"{name.replace(' ', '-')}/{draw(st.sampled_from(['transfers', 'copper', 'anthelmintic', 'observation']))}"
    act = draw(st.sampled_from(["transfer", "arrive", "move", "dose", "redose", "dry", "release", "test"]))
    amount = read_quantity(draw(st.sampled_from(["3 mL", "3 mL", "90 mL"])), "amount")
    match kind:
        case "arrival":
            return {"batch": name, "tank": draw(tank)}
        case "move":
            some = {"animals": (animal,)} if draw(st.booleans()) else {}
            return {"batch": name, "to": draw(tank), **some}
        case "reading":
            what: Any = draw(st.sampled_from(["copper", "copper", "ammonia"]))
            level = read_quantity(draw(st.sampled_from(LEVELS)), what)
            return {"tank": draw(tank), "what": what, "value": level}
        case "dose":
            powder = draw(st.booleans())
            bottle = {"product": "fluke powder", "amount": read_quantity("0.1 g", "amount")} if powder else {}
            return {"tank": draw(tank), "product": "copper bottle", "amount": amount, **bottle}
        case "change":
            with_dose = {"product": "copper bottle", "amount": amount} if draw(st.booleans()) else {}
            return {"tank": draw(tank), "volume": read_quantity("25 %", "share"), **with_dose}
        case "death" | "found":
            return {"tank": draw(tank), "animal": animal}
        case "sign":
            return {"tank": draw(tank), "signs": ("dust",)}
        case "look":
            heads = {"heads": draw(st.integers(1, 3))} if draw(st.booleans()) else {}
            return {"tank": draw(tank), "eating": draw(st.sampled_from([True, False, None])), **heads}
        case "gear":
            return {"gear": "red set", "tank": draw(tank)}
        case "cleaned" | "dried":
            return {"tank": draw(tank)}
        case "done" | "skipped":
            return {"task": f"{task}/{act}/{draw(st.integers(1, 4))}"}
        case _:
            return {"note": "a word"}


@st.composite
def entries(draw: st.DrawFn, room: Room) -> list[Common]:
    """Up to thirty entries in the months after the arrivals, most of them of the sort a plan hangs on."""
    first = min(batch.arrives for batch in room.batches.values())
    ids, made = Ids(), []
    kinds = ["arrival", "move", "move", "move", "reading", "reading", "reading", "dose", "dose", "change", "death"]
    kinds += ["found", "sign", "look", "gear", "cleaned", "dried", "done", "done", "skipped", "note"]
    hours = draw(st.lists(st.integers(-24, 24 * 150), max_size=30))
    for hour in sorted(hours) if draw(st.booleans()) else hours:
        at = (instant(first) + dt.timedelta(hours=hour, minutes=draw(st.sampled_from([0, 0, 7, 30])))).replace(second=0)
        written = at + dt.timedelta(hours=draw(st.sampled_from([0, 0, 5, 90])))
        kind = draw(st.sampled_from(kinds))
        common = {"id": ids.new(written), "at": at, "written": written}
        made.append(KINDS[kind].model_validate({**common, **fields(draw, room, kind)}))
    return made


class Kept(NamedTuple):
    """A room, what was written and the moment that is asked about; shown as the file and the lines of the log."""

    room: Room
    made: list[Common]
    at: dt.datetime

    def __repr__(self) -> str:
        lines = [*self.room.document.lines, *(entry.model_dump_json(exclude_none=True) for entry in self.made)]
        return f"at {self.at.isoformat()}:\n" + "\n".join(lines)


@st.composite
def logs(draw: st.DrawFn) -> Kept:
    """A room, what was written, and the moment that is asked about."""
    room = build(**draw(rooms(most=2)))
    made = draw(entries(room))
    first = min(batch.arrives for batch in room.batches.values())
    at = instant(first) + dt.timedelta(hours=draw(st.integers(-48, 24 * 200)))
    return Kept(room, made, at.replace(second=0).astimezone(room.zone))


def folded(room: Room, made: list[Common], at: dt.datetime) -> History:
    return fold(room, log_of(made), at)


@given(logs(), st.randoms(use_true_random=False))
@quick
def test_entries_in_any_order_with_the_same_times_give_the_same_history(found: Any, random: Any) -> None:
    room, made, at = found
    mixed = list(made)
    random.shuffle(mixed)
    assert folded(room, mixed, at) == folded(room, made, at)
    assert make_plan(room, folded(room, mixed, at)) == make_plan(room, folded(room, made, at))


@given(logs(), st.data())
@quick
def test_a_correction_equals_never_having_erred(found: Any, data: st.DataObject) -> None:
    room, made, at = found
    if not made:
        return
    index = data.draw(st.integers(0, len(made) - 1))
    right = made[index]
    wrong = data.draw(entries(room).filter(bool))[0].model_copy(update={"id": right.id})
    later = max(entry.written for entry in [*made, wrong]) + dt.timedelta(hours=1)
    setting = Correction(id=Ids({e.id for e in made}).new(later), at=later, written=later, of=right.id, instead=right)
    erred = [*made[:index], wrong, *made[index + 1 :], setting]
    assert folded(room, erred, at) == folded(room, made, at)
    withdrawn = Correction(id=Ids({e.id for e in made}).new(later), at=later, written=later, of=right.id)
    assert folded(room, [*made, withdrawn], at) == folded(room, [*made[:index], *made[index + 1 :]], at)


@given(rooms(most=4), st.integers(-48, 24 * 300))
@few
def test_an_empty_log_is_the_plan_of_the_room(sections: dict[str, Any], hours: int) -> None:
    room = build(**sections)
    first = min(batch.arrives for batch in room.batches.values())
    empty = fold(room, Log(), (instant(first) + dt.timedelta(hours=hours)).astimezone(room.zone))
    plan = make_plan(room)
    assert make_plan(room, empty) == plan
    for date in (first.date(), empty.at.date()):
        lines = lines_of_day(room, plan, empty, date)
        assert all(not task.state for task in lines)
    assert changes_since_yesterday(room, plan, empty) == ()


@given(logs())
@settings(quick, max_examples=150)
def test_whatever_was_written_there_is_a_plan_and_it_hangs_together(found: Any) -> None:
    room, made, at = found
    history = folded(room, made, at)
    plan = make_plan(room, history)
    for batch in plan.batches:
        assert batch.is_whole or batch.problems or batch.over
        for before, after in pairwise(batch.stages):
            assert instant(before.end) == instant(after.start)
        ids = [task.id for task in batch.tasks]
        assert len(ids) == len(set(ids))
        for task in batch.tasks:
            assert (task.state == "done") == (task.done_at is not None)
            if task.state in ("due", "late", "") and batch.begun and not batch.over:
                assert task.state != "due" or instant(task.at) <= instant(at)
            if task.done_at is not None:
                assert instant(task.done_at) <= instant(at)
    _check_begun(plan, history)
    _render(room, plan, history, at)


def _check_begun(plan: Plan, history: History) -> None:
    """A batch is where the record says it is, and the clocks never count more than the hours there were."""
    places = whereabouts(plan, history.at)
    for batch in plan.batches:
        name = batch.batch.name
        visits = history.visits.get(name, ())
        marked = any(task in history.tasks for task in ids_of(batch))
        if batch.begun and not batch.over and name in places and not marked:
            assert places[name][0] == visits[-1].tank
        for stage in batch.stages:
            if stage.state is not None and stage.kind != "transfers":
                assert stage.state.counted <= elapsed_hours(stage.start, history.at) + 1.1


def ids_of(batch: Any) -> list[str]:
    return [task.id for task in batch.tasks if task.act in ("arrive", "transfer", "move", "release")]


def _render(room: Room, plan: Plan, history: History, at: dt.datetime) -> None:
    news = News(changes=changes_since_yesterday(room, plan, history))
    assert plan_sheet(room, plan, at, working=True, news=news).parts
    assert plan_json(room, plan, None, history=history, changes=news.changes)["batches"]
    days = tuple((date, lines_of_day(room, plan, history, date)) for date in (at.date(), at.date() + dt.timedelta(1)))
    assert day_sheet(room, plan, days, at).parts
    assert deputy_sheet(room, plan, days, at, who="Kim").parts
    assert day_json(days)["days"]
    for _, lines in days:
        assert len({task.id for task in lines}) == len(lines)


@given(logs())
@few
def test_lines_keep_their_numbers_while_a_day_goes_on(found: Any) -> None:
    room, made, at = found
    history = folded(room, made, at)
    morning = dt.datetime.combine(at.date(), dt.time(0), tzinfo=room.zone)
    early = fold(room, history.log, min(morning, at, key=instant))
    date = at.date()
    printed = lines_of_day(room, make_plan(room, early), early, date)
    if any(instant(entry.written) >= instant(morning) > instant(entry.at) for entry in made):
        return  # written down later than it happened: the sheet of that morning could not know it
    now = lines_of_day(room, make_plan(room, history), history, date)
    assert [task.id for task in now[: len(printed)]] == [task.id for task in printed]
