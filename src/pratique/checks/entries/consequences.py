"""What has to be said at once of an entry that does harm: too much of a medicine, a display exposed, a batch dead."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeGuard

from pratique.checks.entries.day_sheets import DaySheets
from pratique.checks.hard_to_believe import doubtful_readings
from pratique.dosing.aim import find_aim
from pratique.dosing.product import active_of
from pratique.figure import digits
from pratique.logbook.entry import Arrival, Common, Death, Dose, Move, Sign, WaterChange
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem, plural, quoted
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.feeds import gives
from pratique.schedule.occupants import residents_now
from pratique.schedule.put_in import put_in
from pratique.schedule.reckoned import reckoned_level, too_high
from pratique.schedule.recorded import medicines_on_record
from pratique.schedule.track import only_in_display
from pratique.schedule.urgent.overdose import overdose_problem
from pratique.water.volume import net_volume


def consequences_of(room: Room, sheets: DaySheets, later: DaySheets, entries: Sequence[Common]) -> Iterator[Problem]:
    """Each new entry as it stands in the history that has it (`later`)."""
    if any(isinstance(entry, Sign) for entry in entries):
        known = set(sheets.plan.problems)
        yield from (found for found in later.plan.problems if found.code == "S530" and found not in known)
    yield from doubtful_readings(room, later.history, entries)
    poured = [entry for entry in entries if isinstance(entry, WaterChange) or _is_into_tank(entry)]
    for tank in dict.fromkeys(entry.tank for entry in poured if entry.tank in room.tanks):
        yield from _too_much(room, later, tank)
    changed = [entry.tank for entry in entries if isinstance(entry, WaterChange) and entry.tank in room.tanks]
    for tank in dict.fromkeys(changed):
        yield from _too_little(room, later, tank)
    batches = [entry.batch for entry in entries if isinstance(entry, (Arrival, Move)) and entry.batch in room.batches]
    for batch in dict.fromkeys(batches):
        yield from _exposed(room, later, batch or "")
    dead = [entry.batch for entry in entries if isinstance(entry, Death) and entry.batch in room.batches]
    for batch in dict.fromkeys(dead):
        yield from _closed(later, batch or "")
    fish = {animal.label for animal in room.residents if animal.group.is_fish}
    at_home = [entry.tank for entry in entries if isinstance(entry, Death) and not entry.batch and entry.animal in fish]
    for tank in dict.fromkeys(tank for tank in at_home if tank in room.tanks):
        yield from _died_at_home(room, later, tank)


def _too_much(room: Room, later: DaySheets, tank: str) -> Iterator[Problem]:
    """A level that by reckoning lies above what is allowed."""
    water, history = room.tanks[tank].water, later.history
    for id_ in medicines_on_record(room, history, water):
        high = too_high(history, treatment_for(room, id_), water, history.at)
        if high is not None:
            yield overdose_problem(high, room.place(room.waters[water].path, key=True), "L748")


def _is_into_tank(entry: Common) -> TypeGuard[Dose]:
    return isinstance(entry, Dose) and entry.into == "tank"


def _too_little(room: Room, later: DaySheets, tank: str) -> Iterator[Problem]:
    """A level that was held, and after a change of water lies below its band by reckoning."""
    water, history = room.waters[room.tanks[tank].water], later.history
    for id_ in medicines_on_record(room, history, water.name):
        treatment = treatment_for(room, id_)
        aim = find_aim(treatment, None, water.conditions.temperature.value if water.conditions.temperature else None)
        found = reckoned_level(history, treatment, water.name, history.at)
        if aim is None or found is None or not found.is_whole or not _is_held(room, later, id_, water.name):
            continue
        level, floor = found.level.value, aim.target.low
        if floor is None or level >= floor:
            continue
        given = [entry for entry in put_in(history.of_water(water.name)) if gives(room, treatment, entry)]
        bottle = active_of(room, given[-1].product)
        lacking = (aim.level - level) * net_volume(water).figure.value / bottle.per_unit
        yield Problem(
            code="L756",
            severity="warning",
            message=f"by reckoning {quoted(tank)} holds {aim.says(level)} of {treatment.active} after this change, "
            f"below the {aim.says(floor)} that has to be held",
            places=(room.place(water.path, key=True),),
            note="the dose on the sheet is for a change with its copper; it is no longer on it",
            hint=f"read it, then `pratique dose {shell_word(tank)} {id_} --reading …` says what brings it back: by "
            f"reckoning {digits(lacking)} {bottle.unit} of {given[-1].product} in all, and none before the reading",
        )


def _is_held(room: Room, later: DaySheets, treatment: str, water: str) -> bool:
    """True while a batch is held in a medicine in a water, and its days are not full."""
    stages = [stage for plan in later.plan.batches if plan.begun and not plan.over for stage in plan.stages]
    return any(
        stage.kind == "hold"
        and stage.treatment == treatment
        and room.tanks[stage.tank].water == water
        and not stage.over
        and (stage.state is None or not stage.state.is_finished)
        for stage in stages
    )


def _exposed(room: Room, later: DaySheets, batch: str) -> Iterator[Problem]:
    """A batch that has been nowhere but in a display."""
    visit = only_in_display(room, later.history, batch)
    if visit is None:
        return
    animals = residents_now(room, later.history).get(room.tanks[visit.tank].water, ())
    count = sum(animal.count for animal in animals)
    tank = shell_word(visit.tank)
    ask = f"`pratique trace {tank}` says who is exposed, `pratique signs {tank} …` what a sign may be"
    yield Problem(
        code="L749",
        severity="warning",
        message=f"{quoted(batch)} went straight into {quoted(visit.tank)}, without any quarantine",
        note=f"what it carries is in that water now, and {count} animals live in it, these included; the water is "
        "exposed, and so is every water its gear or water goes to",
        hint=f"where it can still be caught, move it into a bare tank and write the move; {ask}",
    )


def _closed(later: DaySheets, batch: str) -> Iterator[Problem]:
    """A batch none of which is left."""
    history = later.history
    if not history.visits.get(batch) or any(stay.batch == batch for stay in history.standing):
        return
    tank = history.visits[batch][-1].tank
    yield Problem(
        code="L751",
        severity="warning",
        message=f"none of {quoted(batch)} is left: the batch is closed, and nothing more is planned for it",
        note="what it died of is not known, and may be in the water and on the gear",
        hint=f"{quoted(tank)} is stripped, disinfected and dried before anything else goes in; a veterinarian can say "
        "more of a fresh body kept cold",
    )


def _died_at_home(room: Room, later: DaySheets, tank: str) -> Iterator[Problem]:
    """A fish dead among those who live somewhere, while others live on in that water."""
    animals = residents_now(room, later.history).get(room.tanks[tank].water, ())
    count = sum(animal.count for animal in animals)
    if not count:
        return
    yield Problem(
        code="L759",
        severity="warning",
        message=f"a fish that lived in {quoted(tank)} is dead, and {plural(count, 'animal')} live on in its water",
        note="what it died of is not known: the water, age, a blow, or what the others have too",
        hint="look at every other one now for fast breathing, dust and spots; read ammonia, oxygen and temperature; "
        f"`pratique signs {shell_word(tank)} …` with what is seen; a fresh body kept cold can still be examined",
    )
