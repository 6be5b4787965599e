"""What is done every day, or every few days, for as long as a stage lasts."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

from pratique.dosing.dose import Dose
from pratique.figure import digits
from pratique.knowledge import store
from pratique.knowledge.model import Treatment, cite
from pratique.room.phrases import Change
from pratique.room.resolve import Tank
from pratique.schedule.calendar import APART, Calendar, instant, plus_hours
from pratique.schedule.feeds import SOON, cut
from pratique.schedule.medicine import MIXED_BEFORE, worked_out
from pratique.schedule.model import Routine
from pratique.schedule.occupants import fish_elsewhere
from pratique.schedule.placed import Placed
from pratique.schedule.suits import fish_in
from pratique.schedule.tasks import MIX_FOR_CHANGE, NEW_WATER, TaskList
from pratique.schedule.timeline import Timeline

DAY = dt.timedelta(days=1)

BEFORE_LEAVING = 12.0
"""Hours: no routine change this close before the fish leave the water, or before its medicine is taken out."""

COPPER_TEST = "copper: write the reading; too low, correct with `--reading`; too high, change water"


def copper_test(treatment: Treatment) -> str:
    """The words of a reading of copper, with the band it is held against."""
    band = band_of(treatment)
    return f"{COPPER_TEST}; in band is {band[0]} to {band[1]} {band[2]}" if band is not None else COPPER_TEST


def band_of(treatment: Treatment) -> tuple[str, str, str] | None:
    """The ends of the band a treatment is held in, and their unit; None where it has none."""
    target = treatment.number("target")
    if target is None:
        return None
    return digits(target.low), digits(target.high), target.unit


WATER_TEST = "ammonia, pH, temperature; a medicine may falsify the ammonia test"

FOULS = ("COMMON, practice A7 (C)",)


def routines(work: TaskList, entry: Placed) -> tuple[Routine, ...]:
    """Every repeated act of a stage. Times are those of the day's morning and evening rounds."""
    tank, line, treatment, kind = entry.tank, entry.line, entry.treatment, entry.stage.kind
    found = [*_daily(work, entry)]
    if kind == "hold":
        found += _copper_tests(work, entry)
    cycled = work.basis.room.waters[tank.water].conditions.cycled
    if kind == "transfers" or not cycled or treatment.active:
        text = "ammonia, temperature, of the tank the fish are in now" if kind == "transfers" else WATER_TEST
        reason = "a tank without a living filter fouls within hours to two days"
        if cycled and kind != "transfers":
            reason = "a tank in medicine is tested every day, living filter or not"
        found.append(_over(line, "test", tank, text, sources=FOULS, reason=reason))
    if kind != "transfers" and not cycled:
        found += _changes(work, tank, line, treatment, kind)
    left_out = _not_today(work, entry)
    today = (work.basis.calendar.local(work.basis.history.at).date(),) if work.basis.history is not None else ()
    return tuple(replace(routine, not_on=today) if routine.act in left_out else routine for routine in found)


def _not_today(work: TaskList, entry: Placed) -> frozenset[str]:
    """The changes and their dose that are no longer for the day of the record.

    With too much in the water it is changed without any; and the dose of a change goes with it, or not at all: what
    is lacking after it is read and given by itself.
    """
    history = work.basis.history
    if history is None or entry.over or entry.stage.kind != "hold":
        return frozenset()
    if entry.is_too_high:
        return frozenset({"change-water", "redose"})
    morning = work.basis.calendar.midnight(work.basis.calendar.local(history.at).date())
    made = cut(history.of_water(entry.tank.water).exchanges, (morning, plus_hours(history.at, SOON)))
    return frozenset({"redose"}) if made and not any(change.product for change in made) else frozenset()


def _over(
    line: Timeline,
    act: str,
    tank: Tank,
    text: str,
    *,
    evening: bool = False,
    sources: tuple[str, ...] = (),
    reason: str = "",
) -> Routine:
    return Routine(
        act=act,
        tank=tank.name,
        text=text,
        start=line.start,
        end=line.end,
        evening=evening,
        sources=sources,
        reason=reason,
    )


def _heads(work: TaskList, entry: Placed) -> int:
    """The fish of the batch that are with it; in a stage to come they are taken to be together again."""
    history, room, name = work.basis.history, work.basis.room, work.batch.name
    visits = history.visits.get(name, ()) if history is not None else ()
    here = room.tanks[visits[-1].tank].water if visits else ""
    if history is None or here not in {tank.water for tank in entry.tanks}:
        return fish_in(work.batch)
    return fish_in(work.batch) - fish_elsewhere(history, room, name, here)


def _daily(work: TaskList, entry: Placed) -> Iterator[Routine]:
    tank, line, treatment = entry.tank, entry.line, entry.treatment
    if treatment.id == "fishless-hold":
        look, feed = "every animal, and no fish in this water; a dead one out at once", "feed what eats; leftovers out"
    else:
        look = f"count heads ({_heads(work, entry)}); breathing, skin, eyes, eating; a dead one out at once"
        feed = "feed a little, note who eats; leftovers out"
    yield _over(
        line,
        "look",
        tank,
        look,
        sources=("HADF11, abstract (V)",),
        reason="looked at every day; all public aquaria asked do",
    )
    yield _over(line, "feed", tank, feed, evening=True, reason="what is not eaten becomes ammonia")


def _copper_tests(work: TaskList, entry: Placed) -> Iterator[Routine]:
    """Twice a day until the level holds, then daily to the end of the course, beside the two readings that count.

    In the evening as well on a day with a level that is too high, or was moved by what was poured in or out.
    """
    tank, line, treatment, history = entry.tank, entry.line, entry.treatment, work.basis.history
    first = line.doses[0].at if line.doses else line.start
    in_band, counted = line.in_band or line.end, line.counted or line.end  # of a hold broken off, neither may be known
    sources = (cite(treatment.needed("test_interval")), cite(treatment.needed("test_interval_first")))
    until_held = (first, plus_hours(in_band, -APART))
    held = (plus_hours(in_band, APART), plus_hours(counted, -APART))
    evenings = until_held
    full = entry.clock is not None and entry.clock.is_finished
    if history is not None and not full and (entry.is_too_high or entry.reckoned is not None):
        evenings = (first, max(until_held[1], plus_hours(history.at, 24), key=instant))
    for (start, end), evening in ((until_held, False), (evenings, True), (held, False)):
        yield Routine(
            act="test",
            tank=tank.name,
            start=start,
            end=end,
            evening=evening,
            text=copper_test(entry.treatment),
            sources=sources,
            reason="twice a day until the level holds, then daily",
        )


def habit_of(tank: Tank) -> tuple[Change, tuple[str, ...]]:
    """The keeper's habit of water changes in this tank, or a placeholder with its source."""
    if tank.written.change is not None:
        return tank.written.change, ()
    share, every = store.routine().needed("change_share"), store.routine().needed("change_every")
    return Change("", share.value / 100, every.value), (cite(share),)


def _changes(work: TaskList, tank: Tank, line: Timeline, treatment: Treatment, kind: str) -> Iterator[Routine]:
    """Changes where no filter takes the ammonia out, not in the days a dose must work; water is mixed a day before."""
    habit, sources = habit_of(tank)
    days = max(round(habit.hours / 24), 1)
    midnight = work.basis.calendar.midnight
    change = Routine(
        act="change-water",
        tank=tank.name,
        start=line.start,
        end=line.end,
        every=days,
        text=f"change {habit.share * 100:g} %, {NEW_WATER}",
        amount=work.basis.volume(tank).times(habit.share),
        sources=sources,
        reason="no living filter: this is what takes the ammonia out; sooner if a test says so",
    )
    for first, ends in _stretches(line, kind, days):
        last = _last_date(work.basis.calendar, first, ends, days)
        if last is None:
            continue
        repeated = replace(change, start=midnight(first), end=ends)
        yield repeated
        yield replace(
            change,
            act="prepare-water",
            text=MIX_FOR_CHANGE,
            start=midnight(first - DAY),
            end=midnight(last),
            evening=True,
            sources=(),
            reason=MIXED_BEFORE,
        )
        if kind == "hold":
            yield from _copper_into_changes(work, tank, line, treatment, repeated)


def _stretches(line: Timeline, kind: str, days: int) -> Iterator[tuple[dt.date, dt.datetime]]:
    """The first day of routine changes and their end: for the whole stage, or between the doses of a course."""
    if kind == "course":
        pause = store.routine().needed("after_last_dose").value
        for index, dose in enumerate(line.doses):
            later = line.doses[index + 1].at if index + 1 < len(line.doses) else plus_hours(line.end, -BEFORE_LEAVING)
            yield plus_hours(dose.at, pause).date(), later
        return
    yield line.start.date() + days * DAY, plus_hours(line.counted or line.end, -BEFORE_LEAVING)


def _last_date(calendar: Calendar, first: dt.date, ends: dt.datetime, days: int) -> dt.date | None:
    """The date of the last change, or None where there is none."""
    date, last = first, None
    while instant(calendar.morning(date) or calendar.midnight(date)) < instant(ends):
        date, last = date + days * DAY, date
    return last


def _copper_into_changes(
    work: TaskList, tank: Tank, line: Timeline, treatment: Treatment, change: Routine
) -> Iterator[Routine]:
    """What goes into the new water so that a change does not lower the level: on the ramp as much as is there."""
    history = work.basis.history
    if history is not None and instant(line.end) <= instant(history.at):
        return  # a hold that is over
    habit, _ = habit_of(tank)
    in_band = line.in_band or line.end
    answer = worked_out(work, tank, treatment, in_band, habit.share)
    if not isinstance(answer, Dose) or answer.change is None or answer.change.add is None:
        return
    text = (
        f"{answer.product} into the new water of the {habit.share * 100:g} % change, if today's reading is in band "
        "(else what `--change` with `--reading` says); none into top-off water"
    )
    steady = replace(
        change,
        act="redose",
        text=text,
        amount=answer.change.add,
        product=answer.product,
        sources=tuple(cite(number) for number in answer.sources[:1]),
        reason="a change without it lowers the level by its share",
    )
    calendar, date = work.basis.calendar, change.start.date()
    while instant(at := calendar.morning(date) or calendar.midnight(date)) < instant(in_band):
        given = sum(instant(dose.at) < instant(at) for dose in line.doses)
        if given:
            share = line.levels[given - 1] / line.levels[-1]
            start, end = calendar.midnight(date), calendar.midnight(date + DAY)
            yield replace(steady, start=start, end=end, every=1, amount=answer.change.add.times(share))
        date += change.every * DAY
    yield replace(steady, start=calendar.midnight(date))
