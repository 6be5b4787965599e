"""Water poured into a tank, dry salt for a batch, and a tank brought to the salinity of a bag."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.knowledge.model import cite
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.room.resolve import Animal, Room
from pratique.water import mixing
from pratique.water.mixing import Portion
from pratique.water.salinity import gravity_of
from pratique.water.state import DENSITY_AT, State, missing

Way = Literal["release", "lower", "raise"]

_NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """Water to pour in: L, g/kg, and degC where it is known."""

    litres: Measure
    salinity: float
    temperature: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Blend:
    """A tank after a pour: g/kg, degC (None where one of the two is not known), L, and the rise in g/kg."""

    salinity: Figure
    temperature: Figure | None
    litres: Figure
    rise: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class MixAnswer:
    """The pour on top of what is there, and in place of as much; the second is None where the tank is too small."""

    state: State
    pour: Pour
    added: Blend
    swapped: Blend | None
    working: tuple[Step, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SaltAnswer:
    """Dry salt (g) and fresh water (L) for a batch; `left` (g) is what the file has, `reaches` the L it is enough for.

    The ends of `salt` are those of its purity and of the litres.
    """

    litres: Measure
    salinity: float
    temperature: float
    salt: Figure
    fresh_water: Figure
    left: Measure | None
    reaches: float | None
    working: tuple[Step, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BagAnswer:
    """A bag (g/kg) beside the tank it is for.

    `release`: the two are near enough. `lower`: `out` L leave the tank and `fresh` L of fresh water come in.
    `raise`: the bag is the saltier one, and no fresh water helps. `near` is g/kg within which fish are let go,
    `per_day` the g/kg they are taken up in a day, `days` how long that lasts to the tank's own salinity.
    """

    state: State
    bag: float
    way: Way
    near: float
    out: Figure | None
    fresh: Figure | None
    per_day: float
    days: float
    working: tuple[Step, ...]


def pour_in(state: State, pour: Pour, animals: tuple[Animal, ...]) -> MixAnswer | Refusal:
    """What a pour makes of the tank. Refused where its salinity is not known. Source: TEOS-10."""
    unknown = tuple(missing(state, temperature=False))
    if unknown or state.salinity is None:
        return Refusal(problems=unknown)
    added = _blend(state, pour, swap=False)
    fits = pour.litres.high <= state.litres.low * (1 + _NEAR)
    swapped = _blend(state, pour, swap=True) if fits else None
    step = Step(
        label="salinity, poured on top",
        expression=f"({digits(state.litres.value)} L × {digits(state.salinity)} + {digits(pour.litres.value)} L × "
        f"{digits(pour.salinity)} g/kg) / {digits(state.litres.value + pour.litres.value)} L, by mass",
        result=f"{digits(added.salinity.value)} g/kg",
        source="DERIVED",
    )
    worst = max((blend.rise for blend in (added, swapped) if blend is not None), key=lambda rise: abs(rise.value))
    problems = tuple(_too_fast(state, worst)) if animals else ()
    return MixAnswer(state=state, pour=pour, added=added, swapped=swapped, working=(step,), problems=problems)


def _blend(state: State, pour: Pour, *, swap: bool) -> Blend:
    """Every corner of the two volumes' errors is worked out; the ends are the least and the most of them."""
    assert state.salinity is not None
    middle = _mixed(state, pour, state.litres.value, pour.litres.value, swap)
    corners = [
        _mixed(state, pour, litres, poured, swap)
        for litres in (state.litres.low, state.litres.high)
        for poured in (pour.litres.low, pour.litres.high)
    ]
    salinity = Figure.around(middle.salinity, "g/kg", *(corner.salinity for corner in corners))
    known = state.temperature is not None and pour.temperature is not None
    temperature = Figure.around(middle.temperature, "degC", *(corner.temperature for corner in corners))
    litres = state.litres if swap else state.litres.plus(Figure.of(pour.litres))
    return Blend(
        salinity=salinity,
        temperature=temperature if known else None,
        litres=litres,
        rise=Figure(
            value=salinity.value - state.salinity,
            unit="g/kg",
            low=salinity.low - state.salinity,
            high=salinity.high - state.salinity,
        ),
    )


def _mixed(state: State, pour: Pour, litres: float, poured: float, swap: bool) -> Portion:
    assert state.salinity is not None
    kept = litres - poured if swap else litres
    tank = Portion(litres=kept, salinity=state.salinity, temperature=state.warmth)
    warmth = pour.temperature if pour.temperature is not None else state.warmth
    return mixing.mix_two(tank, Portion(litres=poured, salinity=pour.salinity, temperature=warmth))


def _too_fast(state: State, rise: Figure) -> Iterator[Problem]:
    """A rise or a fall at once that is more than fish are given."""
    known = store.treatment("hyposalinity")
    up = rise.value > 0
    limit = known.needed("raising_per_day_salinity" if up else "lowering_step_salinity")
    if abs(rise.value) <= limit.value * (1 + _NEAR):
        return
    way, pace = ("up", "a day") if up else ("down", "at once")
    yield Problem(
        code="W810",
        severity="warning",
        message=f"this takes the animals of `{state.water.name}` {way} by {digits(abs(rise.value))} g/kg at once; "
        f"the pace in use is about {limit.value:g} g/kg {pace}",
        source=cite(limit),
        hint=f"pour it in parts: `pratique water {shell_word(state.tank)} --to …` has the dates",
    )


def salt_batch(room: Room, litres: Measure, salinity: float, temperature: float | None) -> SaltAnswer:
    """Dry salt for `litres` at `salinity` (g/kg), against what the file says is left. Source: TEOS-10; MEMORY."""
    warmth = DENSITY_AT if temperature is None else temperature
    batches = [mixing.salt_for(part, salinity, warmth) for part in (litres.value, litres.low, litres.high)]
    middle = batches[0]
    salt = Figure.around(middle.salt.value, "g", *(end for b in batches for end in (b.salt.low, b.salt.high)))
    water = Figure.around(middle.fresh_water, "L", *(b.fresh_water for b in batches))
    purity = store.water_figures().needed("salt_purity")
    weighs = Portion(litres=litres.value, salinity=salinity, temperature=warmth)
    steps = (
        Step(
            label="salt dissolved in the batch",
            expression=f"{digits(litres.value)} L × {weighs.mass / litres.value:.4f} kg/L × "
            f"{digits(salinity)} g/kg",
            result=f"{digits(weighs.salt)} g",
            source="DERIVED",
        ),
        Step(
            label="salt as weighed",
            expression=f"{digits(weighs.salt)} g / {purity.value:g} % "
            f"({purity.low:g} to {purity.high:g} %, {purity.note.split(':')[0]})",
            result=f"{digits(salt.value)} g",
            source=purity.source,
        ),
    )
    left = room.written.salt.left
    return SaltAnswer(
        litres=litres,
        salinity=salinity,
        temperature=warmth,
        salt=salt,
        fresh_water=water,
        left=left,
        reaches=litres.value * left.value / salt.high if left is not None else None,
        working=steps,
        problems=tuple(_short_of_salt(room, left, salt)) if left is not None else (),
    )


def _short_of_salt(room: Room, left: Measure, salt: Figure) -> Iterator[Problem]:
    if left.value >= salt.high * (1 - _NEAR):
        return
    needs = f"{digits(salt.low)} to {digits(salt.high)} g"
    may = "is" if left.value < salt.low else "may be"
    yield Problem(
        code="W808",
        severity="warning",
        message=f"the salt on the shelf, {digits(left.value)} g, {may} less than this batch needs ({needs})",
        places=(room.place(("salt", "left")),),
        hint="buy salt before mixing, or mix fewer litres",
    )


def match_bag(state: State, bag: float, others: tuple[Animal, ...]) -> BagAnswer | Refusal:
    """Bring an empty tank to the bag's salinity (g/kg), and how long the way up then is.

    `others` are animals that live in the tank already: then it is not lowered. Source: COMMON (practice B33, B24).
    """
    unknown = tuple(missing(state, temperature=False))
    if unknown or state.salinity is None:
        return Refusal(problems=unknown)
    least = store.treatment("hyposalinity").needed("lowest_salinity")
    if bag < least.value:
        return Refusal(problems=(_too_weak(bag, least.value),))
    known = store.water_figures()
    gravity = known.needed("release_gravity").value
    near = _salinity_step(bag, gravity)
    way: Way = "release"
    if abs(gravity_of(bag) - gravity_of(state.salinity)) > gravity * (1 + _NEAR):
        way = "lower" if state.salinity > bag else "raise"
    names = tuple(dict.fromkeys(animal.label for animal in others))
    if way == "lower" and names:
        return Refusal(problems=(_occupied(state, names),))
    per_day = store.treatment("hyposalinity").needed("raising_per_day_salinity").value
    days = max(state.salinity - bag, 0.0) / per_day
    answer = BagAnswer(
        state=state, bag=bag, way=way, near=near, out=None, fresh=None, per_day=per_day, days=days, working=()
    )
    return _lowered(answer) if way == "lower" else answer


def _lowered(answer: BagAnswer) -> BagAnswer:
    state = answer.state
    assert state.salinity is not None
    swap = mixing.swap_to_reach(state.litres.value, state.salinity, answer.bag, 0.0, state.warmth)
    out = state.litres.times(swap.out / state.litres.value)
    step = Step(
        label="to take out",
        expression=f"{digits(state.litres.value)} L × (1 − {digits(answer.bag)} / {digits(state.salinity)}), by mass",
        result=f"{digits(swap.out)} L",
        source="DERIVED",
    )
    return replace(answer, out=out, fresh=out.times(swap.added / swap.out), working=(step,))


def _salinity_step(salinity: float, gravity: float) -> float:
    """g/kg that a step of `gravity` is at `salinity`. The two are all but proportional."""
    return gravity / (gravity_of(salinity + 1) - gravity_of(salinity))


def _too_weak(bag: float, least: float) -> Problem:
    return Problem(
        code="W804",
        message=f"a bag at {digits(bag)} g/kg is below {least:g} g/kg, the lowest that marine fish are kept at here",
        hint="check the instrument and the temperature of the reading; read the bag's water again",
    )


def _occupied(state: State, names: tuple[str, ...]) -> Problem:
    return Problem(
        code="W807",
        message=f"`{state.water.name}` is not lowered to a bag while others live in it ({', '.join(names[:3])})",
        places=(state.room.place(state.water.path, key=True),),
        note="what is gentle for the fish in the bag is a sudden fall for those in the tank",
        hint="choose a tank that is empty, and take the fish up there over days",
    )
