"""How fast a bare tank fouls: ammonia from food, hours until it harms, and the water change that helps.

Nothing in the tank takes ammonia away: no filter, no plants. It comes evenly over the day. All ammonia here is
total ammonia as nitrogen (N); `ammonia.in_basis` converts.
"""

from __future__ import annotations

from dataclasses import dataclass

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.water import ammonia, changes, dilution


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What the food does to the water.

    `per_day` is the rise in mg/L of N a day. `to_correct` and `to_harm` are hours from now, None where there is no
    rise. `daily_share` is the part of the water (0 to 1) to change each day so that the worst case stays at the
    level to correct; None where even all of it is too little.
    """

    per_day: Figure
    to_correct: Figure | None
    to_harm: Figure | None
    daily_share: float | None
    working: tuple[Step, ...]


def food_for(mass: Figure, share: Figure | None = None) -> Figure:
    """Food in g a day for animals of `mass` (g) at `share` (% of their mass a day).

    Without a share that of the knowledge file is used, the ration of a farm recipe. Source: COMMON.

    >>> food_for(Figure.exact(90_000, "g"), Figure.exact(1, "%")).value
    900.0
    """
    part = share or _figure("ration_share")
    value = mass.value * part.value / 100
    return Figure.around(value, "g", mass.low * part.low / 100, mass.high * part.high / 100)


def ammonia_from(food: Figure, protein: Figure | None = None) -> Figure:
    """Ammonia nitrogen in mg a day from `food` (g a day) with `protein` (%, as its label says). Source: COMMON.

    >>> round(ammonia_from(Figure.exact(2, "g")).value, 1)
    82.8
    """
    part = protein or _figure("protein_share")
    yielded = _figure("ammonia_share")
    value = food.value * part.value * yielded.value / 10
    low, high = food.low * part.low * yielded.low / 10, food.high * part.high * yielded.high / 10
    return Figure.around(value, "mg", low, high)


def forecast_rise(volume: Figure, per_day: Figure, conditions: ammonia.Conditions) -> Forecast:
    """Forecast for `volume` (L) of clean water that gets `per_day` (mg of N).

    ValueError outside the range of `ammonia.share_figure` and for a volume of zero. Source: BB78, FA16, NRAC111.
    """
    if volume.low <= 0:
        raise ValueError("a forecast needs a volume above zero")
    value, low, high = per_day.value / volume.value, per_day.low / volume.high, per_day.high / volume.low
    rise = Figure.around(value, "mg/L", low, high)
    limits = {name: ammonia.total_at_limit(name, conditions) for name in ("ammonia_correct", "ammonia_harms")}
    correct, harms = limits.values()
    if rise.high == 0:
        share: float | None = 0.0
    else:
        share = changes.share_to_hold(correct.low, rise.high) if rise.high <= correct.low else None
    return Forecast(
        per_day=rise,
        to_correct=_hours(correct, rise),
        to_harm=_hours(harms, rise),
        daily_share=share,
        working=_working(volume, per_day, rise, limits),
    )


def change_back(total: float, wanted: float) -> float:
    """The part of the water (0 to 1) whose change takes `total` to `wanted`, both in one basis (mg/L).

    0 where it is already there. Source: arithmetic.

    >>> change_back(2.0, 0.5)
    0.75
    """
    return 0.0 if total <= wanted else dilution.share_to_reach(total, wanted)


def _figure(name: str) -> Figure:
    known = store.feed().needed(name)
    return Figure(value=known.value, unit=known.unit, low=known.low, high=known.high)


def _hours(limit: Figure, rise: Figure) -> Figure | None:
    """Hours until clean water has risen to `limit`; None where the rise may be nothing at all."""
    if rise.low <= 0:
        return None
    value, soonest, latest = limit.value / rise.value, limit.low / rise.high, limit.high / rise.low
    return Figure.around(24 * value, "h", 24 * soonest, 24 * latest)


def _working(volume: Figure, per_day: Figure, rise: Figure, limits: dict[str, Figure]) -> tuple[Step, ...]:
    sum_ = f"{digits(per_day.value)} mg of N / {digits(volume.value)} L"
    steps = [Step(label="rise a day", expression=sum_, result=f"{digits(rise.value)} mg/L")]
    for name, limit in limits.items():
        known = store.water_figures().needed(name)
        steps.append(
            Step(
                label="total ammonia (as N) at that limit",
                expression=f"{digits(known.value)} mg/L of NH3 un-ionised / its part of the total",
                result=f"{digits(limit.value)} mg/L",
                source=known.source,
            )
        )
    return tuple(steps)
