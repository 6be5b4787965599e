"""The day sheet: a date's work in the order of work, a box to tick, a line to write on, cautions once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from pratique.history.events import Bottle
from pratique.logbook.quotes import shell_word
from pratique.problem import plural
from pratique.room.resolve import Room
from pratique.schedule.calendar import Calendar, instant
from pratique.schedule.day import urgent_first
from pratique.schedule.model import OVER, Plan, Task
from pratique.schedule.unplanned import must_wait
from pratique.schedule.working_order import round_of
from pratique.sheets import words
from pratique.sheets.acts import act_text, figure_cell, state_cell
from pratique.sheets.bottles import too_little_left
from pratique.sheets.plainly import how_to_disinfect, with_salt
from pratique.sheets.rows import Cell, Column, Footnotes, Lines, Meaning, Part, Sheet, Table

WRITES = {"test", "dose", "redose", "look", "change-water", "transfer", "feed"}
"""Acts that leave something to write down: a reading, an amount, a count, an hour."""

ALWAYS = (
    "wet hands and nets carry what you are keeping out: clean tanks first, never back; wash hands between waters",
    "switch off and unplug before reaching into water with anything electric in it; a drip loop on each lead",
    "never for fish that may be eaten; label, safety data sheet, local law and a veterinarian come before this sheet",
    "medicated and infected water is not poured into a drain or a stream unless local rules allow it",
)
CHANGES = (
    "the changes of {tank} are a usual share, not reckoned from these fish: the ammonia test decides, and "
    "`pratique water {tank}` says how much a day holds it by what is fed; `change:` under the tank makes it yours"
)
COPPER = "copper: read before each addition; at fast breathing change water; no snail, shrimp or coral in this water"


def day_sheet(
    room: Room,
    plan: Plan,
    days: tuple[tuple[dt.date, tuple[Task, ...]], ...],
    at: dt.datetime,
    *,
    is_logged: bool = True,
    bottles: Mapping[str, Bottle] | None = None,
) -> Sheet:
    """One sheet for one or more dates; `at` decides which day is called today. `is_logged`: something is on record.

    `bottles`: what the log left in each.
    """
    notes = Footnotes()
    parts: list[Part] = [] if is_logged else not_on_record(plan, days[-1][0], at)
    parts += too_little_left(days, bottles or {})
    for date, tasks in days:
        parts += _date_parts(room, date, tasks, at, notes, several=len(days) > 1)
    waiting = _not_planned(plan, days[-1][0])
    if waiting:
        parts.append(Lines(title="Not planned: must not come yet", lines=waiting, bullet="·"))
    parts.append(Lines(title="Cautions", lines=tuple(Cell(text) for text in _cautions(room, days)), bullet="·"))
    first = days[0][0]
    name = "today, " if first == at.date() else ""
    title = f"Day sheet · {room.name} · {name}{words.day(first, at=at)}"
    if len(days) > 1:
        title += f" to {words.day(days[-1][0])}"
    return Sheet(
        title=title,
        parts=tuple(parts),
        footnotes=notes.lines(),
        next=f"pratique day {(days[-1][0] + dt.timedelta(days=1)).isoformat()}",
    )


def not_on_record(plan: Plan, last: dt.date, at: dt.datetime) -> list[Part]:
    """What a sheet up to the day `last` cannot know where fish should have come, doses begin and nothing is logged."""
    came = [batch for batch in plan.batches if instant(batch.batch.arrives) < instant(at)]
    names = [batch.batch.name for batch in came if any(t.act == "dose" and t.at.date() <= last for t in batch.tasks)]
    if not names:
        return []
    text = (
        f"there is no log, so this is the plan as it was announced: what was given to {', '.join(names)} is not on it. "
        "Read the level before any dose, and give none twice. `pratique log` begins a log"
    )
    return [Lines(title="Nothing is on record", lines=(Cell(text, "due"),))]


def _not_planned(plan: Plan, last: dt.date) -> tuple[Cell, ...]:
    """Batches without a plan: a sheet on the wall must not be silent about them, nor list a season of them."""
    soon, later = must_wait(plan, last)
    found = []
    for batch in soon:
        name = batch.batch.name
        reason = next((problem.message for problem in batch.problems if problem.is_error), "no tank for it")
        found.append(Cell(f"{name}: {reason.removeprefix(f'`{name}` ')}", "error"))
    if later:
        found.append(Cell(f"{plural(len(later), 'batch', 'batches')} more, not due within a week: `pratique check`"))
    return tuple(found)


def _date_parts(
    room: Room, date: dt.date, tasks: tuple[Task, ...], at: dt.datetime, notes: Footnotes, *, several: bool
) -> list[Part]:
    heading = words.day(date, at=at) if several else ""
    if not tasks:
        text = (
            "nothing is planned for this day"
            if not room.written.animals and not room.batches
            else "nobody is there this day, or nothing is planned"
        )
        return [Lines(title=heading, lines=(Cell(text),))]
    marked = any(task.state for task in tasks)
    columns = (
        Column("", "id", lead=True),
        Column("Time", "id", lead=True),
        Column("Tank", "id", lead=True),
        Column("Amount", "number"),
        Column("What", "prose"),
        Column("State" if marked else "Done", "id"),
    )
    numbered = urgent_first(_by_round(room, tasks), key=lambda entry: entry[1])
    rows = tuple(_row(room, number, task, notes, at) for number, task in numbered)
    return [Table(title=heading, columns=columns, rows=rows, blanks=BLANKS)]


def _by_round(room: Room, tasks: tuple[Task, ...]) -> list[tuple[int, Task]]:
    """The lines with their numbers, round by round: what the day has added, such as a dose that is due by a reading,
    stands among those of its hours. A line that is for another day by now stays where it stood."""
    calendar, rounds = Calendar(room), list[dt.datetime]()
    for task in tasks:
        rounds.append(rounds[-1] if task.state == "off" and rounds else round_of(task, calendar))
    return sorted(enumerate(tasks, 1), key=lambda line: rounds[line[0] - 1])


BLANKS = ("Reading", "Time", "By")
"""What is written on the wall beside each line."""

BOXES = {"done": "☑", "skipped": "☒", "missed": "☒", "off": "☒"}


def _row(room: Room, number: int, task: Task, notes: Footnotes, at: dt.datetime) -> tuple[Cell, ...]:
    """A line that needs nothing more is grey, with its word; every other has room to write on."""
    rest: Meaning = "muted" if task.state in OVER else "error" if task.urgent else ""
    time = Cell(f"{task.at:%H:%M}", rest or ("due" if task.deadline else ""))
    line = Cell("______" if task.act in WRITES else "___")
    if task.state in OVER or task.state == "late":
        line = state_cell(task, at)
    figure = figure_cell(room, task)
    amount = Cell(figure.text, rest) if rest and not task.refused else figure
    box = Cell(f"{BOXES.get(task.state, '☐')} {number}", rest)
    return (box, time, Cell(task.tank, rest), amount, Cell(act_text(with_salt(room, task), notes), rest), line)


def _is_usual(task: Task) -> bool:
    """True for a change that no habit in the room file and no reading asks for."""
    return task.routine and any("placeholder" in source for source in task.sources)


def _cautions(room: Room, days: tuple[tuple[dt.date, tuple[Task, ...]], ...]) -> list[str]:
    found = list(ALWAYS)
    every = [task for _, tasks in days for task in tasks]
    texts = " ".join(task.text for task in every)
    if "copper" in texts:
        found.insert(0, COPPER)
    usual = [task.tank for task in every if task.act == "change-water" and _is_usual(task)]
    found += [CHANGES.format(tank=shell_word(tank)) for tank in dict.fromkeys(usual)]
    stripped = next((task.tank for task in every if "disinfect" in task.text), None)
    if stripped is not None:
        found.append(how_to_disinfect(room, stripped))
        found.append(
            "bleach never with acid (chlorine gas) or ammonia (chloramines); rinse, and test to zero before any animal"
        )
    return found
