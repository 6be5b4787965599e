"""What the timer at the tank says at one moment: a figure to read from afar, what to watch, the keys."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.dosing.dip_run import MINUTE, DipRun, aerated, next_look
from pratique.sheets import words
from pratique.sheets.rows import Cell, Lines, Meaning

KEYS_BEFORE = (("Enter", "tick off"), ("u", "untick"), ("i", "fish in"), ("q", "leave"))
KEYS_IN = (("d", "DISTRESS"), ("o", "fish out"), ("+", "1 min more"), ("-", "1 min less"), ("q", "leave"))


@dataclass(frozen=True, slots=True, kw_only=True)
class TimerPage:
    """`figure` is minutes and seconds; `done` and `goal` are shares (0 to 1) of the longest time allowed.

    `parts` come with the most needed first: where the screen is low, the last are left out. `notice` is the answer to a
    key, or why the bell rang.
    """

    title: str
    figure: str
    meaning: Meaning
    under: str
    done: float | None
    goal: float | None
    look: str
    notice: str
    parts: tuple[Lines, ...]
    keys: tuple[tuple[str, str], ...]


def timer_page(run: DipRun, now: float, notice: str = "") -> TimerPage:
    """The page of `run` at the moment `now` (s of its clock)."""
    return _before(run, now, notice) if run.began is None else _while_in(run, now, notice)


def clock(seconds: float) -> str:
    """Minutes and seconds, `4:07`; a part of a second counts as one that is left.

    >>> clock(246.2)
    '4:07'
    """
    whole = int(-(-seconds // 1))
    return f"{whole // 60}:{whole % 60:02}"


def _title(run: DipRun) -> str:
    return f"{run.dip.label} · {run.dip.treatment.title}"


def _before(run: DipRun, now: float, notice: str) -> TimerPage:
    dip, at = run.dip, len(run.ticked)
    lines = []
    for index, step in enumerate(run.before):
        mark = "☑" if index < at else "☐"
        said = step.text
        aired = aerated(run, now) if step.minute is not None and index < at else None
        if aired is not None:
            said += f" ({aired:.0f} min ago)"
        lines.append(Cell(f"{mark} {said}", "done" if index < at else "due" if index == at else ""))
    first = max(0, min(at - 1, len(lines) - 1))
    ready = at == len(lines)
    mind = tuple(Cell(text, "warning") for text in (*(problem.message for problem in dip.problems), *dip.notes))
    parts = [Lines(title="Before the fish goes in", lines=(*lines[first:], *lines[:first]))]
    if mind:
        parts.append(Lines(title="Mind", lines=mind, bullet="·"))
    return TimerPage(
        title=_title(run),
        figure=clock(run.goal * MINUTE),
        meaning="done" if ready else "muted",
        under=f"{dip.vessel} · {'ready: i when the fish goes in' if ready else f'{len(lines) - at} to tick off'}",
        done=None,
        goal=None,
        look="",
        notice=notice or run.said,
        parts=tuple(parts),
        keys=KEYS_BEFORE,
    )


def _while_in(run: DipRun, now: float, notice: str) -> TimerPage:
    dip, elapsed, goal = run.dip, run.seconds_in(now), run.goal * MINUTE
    limit = dip.ceiling * MINUTE
    over, beyond = elapsed >= goal, elapsed >= limit
    look = next_look(run, now)
    if beyond:
        under = f"past the limit of {words.plain(dip.ceiling)} min: OUT AT ONCE"
    elif over:
        under = f"over: NET IT OUT NOW · limit {words.plain(dip.ceiling)} min"
    else:
        under = f"left of {run.goal:.3g} min · never over {words.plain(dip.ceiling)} min"
    parts = [
        Lines(title="Watch now", lines=tuple(Cell(text) for text in (*_passage(run, elapsed), *dip.watch)), bullet="·"),
        Lines(title="d at once when", lines=tuple(Cell(stop.text, "due") for stop in dip.stop), bullet="·"),
    ]
    if over:
        out = tuple(Cell(step.text, "due") for step in dip.afterwards[:1])
        parts.insert(0, Lines(title="Now", lines=out, bullet="·"))
    return TimerPage(
        title=_title(run),
        figure=f"+{clock(float(int(elapsed - goal)))}" if over else clock(goal - elapsed),
        meaning="error" if beyond else "due" if over else "done",
        under=under,
        done=min(elapsed / limit, 1.0),
        goal=run.goal / dip.ceiling,
        look="" if look is None else f"next look in {clock(look)}",
        notice=notice or run.said,
        parts=tuple(part for part in parts if part.lines),
        keys=KEYS_IN,
    )


def _passage(run: DipRun, elapsed: float) -> list[str]:
    """The words of the sheet for the minutes that have come."""
    steps = [step for step in run.dip.steps if step.phase == "in" and step.minute and step.minute * MINUTE <= elapsed]
    return [step.text for step in steps[-1:]]


def spoken_line(page: TimerPage) -> str:
    """The page in one line, for a screen that cannot be drawn on."""
    parts = [page.figure, page.under, page.look, page.notice]
    return " · ".join(part for part in parts if part)
