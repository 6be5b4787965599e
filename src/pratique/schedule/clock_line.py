"""A clock in one short line: what day it is, of how many, and how long until doing nothing costs something."""

from __future__ import annotations

from pratique.clocks.state import ClockState, spoken
from pratique.schedule.calendar import shown


def clock_line(state: ClockState) -> str:
    """Such as `day 9 of 14; slack 5 h`, `move 2 of 4; the next within 36 h`, `14 days full on Mon 22 Mar 07:00`."""
    if state.kind == "transfers":
        return _moves(state)
    needed = spoken(state.needed or 0.0)
    if state.finished is not None:
        return f"{needed} full on {shown(state.finished)}"
    if state.started is None and not state.counted:
        again = "out of band: day one is the next reading in band" if state.restarts else "not in band yet"
        return again if state.kind == "hold" else "has not begun"
    days = (state.needed or 0.0) / 24
    text = f"day {min(int(state.counted // 24) + 1, max(round(days), 1))} of {days:g}"
    if state.slack is None:
        return text
    return f"{text}; slack {spoken(state.slack)}" if state.slack > 0 else f"{text}; not counting now: read the level"


def _moves(state: ClockState) -> str:
    text = f"move {state.steps} of {state.steps_needed}"
    if state.finished is not None:
        return f"{state.steps} moves, whole on {shown(state.finished)}"
    if state.started is None:
        return "nothing counts: they are in a tank that was not dry"
    if state.slack is None:
        return text
    if state.slack >= 0:
        return f"{text}; the next within {spoken(state.slack)}"
    return f"{text}; the next is {spoken(-state.slack)} LATE"
