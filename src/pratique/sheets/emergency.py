"""The emergency card of a water: who to call, what to look for, and the first acts for the fast killer, worked out."""

from __future__ import annotations

from dataclasses import replace

from pratique.knowledge import store
from pratique.response.model import RunSheet
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.deputy import LINE, phones
from pratique.sheets.first import first_parts
from pratique.sheets.rows import Cell, Facts, Lines, Part, Sheet

ON_A_CARD = ("Now", "What is missing", "Who comes out", "Then", "Tonight", "Cautions")
"""Headings of the run sheet that a card keeps; the rest is for the sheet of that evening."""

MOST_CAUTIONS = 6


def emergency_sheet(room: Room, run_sheet: RunSheet) -> Sheet:
    """The card for the water of `run_sheet`, which was worked out as if its signs were seen at this moment."""
    tank = run_sheet.suspicion.tank
    agent = store.pathogen(run_sheet.suspicion.cover[0])
    typical = [sign for sign, known in agent.signs.items() if known.weight == "typical"]
    seen = ", ".join(store.signs()[sign].title for sign in typical)
    parts: list[Part] = [
        phones(room),
        Facts(
            title="If nobody answers, after hours",
            pairs=(("stands in at weekends", Cell(LINE)), ("pump, power, water on the floor", Cell(LINE))),
        ),
        Lines(
            title="When this card is for",
            lines=(
                Cell(f"seen in {tank}: {seen}", "due"),
                Cell(f"{agent.short} kills within {agent.kills_within.partition(';')[0]}; do not wait for proof"),
                Cell(f"amounts below are for today; on the evening itself: pratique signs {words.quoted(tank)}"),
            ),
            bullet="·",
        ),
    ]
    for part in first_parts(run_sheet, room):
        if part.title.startswith("Cautions") and isinstance(part, Lines):
            parts.append(replace(part, lines=part.lines[:MOST_CAUTIONS]))
        elif part.title.startswith(ON_A_CARD):
            parts.append(part)
    title = f"Emergency card · {room.name} · {tank} · {words.day(run_sheet.suspicion.at.date())}"
    return Sheet(title=title, parts=tuple(parts), next=f"pratique signs {words.quoted(tank)}")
