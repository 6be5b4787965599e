"""May this batch go, as JSON. `met` is null where the record does not show it; evidence is in sentences."""

from __future__ import annotations

from typing import Any

from pratique.checks.release.model import Match, Verdict
from pratique.export.json import number


def release_json(verdict: Verdict) -> dict[str, Any]:
    return {
        "batch": verdict.plan.batch.name,
        "answer": verdict.answer,
        "earliest": verdict.earliest.isoformat() if verdict.earliest is not None else None,
        "into": verdict.into or None,
        "left": verdict.left or None,
        "reasons": list(verdict.reasons),
        "conditions": [
            {"condition": entry.text, "met": entry.met, "evidence": list(entry.evidence)}
            for entry in verdict.conditions
        ],
        "dips": list(verdict.dips),
        "not_proven": list(verdict.not_proven),
        "last_steps": list(verdict.last_steps),
        "match": [_match(entry) for entry in verdict.matches],
    }


def _match(match: Match) -> dict[str, Any]:
    return {
        "what": match.what,
        "unit": match.unit,
        "here": number(match.here) if match.here is not None else None,
        "there": number(match.there) if match.there is not None else None,
        "difference": number(match.difference) if match.difference is not None else None,
    }
