"""Mixed water and the emergency kit, and how amounts of the shelf are said."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.figure import Figure, digits, in_unit
from pratique.knowledge import store
from pratique.knowledge.keeping import KitItem
from pratique.response.need import Need
from pratique.response.shelf.model import Container, KitLine, Shelf
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Footnotes, Lines, Part, Table


def amount_of(figure: Figure | None, room: Room) -> str:
    """An amount as it is measured out; litres in the room's own unit too."""
    if figure is None:
        return "—"
    if figure.unit == "L":
        return words.volume(figure.value, room)
    return in_unit(figure.value, figure.unit)


def mixed_parts(shelf: Shelf, room: Room, notes: Footnotes) -> Iterator[Part]:
    """Each container of mixed water, and what is said of it; nothing where there is none."""
    if not shelf.containers:
        return
    columns = (
        Column("Mixed water in", "id", lead=True),
        Column("Volume", "number"),
        Column("Salinity", "number"),
        Column("Age", "number"),
        Column("Its container", "prose"),
    )
    yield Table(columns=columns, rows=tuple(_container_row(entry, room) for entry in shelf.containers))
    said = [*store.shelf().said("water-age"), *store.shelf().said("not-logged")]
    lines = [Cell(statement.text + notes.mark(words.citation(statement))) for statement in said]
    for entry in shelf.containers:
        if entry.changed:
            text = f"since {entry.name or 'it'} was mixed, {digits(entry.changed)} L of changes were logged: look again"
            lines.append(Cell(text, "warning"))
    yield Lines(lines=tuple(lines), bullet="·")


def _container_row(entry: Container, room: Room) -> tuple[Cell, ...]:
    age = f"{words.plain(round(entry.age, 1))} d" if entry.age is not None else "not on file"
    return (
        Cell(entry.name or "—"),
        Cell(words.volume(entry.litres, room)),
        Cell(f"{entry.salinity:.1f} g/kg") if entry.salinity is not None else Cell("not on file", "warning"),
        Cell(age, "" if entry.age is not None else "warning"),
        Cell(entry.busy or "in no other use", "warning" if entry.busy else ""),
    )


def kit_table(shelf: Shelf, room: Room, notes: Footnotes) -> Table:
    """The emergency kit, ticked where it is there; what is short tonight is told of above, and not told twice."""
    columns = (
        Column("", "id", lead=True),
        Column("Emergency kit", "prose", lead=True),
        Column("Here", "number"),
        Column("There", "prose"),
        Column("What it is for", "prose"),
    )
    short = [row.need for row in shelf.wanted if not row.need.enough]
    rest = [line for line in shelf.kit if not any(is_same(line.item, need) for need in short)]
    title = "The emergency kit of this room" + (", beside what is short tonight" if len(rest) < len(shelf.kit) else "")
    return Table(title=title, columns=columns, rows=tuple(_kit_row(line, room, notes) for line in rest))


def is_same(item: KitItem, need: Need) -> bool:
    """True where a thing of the kit is what a first response needs."""
    match need.kind:
        case "product":
            return item.kind == "product" and item.key == store.treatment(need.treatment).active
        case "test":
            return item.kind == "test" and item.key == need.measure
        case "mixed water":
            return item.kind == "water"
        case kind:
            return item.kind == kind


def _kit_row(line: KitLine, room: Room, notes: Footnotes) -> tuple[Cell, ...]:
    item = line.item
    there = ", ".join(part for part in (line.name, line.have) if part)
    if line.there is None:
        found, box = Cell("look: a room file has no list of these", "muted"), "☐"
    elif line.there:
        found, box = Cell(there or "yes", "done"), "☑"
    else:
        found, box = Cell(f"{there}: too little" if there else "missing", "error"), "☐"
    source = words.source_line(item.source, item.where, item.confidence)
    return (
        Cell(box),
        Cell(item.what),
        Cell(amount_of(line.amount, room)) if line.amount is not None else EMPTY,
        found,
        Cell(item.why + notes.mark(source)),
    )
