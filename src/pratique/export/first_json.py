"""The run sheet as plain data: what the page says, with every quantity in canonical units."""

from __future__ import annotations

from typing import Any

from pratique.dosing.dip import Dip
from pratique.export.json import addition_json, dip_json, moment_json, number, problem_json, quantity
from pratique.response.model import Act, Option, RunSheet, Way
from pratique.response.need import Need, Needs


def first_json(run_sheet: RunSheet) -> dict[str, Any]:
    """The run sheet of `signs`: `now` has three steps, `acts` the rest; amounts are null where there is none."""
    suspicion = run_sheet.suspicion
    return {
        "tank": suspicion.tank,
        "water": run_sheet.water,
        "shares": list(run_sheet.tanks),
        "at": suspicion.at.isoformat(),
        "signs": list(suspicion.signs),
        "cover": list(suspicion.cover),
        "causes": list(suspicion.causes),
        "dying": list(suspicion.dying),
        "dead": list(suspicion.dead),
        "to": run_sheet.place or None,
        "now": [_act(act) for act in run_sheet.now],
        "missing": [
            {"kind": gap.kind, "what": gap.what, "instead": gap.instead, "lacks": gap.lacks, "buy": gap.buy}
            for gap in run_sheet.gaps
        ],
        "animals": [
            {"animal": g.animal, "count": g.count, "to": g.to, "why": g.why, "source": g.source or None}
            for g in run_sheet.goings
        ],
        "acts": [_act(act) for act in run_sheet.acts],
        "treatments": [_option(option) for option in run_sheet.options],
        "ways": [_way(way) for way in run_sheet.ways],
        "uncovered": list(run_sheet.uncovered),
        "buy": list(run_sheet.shopping),
        "log": list(run_sheet.log_lines),
        "needs": needs_json(run_sheet.needs),
        "cautions": [caution.text for caution in run_sheet.cautions],
    }


def needs_json(needs: Needs) -> dict[str, Any]:
    """What a first response needs, item by item."""
    return {
        "water": needs.water,
        "pathogen": needs.pathogen or None,
        "tank": needs.tank or None,
        "items": [_need(item) for item in needs.items],
    }


def _need(item: Need) -> dict[str, Any]:
    return {
        "kind": item.kind,
        "what": item.what,
        "why": item.why,
        "enough": item.enough,
        "need": quantity(item.need),
        "have": quantity(item.have),
        "name": item.name or None,
        "treatment": item.treatment or None,
        "active": quantity(item.active),
        "buy": item.buy or None,
    }


def _act(act: Act) -> dict[str, Any]:
    return {
        "phase": act.phase,
        "act": act.act,
        "at": moment_json(act.at),
        "tank": act.tank or None,
        "text": act.text,
        "amount": quantity(act.amount),
        "source": act.source or None,
        "command": act.command or None,
        "who": act.who or None,
    }


def _option(option: Option) -> dict[str, Any]:
    answer = option.answer
    found: dict[str, Any] = {
        "treatment": option.treatment,
        "role": option.role,
        "against": list(option.covers),
        "taken": option.chosen,
        "does": option.does,
        "leaves": option.leaves,
        "source": option.source,
        "refused": problem_json(option.refused) if option.refused is not None else None,
        "note": option.note or None,
        "command": option.command or None,
        "dip": dip_json(answer) if isinstance(answer, Dip) else None,
        "dose": None,
    }
    if answer is not None and not isinstance(answer, Dip):
        found["dose"] = {
            "tank": answer.tank,
            "product": answer.product,
            "target": quantity(answer.target),
            "add": quantity(answer.add),
            "after": quantity(answer.after),
            "steps": [addition_json(step) for step in answer.steps],
        }
    return found


def _way(way: Way) -> dict[str, Any]:
    return {
        "title": way.title,
        "taken": way.chosen,
        "in_band_after": None if way.hours is None else {"value": number(way.hours), "unit": "h"},
        "for": way.speaks_for,
        "against": way.against,
        "steps": [addition_json(step) for step in way.dose.steps],
    }
