"""First steps for a fault of the water, before any medicine: the change in litres, the dilution of an overdose."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.dose import Dose
from pratique.dosing.work import MOST_AT_ONCE
from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.knowledge.model import Statement, Treatment, cite
from pratique.logbook.quotes import shell_word
from pratique.response.medicine import dose_for
from pratique.response.model import Act
from pratique.response.moments import Moments
from pratique.response.places import Destination, state_of
from pratique.response.scene import Case
from pratique.room.values import treatment_for
from pratique.schedule.calendar import plus_hours
from pratique.water.state import matching_litres
from pratique.water.volume import net_volume


def cause_now(case: Case, cause: str, when: Moments) -> tuple[Act, Act, Act]:
    """The three steps of the first minutes for a cause."""
    first = store.response().steps_for(cause).first
    return tuple(  # type: ignore[return-value]
        _act(case, cause, said, "now", plus_hours(when.now, index / 12)) for index, said in enumerate(first)
    )


def cause_then(case: Case, causes: tuple[str, ...], when: Moments) -> Iterator[Act]:
    """What follows for the first cause, and all the steps of the others."""
    for number, cause in enumerate(causes):
        steps = store.response().steps_for(cause)
        said = (*(steps.first if number else ()), *steps.then)
        for entry in said:
            yield _act(case, cause, entry, "hours", when.hours)
        yield from _commands(case, cause)


def _act(case: Case, cause: str, said: Statement, phase: str, at: object) -> Act:
    text = said.text
    amount = None
    tank = case.suspicion.tank
    if "CHANGE" in text:
        change, amount = _change(case, cause)
        text = _if_it_is_high(case, cause) + text.replace("CHANGE", change)
    text = text.replace("TANKNAME", shell_word(tank)).replace("TANK", tank)
    return Act(phase=phase, act=cause, text=text, at=at, tank=tank, amount=amount, source=cite(said))  # type: ignore[arg-type]


def _if_it_is_high(case: Case, cause: str) -> str:
    """Nobody has read it, or it read well: water is changed for what a reading shows, else the level is lost for it."""
    treatment = copper_in(case) if cause == "copper-overdose" else None
    ceiling = treatment.number("ceiling") if treatment is not None else None
    if ceiling is None or lowering(case) is not None:
        return ""
    return f"if it reads above {ceiling.value:g} mg/L, "


def _change(case: Case, cause: str) -> tuple[str, Figure]:
    """How many litres, and how many of them are mixed already."""
    litres, count = MOST_AT_ONCE * net_volume(case.water).figure.value, 1
    lowered = lowering(case) if cause == "copper-overdose" else None
    if lowered is not None and lowered.change is not None:
        litres, count = lowered.change.volume, lowered.change.count
    have = matching_litres(state_of(case))
    text = f"{digits(litres)} L" + (f", {count} times" if count > 1 else "")
    if lowered is None:
        text += f" ({MOST_AT_ONCE * 100:.0f} %)"
    needed = litres * count
    if have >= needed:
        return f"{text}; {digits(have)} L of mixed water match", Figure.exact(litres, "L")
    some = f"only {digits(have)} L of mixed water match" if have else "no mixed water on file matches"
    salt = " and the salt is on the shelf" if case.room.written.salt.left is not None else ""
    return f"{text}; {some}: begin with that, mix the rest{salt}", Figure.exact(litres, "L")


def copper_in(case: Case) -> Treatment | None:
    """The copper that is in the water by the file and the log."""
    held = [entry.treatment for entry in case.water.conditions.holds if entry.treatment.startswith("copper-")]
    planned = [e.treatment for e in case.scene.planned_in(case.water.name) if e.treatment.startswith("copper-")]
    return next((treatment_for(case.room, id_) for id_ in (*held, *planned)), None)


def lowering(case: Case) -> Dose | None:
    """The changes that bring a read overdose of copper down, as `pratique dose` works them out."""
    treatment = copper_in(case)
    if treatment is None or case.scene.level_in(case.water.name, treatment) is None:
        return None
    here = Destination(kind="here", tank=case.suspicion.tank, room=case.room, fill=None)
    answer = dose_for(case, here, treatment)
    return answer if isinstance(answer, Dose) and answer.change is not None else None


def _commands(case: Case, cause: str) -> Iterator[Act]:
    """The command that turns the next reading into a number."""
    tank = shell_word(case.suspicion.tank)
    text = command = ""
    if cause == "ammonia":
        text, command = "how much of it harms, and how much water that takes", f"pratique water {tank} --ammonia LEVEL"
    treatment = copper_in(case)
    if cause == "copper-overdose" and treatment is not None:
        text = "how many changes, from the reading"
        command = f"pratique dose {tank} {treatment.id} --reading LEVEL"
    if command:
        yield Act(phase="hours", act=cause, text=text, tank=case.suspicion.tank, command=command)
