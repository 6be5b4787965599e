"""A chance as JSON: always with its range and its limits. Chances are from 0 to 1, days in d."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from pratique.export.json import number
from pratique.knowledge.model import Statement
from pratique.risk.answers import Point, Risk
from pratique.risk.chances import Chance, Weight
from pratique.risk.fallow import FallowRisk
from pratique.risk.regimens import Tried
from pratique.risk.simulate import Simulated
from pratique.risk.watching import SEEN, Rounds


def risk_json(risk: Risk, simulated: tuple[tuple[str, Simulated], ...] = ()) -> dict[str, Any]:
    cheapest = risk.cheapest
    return {
        "batch": risk.batch,
        "agent": risk.agent,
        "question": "if they carried it on arrival, is it on one of them at release",
        "chance": chance_json(risk.chance),
        "limits": limits_json(risk.limits, risk.notes),
        "parasites": None if risk.parasites is None else number(risk.parasites),
        "price": {
            "moves": risk.course.moves, "days_held": _days(risk.course.days_held), "days": _days(risk.course.days),
        },
        "curve": [point_json(point, "day", "d") for point in risk.curve],
        "late": [point_json(point, "late", "h") for point in risk.late],
        "hangs_on": [_weight(weight) for weight in risk.weights],
        "changes": [_tried(tried) for tried in risk.changes],
        "cheapest": cheapest.what if cheapest is not None else None,
        "watching": [
            {"strain": r.title, "rounds": {"low": number(r.low), "high": number(r.high)}, "unseen": _unseen(r)}
            for r in risk.watched
        ],
        "compared": [_tried(tried) for tried in risk.compared],
        "simulated": [
            {
                "strain": title, "histories": s.histories, "alive": s.alive, "cut": s.cut,
                "chance": number(s.low), "error": number(s.error),
            }
            for title, s in simulated
        ],
    }  # fmt: skip


def fallow_risk_json(risk: FallowRisk) -> dict[str, Any]:
    return {
        "tank": risk.tank,
        "water": risk.water,
        "agent": risk.agent,
        "question": "can anything in it still infect a fish",
        "days": _days(risk.days),
        "since": risk.since.isoformat(),
        "still": list(risk.still),
        "temperature_degC": [
            {"after": {"value": number(w.since), "unit": "h"}, "low": number(w.low), "high": number(w.high)}
            for w in risk.warmth
        ],
        "chance": chance_json(risk.chance),
        "limits": limits_json(risk.limits, risk.notes),
        "curve": [point_json(point, "day", "d") for point in risk.curve],
        "below_5_percent": [
            {"strain": title, "day": None if day is None else _days(day)} for title, day in risk.enough
        ],
        "hangs_on": [_weight(weight) for weight in risk.weights],
        "a_week_more": chance_json(risk.longer.chance),
        "two_degrees_warmer": None if risk.warmer is None else chance_json(risk.warmer.chance),
    }


def chance_json(chance: Chance) -> dict[str, Any]:
    """There is no `value`: strains are not averaged."""
    return {
        "low": number(chance.low),
        "high": number(chance.high),
        "is": "a model, not a guarantee",
        "strains": [
            {
                "strain": s.strain, "title": s.title, "low": number(s.low), "middle": number(s.middle),
                "high": number(s.high),
            }
            for s in chance.strains
        ],
    }  # fmt: skip


def limits_json(limits: Iterable[Statement], notes: Iterable[str]) -> list[dict[str, Any]]:
    """What the model does not know; those of this plan alone have no source."""
    found: list[dict[str, Any]] = [
        {"text": s.text, "source": s.source, "where": s.where, "confidence": s.confidence} for s in limits
    ]
    return found + [{"text": text, "source": None, "where": None, "confidence": None} for text in notes]


def point_json(point: Point, key: str, unit: str) -> dict[str, Any]:
    return {
        key: {"value": number(point.at), "unit": unit}, "low": number(point.chance.low),
        "high": number(point.chance.high), "tank": point.what or None,
    }  # fmt: skip


def _weight(weight: Weight) -> dict[str, Any]:
    return {
        "what": weight.what, "strain": weight.strain, "from": weight.low, "chance": number(weight.chance_low),
        "to": weight.high, "chance_then": number(weight.chance_high),
    }  # fmt: skip


def _tried(tried: Tried) -> dict[str, Any]:
    return {
        "what": tried.what, "low": number(tried.chance.low), "high": number(tried.chance.high), "moves": tried.moves,
        "days_held": _days(tried.days_held), "days": _days(tried.days),
    }  # fmt: skip


def _unseen(found: Rounds) -> list[dict[str, Any]]:
    """What follows from a share of rounds that is seen; which share is true is not known."""
    ends = [(share, found.unseen(share)) for share in SEEN]
    return [{"seen_share": number(share), "low": number(low), "high": number(high)} for share, (low, high) in ends]


def _days(days: float) -> dict[str, Any]:
    return {"value": number(days), "unit": "d"}
