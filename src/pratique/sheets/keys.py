"""The page of a key of the room file: what it means at each place where it stands."""

from __future__ import annotations

from pratique.room.describe import KeyRow, describe_key
from pratique.sheets.rows import Cell, Facts, Lines, Part, Sheet


def key_page(word: str) -> Sheet | None:
    """The page of `volume`, or of `tanks.volume` alone; None where the room file has no such key."""
    rows = describe_key(word)
    if not rows:
        return None
    parts = [part for row in rows for part in _of_row(row)]
    below = next((f"{row.key}.{key}" for row in rows for key in (*row.needed, *row.others)), "")
    title = f"{rows[0].key} · key of the room file"
    return Sheet(title=title, parts=tuple(parts), next=f"pratique why {below}" if below else "")


def _of_row(row: KeyRow) -> tuple[Part, ...]:
    title = f"Of {' or '.join(row.owners)}" if row.steps else "At the top of the file"
    pairs = [("means", row.meaning), ("written", row.written), ("needed", is_needed(row))]
    if row.needed:
        pairs.append(("needed below it", ", ".join(row.needed)))
    if row.others:
        pairs.append(("may stand below it", ", ".join(row.others)))
    facts = Facts(title=title, pairs=tuple((label, Cell(text)) for label, text in pairs))
    return facts, Lines(title="Example", lines=tuple(Cell(line) for line in row.snippet))


def is_needed(row: KeyRow) -> str:
    """Whether it must be written, and what holds where it is not."""
    if row.required:
        return "yes"
    return f"no, else `{row.default}`" if row.default else "no"
