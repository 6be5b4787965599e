"""The batch taken in, moved along a series, and moved on: each with the tanks made ready and cleared up behind."""

from __future__ import annotations

import datetime as dt

from pratique.knowledge.model import Treatment, cite
from pratique.problem import plural
from pratique.room.resolve import Tank
from pratique.schedule.calendar import instant, plus_hours, shown
from pratique.schedule.tank_work import clear_up, make_ready, mix_water
from pratique.schedule.tasks import TaskList
from pratique.schedule.timeline import Due, Timeline

IN_THE_BAG = 2.0
"""Hours from arrival in which the animals should be out of the bag."""


def arrive(work: TaskList, stage: str, tank: Tank, treatment: Treatment, *, done: bool = False) -> None:
    """The tank made ready, and the batch taken in."""
    batch = work.batch
    make_ready(work, stage, tank, batch.arrives, treatment)
    came = work.basis.room.batches[batch.name].head_count if done else batch.head_count
    text = (
        f"{plural(came, 'animal')} from {batch.written.source} into {tank.name}: worst bag first, lights low; "
        "measure the bag's pH, salinity and temperature and match the tank to it, down rather than up; "
        "no bag water into the tank"
    )
    work.add(
        stage,
        "arrive",
        batch.arrives,
        tank.name,
        text,
        until=plus_hours(batch.arrives, IN_THE_BAG),
        sources=("COMMON, practice A11 and B33 (C)",),
        reason="the arrival on record" if done else "the arrival that was announced",
        done_at=batch.arrives if done else None,
    )


def transfers(
    work: TaskList, stage: str, path: tuple[Tank, ...], line: Timeline, treatment: Treatment, reason: str
) -> None:
    """Moves along `path`: the tanks of the series in order, and last the one the next stage is in.

    Where the path is shorter than the moves, nobody knows where the rest of them go.
    """
    temperatures = [work.basis.temperature(tank) for tank in path[:2]]
    intervals = [number for t in temperatures if (number := treatment.number("interval", t)) is not None]
    source = min(intervals, key=lambda number: number.value, default=None)  # none where nobody took the temperature
    last = len(line.moves) - 1
    for index, move in enumerate(line.moves[: len(path) - 1]):
        old, new = path[index], path[index + 1]
        if index < last:
            _fill_for_move(work, stage, new, move.at, first=index == 0)
        net = f" ({work.basis.gear[index % len(work.basis.gear)]}, dry)" if work.basis.gear else ", clean and dry"
        when = f"by {shown(move.until)}"
        if move.is_late:
            when = f"{_as_late_as(work, move)}, it was due by {shown(move.until)},"
        text = f"move every fish from {old.name} to {new.name} {when} with net or cup{net}; as little water as can be"
        work.add(
            stage,
            "transfer",
            move.at,
            new.name,
            f"{text}; {move.note}" if move.note else text,
            until=move.until,
            sources=(cite(source),) if source is not None else (),
            deadline=True,
            reason=f"{reason}: at most {line.interval:g} elapsed hours after the last, move {index + 1} of {last + 1}",
            done_at=move.at if move.done else None,
        )
        back = range(index + 2, min(last + 1, len(path)))
        again = next((line.moves[later - 1].at for later in back if path[later] is old), None)
        clear_up(work, stage, old, move.at, again=again)


def _as_late_as(work: TaskList, move: Due) -> str:
    """Now; or when the tank it goes into is dry, where that is later."""
    history = work.basis.history
    now = work.basis.calendar.first_from(history.at) if history is not None else None
    waits = now is not None and instant(move.at) > instant(now)
    return f"on {shown(move.at)}, when that is dry" if waits else "now"


def _fill_for_move(work: TaskList, stage: str, tank: Tank, at: dt.datetime, *, first: bool) -> None:
    mix_water(work, stage, tank, at, apart=True)
    text = "fill the dry tank with the mixed water; heater, air and pipe in; salinity and temperature as in the other"
    if first and not tank.written.lid:
        text += "; cover it: there is no lid on file"
    work.add(stage, "set-up", at, tank.name, text, until=at, reason="the fish go into a tank that was dry until now")


def move_on(
    work: TaskList,
    stage: str,
    old: Tank,
    new: Tank,
    at: dt.datetime,
    *,
    due: dt.datetime | None = None,
    done: bool = False,
) -> None:
    """From the tank of one stage to that of the next; `due` is when it should have been, where that has passed."""
    text = f"move every fish from {old.name} to {new.name}; drip to match over an hour, none of the old water"
    work.add(
        stage, "move", at, new.name, text, until=due, reason=f"{stage} ends", done_at=at if done else None
    )  # fmt: skip
    clear_up(work, stage, old, at)
