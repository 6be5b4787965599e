"""What a placed batch leads to: when it may go, and on what evidence."""

from __future__ import annotations

from pratique.room.resolve import Batch
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import elapsed_hours
from pratique.schedule.model import Release
from pratique.schedule.placed import Placed


def find_release(basis: Basis, batch: Batch, placed: list[Placed]) -> Release:
    """The end of the last stage, and what must have held by then."""
    display = next(basis.ledger.tanks_of(("display",)), None)
    into = batch.written.into or (display.name if display is not None else "")
    line = placed[-1].line
    earliest = line.counted if placed[-1].stage.kind == "observation" and line.counted is not None else line.end
    return Release(earliest=earliest, into=into, conditions=tuple(_conditions(placed)))


def _conditions(placed: list[Placed]) -> list[str]:
    last = placed[-1]
    needed = last.clock.needed if last.clock is not None else None
    days = round((needed or elapsed_hours(last.line.start, last.line.end)) / 24)
    if last.treatment.id == "fishless-hold":
        return [f"no fish in this water for the whole {days} days, not for an hour"]
    found = [f"no sign for the whole {days} days of the last stage, and no new animal in its water"]
    found += [text for entry in placed if (text := _condition(entry))]
    return [*found, "eating, and breathing as calmly as the fish in the display"]


def _condition(entry: Placed) -> str:
    line, kind = entry.line, entry.stage.kind
    if kind == "transfers":
        return f"every transfer within {line.interval:g} elapsed hours of the one before"
    if kind == "course":
        return f"{len(line.doses)} doses given, each inside its window"
    if kind == "observation":
        return ""
    band = entry.treatment.needed("target")
    text = (
        f"every copper reading from the first in band to the last between {band.low:g} and {band.high:g} {band.unit}, "
        "low end of its error included"
    )
    return text + ("; then a reading of zero" if line.changes else "")
