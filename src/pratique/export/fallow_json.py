"""The answer about a water without fish as JSON: one object for each agent, each figure in print, each hold."""

from __future__ import annotations

from typing import Any

from pratique.export.json import moment_json, number, source_json
from pratique.knowledge.model import Sourced
from pratique.response.fallow import AgentFallow, Fallow, Published
from pratique.response.fallow_entry import ComesIn


def fallow_json(fallow: Fallow, risk: Any = None) -> dict[str, Any]:
    """`basis` is `log`, `said` (by `--from`) or `if`; `began` the day one that counts; `risk` what a curve adds."""
    last = fallow.last
    return {
        "tank": fallow.tank,
        "water": fallow.water,
        "tanks": list(fallow.tanks),
        "basis": fallow.basis,
        "began": fallow.began.isoformat(),
        "days": {"value": number(fallow.days), "unit": "d"},
        "fish": list(fallow.fish),
        "end": moment_json(last.end if last is not None and not fallow.waits else None),
        "ends_with": last.pathogen.id if last is not None and not fallow.waits else None,
        "agents": [_agent(agent) for agent in fallow.agents],
        "breaks": [
            {
                "at": found.at.isoformat(),
                "text": found.why,
                "lost": {"value": number(found.cost_hours / 24), "unit": "d"},
                "entry": found.entry_id or None,
            }
            for found in fallow.breaks
        ],
        "animals": [{"animal": stay.animal, "count": stay.count, "tank": stay.tank} for stay in fallow.here],
        "may_come_in": [_entry(entry) for entry in fallow.entries],
        "fish_found": {
            "lost": {"value": number(fallow.found.lost / 24), "unit": "d"},
            "end": moment_json(fallow.found.end),
        },
        "risk": risk,
    }


def _days(figure: Sourced | None) -> dict[str, Any] | None:
    if figure is None:
        return None
    found: dict[str, Any] = {"value": number(figure.value / 24), "unit": "d"}
    if figure.low < figure.high:
        found.update(low=number(figure.low / 24), high=number(figure.high / 24))
    return found


def _agent(agent: AgentFallow) -> dict[str, Any]:
    return {
        "pathogen": agent.pathogen.id,
        "days": _days(agent.used),
        "end": moment_json(agent.end),
        "over": agent.is_over,
        "warm_end": moment_json(agent.warm_end),
        "in_print": [_published(one) for one in agent.published],
        "why_no_date": agent.why_not or None,
        "source": source_json(agent.used) if agent.used is not None else None,
    }


def _published(one: Published) -> dict[str, Any]:
    return {
        "days": _days(one.figure),
        "first": one.first.isoformat(),
        "last": one.last.isoformat(),
        "part": one.part,
        "note": one.figure.note or None,
        "source": source_json(one.figure),
    }


def _entry(entry: ComesIn) -> dict[str, Any]:
    return {
        "held": _days(entry.figure),
        "by": entry.by.isoformat() if entry.usable else None,
        "end_if_now": entry.end_if_now.isoformat() if entry.usable else None,
        "usable": entry.usable,
        "warm": None if entry.warm is None else {"value": number(entry.warm), "unit": "degC"},
        "source": source_json(entry.figure),
    }
