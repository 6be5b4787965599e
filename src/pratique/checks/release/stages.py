"""Each stage as a condition: its clock, and what it was counted by."""

from __future__ import annotations

import datetime as dt

from pratique.checks.release.course import course_condition
from pratique.checks.release.model import Condition, Subject, listed, when
from pratique.clocks.state import ClockState, spoken
from pratique.figure import digits
from pratique.problem import plural
from pratique.schedule.calendar import instant
from pratique.schedule.feeds import cut, hold_reading
from pratique.schedule.model import Stage

SAID_ELSEWHERE = ("now", "unknown")
"""Marks of a watch's rows that the condition of looking says better."""


def stage_condition(subject: Subject, index: int) -> Condition:
    """Whether the clock of one stage is full."""
    stage, text = subject.plan.stages[index], _text(subject, subject.plan.stages[index])
    if index > subject.current:
        missing = f"{stage.name}, planned {when(stage.start)} to {when(stage.end)}"
        return Condition(text=text, met=False, evidence=("not begun",), missing=missing)
    is_over = index < subject.current
    if stage.kind == "course":
        return course_condition(subject, stage, text, is_over=is_over)
    state = stage.state
    if state is None:
        missing = f"the record of {text}"
        return Condition(text=text, met=None, evidence=("no clock of it is on record",), missing=missing)
    evidence = (_counted(state), *_readings(subject, stage), *listed(_rows(state)))
    if state.is_finished:
        return Condition(text=text, met=True, evidence=evidence)
    against, missing = _lacking(stage, state, is_over=is_over)
    return Condition(text=text, met=False, evidence=evidence, against=against, missing=missing)


def _text(subject: Subject, stage: Stage) -> str:
    needed = _needed(subject, stage)
    if stage.kind == "transfers":
        interval = subject.basis.treatment(stage.treatment).number("interval", _temperature(subject, stage))
        limit = f"{interval.value:g} h" if interval is not None else "its limit"
        return f"{stage.name}: every move within {limit} of the one before, into a dry tank"
    if stage.kind == "hold":
        return f"{stage.name}: {needed} in band, each reading at its worse end"
    if stage.kind == "course":
        return f"{stage.name}: every dose given inside its window"
    if stage.treatment == "fishless-hold":
        return f"{stage.name}: {needed} without a fish in this water"
    return f"{stage.name}: {needed} without a sign and without a new animal in its water"


def _needed(subject: Subject, stage: Stage) -> str:
    """By the clock, or by the figure the clock will go by."""
    if stage.state is not None and stage.state.needed:
        return spoken(stage.state.needed)
    treatment = subject.basis.treatment(stage.treatment)
    number = treatment.number("days") or treatment.number("course")
    return spoken(number.value) if number is not None and number.unit == "h" else "its time"


def _temperature(subject: Subject, stage: Stage) -> float | None:
    return subject.basis.temperature(subject.room.tanks[stage.tanks[0]])


def _counted(state: ClockState) -> str:
    if state.kind == "transfers":
        return f"{state.steps} of {state.steps_needed} moves on record"
    since = f", since {when(state.started)}" if state.started is not None else ""
    return f"{spoken(state.counted)} counted of {spoken(state.needed or 0.0)}{since}"


def _rows(state: ClockState) -> list[str]:
    skipped = SAID_ELSEWHERE if state.kind == "watch" else ("now",)
    rows = [row for row in state.explain if row.mark not in skipped]
    return [
        f"{when(row.at)}: {row.what}" + (f" ({row.evidence})" if row.evidence and row.mark != "done" else "")
        for row in rows
    ]


def _lacking(stage: Stage, state: ClockState, *, is_over: bool) -> tuple[bool, str]:
    """Whether an unfinished clock speaks against the release, and what is still needed."""
    if is_over:
        lacking = spoken(state.remaining or 0.0)
        if state.kind == "transfers":
            lacking = f"{state.steps_needed - state.steps} of {state.steps_needed} moves"
        return True, f"{stage.name} was left {lacking} short: what it is for may still be with them"
    if state.kind == "transfers" and state.due and instant(state.due[0].by) <= instant(state.at):
        return True, f"{stage.name}: the series is broken; {state.due[0].what}"
    if state.first_started is not None and state.started is None:
        return True, f"{stage.name}: the count is broken, and begins again with the next reading in band"
    left = f"{spoken(state.remaining or 0.0)} more"
    if state.kind == "transfers":
        left = f"{state.steps_needed - state.steps} more moves"
    until = f", until {when(state.done_at)} if all goes well" if state.done_at is not None else ""
    return False, f"{stage.name}: {left}{until}"


def _readings(subject: Subject, stage: Stage) -> tuple[str, ...]:
    """Which readings a hold was counted by, and those that say nothing.

    Of a full count, those from its day one to its end: readings while copper is raised or taken out are no part of it.
    """
    if stage.kind != "hold":
        return ()
    treatment = subject.basis.treatment(stage.treatment)
    end = stage.end if instant(stage.end) < instant(subject.at) else None
    found = [
        hold_reading(subject.room, entry, treatment)
        for water in subject.waters(stage)
        for entry in cut(subject.history.of_water(water).readings, (stage.start, end))
        if entry.what == treatment.active
    ]
    suited = [reading for reading in found if reading.suits and not _outside(reading.at, stage.state)]
    if not suited:
        return (f"no reading of {treatment.active} by a kit that suits this form",)
    low, high = min(suited, key=lambda r: r.low), max(suited, key=lambda r: r.high)
    text = (
        f"{plural(len(suited), 'reading')} by a suited kit, {when(suited[0].at)} to {when(suited[-1].at)}; "
        f"lowest end {digits(low.low)} {treatment.unit} on {when(low.at)}, "
        f"highest {digits(high.high)} {treatment.unit} on {when(high.at)}"
    )
    left_out = sum(not reading.suits for reading in found)
    return (text, f"{left_out} by a kit that does not suit this form, left out") if left_out else (text,)


def _outside(at: dt.datetime, state: ClockState | None) -> bool:
    """Whether a moment lies before or after the time that filled the count."""
    if state is None or state.started is None or state.finished is None:
        return False
    return not instant(state.started) <= instant(at) <= instant(state.finished)
