"""The shelf: what the plan will lack and by when to buy it, what tonight would lack, mixed water, the emergency kit."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.figure import in_unit
from pratique.knowledge import store
from pratique.problem import plural
from pratique.response.shelf.model import Line, Shelf, Use, Wanted
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table
from pratique.sheets.shelf_kit import amount_of, is_same, kit_table, mixed_parts


def shelf_sheet(room: Room, shelf: Shelf, days: int) -> Sheet:
    """The whole answer; uses by date for so many `days`."""
    notes = Footnotes()
    parts: list[Part] = [_head(shelf, room)]
    if shelf.wanted:
        parts += _tonight(shelf, room)
    parts.append(_plan(shelf))
    parts += _by_date(shelf, days)
    parts += mixed_parts(shelf, room, notes)
    parts.append(kit_table(shelf, room, notes))
    title = f"Shelf · {room.name} · {words.moment(shelf.at, at=shelf.at)}"
    return Sheet(title=title, parts=tuple(parts), footnotes=notes.lines(), next="pratique log bought PRODUCT AMOUNT")


def _head(shelf: Shelf, room: Room) -> Facts:
    pairs = [("tonight", _tonight_in_short(shelf)), ("the plan", _plan_in_short(shelf))]
    litres = sum(entry.litres for entry in shelf.containers)
    mixed = Cell(words.volume(litres, room)) if litres else Cell("none on file", "warning")
    pairs.append(("mixed water", mixed))
    if shelf.delivery is None:
        said = "not on file, so `buy by` is the day it is wanted; write `delivery: 3 d` under `room:`"
        pairs.append(("delivery", Cell(said, "muted")))
    else:
        pairs.append(("delivery", Cell(f"{words.plain(shelf.delivery / 24)} d after the order")))
    syringes = ", ".join(shelf.syringes)
    pairs.append(("syringes", Cell(syringes) if syringes else Cell("none on file", "warning")))
    if shelf.spent:
        money = ", ".join(f"{sum_:.2f} {currency}" for currency, sum_ in sorted(shelf.spent.items()))
        pairs.append(("cost", Cell(f"{money}, of what is short and has a price on file")))
    return Facts(pairs=tuple(pairs))


def _tonight_in_short(shelf: Shelf) -> Cell:
    if not shelf.wanted:
        return Cell("no fish is in any water: nothing to answer", "muted")
    if shelf.unanswered:
        return Cell(f"velvet could not be answered: {', '.join(shelf.unanswered)}", "error")
    if not shelf.lacking:
        return Cell("a fast killer could be answered", "done")
    names = ", ".join(dict.fromkeys(_short_name(row, shelf) for row in shelf.lacking))
    return Cell(f"velvet could be answered; still missing: {names}", "warning")


def _short_name(row: Wanted, shelf: Shelf) -> str:
    if row.need.kind == "mixed water" and all(w.need.enough for w in shelf.wanted if w.need.kind == "salt"):
        return "some mixed water, for which there is salt"
    return row.need.what.removeprefix("a ")


def _plan_in_short(shelf: Shelf) -> Cell:
    if not shelf.short:
        return Cell("nothing is short", "done")
    first = min((line.buy_by for line in shelf.short if line.buy_by is not None), default=None)
    names = ", ".join(line.supply.name for line in shelf.short)
    by = "; the first today" if first is not None and first <= shelf.at.date() else ""
    when = by or (f"; the first by {words.day(first, at=shelf.at)}" if first is not None else "")
    return Cell(f"short of {names}{when}", "warning")


def _tonight(shelf: Shelf, room: Room) -> Iterator[Part]:
    """What is short as a table; what is there in one line, since the kit has it with its tick."""
    every = tuple(dict.fromkeys(water for row in shelf.wanted for water in row.waters))
    title = f"If a fast killer showed tonight, the most that any one water would take: {_named(every)}"
    lacking = [row for row in shelf.wanted if not row.need.enough]
    if lacking:
        yield Table(title=title, columns=_TONIGHT, rows=tuple(_wanted_row(row, shelf, room, every) for row in lacking))
    there = [_there(row, room) for row in shelf.wanted if row.need.enough]
    if there:
        yield Lines(title="" if lacking else title, lines=(Cell(f"there: {'; '.join(there)}", "done"),))


def _there(row: Wanted, room: Room) -> str:
    need = row.need
    if need.need is None or need.have is None:
        return need.what
    return f"{need.what}, {amount_of(need.need, room)} of {amount_of(need.have, room)}"


_TONIGHT = (
    Column("Short tonight", "text", lead=True),
    Column("Have", "number"),
    Column("Need", "number"),
    Column("Short", "number"),
    Column("For", "prose"),
    Column("Buy", "prose"),
)


def _named(waters: tuple[str, ...]) -> str:
    return ", ".join(waters[:3]) + (f" and {len(waters) - 3} more" if len(waters) > 3 else "")


def _wanted_row(row: Wanted, shelf: Shelf, room: Room, every: tuple[str, ...]) -> tuple[Cell, ...]:
    need = row.need
    agents = ", ".join(store.pathogen(agent).short for agent in row.pathogens)
    where = "" if set(row.waters) == set(every) else f" in {_named(row.waters)}"
    return (
        Cell(need.what, "error"),
        _have(row, room),
        Cell(amount_of(need.need, room)) if need.need is not None else EMPTY,
        _short(row, room),
        Cell(agents + where),
        Cell(_to_buy(row, shelf, room)) if need.buy else EMPTY,
    )


def _to_buy(row: Wanted, shelf: Shelf, room: Room) -> str:
    """What is bought; and how much of it the kit keeps, where that is more than one night takes."""
    kit = next((line for line in shelf.kit if is_same(line.item, row.need)), None)
    need, amount = row.need, kit.amount if kit is not None else None
    if amount is not None and need.kind == "test":
        return f"{need.buy}; for the kit {amount_of(amount, room)} tests"
    if amount is not None and need.need is not None and amount.value > need.need.value:
        return f"{need.buy}; for the kit {amount_of(amount, room)}"
    return need.buy


def _have(row: Wanted, room: Room) -> Cell:
    need = row.need
    if need.have is not None:
        return Cell(amount_of(need.have, room))
    if need.name:
        return Cell("there")
    return Cell("none" if need.kind != "salt" else "not on file", "" if need.enough else "error")


def _short(row: Wanted, room: Room) -> Cell:
    short = row.short
    return Cell(amount_of(short, room), "error") if short is not None and short.value else Cell("missing", "error")


def _plan(shelf: Shelf) -> Table:
    columns: tuple[Column, ...] = (
        Column("On the shelf", "id", lead=True),
        Column("Have", "number"),
        Column("Need", "number"),
        Column("Short", "number"),
        Column("Expires", "id"),
        Column("First use", "id"),
        Column("Buy by", "id"),
        Column("Cost", "number"),
    )
    lines = sorted(shelf.lines, key=lambda line: (not line.lacks, not line.uses))
    rows = tuple(_line_row(line, shelf) for line in lines)
    if all(line.cost is None for line in lines):
        columns, rows = columns[:-1], tuple(row[:-1] for row in rows)
    until = f", to {words.day(shelf.until.date(), at=shelf.at)}" if shelf.until is not None else ": it has no task"
    return Table(title=f"For the plan{until}", columns=columns, rows=rows)


def _line_row(line: Line, shelf: Shelf) -> tuple[Cell, ...]:
    supply = line.supply
    lacks = line.lacks
    have = "not on file" if supply.have is None else in_unit(supply.have, supply.unit)
    if supply.missing:
        have = "none"
    need = in_unit(line.need, supply.unit) if line.need else ""
    if line.unknown:
        need = f"{need} + by reading" if need else "by reading" if not supply.missing else "not worked out"
    short = in_unit(line.short, supply.unit) if line.short else "all of it"
    when = line.buy_by if lacks else None
    late = when is not None and when <= shelf.at.date()
    cost = f"{line.cost:.2f} {supply.price.currency}" if line.cost is not None and supply.price is not None else ""
    return (
        Cell(supply.name, "warning" if lacks else ""),
        Cell(have),
        Cell(need) if need else EMPTY,
        Cell(short, "warning") if lacks else _not_known(line),
        _expires(line, shelf),
        Cell(words.day(line.first.date(), at=shelf.at)) if line.first is not None else EMPTY,
        Cell("today" if late else words.day(when, at=shelf.at), "error" if late else "due") if when else EMPTY,
        Cell(f"{plural(line.packs or 0, 'pack')}, {cost}") if cost else EMPTY,
    )


def _not_known(line: Line) -> Cell:
    return Cell("not known", "warning") if line.short is None and line.need else EMPTY


def _expires(line: Line, shelf: Shelf) -> Cell:
    last = line.supply.last_day
    if last is None:
        return EMPTY
    text = words.full_day(last)
    if last < shelf.at.date():
        return Cell(f"{text}, past", "error")
    too_soon = any(use.at.date() > last for use in line.uses)
    return Cell(f"{text}, too soon", "warning") if too_soon else Cell(text)


def _by_date(shelf: Shelf, days: int) -> Iterator[Part]:
    """What each coming task takes, one after the other; readings together in a line of their own."""
    end = shelf.at + dt.timedelta(days=days)
    uses = [(use, line) for line in shelf.lines for use in line.uses if line.supply.kind != "test"]
    uses.sort(key=lambda pair: (pair[0].at.timestamp(), pair[0].task))
    near = [(use, line) for use, line in uses if use.at.timestamp() <= end.timestamp()]
    if not near:
        return
    left = {id(line): line.supply.have for _, line in uses}
    rows = []
    for use, line in near:
        there = left[id(line)]
        if there is not None:
            left[id(line)] = max(there - (use.amount or 0.0), 0.0)
        rows.append(_use_row(use, line, left[id(line)], shelf))
    columns = (
        Column("When", "id", lead=True),
        Column("Tank", "id", lead=True),
        Column("What", "id"),
        Column("Takes", "number"),
        Column("Leaves", "number"),
    )
    later = len(uses) - len(near)
    more = f"; {later} more by `--days {_days_to(uses[-1][0], shelf)}`" if later else ""
    yield Table(title=f"By date, the next {days} days{more}", columns=columns, rows=tuple(rows))


def _days_to(use: Use, shelf: Shelf) -> int:
    return (use.at.date() - shelf.at.date()).days + 1


def _use_row(use: Use, line: Line, left: float | None, shelf: Shelf) -> tuple[Cell, ...]:
    unit = line.supply.unit
    takes = "by a reading" if use.amount is None else in_unit(use.amount, unit)
    empty = left is not None and use.amount is not None and left <= 0
    return (
        Cell(words.moment(use.at, at=shelf.at)),
        Cell(use.tank),
        Cell(line.supply.name),
        Cell("not there" if line.supply.missing else takes, "error" if line.supply.missing else ""),
        EMPTY if left is None or line.supply.missing else Cell(in_unit(left, unit), "error" if empty else ""),
    )
