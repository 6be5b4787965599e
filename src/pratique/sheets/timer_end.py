"""What is left on the screen when the timer is over: how it ended, what comes next, what the log has."""

from __future__ import annotations

from pratique.dosing.dip import Dip
from pratique.dosing.dip_run import MINUTE, DipRun
from pratique.sheets import words
from pratique.sheets.rows import Cell, Lines, Part, Sheet
from pratique.sheets.timer import clock


def end_sheet(dip: Dip, run: DipRun, minutes: float, log_lines: tuple[str, ...]) -> Sheet:
    """`minutes` are those the fish has been in."""
    parts: list[Part] = []
    if run.began is None:
        parts.append(Lines(lines=(Cell("the fish did not go in, and nothing was written"),)))
    elif run.ended is None:
        steps = (
            f"it has been in for {clock(float(int(minutes * MINUTE)))} min, and the clock runs on; the limit is "
            f"{words.plain(dip.ceiling)} min",
            "take it out in time; the same command goes on with the clock",
        )
        cells = tuple(Cell(text, "error") for text in steps)
        parts.append(Lines(title="The fish is still in", lines=cells, bullet="·"))
    else:
        then = dip.at_stop if run.how == "distress" else dip.afterwards
        parts.append(Lines(title="Then", lines=tuple(Cell(step.text) for step in then), bullet="1."))
    if log_lines:
        parts.append(Lines(title="In the log", lines=tuple(Cell(text) for text in log_lines), bullet="·"))
    return Sheet(title=f"{_how(run, minutes)} · {dip.label} · {dip.treatment.title}", parts=tuple(parts))


def _how(run: DipRun, minutes: float) -> str:
    if run.began is None:
        return "Not begun"
    if run.ended is None:
        return "Left while it runs"
    time = f"{clock(float(int(minutes * MINUTE)))} min"
    return f"Stopped for distress after {time}" if run.how == "distress" else f"Out after {time}"
