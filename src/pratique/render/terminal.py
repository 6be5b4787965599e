"""A sheet as text for a terminal, a pipe or another program."""

from __future__ import annotations

import re
import sys
from typing import TextIO

from pratique.render.lines import Line, flow, hang, paint_line, write_line
from pratique.render.measure import READING_MOST, text_width, widest, wrap_words
from pratique.render.screen import look_at
from pratique.render.signs import DASH, DOT, RULE, to_ascii
from pratique.render.stacked import label_column, label_line, stacked_table
from pratique.render.tidy import tidy_sheet
from pratique.render.wide import wide_table
from pratique.sheets.bound import MARK, SUPERSCRIPTS
from pratique.sheets.rows import Facts, Lines, Part, Sheet, Table

_INDENT = "  "
_AFTER_DOT = r"(?<= [·|]) "
_MARK = rf" ([{SUPERSCRIPTS}]+|\[\d+\])"  # patterns few pages need are compiled at first use


def print_sheet(sheet: Sheet, *, stream: TextIO | None = None, plain: bool = False) -> None:
    """Write the sheet to `stream` (stdout unless given) the way that stream can show it."""
    stream = stream or sys.stdout
    screen = look_at(stream)
    if plain:
        stream.write(render_plain(sheet, unicode=screen.unicode))
        return
    stream.write(render_sheet(sheet, width=screen.width, unicode=screen.unicode, color=screen.color))


def render_sheet(sheet: Sheet, *, width: int | None, unicode: bool = True, color: bool = False) -> str:
    """The sheet as lines no longer than `width`, save where one number or name is longer itself.

    `width` None leaves every line as long as it is. The text ends with a line break.
    """
    sheet = tidy_sheet(sheet, unicode=unicode)
    blocks = [_title(sheet.title, width)]
    blocks += [_part(part, width, unicode) for part in sheet.parts]
    blocks.append(_tail(sheet, width))
    write = paint_line if color else write_line
    return "\n\n".join("\n".join(map(write, block)) for block in blocks if block) + "\n"


def render_plain(sheet: Sheet, *, unicode: bool = True) -> str:
    """For other programs: one record a line, tabs between its cells, its sources as the last of them.

    Titles, heads, totals and what is drawn are left out, since they are no records.
    """
    sheet = tidy_sheet(sheet, unicode=unicode)
    notes = {mark: text for mark, _, text in (note.partition(" ") for note in sheet.footnotes)}
    records: list[str] = []
    for part in sheet.parts:
        if not isinstance(part, Facts) and part.drawn:
            continue
        if isinstance(part, Table):
            heads = " ".join(column.head for column in part.columns)
            records += [_record([cell.text for cell in row], notes, heads) for row in part.rows]
        elif isinstance(part, Lines):
            records += [_record([cell.text], notes) for cell in part.lines]
        else:
            records += [_record([label, cell.text], notes) for label, cell in part.pairs]
    return "".join(f"{record}\n" for record in records)


def _record(texts: list[str], notes: dict[str, str], heads: str = "") -> str:
    if not notes:
        return "\t".join(texts)
    marks = dict.fromkeys(re.findall(_MARK, " ".join([*texts, heads])))
    sources = "; ".join(notes[mark] for mark in marks if mark in notes)

    def unmark(text: str) -> str:
        return re.sub(_MARK, lambda found: "" if found[1] in notes else found[0], text)

    return "\t".join([*map(unmark, texts), sources])


def _title(text: str, width: int | None) -> list[Line]:
    """The title on one line, or broken after its dots where the line is too short."""
    if not text:
        return []
    if width is None or text_width(text) <= width:
        return [[(text, "title")]]
    words: list[str] = []
    for part in re.split(_AFTER_DOT, text):
        words += [part] if text_width(part) <= width else wrap_words(part, width)
    return flow(((word, "title") for word in words), width)


def _part(part: Part, width: int | None, unicode: bool) -> list[Line]:
    title = _title(part.title, width)
    if isinstance(part, Table):
        return [*title, [], *_table(part, width, unicode)] if title else _table(part, width, unicode)
    reading = None if width is None else min(width, READING_MOST)
    return [*title, *(_lines(part, reading) if isinstance(part, Lines) else _facts(part, reading))]


def _table(table: Table, width: int | None, unicode: bool) -> list[Line]:
    rule, dot = (RULE, DOT) if unicode else (to_ascii(RULE), to_ascii(DOT))
    if not table.columns:
        return []
    lines = wide_table(table, width, rule)
    if lines is None:
        lines = stacked_table(table, width, rule=rule, dot=dot)
    return lines if table.rows else [*lines, [(_INDENT + (DASH if unicode else to_ascii(DASH)), "muted")]]


def _lines(part: Lines, width: int | None) -> list[Line]:
    bullets = _bullets(part.bullet, len(part.lines))
    size = widest(map(text_width, bullets))
    lines: list[Line] = []
    for bullet, cell in zip(bullets, part.lines, strict=True):
        space = " " * (size - text_width(bullet))
        lead: Line = [(_INDENT + space + bullet + (" " if size else ""), cell.meaning)]
        lines += hang(lead, cell.text, cell.meaning, width)
    return lines


def _bullets(bullet: str, many: int) -> list[str]:
    return [f"{at}." for at in range(1, many + 1)] if bullet == "1." else [bullet] * many


def _facts(part: Facts, width: int | None) -> list[Line]:
    label_width = label_column((label for label, _ in part.pairs), width)
    return [line for label, cell in part.pairs for line in label_line(label, cell, label_width, width)]


def _tail(sheet: Sheet, width: int | None) -> list[Line]:
    reading = None if width is None else min(width, READING_MOST)
    lines: list[Line] = []
    for note in sheet.footnotes:
        mark, _, text = note.partition(" ")
        marked = bool(MARK.fullmatch(mark))
        lead: Line = [(f"{_INDENT}{mark} " if marked else _INDENT, "muted")]
        lines += hang(lead, text if marked else note, "muted", reading)
    if sheet.next:
        lines += hang([(f"{_INDENT}next: ", "muted")], sheet.next, "", reading)
    return lines
