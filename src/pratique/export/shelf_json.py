"""The shelf as JSON: the lines of the plan with every use, what tonight needs, mixed water, the emergency kit."""

from __future__ import annotations

from typing import Any

from pratique.export.json import number, quantity
from pratique.figure import Figure
from pratique.response.shelf.model import Container, KitLine, Line, Shelf, Use, Wanted


def shelf_json(shelf: Shelf) -> dict[str, Any]:
    """Amounts in mL, g, L, tablet, test or count; money as text, so that no cent is lost."""
    return {
        "until": shelf.until.isoformat() if shelf.until is not None else None,
        "delivery": _quantity(shelf.delivery, "h"),
        "plan": [_line(line) for line in shelf.lines],
        "tonight": [_wanted(row) for row in shelf.wanted],
        "can_answer_tonight": not shelf.lacking if shelf.wanted else None,
        "mixed_water": [_container(entry) for entry in shelf.containers],
        "syringes": list(shelf.syringes),
        "kit": [_kit(line) for line in shelf.kit],
        "cost": {currency: str(money) for currency, money in sorted(shelf.spent.items())},
    }


def _quantity(value: float | None, unit: str) -> dict[str, Any] | None:
    return None if value is None else quantity(Figure.exact(value, unit))


def _line(line: Line) -> dict[str, Any]:
    supply = line.supply
    unit = supply.unit or "count"
    return {
        "kind": supply.kind,
        "name": supply.name,
        "what": supply.what or None,
        "missing": supply.missing,
        "have": _quantity(supply.have, unit),
        "need": _quantity(line.need, unit),
        "short": _quantity(line.short, unit),
        "left": _quantity(line.left, unit),
        "by_reading": line.unknown,
        "expires": supply.last_day.isoformat() if supply.last_day is not None else None,
        "needed_after_expiry": _quantity(line.expired, unit),
        "first_use": line.first.isoformat() if line.first is not None else None,
        "runs_out": line.runs_out.isoformat() if line.runs_out is not None else None,
        "buy_by": line.buy_by.isoformat() if line.buy_by is not None else None,
        "packs": line.packs,
        "cost": {"money": str(line.cost), "currency": supply.price.currency}
        if line.cost is not None and supply.price is not None
        else None,
        "uses": [_use(use, unit) for use in line.uses],
    }


def _use(use: Use, unit: str) -> dict[str, Any]:
    return {
        "at": use.at.isoformat(), "task": use.task, "tank": use.tank, "amount": _quantity(use.amount, unit)
    }  # fmt: skip


def _wanted(row: Wanted) -> dict[str, Any]:
    need = row.need
    return {
        "kind": need.kind,
        "what": need.what,
        "why": need.why,
        "treatment": need.treatment or None,
        "enough": need.enough,
        "need": quantity(need.need),
        "have": quantity(need.have),
        "short": quantity(row.short),
        "serves": need.name or None,
        "waters": list(row.waters),
        "pathogens": list(row.pathogens),
        "buy": need.buy or None,
    }


def _container(entry: Container) -> dict[str, Any]:
    return {
        "container": entry.name or None,
        "volume": _quantity(entry.litres, "L"),
        "salinity": _quantity(entry.salinity, "g/kg"),
        "age": {"value": number(entry.age), "unit": "d"} if entry.age is not None else None,
        "in_use": entry.busy or None,
        "changed_since": _quantity(float(entry.changed), "L"),
    }


def _kit(line: KitLine) -> dict[str, Any]:
    item = line.item
    return {
        "id": item.id,
        "what": item.what,
        "why": item.why,
        "amount": quantity(line.amount),
        "there": line.there,
        "serves": line.name or None,
        "source": {"key": item.source, "where": item.where, "confidence": item.confidence},
    }
