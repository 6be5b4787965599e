"""Tonight, tomorrow and the days after: looks, tests, the change with its redose, food, the steps that wait."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.dose import Dose
from pratique.dosing.work import active_in
from pratique.figure import Figure, digits, plain
from pratique.knowledge.model import cite
from pratique.logbook.quotes import shell_word
from pratique.quantity import Measure
from pratique.response.chosen import Chosen
from pratique.response.giving import after_rest, say
from pratique.response.medicine import dose_for, presses, shown
from pratique.response.model import Act, Phase
from pratique.response.moments import Moments
from pratique.response.needs import is_given_once_bought
from pratique.response.scene import Case
from pratique.room.values import treatment_for
from pratique.schedule.calendar import plus_hours
from pratique.water.changes import to_put_back
from pratique.water.feeding import Outlook
from pratique.water.mixing import salt_for, weighed
from pratique.water.standing import find_standing, next_change
from pratique.water.state import look_at, matching_litres


@dataclass(frozen=True, slots=True, kw_only=True)
class Tomorrow:
    """The change of the next morning: its L, the part of the water it is, and what the forecast rests on."""

    litres: float
    share: float
    outlook: Outlook | None


def change_of(case: Case, chosen: Chosen) -> Tomorrow | None:
    """What is changed tomorrow in the place the fish are in; None where a filter lives there, or nobody moves."""
    place = chosen.place
    if place.each or not case.movers or place.water.conditions.cycled:
        return None
    state = look_at(place.room, place.tank)
    standing = find_standing(state, case.movers)
    share = next_change(standing)
    return Tomorrow(litres=share * state.litres.value, share=share, outlook=standing.outlook)


def tonight(case: Case, chosen: Chosen, when: Moments) -> Iterator[Act]:
    """The last hours of the day."""
    place, change = chosen.place, change_of(case, chosen)
    text = f"{place.tank}: breathing, balance, who is where; dark, air on through the night"
    yield _act("tonight", "look", text, at=when.tonight, tank=place.tank)
    held = chosen.taken("held")
    if held is not None and held.treatment.startswith("copper-") and presses(case):
        text = f"read copper in {place.tank}, and write it down: nothing more goes in by the calendar"
        yield _act("tonight", "test", text, tank=place.tank, source="COMMON, practice A2: twice a day at first (C)")
    text, source = say("feeding")
    yield _act("tonight", "feed", text, tank=place.tank, source=source)
    if change is not None:
        yield from _mix_for_tomorrow(case, chosen, change)


def _mix_for_tomorrow(case: Case, chosen: Chosen, change: Tomorrow) -> Iterator[Act]:
    fill, state = chosen.place.fill, look_at(case.room, case.suspicion.tank)
    have = fill.left_over if fill is not None else matching_litres(state)
    short = change.litres - have
    if short <= 0:
        takes, mixed = (f"{digits(litres)} L" for litres in (change.litres, have))
        text = f"tomorrow's change takes {takes}; {mixed} are mixed: heat and aerate them"
        yield _act("tonight", "mix", text, amount=Figure.exact(change.litres, "L"))
        return
    left = case.room.written.salt.left
    used = fill.salt.high * (1 - fill.own / fill.to_mix) if fill is not None and fill.salt is not None else 0.0
    if state.salinity is None or left is None or left.value - used <= 0:
        missing = f"{digits(short)} L"
        text = f"{missing} of salt water are missing for tomorrow's change: salt is the first thing to buy"
        yield _act("tonight", "mix", text)
        return
    salt = salt_for(short, state.salinity, state.warmth).salt
    text = f"mix {digits(short)} L for tomorrow's change: {weighed(salt)}"
    if left.value - used < salt.high:
        text += f"; the salt may not last, {digits(max(left.value - used, 0))} g are left"
    yield _act("tonight", "mix", text, amount=Figure.exact(short, "L"))


def tomorrow(case: Case, chosen: Chosen, when: Moments) -> Iterator[Act]:
    """The next morning."""
    place = chosen.place
    who = f" ({when.who})" if when.who else ""
    text = f"count heads{who}: the dead out, who breathes, who comes to food"
    yield _act("tomorrow", "look", text, at=when.tomorrow, tank=place.tank, who=when.who)
    yield from _change(case, chosen, when)
    yield from _once_it_is_there(case, chosen)
    yield from after_rest(case, chosen)
    held = chosen.taken("held")
    copper = held is not None and held.treatment.startswith("copper-")
    text, source = say("feeding", 1) if copper else say("feeding", 2)
    yield _act("tomorrow", "feed", text, tank=place.tank, source=source)
    text, source = say("bacteria")
    yield _act("tomorrow", "veterinarian", text, source=source)
    if copper:
        text, source = say("bacteria", 1)
        yield _act("tomorrow", "veterinarian", text, source=source)
    tank = shell_word(case.suspicion.tank)
    text = f"who else may have it: everything that was in {case.water.name}, or wet from it, of late"
    yield _act("tomorrow", "trace", text, source="COMMON, practice A9 (C)", command=f"pratique trace {tank}")


def _once_it_is_there(case: Case, chosen: Chosen) -> Iterator[Act]:
    """The held treatment that only lacks its bottle or kit: what a bath leaves comes back until it is begun."""
    place = chosen.place
    if chosen.taken("held") is not None or place.kind != "tank" or not case.movers:
        return
    held = (option for option in chosen.options if option.role == "held")
    lacks = next((option for option in held if is_given_once_bought(case, chosen, option)), None)
    if lacks is None:
        return
    bath = chosen.taken("bath")
    leaves = f": {bath.title} leaves {bath.leaves}" if bath is not None else ""
    text = f"{lacks.title} into {place.tank} as soon as what lacks is there{leaves}"
    command = f"pratique dose {shell_word(place.tank)} {lacks.treatment}"
    yield _act("tomorrow", lacks.treatment, text, tank=place.tank, source=lacks.source, command=command)


def _change(case: Case, chosen: Chosen, when: Moments) -> Iterator[Act]:
    place, change = chosen.place, change_of(case, chosen)
    if not case.movers or place.water.conditions.cycled:
        return
    text, source = say("ammonia")
    if change is None:
        yield _act("tomorrow", "test", f"{place.tank}: {text}", tank=place.tank, source=source)
        return
    fouls = _fouls(change)
    yield _act("tomorrow", "test", f"{place.tank}: {text}{fouls}", tank=place.tank, source=source)
    text, source = say("ammonia", 1)
    yield _act("tomorrow", "test", text, source=source)
    yield _redose(case, chosen, when, change)


def _fouls(change: Tomorrow) -> str:
    if change.outlook is None or change.outlook.forecast.to_correct is None:
        return ""
    hours = change.outlook.forecast.to_correct
    low, high = math.floor(hours.low), math.floor(hours.high)  # never later than it is
    when = f"after {low} to {high} h" if low else f"within the first hour, or after {high} h at best"
    return f"; fed as usual, it would have to be corrected {when if high else 'within the first hour'}"


def _redose(case: Case, chosen: Chosen, when: Moments, change: Tomorrow) -> Act:
    """The change, and what its new water gets if the level is still what tonight's addition left."""
    place, held = chosen.place, chosen.taken("held")
    text = f"change {digits(change.litres)} L of {place.tank} ({change.share * 100:.0f} %)"
    amount = Figure.exact(change.litres, "L")
    begun = held is not None and presses(case)
    if not begun or held is None or not isinstance(held.answer, Dose) or not held.answer.steps or place.kind == "tub":
        return _act("tomorrow", "change-water", text, tank=place.tank, amount=amount, command="")
    level = held.answer.steps[0].after
    treatment = treatment_for(case.room, held.treatment)
    reading = Measure(level.value, level.unit, level.value, level.value, f"{digits(level.value)} {level.unit}")
    if level.value < held.answer.band.low:
        back = to_put_back(level.value, change.litres) / active_in(held.answer, case.room).per_unit
        amount_back = shown(case, Figure.exact(back, held.answer.add.unit))
        text += f"; the new water gets {amount_back} of {held.answer.product}, which keeps {shown(case, level)}"
        text += "; the next step waits for its day"
        return _act("tomorrow", "change-water", text, tank=place.tank, amount=amount)
    litres = Measure(change.litres, "L", change.litres, change.litres, f"{change.litres:.4g} L")
    answer = dose_for(case, place, treatment, reading=reading, change_litres=litres, at=when.tomorrow)
    command = f"{held.command} --change '{change.litres:.4g} L' --reading LEVEL"
    if isinstance(answer, Dose) and answer.change is not None and answer.change.add is not None:
        into = answer.change.add
        text += (
            f"; if the reading is {shown(case, level)}, the new water gets {shown(case, into)} of {answer.product}, "
            "else by the command"
        )
    return _act("tomorrow", "change-water", text, tank=place.tank, amount=amount, command=command)


def later(case: Case, chosen: Chosen) -> Iterator[Act]:
    """Steps of the ramp that wait for a reading, a second dose after the eggs, how long it is held."""
    if chosen.taken("bath") is not None:
        text, source = say("bath-again")
        yield _act("later", "bath", text, source=source)
    held = chosen.taken("held")
    if held is None or not isinstance(held.answer, Dose):
        return
    dose, treatment = held.answer, treatment_for(case.room, held.treatment)
    for number, step in enumerate(dose.steps[1:], 2):
        text = f"step {number}: {shown(case, step.add)} of {dose.product}, to {shown(case, step.after)}"
        text += f"; {step.waits_for}"
        yield _act("later", held.treatment, text, at=step.at, tank=dose.tank, amount=step.add, command=held.command)
    said = case.water.conditions.temperature
    second = treatment.number("second_dose", said.value if said is not None else None)
    if second is not None:
        text = f"{held.title}: the second dose, once eggs have hatched and before the new worms lay"
        at = plus_hours(case.at, second.value)
        yield _act("later", held.treatment, text, at=at, tank=dose.tank, command=held.command,
                   source=cite(second))  # fmt: skip
    course = treatment.number("course")
    if course is not None:
        days = plain(course.value / 24)
        same = treatment.number("course_same_tank")
        stay = f", or {plain(same.value / 24)} where they stay in it" if same is not None else ""
        text = f"{held.title}: {days} days in band, then a clean tank{stay}; they count from the first reading in band"
        yield _act("later", held.treatment, text, tank=dose.tank,
                   source=cite(course))  # fmt: skip


def _act(phase: Phase, act: str, text: str, *, at: dt.datetime | None = None, **more: object) -> Act:
    return Act(phase=phase, act=act, text=text, at=at, **more)  # type: ignore[arg-type]
