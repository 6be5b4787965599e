"""What the keeper should hear before the first animal comes: each a warning that can be acted on."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.knowledge import store
from pratique.knowledge.model import Regimen, Sourced, cite
from pratique.problem import Problem
from pratique.room.resolve import AwayDays, Batch
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import Calendar, instant, shown
from pratique.schedule.model import Routine, Stage
from pratique.schedule.placed import Placed
from pratique.schedule.signs import about_signs

WARM = 26.0
"""degC from which the classic interval has no margin for a fast strain (agents 15)."""

NOT_ABOVE = ("interval",)
NOT_BELOW = ("moves", "minimum", "dry", "course", "course_same_tank", "days", "ramp_interval", "guarded_ramp_interval")
"""Numbers that are safe on one side only of what ships: on the other a stage is over before its work is done."""

ACTS = {"redose": "redose", "change-water": "water change", "test": "test", "look": "look", "feed": "feeding"}
"""Repeated acts that fall out when nobody comes, those that matter most first."""

COPPER_READING = "copper reading"


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """One batch with its regimen placed and its stages written."""

    basis: Basis
    batch: Batch
    regimen: Regimen
    placed: list[Placed]
    stages: tuple[Stage, ...]


def cautions(outlook: Outlook) -> Iterator[Problem]:
    """Every warning of one batch."""
    history = outlook.basis.history
    if history is None:
        yield from _out_of_hours(outlook)
    for away in outlook.basis.room.away:
        if not away.stand_in and (history is None or instant(away.end) > instant(history.at)):
            yield from _unattended(outlook, away)
    yield from _gear(outlook)
    for entry in outlook.placed:
        yield from _warm_water(outlook, entry)
        yield from _own_values(outlook, entry)
    yield from about_signs(outlook.basis.room, outlook.batch, outlook.regimen, outlook.placed)
    yield from _only_watched(outlook)
    yield from _unused_choice(outlook)


def _out_of_hours(outlook: Outlook) -> Iterator[Problem]:
    batch = outlook.batch
    if outlook.basis.calendar.window_at(batch.arrives) is None:
        yield Problem(
            code="S506",
            severity="warning",
            message=f"`{batch.name}` arrives on {shown(batch.arrives)}, outside the hours of the room",
            places=(outlook.basis.room.place((*batch.path, "arrives")),),
            hint="be there, change the arrival, or widen `hours`",
        )


def _unattended(outlook: Outlook, away: AwayDays) -> Iterator[Problem]:
    """What falls out, and what is put off or brought forward, because nobody is there."""
    missed = missed_acts(outlook.basis.calendar, away, outlook.stages)
    moved = list(_moved_doses(outlook, away))
    if not missed and not moved:
        return
    days = (away.end.date() - away.start.date()).days
    counts = ", ".join(f"{count} {name}{'' if count == 1 else 's'}" for name, count in missed.items())
    notes = ["the copper is not shown to have held on those days"] if COPPER_READING in missed else []
    notes += moved
    yield Problem(
        code="S504",
        severity="warning",
        message=f"nobody looks after `{outlook.batch.name}` for {days} d from {shown(away.start)}"
        + (f": {counts} fall out" if counts else ""),
        places=(outlook.basis.room.place(outlook.batch.path, key=True),),
        note="; ".join(notes),
        hint="name a `stand_in` for those days, or let the batch arrive after them",
    )


def _moved_doses(outlook: Outlook, away: AwayDays) -> Iterator[str]:
    for entry in outlook.placed:
        for number, due in enumerate(entry.line.doses, 1):
            if due.wished is not None and instant(away.start) <= instant(due.wished) < instant(away.end):
                how = "put off" if instant(due.at) > instant(due.wished) else "brought forward"
                yield f"{how}: {entry.treatment.title}, dose {number}, from {shown(due.wished)} to {shown(due.at)}"


def missed_acts(calendar: Calendar, away: AwayDays, stages: tuple[Stage, ...]) -> dict[str, int]:
    """How many repeated acts fall on days on which nobody comes at all, by kind."""
    found = dict.fromkeys([COPPER_READING, *ACTS.values()], 0)
    for routine in (routine for stage in stages for routine in stage.routines if routine.act in ACTS):
        name = COPPER_READING if routine.act == "test" and routine.text.startswith("copper") else ACTS[routine.act]
        found[name] += sum(_falls_out(calendar, away, routine, date) for date in _dates(routine))
    return {name: count for name, count in found.items() if count}


def _dates(routine: Routine) -> Iterator[dt.date]:
    date = routine.start.date()
    while date <= routine.end.date():
        yield date
        date += dt.timedelta(days=routine.every)


def _falls_out(calendar: Calendar, away: AwayDays, routine: Routine, date: dt.date) -> bool:
    noon = instant(calendar.midnight(date)) + dt.timedelta(hours=12)
    if calendar.windows(date) or not instant(away.start) <= noon < instant(away.end):
        return False
    return instant(routine.start) <= noon < instant(routine.end)


def _gear(outlook: Outlook) -> Iterator[Problem]:
    gear = outlook.basis.gear
    if len(gear) < 2 and any(entry.stage.kind == "transfers" for entry in outlook.placed):
        yield Problem(
            code="S509",
            severity="warning",
            message=f"transfers need two sets of gear, and {len(gear) or 'none'} is on file",
            places=(outlook.basis.room.place(outlook.batch.path, key=True),),
            source="COMMON, agents 15, in use (C)",
            hint="write them under `gear:` with `for: transfers`; one dries while the other is used",
        )


def _warm_water(outlook: Outlook, entry: Placed) -> Iterator[Problem]:
    """The classic interval in water in which one strain is known to be faster."""
    temperatures = [t for tank in entry.tanks[:2] if (t := outlook.basis.temperature(tank)) is not None]
    warmest = max(temperatures, default=0.0)
    cautious = entry.treatment.number("cautious_interval", warmest)
    if entry.stage.kind != "transfers" or warmest < WARM or cautious is None:
        return
    if entry.line.interval <= cautious.value:
        return
    key = f"{entry.treatment.id}.interval"
    yield Problem(
        code="S513",
        severity="warning",
        message=f"at {warmest:g} degC an interval of {entry.line.interval:g} h has no margin for a fast strain; "
        f"the cautious one is {cautious.value:g} h",
        places=tuple(outlook.basis.room.place(tank.path, key=True) for tank in entry.tanks[:2]),
        note="one strain releases 48 to 60 h after encysting at 27 degC",
        source=cite(cautious),
        hint=f"to choose it, write under `values:` `{key}: {{value: {cautious.value:g} h, reason: warm water}}`",
    )


def _own_values(outlook: Outlook, entry: Placed) -> Iterator[Problem]:
    """A value of the keeper's that ends something sooner, or lets it wait longer, than what ships."""
    temperature = outlook.basis.temperature(entry.tanks[0])
    for name in (*NOT_ABOVE, *NOT_BELOW):
        own = entry.treatment.number(name, temperature)
        limit = _limit(entry, name, temperature)
        if own is None or limit is None or own.value == limit.value:
            continue
        above = own.value > limit.value
        if above != (name in NOT_ABOVE):
            continue
        key = f"{entry.treatment.id}.{name}"
        no_credit = key == "tank-transfer.interval"
        yield Problem(
            code="S516",
            severity="error" if no_credit else "warning",
            message=f"`{key}` is {_value(own)}, {'more' if above else 'less'} than the {_value(limit)} in use",
            places=(outlook.basis.room.place(("values", key)),),
            source=cite(limit),
            hint="keep it only if you know why; your value is used, and the pages say so",
        )


def _limit(entry: Placed, name: str, temperature: float | None) -> Sourced | None:
    """What ships; for a length of watching the least in use, since the default is already cautious."""
    shipped = store.treatment(entry.treatment.id)
    return shipped.number("minimum" if name == "days" else name, temperature)


def _value(number: Sourced) -> str:
    if number.unit == "h" and number.value > 96 and number.value % 24 == 0:
        return f"{number.value / 24:g} d"
    return f"{number.value:g}" if number.unit == "count" else f"{number.value:g} {number.unit}"


def _only_watched(outlook: Outlook) -> Iterator[Problem]:
    """A watch chosen by the keeper for a source that is not trusted, without a reason."""
    written = outlook.batch.written
    chosen = written.regimen is not None and written.because is None
    if not chosen or written.trust == "trusted" or any(stage.kind != "observation" for stage in outlook.stages):
        return
    if not any(animal.group.is_fish for animal in outlook.batch.animals):
        return
    yield Problem(
        code="S515",
        severity="warning",
        message=f"`{outlook.batch.name}` is only watched, though its source is {written.trust}",
        places=(outlook.basis.room.place((*outlook.batch.path, "regimen")),),
        note="a watch alone is meant for sources known for years; white spot and velvet come with wild fish",
        hint="leave `regimen` out to see what is proposed, or say why under `because`",
    )


def _unused_choice(outlook: Outlook) -> Iterator[Problem]:
    wanted = outlook.batch.written.treatment
    if wanted is not None and all(entry.treatment.id != wanted for entry in outlook.placed):
        yield Problem(
            code="S517",
            severity="warning",
            message=f"`treatment: {wanted}` is no choice in any stage of `{outlook.regimen.id}`, so it was not used",
            places=(outlook.basis.room.place((*outlook.batch.path, "treatment")),),
            hint="delete the line, or choose a regimen that has it",
        )
