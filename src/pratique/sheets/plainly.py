"""What a line of a day asks for in words that need no keeper: grams of salt, litres of a change, how to disinfect."""

from __future__ import annotations

import re
from dataclasses import replace

from pratique.figure import digits
from pratique.knowledge import store
from pratique.knowledge.model import cite
from pratique.logbook.quotes import shell_line
from pratique.room.resolve import Room
from pratique.schedule.model import Task
from pratique.water.mixing import SEA, salt_for, weighed
from pratique.water.state import look_at

_SHARE = re.compile(r"^change [\d.]+ %( of the water)?")


def with_salt(room: Room, task: Task) -> Task:
    """The task; where water is mixed for one tank, with the grams that takes (TEOS-10; how damp salt is: MEMORY)."""
    if task.act != "prepare-water" or task.amount is None or task.tank not in room.tanks:
        return task
    state = look_at(room, task.tank)
    said = state.water.conditions.salinity
    aim = state.salinity if state.salinity is not None else SEA
    goal = f"{said.text}, as on file" if said is not None else f"{SEA:g} g/kg, unless the tank reads otherwise"
    salt = salt_for(task.amount.value, aim, state.warmth).salt
    purity = store.water_figures().needed("salt_purity")
    return replace(
        task, text=f"{task.text}; weigh {weighed(salt)}: to {goal}", sources=(*task.sources, cite(purity))
    )


def in_litres(room: Room, task: Task) -> str:
    """`change 25 %` as what is taken out and poured in; and what the new water should read, where that is on file."""
    if task.amount is None or not _SHARE.match(task.text):
        return task.text
    text = _SHARE.sub(f"take out {digits(task.amount.value)} L and pour in as much", task.text)
    said = room.water_of(task.tank).conditions if task.tank in room.tanks else None
    known = [measure.text for measure in (said.salinity, said.temperature) if measure is not None] if said else []
    return f"{text}; on file: {', '.join(known)}" if known else text


def how_to_disinfect(room: Room, tank: str) -> str:
    """Where the amount and the steps of a disinfection stand."""
    if not _has_bleach(room):
        return "disinfect with bleach: none is on file; `pratique why chlorine-disinfection` says what it takes"
    line = shell_line(["pratique", "dose", tank, "chlorine-disinfection"])
    return f"disinfect with bleach: `{line}` has the amount and every step"


def disinfected_by_another(room: Room, tank: str) -> str:
    """The same for somebody who has no program: only by a sheet on paper."""
    by = f"with bleach, only by the sheet `Clean · {tank}`" if _has_bleach(room) else "only by a sheet of the keeper's"
    return f"disinfect {by}; if none hangs here, scrub and rinse, leave it empty, and call"


def _has_bleach(room: Room) -> bool:
    return any(product.active == "chlorine" for product in room.written.shelf.values())
