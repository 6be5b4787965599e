"""The food of a tank's animals and the ammonia it makes: mass from length, ration, forecast without a filter."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.room.resolve import Animal
from pratique.water import ammonia, fouling
from pratique.water.state import State

HALF = 0.5
"""The part of the water in the changes that are offered where one a day would not do (D)."""

LEAST_APART = 6.0
"""h between two changes that somebody will do: the room file takes no habit of oftener (D)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The fish of a water by mass (g). `unknown` have no size on file or no build; then there is no mass at all.

    `left_out` have no backbone: no ration on file is for them.
    """

    mass: Figure | None
    unknown: tuple[str, ...]
    left_out: tuple[str, ...]
    working: tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """What food (g a day) does to a water that nothing cleans.

    `likely_share` is the part to change each day by the middle of every error, None where all of it is too little.
    For the worst case: `half_every` is h between changes of half the water that hold it (None without food),
    `held_food` the g a day that one such change a day holds.
    """

    food: Figure
    forecast: fouling.Forecast
    likely_share: float | None
    half_every: float | None
    held_food: float
    working: tuple[Step, ...]

    @property
    def remedy(self) -> str:
        """In words, what holds the worst case where one change a day does not."""
        held = f"half of it each day and at most {digits(self.held_food)} g of food"
        if self.half_every is None or self.half_every < LEAST_APART:
            return held
        return f"half of it every {digits(self.half_every)} h, or {held}"


def load_of(animals: Iterable[Animal]) -> Load:
    """Mass of the fish among `animals`, as weighed, else from their length.

    Source: MEMORY (the builds), by which twice or half is possible.
    """
    total = Figure.exact(0.0, "g")
    unknown: list[str] = []
    left_out: list[str] = []
    steps: list[Step] = []
    for animal in animals:
        if not animal.group.is_fish:
            left_out.append(animal.label)
            continue
        mass = mass_of(animal)
        if mass is None:
            unknown.append(animal.label)
            continue
        total = total.plus(mass)
        steps.append(_mass_step(animal, mass))
    nothing = bool(unknown) or not steps
    return Load(
        mass=None if nothing else total,
        unknown=tuple(dict.fromkeys(unknown)),
        left_out=tuple(dict.fromkeys(left_out)),
        working=() if nothing else tuple(steps),
    )


def mass_of(animal: Animal) -> Figure | None:
    """g of all the animals of one line: weighed, else by size and build. None without these. Source: MEMORY."""
    if animal.weight is not None:
        return Figure.of(animal.weight).times(animal.count)
    build = store.length_weight().get(animal.group.id)
    if build is None or animal.size is None:
        return None
    ends = (build.mass(animal.size.low).low, build.mass(animal.size.high).high)
    return Figure.around(build.mass(animal.size.value).value, "g", *ends).times(animal.count)


def _mass_step(animal: Animal, mass: Figure) -> Step:
    if animal.weight is not None:
        expression, source = f"{animal.count} × {animal.weight.text}, weighed", ""
    else:
        assert animal.size is not None
        build = store.length_weight()[animal.group.id]
        factor, power = build.needed("factor"), build.needed("power")
        length = digits(animal.size.value)
        expression = f"{animal.count} × {factor.value:g} × {length}^{power.value:g}, {build.title}"
        source = factor.source
    label, result = f"mass of {animal.count} {animal.label}", f"{digits(mass.value)} g"
    return Step(label=label, expression=expression, result=result, source=source)


def ration_for(load: Load) -> tuple[Figure | None, tuple[Step, ...]]:
    """Food in g a day for a load, with its working; None where its mass is not known. Source: COMMON."""
    if load.mass is None:
        return None, ()
    food = fouling.food_for(load.mass)
    known = store.feed().needed("ration_share")
    step = Step(
        label="food a day",
        expression=f"{digits(load.mass.value)} g × {known.value:g} %",
        result=f"{digits(food.value)} g",
        source=known.source,
    )
    return food, (*load.working, step)


def outlook_for(state: State, food: Figure) -> Outlook | None:
    """The forecast for `food` (g a day) in clean water; None where conditions are unknown or out of range.

    Source: COMMON (food to ammonia), BB78, FA16, NRAC111.
    """
    conditions = state.conditions
    if conditions is None or state.litres.low <= 0:
        return None
    per_day = fouling.ammonia_from(food)
    try:
        seen = fouling.forecast_rise(state.litres, per_day, conditions)
        limit = ammonia.total_at_limit("ammonia_correct", conditions)
    except ValueError:
        return None
    known = store.feed()
    protein, yielded = known.needed("protein_share"), known.needed("ammonia_share")
    step = Step(
        label="ammonia a day",
        expression=f"{digits(food.value)} g × {protein.value:g} % protein × {yielded.value:g} %",
        result=f"{digits(per_day.value)} mg of N",
        source=yielded.source,
    )
    days = HALF * limit.low / seen.per_day.high if seen.per_day.high > 0 else None
    return Outlook(
        food=food,
        forecast=seen,
        likely_share=seen.per_day.value / limit.value if seen.per_day.value <= limit.value else None,
        half_every=24 * days if days is not None else None,
        held_food=food.high if days is None else days * food.high,
        working=(step, *seen.working),
    )
