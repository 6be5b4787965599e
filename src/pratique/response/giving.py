"""What goes into the fish's water or their vessel: the dip, rest, the bath, the first addition of the held medicine."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pratique.dosing.dip import Dip
from pratique.dosing.dose import Dose
from pratique.figure import Figure, digits, plain
from pratique.knowledge import store
from pratique.knowledge.model import cite
from pratique.response.chosen import Chosen
from pratique.response.medicine import begins_at, presses, shown
from pratique.response.model import Act, Option
from pratique.response.places import state_of
from pratique.response.scene import Case
from pratique.water.mixing import salt_for, weighed
from pratique.water.state import matching_litres


def say(id_: str, number: int = 0) -> tuple[str, str]:
    """A sentence of the knowledge file, and who says it."""
    said = store.response().said(id_)[number]
    return said.text, cite(said)


def hours_act(act: str, text: str, **more: object) -> Act:
    """One thing to do in the first hours."""
    return Act(phase="hours", act=act, text=text, **more)  # type: ignore[arg-type]


def in_vessels(case: Case, chosen: Chosen) -> Iterator[Act]:
    """The dip, rest, then the bath; each a sheet of its own behind the command."""
    dip, bath = chosen.taken("dip"), chosen.taken("bath")
    for option in (dip, bath):
        if option is None or not isinstance(option.answer, Dip):
            continue
        if option is bath and dip is not None:
            text, source = say("rest")
            yield hours_act("rest", text, source=source)
        if option is bath and not presses(case):
            continue
        if option.treatment == "formalin-bath":
            for number in range(2):
                text, source = say("formalin", number)
                yield hours_act("formalin", text, source=source)
        if option is bath:
            yield from _water_first(case, chosen)
        yield from _dip_notes(option.answer)
        yield _dip_act(case, option, option.answer)
        if option is bath:
            yield from _back_into_clean(case, chosen)


def _dip_notes(dip: Dip) -> Iterator[Act]:
    """What the dip's own sheet says to know."""
    for note in dip.notes:
        yield hours_act(dip.treatment.id, f"{dip.treatment.title}: {note}")


def _is_emptied(chosen: Chosen) -> bool:
    """True where there is no other tank and no held medicine: the tank itself is emptied while the fish are bathed."""
    return chosen.place.kind == "here" and chosen.taken("held") is None


def _water_first(case: Case, chosen: Chosen) -> Iterator[Act]:
    """What is missing of the new water is mixed before the bath: nobody can do it within its minutes."""
    state = state_of(case)
    mixed = matching_litres(state)
    short = state.litres.value - mixed
    if not _is_emptied(chosen) or short <= 0:
        return
    text, source = say("back-into-clean", 2)
    takes, there, missing = (f"{digits(litres)} L" for litres in (state.litres.value, mixed, short))
    how = ""
    if state.salinity is not None:
        fresh, _ = say("fresh-mix")
        how = f": {weighed(salt_for(short, state.salinity, state.warmth).salt)}; {fresh}"
    said = f"{chosen.place.tank} takes {takes} and {there} are mixed: mix {missing} in clean tubs first{how}; {text}"
    yield hours_act("mix", said, tank=chosen.place.tank, amount=Figure.exact(short, "L"), source=source)


def _back_into_clean(case: Case, chosen: Chosen) -> Iterator[Act]:
    """What becomes of the tank during the bath, and of the fish that are out of it first."""
    if not _is_emptied(chosen):
        return
    state, tank = state_of(case), chosen.place.tank
    litres, mixed = state.litres.value, matching_litres(state)
    text, source = say("back-into-clean")
    new = f"{tank}: {text}: {digits(litres)} L"
    if mixed >= litres:
        new += f", and {digits(mixed)} L are mixed"
    yield hours_act("clean", new, tank=tank, amount=Figure.exact(litres, "L"), source=source)
    text, source = say("back-into-clean", 1)
    yield hours_act("clean", text, tank=tank, source=source)


def _dip_act(case: Case, option: Option, dip: Dip) -> Act:
    minutes = plain(dip.minutes.value)
    what = f"{option.title}, {minutes} min in {dip.vessel} ({digits(dip.water.value)} L)"
    amount = None
    if dip.dose is not None:
        amount = dip.dose.add
        what += f": {shown(case, amount)} of {dip.dose.product}"
    text = f"{what}, for {dip.label}, a few at a time; stay, the sheet says when to stop; {option.does}"
    return hours_act(option.treatment, text, amount=amount, source=option.source, command=option.command)


def after_rest(case: Case, chosen: Chosen) -> Iterator[Act]:
    """What waits for the day of rest, where nothing presses: the bath, and the first addition of the held medicine."""
    bath = chosen.taken("bath")
    if presses(case) or (bath is None and chosen.taken("held") is None):
        return
    text, source = say("day-of-rest")
    yield Act(phase="tomorrow", act="rest", text=text, at=begins_at(case), tank=chosen.place.tank, source=source)
    if bath is not None and isinstance(bath.answer, Dip):
        if bath.treatment == "formalin-bath":
            for number in range(2):
                text, source = say("formalin", number)
                yield Act(phase="tomorrow", act="formalin", text=text, source=source)
        yield replace(_dip_act(case, bath, bath.answer), phase="tomorrow")
    for act in first_dose(case, chosen):
        yield replace(act, phase="tomorrow")


def _holds_it(case: Case, chosen: Chosen, treatment: str) -> bool:
    """True where the water the fish are treated in holds the medicine, by the room file, the log or the plan."""
    if chosen.place.kind == "tub":
        return False
    water = chosen.place.water
    held = [holds.treatment for holds in water.conditions.holds]
    return treatment in (*held, *(planned.treatment for planned in case.scene.planned_in(water.name)))


def first_dose(case: Case, chosen: Chosen) -> Iterator[Act]:
    held = chosen.taken("held")
    if held is None or not isinstance(held.answer, Dose):
        return
    dose, place = held.answer, chosen.place
    why = next((p for p in map(store.response().presses, case.cover) if p is not None), None)
    each = f"for each {digits(dose.water.value)} L poured in: " if place.each else ""
    if not dose.steps:
        text = f"{held.title} in {place.tank}: nothing to add now, {shown(case, dose.before)} is there"
        if (change := dose.change) is not None:
            litres = f"{digits(change.volume)} L"
            text = f"{held.title} in {place.tank}: too high; change {litres}, {change.count} times"
        yield hours_act(held.treatment, text, tank=place.tank, source=held.source, command=held.command)
        return
    first = dose.steps[0]
    text = (
        f"{held.title} into {place.tank}: {each}{shown(case, first.add)} of {dose.product}, "
        f"to {shown(case, first.after)}"
    )
    if len(dose.steps) > 1:
        text += f" (step 1 of {len(dose.steps)})"
    if why is not None:
        text += f"; {why.text}"
    if case.suspicion.standing and _holds_it(case, chosen, held.treatment):
        text = (
            f"{held.title} may be in {place.tank} already: READ IT FIRST, then give only what "
            f"`{held.command} --reading …` says; to water that holds none: {shown(case, first.add)} of {dose.product}, "
            f"to {shown(case, first.after)}"
        )
    source = held.source if why is None else cite(why)
    yield hours_act(held.treatment, text, tank=place.tank, amount=first.add, source=source, command=held.command)
