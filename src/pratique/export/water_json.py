"""Answers about a water as JSON objects: keys named plainly, numbers in canonical units."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pratique.dosing.salinity_plan import PutIn, SalinityPlan, SalinityStep
from pratique.export.json import moment_json, number, overridden_json, quantity, source_json, step_json
from pratique.figure import Figure, Step
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Statement
from pratique.water import ammonia
from pratique.water.feeding import Outlook
from pratique.water.judging import AmmoniaAnswer, NitriteAnswer
from pratique.water.pouring import BagAnswer, Blend, MixAnswer, SaltAnswer
from pratique.water.salinity import gravity_of
from pratique.water.standing import Standing
from pratique.water.state import State, Stock

LIMITS = ("ammonia_correct", "ammonia_harms", "ammonia_kills")


def plain(value: float | None, unit: str) -> dict[str, Any] | None:
    """A quantity without ends."""
    return None if value is None else {"value": number(value), "unit": unit}


def _gravity(salinity: float | None) -> dict[str, Any] | None:
    """Against pure water, both at 25 degC."""
    return None if salinity is None else plain(gravity_of(salinity), "sg")


def _head(state: State, question: str) -> dict[str, Any]:
    return {"tank": state.tank, "question": question, "water": quantity(state.litres)}


def _foot(
    working: Iterable[Step], notes: Iterable[str], sources: Iterable[Sourced | Statement | str]
) -> dict[str, Any]:
    return {
        "notes": list(notes),
        "working": [step_json(step) for step in working],
        "sources": [_source(source) for source in sources],
    }


def _source(source: Sourced | Statement | str) -> dict[str, Any]:
    if isinstance(source, str):
        source = store.water_figures().needed(source)
    if isinstance(source, Sourced):
        return source_json(source)
    return {"key": source.source, "where": source.where, "confidence": source.confidence}


def water_json(standing: Standing) -> dict[str, Any]:
    state = standing.state
    said = state.water.conditions
    names = LIMITS[:2] if standing.outlook is not None else ()
    return {
        **_head(state, "state"),
        "tanks": [tank.name for tank in state.water.tanks],
        "salinity": plain(state.salinity, "g/kg"),
        "gravity": _gravity(state.salinity),
        "temperature": quantity(state.temperature),
        "ph": quantity(state.ph),
        "oxygen": quantity(Figure.of(said.oxygen)) if said.oxygen is not None else None,
        "oxygen_at_saturation": plain(state.oxygen, "mg/L"),
        "living_filter": said.cycled,
        "holds": [
            {"treatment": holds.treatment, "level": quantity(Figure.of(holds.level)) if holds.level else None}
            for holds in said.holds
        ],
        "animals": [{"name": animal.label, "count": animal.count} for animal in standing.animals],
        "mass": quantity(standing.load.mass),
        "forecast": _forecast(state, standing.outlook) if standing.outlook is not None else None,
        "mixed_water": [_stock(entry) for entry in standing.stock],
        **_foot(standing.working, standing.notes, names),
    }


def _forecast(state: State, outlook: Outlook) -> dict[str, Any]:
    seen = outlook.forecast
    return {
        "food_a_day": quantity(outlook.food),
        "rise_a_day": quantity(seen.per_day),
        "counted_as": "N",
        "to_correct": quantity(seen.to_correct),
        "to_harm": quantity(seen.to_harm),
        "daily_change": _part(state, seen.daily_share),
        "likely_daily_change": _part(state, outlook.likely_share),
        "half_the_water_every": plain(outlook.half_every, "h"),
        "food_that_half_a_day_holds": plain(outlook.held_food, "g"),
    }


def _part(state: State, share: float | None) -> dict[str, Any] | None:
    """A part of the water, in % and in L."""
    if share is None:
        return None
    return {"share": plain(100 * share, "%"), "volume": plain(state.litres.value * share, "L")}


def _stock(entry: Stock) -> dict[str, Any]:
    made = entry.written.made
    return {
        "container": entry.written.container,
        "volume": quantity(Figure.of(entry.written.volume)),
        "salinity": plain(entry.salinity, "g/kg"),
        "made": made.date.isoformat() if made is not None else None,
        "share": plain(100 * entry.share, "%"),
        "salinity_after": plain(entry.after, "g/kg"),
    }


def ammonia_json(answer: AmmoniaAnswer, kit: str) -> dict[str, Any]:
    conditions, change = answer.conditions, answer.change
    return {
        **_head(answer.state, "ammonia"),
        "total": quantity(answer.total),
        "counted_as": answer.basis,
        "assumed": sorted(answer.assumed),
        "kit": kit or None,
        "ph": quantity(conditions.ph),
        "temperature": quantity(conditions.temperature),
        "salinity": quantity(conditions.salinity),
        "unionised": quantity(answer.judged.level),
        "verdict": answer.judged.verdict,
        "verdict_at_the_worst": answer.judged.worst,
        "unreliable_with": list(answer.unreliable_with),
        "limits": [_limit(name, answer) for name in LIMITS],
        "change": None
        if change is None
        else {
            "share": plain(100 * change.share, "%"),
            "volume": quantity(change.litres),
            "total_after": quantity(change.after),
            "mixed_water_on_file": plain(change.on_file, "L"),
        },
        **_foot(answer.working, (), LIMITS),
    }


def _limit(name: str, answer: AmmoniaAnswer) -> dict[str, Any]:
    known = store.water_figures().needed(name)
    return {
        "verdict": name.removeprefix("ammonia_"),
        "unionised": plain(known.value, known.unit),
        "total": quantity(ammonia.total_at_limit(name, answer.conditions, answer.basis)),
    }


def nitrite_json(answer: NitriteAnswer) -> dict[str, Any]:
    limit = answer.limit
    verdict = None if limit is None else "fine" if answer.level.high < limit.value else "harms"
    return {
        **_head(answer.state, "nitrite"),
        "nitrite": quantity(answer.level),
        "counted_as": answer.basis,
        "assumed": sorted(answer.assumed),
        "judged_as": "sea water",
        "limit": plain(limit.value, limit.unit) if limit is not None else None,
        "verdict": verdict,
        "salinity": plain(answer.state.salinity, "g/kg"),
        "chloride": plain(answer.chloride, "mg/L"),
        "chloride_for_each_nitrite": number(answer.per_nitrite) if answer.per_nitrite is not None else None,
        **_foot(answer.working, (), ("chloride_of_salt",)),
    }


def mix_json(answer: MixAnswer) -> dict[str, Any]:
    pour = answer.pour
    return {
        **_head(answer.state, "mix"),
        "salinity": plain(answer.state.salinity, "g/kg"),
        "temperature": quantity(answer.state.temperature),
        "poured": {
            "volume": quantity(Figure.of(pour.litres)),
            "salinity": plain(pour.salinity, "g/kg"),
            "temperature": plain(pour.temperature, "degC"),
        },
        "added": _blend(answer.added),
        "swapped": _blend(answer.swapped) if answer.swapped is not None else None,
        **_foot(answer.working, (), store.water_care()["mix"].says[:1]),
    }


def _blend(blend: Blend) -> dict[str, Any]:
    return {
        "salinity": quantity(blend.salinity),
        "gravity": _gravity(blend.salinity.value),
        "rise": quantity(blend.rise),
        "temperature": quantity(blend.temperature),
        "volume": quantity(blend.litres),
    }


def salt_json(tank: str, answer: SaltAnswer) -> dict[str, Any]:
    return {
        "tank": tank,
        "question": "salt",
        "volume": quantity(Figure.of(answer.litres)),
        "salinity": plain(answer.salinity, "g/kg"),
        "temperature": plain(answer.temperature, "degC"),
        "salt": quantity(answer.salt),
        "fresh_water": quantity(answer.fresh_water),
        "left": quantity(Figure.of(answer.left)) if answer.left is not None else None,
        "left_makes": plain(answer.reaches, "L"),
        **_foot(answer.working, (), ("salt_purity",)),
    }


def bag_json(answer: BagAnswer) -> dict[str, Any]:
    near = answer.near
    return {
        **_head(answer.state, "bag"),
        "bag": plain(answer.bag, "g/kg"),
        "bag_gravity": _gravity(answer.bag),
        "salinity": plain(answer.state.salinity, "g/kg"),
        "act": answer.way,
        "take_out": quantity(answer.out),
        "fresh_water": quantity(answer.fresh),
        "let_go": {"low": number(answer.bag - near), "high": number(answer.bag + near), "unit": "g/kg"},
        "up_a_day": plain(answer.per_day, "g/kg"),
        "up_takes": plain(answer.days, "d"),
        **_foot(answer.working, (), ("release_gravity", "raising_per_day_gravity")),
    }


def salinity_json(plan: SalinityPlan) -> dict[str, Any]:
    """The keys of a dose where it has them; what a change of salinity has no use for is null."""
    request = plan.request
    target = request.treatment.needed("target")
    return {
        "tank": request.state.tank,
        "question": None if request.course else "to",
        "water": quantity(plan.water),
        "treatment": request.treatment.id if request.course else None,
        "form": None,
        "product": None,
        "before": plain(request.start, "g/kg"),
        "target": plain(request.goal, "g/kg"),
        "target_gravity": _gravity(request.goal),
        "band": {"low": number(target.low), "high": number(target.high), "unit": "g/kg"} if request.course else None,
        "active": None,
        "add": None,
        "after": plain(plan.end, "g/kg"),
        "steps": [_step_json(step) for step in plan.steps],
        "change": None,
        "overridden": overridden_json(plan.overridden),
        "down": _put_in(plan.down, plan.litres("down")),
        "up": _put_in(plan.up, plan.litres("up")),
        "up_a_day": plain(plan.per_day, "g/kg"),
        "up_takes": plain(plan.raising_days, "d"),
        **_foot(plan.working, plan.notes, plan.sources),
    }


def _step_json(step: SalinityStep) -> dict[str, Any]:
    return {
        "at": step.at.isoformat(),
        "until": moment_json(step.until),
        "leg": step.leg,
        "change": quantity(step.litres) if step.leg != "hold" else None,
        "add": None,
        "after": plain(step.after, "g/kg"),
        "gravity": plain(step.gravity, "sg"),
        "watch_ph": step.watch_ph,
        "limited_by": step.limited_by or None,
    }


def _put_in(water: PutIn | None, litres: Figure) -> dict[str, Any] | None:
    if water is None:
        return None
    per_day = None if water.per_day == float("inf") else plain(water.per_day, "L")
    return {
        "salinity": plain(water.salinity, "g/kg"),
        "from": water.origin,
        "volume": quantity(litres),
        "for_each_day": per_day,
    }
