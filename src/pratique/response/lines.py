"""The lines for the log, as they are typed: what was seen, who died, who moved, what went in."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.dip import Dip
from pratique.dosing.dose import Dose
from pratique.figure import plain
from pratique.logbook.quotes import shell_word
from pratique.response.chosen import Chosen
from pratique.response.medicine import shown
from pratique.response.scene import Case


def log_lines_for(case: Case, chosen: Chosen | None) -> tuple[str, ...]:
    """Commands that write down what the sheet has done; a tub that is no tank of the file gets none."""
    return tuple(_lines(case, chosen))


def _lines(case: Case, chosen: Chosen | None) -> Iterator[str]:
    tank = shell_word(case.suspicion.tank)
    if case.suspicion.signs:
        yield f"pratique log sign {tank} {' '.join(case.suspicion.signs)}"
    for name in dict.fromkeys(case.suspicion.dead):
        count = case.suspicion.dead.count(name)
        yield f"pratique log death {tank} {count} {shell_word(name)}"
    if chosen is None or chosen.place.kind == "none":
        return
    for option in (chosen.taken("dip"), chosen.taken("bath")):
        if option is None or not isinstance(option.answer, Dip) or not case.fish:
            continue
        minutes = plain(option.answer.minutes.value)
        added = ""
        if option.answer.dose is not None:
            added = f" with {shown(case, option.answer.dose.add)} of {shell_word(option.answer.dose.product)}"
        yield f"pratique log dip {shell_word(case.fish[0].label)} {option.treatment} for {minutes} min{added}"
    if chosen.place.kind == "tub":
        return
    into = shell_word(chosen.place.tank)
    if chosen.place.kind == "tank":
        for animal in case.movers:
            yield f"pratique log move {animal.count} {shell_word(animal.label)} from {tank} to {into}"
    held = chosen.taken("held")
    if held is not None and isinstance(held.answer, Dose) and held.answer.steps:
        amount = shown(case, held.answer.steps[0].add)
        yield f"pratique log dose {into} {held.treatment} {amount} of {shell_word(held.answer.product)}"
