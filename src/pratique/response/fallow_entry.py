"""Corals, snails and rock that serve their own days in a water without fish: until when they may come in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.knowledge.model import Sourced
from pratique.room.resolve import Room
from pratique.room.values import pathogen_for, treatment_for
from pratique.schedule.calendar import instant, plus_hours


@dataclass(frozen=True, slots=True, kw_only=True)
class ComesIn:
    """By one hold figure: the last moment to come in `by` without putting the end off, and the end if it were now.

    `usable` is false for figures in print that are not counted on; `warm` (degC) where it has to be that warm, and
    on record, from then on.
    """

    figure: Sourced
    by: dt.datetime
    end_if_now: dt.datetime
    usable: bool
    warm: float | None = None


def comes_in(room: Room, agents: tuple[str, ...], end: dt.datetime, at: dt.datetime) -> Iterator[ComesIn]:
    """Each hold figure against the `end` of the fallow. The holds of the agents asked about, else those in use for all.

    Source: practice D19; agents 16.
    """
    long, warm = _holds(room, agents)
    figures: list[tuple[Sourced, bool, float | None]] = [(long, True, None)]
    if warm is not None and warm.value < long.value:
        figures.append((warm, True, warm.from_ or WARM))
    others = () if agents else treatment_for(room, "fishless-hold").numbers["days"]
    used = {figure.value for figure, _, _ in figures}
    figures += [(figure, False, None) for figure in others if figure.value not in used]
    for figure, usable, degrees in figures:
        ends = plus_hours(at, figure.high if degrees is not None else figure.value)
        yield ComesIn(
            figure=figure,
            by=plus_hours(end, -(figure.high if degrees is not None else figure.value)),
            end_if_now=max(end, ends, key=instant),
            usable=usable,
            warm=degrees,
        )


WARM = 27.0
"""degC of the shorter figure where it says none of its own (practice D19: 42 d warm; agents 16: 27 degC or more)."""


def _holds(room: Room, agents: tuple[str, ...]) -> tuple[Sourced, Sourced | None]:
    hold = treatment_for(room, "fishless-hold")
    if not agents:
        shorter = hold.numbers["days"]
        warm = next((number for number in shorter if number.low < number.high), None)
        return hold.needed("days"), warm or hold.number("minimum")
    known = [pathogen_for(room, agent) for agent in agents]
    longest = max((k for k in known if k.number("fallow") is not None), key=lambda k: k.needed("fallow").value)
    return longest.needed("fallow"), next(iter(longest.numbers.get("fallow_warm", ())), None)
