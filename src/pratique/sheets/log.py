"""The log on a page: what was understood and what it changes, and the last entries."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from pratique.logbook.book import Log
from pratique.logbook.entry import Common, Correction, Done, Skipped
from pratique.logbook.say import spoken
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Lines, Part, Sheet, Table


def written_sheet(
    room: Room, entries: Sequence[Common], effects: Sequence[str], at: dt.datetime, *, saved: bool, unread: int = 0
) -> Sheet:
    """What was understood, what it changes, and how to take it back; `unread` lines of the log were left alone."""
    parts: list[Part] = [Table(columns=_columns(with_id=saved), rows=tuple(_row(e, room, at, saved) for e in entries))]
    if effects:
        title = "What it changes" if saved else "What it would change"
        parts.append(Lines(title=title, lines=tuple(Cell(text) for text in effects), bullet="·"))
    if unread:
        lines = "1 line of the log does" if unread == 1 else f"{unread} lines of the log do"
        text = f"{lines} not read as entries; nothing there was touched, and `pratique log` says which"
        parts.append(Lines(title="Beside it", lines=(Cell(text, "warning"),), bullet="·"))
    if saved:
        parts.append(_taken_back(entries))
    what = "saved" if saved else "tried, and nothing was written"
    return Sheet(title=_title(what, room, len(entries)), parts=tuple(parts), next="pratique day" if saved else "")


def _taken_back(entries: Sequence[Common]) -> Lines:
    one = entries[0].id if len(entries) == 1 else "ID"
    ways = (f"pratique log withdraw {one} because …", f"pratique log correct {one} …, the whole entry as it should be")
    return Lines(title="To take it back, or set it right", lines=tuple(Cell(way) for way in ways), bullet="·")


def _title(what: str, room: Room, count: int) -> str:
    return f"Log · {room.name} · {what}" + (f" · {count} entries" if count > 1 else "")


def _columns(*, with_id: bool) -> tuple[Column, ...]:
    ids = (Column("Id", "id", lead=True),) if with_id else ()
    return (*ids, Column("When", "id", lead=True), Column("What", "prose"))


def _row(entry: Common, room: Room, at: dt.datetime, with_id: bool) -> tuple[Cell, ...]:
    when = words.moment(entry.at.astimezone(room.zone), at=at)
    return (*((Cell(entry.id),) if with_id else ()), Cell(when), Cell(_said(entry)))


def _said(entry: Common) -> str:
    """The entry as it would be typed; of a task what was to be done, for its id says nothing to a reader."""
    if not isinstance(entry, Done | Skipped):
        return spoken(entry)
    batch, stage, act, *_ = [part.replace("-", " ") for part in (*entry.task.split("/"), "", "")]
    what = f"{entry.kind}: {act or batch}" + (f", {batch} in {stage}" if act else "")
    reason = entry.why if isinstance(entry, Skipped) else entry.note
    return f"{what}, because {reason}" if reason else what


def list_sheet(
    room: Room, log: Log, entries: Sequence[Common], count: int, at: dt.datetime, *, of_what: str = ""
) -> Sheet:
    """`entries` are the last of `count`; `of_what` says of which kind or tank."""
    shown = f"the last {len(entries)} of {count} entries" if len(entries) < count else _entries(count)
    title = f"Log · {room.name} · {shown}{of_what}"
    if not entries:
        text = "nothing is written down yet" if not log.written else "nothing of that is written down"
        return Sheet(title=title, parts=(Lines(lines=(Cell(text),)),), next="pratique log fed TANK")
    columns = (*_columns(with_id=True), Column("By"))
    rows = tuple((*_row(entry, room, at, True), _by(entry, log)) for entry in entries)
    return Sheet(title=title, parts=(Table(columns=columns, rows=rows),), next="pratique log withdraw ID")


def _entries(count: int) -> str:
    return "1 entry" if count == 1 else f"{count} entries"


def _by(entry: Common, log: Log) -> Cell:
    said = [entry.by] if entry.by else []
    if not isinstance(entry, Correction) and log.by_id.get(entry.id) != entry:
        said.append("set right")
    return Cell(", ".join(said)) if said else EMPTY
