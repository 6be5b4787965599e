"""An observation that has begun: its clock, and when the days will be over."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from pratique.clocks.rules import watch_rule
from pratique.clocks.state import ClockState
from pratique.clocks.watch import watch_clock
from pratique.knowledge.model import Treatment
from pratique.schedule.begun.past import Past
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import watch_events
from pratique.schedule.placed import Placed
from pratique.schedule.timeline import Timeline

CARE = 24.0
"""Hours of care still planned for fish whose watch is over and who have not gone yet."""


def begun_watch(past: Past, index: int, treatment: Treatment, start: dt.datetime) -> list[Placed]:
    """The ways in which an observation that began at `start` may go on."""
    left = past.left(index, start, lambda at: watch_state(past, treatment, start, at).is_finished)
    if left is not None:
        state = watch_state(past, treatment, start, left.at)
        return [_placed(past, index, treatment, Timeline(start=start, end=left.at), state, over=True)]
    state = watch_state(past, treatment, start, past.now)
    assert state.done_at is not None
    done = past.chance(state.done_at)
    line = Timeline(start=start, end=done, counted=done)
    if instant(done) >= instant(past.now):
        return [_placed(past, index, treatment, line, state)]
    if index + 1 == len(past.stages):
        return [_placed(past, index, treatment, replace(line, end=past.chance(plus_hours(past.now, CARE))), state)]
    leave = _placed(past, index, treatment, replace(line, end=past.soonest(), due_end=done), state, must_leave=True)
    stay = _placed(past, index, treatment, line, state, over=True)
    return [stay] if past.stays_by_choice(index) else [leave, stay]


def watch_state(past: Past, treatment: Treatment, start: dt.datetime, at: dt.datetime) -> ClockState:
    """The clock of the watch at `at`, over all waters the batch was in."""
    return past.once(("watch", treatment.id, start, at), lambda: _worked_out(past, treatment, start, at))


def _worked_out(past: Past, treatment: Treatment, start: dt.datetime, at: dt.datetime) -> ClockState:
    transfer = past.basis.treatment("tank-transfer")
    dry = transfer.needed("dry").value + transfer.needed("drying_margin").value
    visits = past.visits(start, at)
    events = watch_events(past.history, past.track, (replace(visits[0], start=start), *visits[1:]), dry)
    moment = past.calendar.local(at)
    return watch_clock(start, events, rule=watch_rule(treatment), at=moment, zone=past.room.zone)


def _placed(
    past: Past,
    index: int,
    treatment: Treatment,
    line: Timeline,
    state: ClockState,
    *,
    over: bool = False,
    must_leave: bool = False,
) -> Placed:
    visits = past.visits(line.start, line.end if over else None)
    return Placed(
        stage=past.stages[index],
        treatment=treatment,
        tanks=past.tanks(visits),
        line=line,
        clock=state,
        over=over,
        must_leave=must_leave,
    )
