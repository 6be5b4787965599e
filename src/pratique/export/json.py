"""The answer as one JSON object. Keys are a contract; numbers are canonical whatever the screen shows."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from pratique import VERSION
from pratique.dosing.dip import Dip
from pratique.dosing.dose import Addition, Dose
from pratique.dosing.overrides import Overridden
from pratique.dosing.spread import better_first, inside
from pratique.dosing.stock import MadeStock
from pratique.figure import Figure, Step
from pratique.knowledge.model import Cited, Statement
from pratique.problem import Problem, Refusal
from pratique.room.resolve import Room
from pratique.sheets.rows import Lines, Sheet, Table


def dump_answer(
    *,
    command: str,
    at: dt.datetime,
    room: Room | None,
    path: Path,
    problems: Iterable[Problem],
    cautions: Iterable[Statement],
    refusal: Refusal | None,
    result: Any,
) -> str:
    first = refusal.first if refusal is not None else None
    return json.dumps(
        {
            "pratique": VERSION,
            "command": command,
            "at": at.isoformat(),
            "room": room.name if room is not None else str(path),
            "problems": [problem_json(problem) for problem in problems],
            "cautions": [caution.text for caution in cautions],
            "refusal": {"code": first.code, "message": first.message, "hint": first.hint}
            if first is not None
            else None,
            "result": result,
        },
        ensure_ascii=False,
        indent=2,
    )


def problem_json(problem: Problem) -> dict[str, Any]:
    place = problem.place
    return {
        "code": problem.code,
        "severity": problem.severity,
        "message": problem.message,
        "file": place.file if place else None,
        "line": place.line if place else None,
        "column": place.column if place else None,
        "hint": problem.hint,
        "note": problem.note,
        "source": problem.source,
    }


def number(value: float) -> float:
    """Nine figures: more than any measurement has, and free of the last bits of binary arithmetic."""
    return float(f"{value:.9g}")


def quantity(figure: Figure | None) -> dict[str, Any] | None:
    if figure is None:
        return None
    found: dict[str, Any] = {"value": number(figure.value), "unit": figure.unit}
    if not figure.is_exact:
        found.update(low=number(figure.low), high=number(figure.high))
    return found


def moment_json(moment: dt.datetime | None) -> str | None:
    return moment.isoformat() if moment is not None else None


def source_json(source: Cited) -> dict[str, Any]:
    return {"key": source.source, "where": source.where, "confidence": source.confidence}


def stock_json(stock: MadeStock | None) -> dict[str, Any] | None:
    """`holds` is mg of the active in a mL; of formalin uL of the 37 % product."""
    if stock is None:
        return None
    return {"recipe": stock.recipe.text, "parts": number(stock.recipe.parts), "holds": number(stock.active.per_unit)}


def overridden_json(overridden: Iterable[Overridden]) -> list[dict[str, str]]:
    return [{"code": entry.code, "because": entry.because, "message": entry.message} for entry in overridden]


def step_json(step: Step) -> dict[str, str]:
    return {"label": step.label, "expression": step.expression, "result": step.result, "source": step.source}


def addition_json(addition: Addition) -> dict[str, Any]:
    return {
        "at": addition.at.isoformat(),
        "add": quantity(addition.add),
        "after": quantity(addition.after),
        "waits_for": addition.waits_for,
    }


def dose_json(dose: Dose, room: Room) -> dict[str, Any]:
    """`inside` is null for a treatment of one level, which has no band."""
    change, share = dose.change, inside(dose)
    return {
        "tank": dose.tank,
        "treatment": dose.treatment.id,
        "form": dose.treatment.form or None,
        "product": dose.product,
        "water": quantity(dose.water),
        "before": quantity(dose.before),
        "target": quantity(dose.target),
        "band": {"low": number(dose.band.low), "high": number(dose.band.high), "unit": dose.band.unit},
        "active": quantity(dose.active),
        "add": quantity(dose.add),
        "after": quantity(dose.after),
        "inside": number(share) if share is not None else None,
        "better_first": [
            {"what": gain.what, "width": quantity(gain.width), "known": gain.known, "advice": gain.advice}
            for gain in better_first(dose, room)
        ],
        "steps": [addition_json(step) for step in dose.steps],
        "change": None
        if change is None
        else {
            "purpose": change.purpose,
            "volume": {"value": number(change.volume), "unit": "L"},
            "count": change.count,
            "add": quantity(change.add),
            "after": {"value": number(change.after), "unit": dose.target.unit},
        },
        "stock": stock_json(dose.stock),
        "overridden": overridden_json(dose.overridden),
        "minutes": None if dose.minutes is None else quantity(dose.minutes),
        "notes": list(dose.notes),
        "working": [step_json(step) for step in dose.working],
        "sources": [source_json(source) for source in dose.sources],
    }


def dip_json(dip: Dip) -> dict[str, Any]:
    dose = dip.dose
    return {
        "for": dip.label,
        "treatment": dip.treatment.id,
        "vessel": dip.vessel,
        "water": quantity(dip.water),
        "product": dose.product if dose else None,
        "target": quantity(dose.target) if dose else None,
        "active": quantity(dose.active) if dose else None,
        "add": quantity(dose.add) if dose else None,
        "after": quantity(dose.after) if dose else None,
        "minutes": {
            "value": dip.minutes.value,
            "low": dip.minutes.low,
            "high": dip.minutes.high,
            "ceiling": dip.ceiling,
        },
        "match": {
            "temperature": quantity(dip.match.temperature),
            "ph": number(dip.match.ph.value),
            "salinity": dip.match.salinity,
        },
        "aerate_before_minutes": dip.aerate_before,
        "steps": [{"phase": s.phase, "minute": s.minute, "text": s.text, "source": s.source} for s in dip.steps],
        "watch": list(dip.watch),
        "stop": [statement.text for statement in dip.stop],
        "at_stop": [step.text for step in dip.at_stop],
        "overridden": overridden_json(dip.overridden),
        "notes": list(dip.notes),
        "working": [step_json(step) for step in dip.working],
        "sources": [source_json(source) for source in dip.sources],
    }


def sheet_json(command: str, sheet: Sheet) -> str:
    """A page of text as data, for commands that answer with one: titles, rows by column, sentences."""
    parts: list[dict[str, Any]] = []
    for part in sheet.parts:
        if isinstance(part, Table):
            heads = [column.head.lower() for column in part.columns]
            parts.append(
                {
                    "title": part.title,
                    "rows": [dict(zip(heads, (cell.text for cell in row), strict=True)) for row in part.rows],
                }
            )
        elif isinstance(part, Lines):
            parts.append({"title": part.title, "lines": [cell.text for cell in part.lines]})
        else:
            parts.append({"title": part.title, "facts": {label: cell.text for label, cell in part.pairs}})
    now = dt.datetime.now(dt.UTC).replace(microsecond=0).isoformat()
    return json.dumps(
        {
            "pratique": VERSION,
            "command": command,
            "at": now,
            "room": None,
            "problems": [],
            "cautions": [],
            "refusal": None,
            "result": {"title": sheet.title, "parts": parts},
        },
        ensure_ascii=False,
        indent=2,
    )
