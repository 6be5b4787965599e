"""Salinity down, held and up again: a dated series of changes, with the pH to watch at low salinity.

Litres are those taken out; the tank is filled up to its volume again. Hours count from the first change.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.water.changes import Change, LimitedBy, Pace, stepwise
from pratique.water.mixing import after_swap, swap_to_reach
from pratique.water.salinity import gravity_of

Leg = Literal["down", "hold", "up"]

_NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the table: hours from the start, what is done, litres, g/kg after, and its gravity at 25/25 degC.

    `watch_ph`: below the salinity it began at, pH has little to hold it. Test pH, ammonia and nitrite that day.
    `limited_by` says what kept a change from going all the way.
    """

    hours: float
    leg: Leg
    litres: float
    salinity: float
    gravity: float
    watch_ph: bool
    limited_by: LimitedBy = ""


def salinity_steps(
    volume: float, start: float, end: float, incoming: float, *, pace: Pace, temperature: float = 25.0
) -> tuple[Change, ...]:
    """The changes that take `volume` L from `start` to `end` g/kg with water at `incoming`, no faster than `pace`.

    `pace.step` is g/kg for one change. ValueError where it is never reached, and where `incoming` is not beyond
    `end`: water of the salinity wanted gets there only by replacing the whole tank. Source: TEOS-10.
    """
    if start == end:
        return ()
    if (incoming - end) * (end - start) <= 0:
        stronger = "saltier" if end > start else "fresher"
        raise ValueError(f"water at {incoming:g} g/kg does not take a tank to {end:g} g/kg: mix it {stronger}")
    return stepwise(
        start,
        end,
        needs=lambda now, goal: swap_to_reach(volume, now, goal, incoming, temperature).out,
        gives=lambda now, litres: after_swap(volume, now, litres, incoming, temperature),
        pace=pace,
    )


def lowering_pace(start: float, end: float, hours: float | None = None, changes: int | None = None) -> Pace:
    """Equal steps over `hours` in so many `changes`. ValueError under 24 h or without a change.

    Without them: the middle of 24 to 72 h, four changes. Source: COMMON.

    >>> lowering_pace(35, 14)
    Pace(every=12.0, step=5.25, litres=inf, per_day=inf)
    """
    known = _known()
    time = known.needed("lowering_time")
    over = time.value if hours is None else hours
    count = int(known.needed("lowering_count").value) if changes is None else changes
    if over < time.low or count < 1:
        raise ValueError(f"salinity goes down over {time.low:g} h or more, in one change or more")
    return Pace(every=over / count, step=max(abs(start - end), _NEAR) / count)


def gentle_lowering(start: float, end: float) -> Pace:
    """Equal steps of at most the step of the knowledge file, as far apart as its changes are. Source: COMMON.

    For moves shorter than the whole way to low salinity, which need fewer changes.

    >>> gentle_lowering(35, 31), gentle_lowering(35, 13).step
    (Pace(every=12.0, step=4.0, litres=inf, per_day=inf), 4.4)
    """
    known = _known()
    every = known.needed("lowering_time").value / known.needed("lowering_count").value
    way = max(abs(start - end), _NEAR)
    count = max(math.ceil(way / known.needed("lowering_step_salinity").value - _NEAR), 1)
    return Pace(every=every, step=way / count)


def raising_pace(changes_per_day: int = 1, per_day: float | None = None) -> Pace:
    """No more than `per_day` (g/kg) in 24 h, in so many changes. Without it 2 g/kg a day. Source: COMMON.

    >>> raising_pace(2).step
    1.0
    """
    rise = _known().needed("raising_per_day_salinity").value if per_day is None else per_day
    return Pace(every=24 / changes_per_day, step=rise / changes_per_day)


def salinity_table(
    volume: float,
    *,
    start: float,
    low: float,
    hold: float,
    end: float,
    salt_water: float,
    fresh_water: float = 0.0,
    stored: float = math.inf,
    down: Pace | None = None,
    up: Pace | None = None,
    temperature: float = 25.0,
) -> tuple[Row, ...]:
    """Down from `start` to `low` with `fresh_water` (g/kg), `hold` hours there, up to `end` with `salt_water` (g/kg).

    The hold counts from the change that reached `low`. Each leg keeps its pace (those of the knowledge file
    where none is given), and no day uses more than `stored` L of salt water. ValueError as `salinity_steps`.
    """
    lower = salinity_steps(
        volume, start, low, fresh_water, pace=down or lowering_pace(start, low), temperature=temperature
    )
    pace = up or raising_pace()
    pace = replace(pace, per_day=min(pace.per_day, stored))
    raised = salinity_steps(volume, low, end, salt_water, pace=pace, temperature=temperature)
    reached = lower[-1].hours if lower else 0.0
    days = [24.0 * day for day in range(1, math.ceil(hold / 24 - _NEAR))]
    return (
        *(_row("down", change, start) for change in lower),
        *(_row("hold", Change(hours=reached + hours, litres=0.0, after=low), start) for hours in days),
        *(_row("up", replace(change, hours=reached + hold + change.hours), start) for change in raised),
    )


def ph_series(now: float, wanted: float) -> tuple[float, ...]:
    """The pH to aim at on each day from tomorrow, at most the daily step of the knowledge file. Source: COMMON.

    >>> ph_series(7.95, 8.2)
    (8.05, 8.15, 8.2)
    """
    step = _known().needed("ph_correction_per_day").value
    days = math.ceil(abs(wanted - now) / step - _NEAR)
    way = math.copysign(step, wanted - now)
    return tuple(wanted if day == days else round(now + way * day, 6) for day in range(1, days + 1))


def _known() -> Treatment:
    return store.treatment("hyposalinity")


def _row(leg: Leg, change: Change, start: float) -> Row:
    return Row(
        hours=change.hours,
        leg=leg,
        litres=change.litres,
        salinity=change.after,
        gravity=gravity_of(change.after),
        watch_ph=change.after < start - _NEAR,
        limited_by=change.limited_by,
    )
