"""What fits the signs, as JSON. Points are ours and no probabilities; `cover` is in the order in which it may kill."""

from __future__ import annotations

from typing import Any

from pratique.export.json import source_json
from pratique.response.ranking import Fit, Reason
from pratique.response.verdict import Verdict


def signs_json(verdict: Verdict, *, log: str, response: Any) -> dict[str, Any]:
    observed = verdict.observed
    found_in = dict(verdict.around.found_in)
    return {
        "tank": observed.tank,
        "seen": list(observed.present),
        "not_there": list(observed.absent),
        "circumstances": [
            {"id": name, "choice": choice, "found": found_in.get((name, choice))} for name, choice in observed.facts
        ],
        "affected": list(observed.affected),
        "dying": list(observed.dying),
        "dead": list(observed.dead),
        "breaths_per_minute": observed.breaths,
        "readings": [
            {
                "cause": finding.cause,
                "verdict": finding.verdict,
                "text": finding.text,
                "source": {"key": finding.source, "where": finding.where, "confidence": finding.confidence},
            }
            for finding in verdict.findings
        ],
        "first_causes": [fit.id for fit in verdict.ranking.first_causes],
        "causes": [_fit(fit) for fit in verdict.ranking.causes if fit.reasons],
        "fits": [_fit(fit) for fit in verdict.ranking.agents if fit.reasons],
        "unspecific": verdict.unspecific,
        "apart": [
            {
                "trial": apart.trial.id,
                "title": apart.trial.title,
                "shows": [{"of": of, "text": shown.text, "source": source_json(shown)} for of, shown in apart.shows],
            }
            for apart in verdict.apart
        ],
        "cover": list(verdict.suspicion.cover),
        "water": list(verdict.suspicion.causes),
        "not_read": list(verdict.unread),
        "log": log or None,
        "response": response,
    }


def _fit(fit: Fit) -> dict[str, Any]:
    return {
        "id": fit.id,
        "title": fit.title,
        "fits": fit.says,
        "points": fit.points,
        "kills": fit.tempo or None,
        "measured": fit.measured,
        "for": [_reason(reason) for reason in fit.for_],
        "against": [_reason(reason) for reason in fit.against],
    }


def _reason(reason: Reason) -> dict[str, Any]:
    return {
        "kind": reason.kind,
        "what": reason.what,
        "weight": reason.weight,
        "points": reason.points,
        "source": {"key": reason.source, "confidence": reason.confidence},
        "note": reason.note or None,
    }
