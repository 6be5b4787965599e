"""The sheet for somebody who stands in: plain words, what may wait, what never to do, a line for phone numbers."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping

from pratique.history.events import Bottle
from pratique.logbook.ids import slug
from pratique.room.resolve import Room
from pratique.schedule.model import OVER, Plan, Task
from pratique.schedule.slip import Slip, slip_of
from pratique.schedule.suits import fish_in
from pratique.sheets import words
from pratique.sheets.acts import figure_cell
from pratique.sheets.bottles import too_little_left
from pratique.sheets.day import not_on_record
from pratique.sheets.limits import band_here, together, when_to_call
from pratique.sheets.plainly import disinfected_by_another, in_litres, with_salt
from pratique.sheets.rows import Cell, Column, Facts, Lines, Part, Sheet, Table

NEVER = (
    "give no medicine but what is written here, and never more than is written",
    "put no new fish, plant or stone into any tank, and no fish from one tank into another unless it is written here",
    "use nothing wet from one tank in another: net, cup, hose and hands; wash and dry your hands in between",
    "pour nothing of this water into a drain or a stream but where you were shown",
    "switch off and unplug before you reach into the water; never for fish that may be eaten",
)
CALL = (
    "a fish gasps, lies on its side, or has dust, spots or wounds that are not written down here",
    "a fish is missing or dead: take a dead one out at once, bag it, keep it cold, write down when",
    "a pump, a heater or the power is off, or there is water on the floor",
    "something on this sheet cannot be done by its hour: call before the hour, not after it",
)
LINE = "_" * 24
MEASURED = {"g": "weighed", "mL": "measured with a syringe"}


def deputy_sheet(
    room: Room,
    plan: Plan,
    days: tuple[tuple[dt.date, tuple[Task, ...]], ...],
    at: dt.datetime,
    *,
    who: str,
    note: str = "",
    is_logged: bool = True,
    bottles: Mapping[str, Bottle] | None = None,
) -> Sheet:
    """One page for the dates of `days`; `note` is for the keeper, at its head. `is_logged`: something is on record.

    `bottles`: what the log left in each.
    """
    treatments = {
        (batch.batch.name, slug(stage.name)): stage.treatment for batch in plan.batches for stage in batch.stages
    }
    first, last = days[0][0], days[-1][0]
    span = words.day(first, at=at) + (f" to {words.day(last, at=at)}" if last != first else "")
    parts: list[Part] = [Lines(lines=(Cell(note, "due"),))] if note else []
    parts += [] if is_logged else not_on_record(plan, last, at)
    parts += too_little_left(days, bottles or {})
    parts += [phones(room), Lines(title="Never", lines=_cells(NEVER), bullet="·")]
    heads = {batch.batch.name: fish_in(batch.batch) for batch in plan.batches}
    for date, tasks in days:
        open_ = together(room, [task for task in tasks if task.state not in OVER], treatments)
        parts.append(_day(room, date, open_, (treatments, heads), at))
    read = when_to_call(room, plan, [date for date, _ in days])
    parts.append(Lines(title="Call at once if", lines=_cells([*CALL, *read]), bullet="·"))
    return Sheet(title=f"For {who} · {room.name} · {span}", parts=tuple(parts))


def _cells(texts: Iterable[str]) -> tuple[Cell, ...]:
    return tuple(Cell(text) for text in texts)


def phones(room: Room) -> Facts:
    """Lines for the numbers of those who can help; the veterinarian by name where the room file has one."""
    veterinarian = room.written.room.veterinarian
    return Facts(
        title="Who to call",
        pairs=(
            ("the keeper", Cell(LINE)),
            ("if not reached", Cell(LINE)),
            ("veterinarian", Cell(f"{veterinarian}  {LINE}" if veterinarian else LINE)),
        ),
    )


Known = tuple[Mapping[tuple[str, str], str], Mapping[str, int]]
"""What each stage (batch, its name in ids) is done with, and how many animals each batch has."""


def _day(room: Room, date: dt.date, tasks: list[Task], known: Known, at: dt.datetime) -> Part:
    heading = words.day(date, at=at)
    if not tasks:
        return Lines(title=heading, lines=(Cell("nothing is to be done this day"),))
    columns = (
        Column("", "id", lead=True),
        Column("Time", "id", lead=True),
        Column("Tank", "id", lead=True),
        Column("Amount", "number"),
        Column("What to do", "prose"),
        Column("May it wait?", "prose"),
    )
    rows = tuple(
        (
            Cell("☐"),
            Cell(f"{task.at:%H:%M}", "due" if task.deadline else ""),
            Cell(task.tank),
            figure_cell(room, task),
            Cell(plain_words(room, task, known[1].get(task.batch), _treatment(task, known[0]))),
            Cell(_wait(task, slip_of(task, _treatment(task, known[0])))),
        )
        for task in tasks
    )
    return Table(title=heading, columns=columns, rows=rows)


def _treatment(task: Task, treatments: Mapping[tuple[str, str], str]) -> str:
    parts = task.id.split("/")
    return treatments.get((task.batch, parts[1]), "") if len(parts) > 1 else ""


def plain_words(room: Room, task: Task, heads: int | None = None, treatment: str = "") -> str:
    """The act as it is said to somebody who does not keep fish; `heads` is how many should be there."""
    text = task.text
    band = band_here(room, treatment) if text.startswith("copper") else None
    in_band = f"; it should be from {band[0]} to {band[1]} {band[2]}, else call" if band is not None else ""
    match task.act:
        case "look" if "none of them a fish" in text:
            return f"look at {text}"
        case "look":
            written = re.search(r"\((\d+)[,)]", text)
            count = written[1] if written is not None else heads
            there = f" (there should be {count})" if count is not None else ""
            return f"look at every fish and count them{there}; {text.partition('; ')[2] or text}"
        case "feed":
            return "a little food; stop when they stop, take out what is left; write down who does not eat"
        case "signs" | "trace":
            said = text.removeprefix("signs SEEN ").partition(". `")[0].partition(": `")[0]
            return f"CALL THE KEEPER before anything else here, and give nothing: {said}"
        case "test" if task.urgent:
            return f"{text.replace('; nothing more is given before', '')}; CALL with the number"
        case "test":
            what = text.partition(": ")[0] if text.startswith("copper") else text
            return f"test {what}: write down the number{in_band}"
        case "dose" | "redose" if "`pratique" in text or task.refused or (task.amount is None and not task.routine):
            return f"DO NOT GIVE without a call: {text.partition(';')[0].partition(', only')[0]}"
        case "dose" | "redose" if task.amount is not None and task.product and not task.routine:
            how, much = MEASURED.get(task.amount.unit, "counted"), words.amount(task.amount, room)
            return f"give {much} of {task.product}, {how} and no more; {text.partition(':')[0]}"
        case "prepare-water":
            return with_salt(room, task).text
        case "change-water":
            return text if text.startswith("read copper first") else in_litres(room, task)
        case "strip" if "disinfect" in text:
            return f"{text}; {disinfected_by_another(room, task.tank)}"
        case "dry":
            return f"dry {text}"
        case _:
            return text


def _wait(task: Task, slip: Slip) -> str:
    if not slip.may:
        return f"NO, by {words.moment(task.until)}" if task.deadline else "no"
    if slip.until is not None:
        return f"until {words.moment(slip.until)}"
    return "a day"
