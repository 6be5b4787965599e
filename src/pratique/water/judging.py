"""Readings of ammonia and nitrite judged for the water they were taken in, and the change that brings it back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.problem import Problem, Refusal
from pratique.water import ammonia, fouling, nitrite
from pratique.water.state import State, matching_litres, missing

NitriteBasis = Literal["N", "NO2"]

STRICTEST: ammonia.Basis = "N"
"""How a total is counted where nobody says: 1 mg/L as N is the most ammonia of the three ways of counting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """The change that brings ammonia back even where every error is at its worst.

    `share` is a part of the water (0 to 1), `litres` the same with the ends of the volume, `after` the total
    (mg/L, as the reading is counted) it leaves, `on_file` the L of mixed water that match this tank.
    """

    share: float
    litres: Figure
    after: Figure
    on_file: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AmmoniaAnswer:
    """A reading of total ammonia, what of it harms, and what to do. `wanted` is the total at the level to correct.

    `unreliable_with` names medicines in the water that falsify the test. `assumed` says what was not known and
    taken at its worst: `basis`, `ph`.
    """

    state: State
    total: Figure
    basis: ammonia.Basis
    assumed: frozenset[str]
    conditions: ammonia.Conditions
    judged: ammonia.Judged
    wanted: Figure
    change: Change | None
    unreliable_with: tuple[str, ...]
    working: tuple[Step, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NitriteAnswer:
    """A reading of nitrite (mg/L as NO2) beside the chloride (mg/L) of the same water.

    `limit` is None where no number for sea water is on file: then nothing is said about harm.
    """

    state: State
    level: Figure
    basis: NitriteBasis
    assumed: frozenset[str]
    limit: Sourced | None
    chloride: float
    per_nitrite: float | None
    working: tuple[Step, ...]


def judge_ammonia(state: State, total: Figure, basis: ammonia.Basis | None) -> AmmoniaAnswer | Refusal:
    """Judge `total` (mg/L in `basis`, or counted the strictest way) as it is in this water.

    Source: BB78, FA16, NRAC111; a pH nobody measured counts as high (practice B40).
    """
    unknown = tuple(missing(state))
    conditions = state.conditions
    if unknown or conditions is None:
        return Refusal(problems=unknown)
    counted = basis or STRICTEST
    try:
        judged = ammonia.judge_total(total, counted, conditions)
    except ValueError as error:
        return Refusal(problems=(_outside(error),))
    wanted = ammonia.total_at_limit("ammonia_correct", conditions, counted)
    known = store.water_figures().needed("ammonia_correct")
    step = Step(
        label=f"total ammonia (as {counted}) at the level to correct",
        expression=f"{known.value:g} mg/L as NH3 / its part of the total",
        result=f"{digits(wanted.value)} mg/L",
        source=known.source,
    )
    change, more = _change(state, total, wanted)
    drugs = tuple(_falsifying(state))
    assumed = {name for name, unsaid in (("basis", basis is None), ("ph", state.ph is None)) if unsaid}
    return AmmoniaAnswer(
        state=state,
        total=total,
        basis=counted,
        assumed=frozenset(assumed),
        conditions=conditions,
        judged=judged,
        wanted=wanted,
        change=change,
        unreliable_with=drugs,
        working=(*judged.working, step, *more),
        problems=tuple(_unreliable(state, drugs)),
    )


def _change(state: State, total: Figure, wanted: Figure) -> tuple[Change | None, tuple[Step, ...]]:
    """From the highest the reading may mean to the lowest that the limit may be."""
    share = fouling.change_back(total.high, wanted.low)
    if share == 0:
        return None, ()
    left = 1 - share
    after = Figure.around(total.value * left, total.unit, total.low * left, total.high * left)
    step = Step(
        label="part of the water to change",
        expression=f"1 − {digits(wanted.low)} / {digits(total.high)} mg/L, both at their worst",
        result=f"{digits(100 * share)} %",
    )
    litres = state.litres.times(share)
    return Change(share=share, litres=litres, after=after, on_file=matching_litres(state)), (step,)


def _falsifying(state: State) -> Iterator[str]:
    """Medicines in the water. The reference says that a drug falsifies the test, and not which (practice B39)."""
    for holds in state.water.conditions.holds:
        if store.treatment(holds.treatment).active:
            yield holds.treatment


def _unreliable(state: State, drugs: tuple[str, ...]) -> Iterator[Problem]:
    if not drugs:
        return
    yield Problem(
        code="W809",
        severity="warning",
        message=f"an ammonia test is unreliable with {' and '.join(drugs)} in the water of `{state.water.name}`",
        places=(state.room.place((*state.water.path, "holds"), key=True),),
        source="COMMON, practice B39 (C)",
        hint="look at an ammonia badge first: where it shows none, change nothing; where it shows ammonia, or you have "
        "none, change as the sheet says, and put the medicine back",
    )


def _outside(error: ValueError) -> Problem:
    return Problem(
        code="W803",
        message=str(error),
        source="DERIVED, treatments 22, un-ionised ammonia (D)",
        hint="check the reading and its unit; outside that span nothing is worked out",
    )


def judge_nitrite(state: State, level: Figure, written: NitriteBasis | None) -> NitriteAnswer | Refusal:
    """Nitrite (mg/L as `written`, or as N, the strictest) judged as sea water: by a limit for it, if there is one.

    Refused for fresh water, and where the salinity is not known. Source: MEMORY (composition of sea salt).
    """
    unknown = tuple(missing(state, temperature=False))
    if unknown or state.salinity is None:
        return Refusal(problems=unknown)
    if state.salinity <= store.water_figures().needed("fresh_salinity").value:
        return Refusal(problems=(_fresh(state),))
    basis: NitriteBasis = written or "N"
    factor = 1.0 if basis == "NO2" else _nitrite_of_nitrogen()
    as_nitrite = level.times(factor)
    against = nitrite.chloride(state.salinity, state.warmth)
    ratio = against / as_nitrite.value if as_nitrite.value > 0 else None
    return NitriteAnswer(
        state=state,
        level=as_nitrite,
        basis=basis,
        assumed=frozenset(() if written else ("basis",)),
        limit=nitrite.sea_water_limit(),
        chloride=against,
        per_nitrite=ratio,
        working=tuple(_nitrite_steps(state, level, basis, as_nitrite, against)),
    )


def _nitrite_of_nitrogen() -> float:
    known = store.water_figures()
    return known.needed("mass_nitrite").value / known.needed("mass_nitrogen").value


def _nitrite_steps(
    state: State, level: Figure, basis: NitriteBasis, as_nitrite: Figure, against: float
) -> Iterator[Step]:
    assert state.salinity is not None
    if basis == "N":
        yield Step(
            label="nitrite, as NO2",
            expression=f"{digits(level.value)} mg/L as N × {digits(_nitrite_of_nitrogen())}",
            result=f"{digits(as_nitrite.value)} mg/L",
            source="DERIVED",
        )
    share = store.water_figures().needed("chloride_of_salt")
    yield Step(
        label="chloride",
        expression=f"{digits(state.salinity)} g/kg × {share.value:g} % × the mass of a litre",
        result=f"{digits(against)} mg/L",
        source=share.source,
    )


def _fresh(state: State) -> Problem:
    assert state.salinity is not None
    return Problem(
        code="W811",
        message=f"at {digits(state.salinity)} g/kg `{state.water.name}` is fresh water: its nitrite is not judged here",
        note="chloride keeps nitrite out of the gills in sea water; without it other limits hold, and none is on file",
        hint="check the salinity; for fresh water ask a source on fresh water",
    )
