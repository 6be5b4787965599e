"""A disinfection as JSON: the keys of a dose, its steps with their words, what is reached, when it is fit for use."""

from __future__ import annotations

from typing import Any

from pratique.dosing.cleaning.model import Agent, Cleaning
from pratique.export.json import number, overridden_json, quantity, source_json, step_json
from pratique.figure import Figure
from pratique.knowledge.model import cite


def cleaning_json(cleaning: Cleaning) -> dict[str, Any]:
    """`tank` is the tank or the gear set, `vessel` what gear lies in; `target` is chlorine in mg/L."""
    hours = cleaning.hours
    return {
        "tank": cleaning.what,
        "vessel": cleaning.where or None,
        "treatment": cleaning.treatment.id,
        "form": None,
        "product": cleaning.product or None,
        "water": quantity(cleaning.water),
        "before": None,
        "target": quantity(cleaning.level),
        "band": None,
        "active": quantity(cleaning.active),
        "add": quantity(cleaning.add),
        "after": quantity(cleaning.after),
        "contact": quantity(Figure.exact(hours.value, hours.unit)) if hours is not None else None,
        "ready": cleaning.ready.isoformat(),
        "steps": [
            {
                "at": step.at.isoformat() if step.at is not None else None,
                "add": quantity(step.add),
                "after": None,
                "text": step.text,
                "source": cite(step.by),
            }
            for step in cleaning.steps
        ],
        "change": None,
        "agents": [_agent(agent) for agent in cleaning.agents],
        "overridden": overridden_json(cleaning.overridden),
        "notes": list(cleaning.notes),
        "working": [step_json(step) for step in cleaning.working],
        "sources": [source_json(source) for source in cleaning.sources],
    }


def _agent(agent: Agent) -> dict[str, Any]:
    level = Figure(value=agent.level.high, unit="mg/L", low=agent.level.low, high=agent.level.high)
    return {"agent": agent.name, "what": agent.what, "level": quantity(level), "times": number(agent.times)}
