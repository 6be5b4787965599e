"""What a sound file was read as: each water with its net volume and who is in it. A misreading shows here."""

from __future__ import annotations

from pratique.history.fold import History
from pratique.room.model import Product
from pratique.room.resolve import Animal, Room, Water
from pratique.schedule.occupants import everyone_now
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Sheet, Table
from pratique.water.salinity import grams_per_kg
from pratique.water.volume import net_volume


def check_sheet(room: Room, history: History, errors: int, warnings: int) -> Sheet:
    """What stands in the file, and by the log who is in it and what is left."""
    here = everyone_now(room, history)
    rows = tuple(_water_row(room, water, here.get(water.name, ())) for water in room.waters.values())
    columns = (
        Column("Water", "id", lead=True),
        Column("Tanks", "text"),
        Column("Net volume", "number"),
        Column("At the worst", "number"),
        Column("Salinity", "number"),
        Column("Temp.", "number"),
        Column("In it", "prose"),
    )
    verdict = "no errors" if not errors else words.plural(errors, "error")
    title = f"Check · {room.name} · {verdict}, {words.plural(warnings, 'warning')}"
    heads = sum(animal.count for animal in room.residents)
    counts = (
        words.plural(len(room.tanks), "tank"),
        words.plural(heads, "resident"),
        words.plural(len(room.batches), "batch", "batches"),
    )
    total = ", ".join(counts) + ("" if history.is_empty else " · animals and bottles by the log")
    tables = [Table(title=f"What was read · {total}", columns=columns, rows=rows)]
    if room.written.shelf:
        tables.append(_shelf(room, history))
    return Sheet(title=title, parts=tuple(tables), next="pratique plan" if room.batches and not errors else "")


def _water_row(room: Room, water: Water, here: tuple[Animal, ...]) -> tuple[Cell, ...]:
    net = net_volume(water)
    conditions = water.conditions
    animals = ", ".join(
        f"{animal.count} {animal.label}{f' ({animal.scientific})' if animal.name else ''}"
        for animal in here
    )
    tanks = ", ".join(f"{tank.name} ({tank.use})" for tank in water.tanks)
    spread, sure = words.spread(net.figure), ", nominal" if net.nominal else ""
    return (
        Cell(water.name),
        Cell(tanks),
        Cell(words.volume(net.figure.value, room)),
        Cell(f"{spread} L{sure}" if spread else "—", "warning" if net.nominal else "muted"),
        Cell(f"{grams_per_kg(conditions.salinity):.1f} g/kg") if conditions.salinity else EMPTY,
        Cell(words.temperature(conditions.temperature.value, room)) if conditions.temperature else EMPTY,
        Cell(animals) if animals else EMPTY,
    )


def _left(name: str, product: Product, history: History) -> Cell:
    bottle = history.bottles.get(name)
    if not history.is_empty and bottle is not None and bottle.left is not None:
        return Cell(f"{bottle.left:.4g} {bottle.unit}")
    return Cell(product.left.text) if product.left else EMPTY


def _shelf(room: Room, history: History) -> Table:
    rows = tuple(
        (
            Cell(name),
            Cell(f"{product.active}{', ' + product.form if product.form else ''}"),
            Cell(product.strength.text),
            _left(name, product, history),
            Cell(words.full_day(product.expires.date)) if product.expires else EMPTY,
        )
        for name, product in room.written.shelf.items()
    )
    columns = (
        Column("Product", "id", lead=True),
        Column("Active", "id"),
        Column("Strength", "text"),
        Column("Left", "number"),
        Column("Expires", "id"),
    )
    return Table(title="The shelf", columns=columns, rows=rows)
