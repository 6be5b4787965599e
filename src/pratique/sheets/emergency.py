"""The emergency card of a water: who to call, what to look for, and the first acts for the fast killer, worked out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pratique.knowledge import store
from pratique.logbook.quotes import shell_word
from pratique.response.model import RunSheet
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.deputy import LINE, phones
from pratique.sheets.first import first_parts
from pratique.sheets.rows import Cell, Facts, Lines, Part, Sheet

ON_A_CARD = ("Now", "What is missing", "Then", "Tonight", "Cautions")
"""Headings of the run sheet that a card keeps as they are; the rest is for the sheet of that evening."""

MOST_CAUTIONS = 6


def emergency_sheet(room: Room, run_sheet: RunSheet) -> Sheet:
    """The card for the water of `run_sheet`, which was worked out as if its signs were seen at this moment."""
    tank = run_sheet.suspicion.tank
    agent = store.pathogen(run_sheet.suspicion.cover[0])
    typical = [sign for sign, known in agent.signs.items() if known.weight == "typical"]
    seen = ", ".join(store.signs()[sign].title for sign in typical)
    parts: list[Part] = [
        _phones(room),
        Lines(
            title="When this card is for",
            lines=(
                Cell(f"seen in {tank}: {seen}", "due"),
                Cell(f"{agent.short} kills within {agent.kills_within.partition(';')[0]}; do not wait for proof"),
                Cell(f"amounts below are for today; on the evening itself: pratique signs {shell_word(tank)}"),
            ),
            bullet="·",
        ),
    ]
    for part in first_parts(run_sheet, room):
        if part.title.startswith("Cautions") and isinstance(part, Lines):
            parts.append(replace(part, lines=part.lines[:MOST_CAUTIONS]))
        elif part.title.startswith(ON_A_CARD):
            parts.append(part)
        if part.title.startswith("Now"):
            parts += _who(run_sheet)
    title = f"Emergency card · {room.name} · {tank} · {words.day(run_sheet.suspicion.at.date())}"
    return Sheet(title=title, parts=tuple(parts), next=f"pratique signs {shell_word(tank)}", dense=True)


def _phones(room: Room) -> Facts:
    """Those of every sheet, and who is there when they are not."""
    known = phones(room)
    after_hours = (("after hours", Cell(LINE)), ("pump, power, flood", Cell(LINE)))
    return replace(known, pairs=(*known.pairs, *after_hours))


def _who(run_sheet: RunSheet) -> Iterator[Part]:
    """Who goes where, in a line for each place and reason: a card is short."""
    going: dict[tuple[str, str], list[str]] = {}
    for each in run_sheet.goings:
        going.setdefault((each.to, each.why), []).append(f"{each.count} {each.animal}")
    lines = tuple(
        Cell(f"{to}: {', '.join(animals)} ({why})", "" if to == "stays" else "due")
        for (to, why), animals in going.items()
    )
    if lines:
        yield Lines(title=f"Who comes out of {run_sheet.water}", lines=lines, bullet="·")
