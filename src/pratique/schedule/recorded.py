"""The room as the log leaves it: what medicine is in which water, and what is left in the bottles.

What a page says of the room file then holds of what happened. A medicine is taken to be in a water until a tank of it
was cleaned or dried, or until it has vanished by its own figure; a bath without such a figure until water was changed.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

from pratique.dosing.product import products_for
from pratique.history.events import Addition, WaterRecord
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.logbook.ids import slug
from pratique.room.model import Holds
from pratique.room.resolve import Batch, Room, Water
from pratique.room.values import treatment_for
from pratique.schedule.calendar import plus_hours
from pratique.schedule.feeds import cut, gives, hold_reading, within
from pratique.schedule.propose import candidates
from pratique.schedule.put_in import put_in


def room_as_recorded(room: Room, history: History) -> Room:
    """The room with what the log has put into each water, and taken out of each bottle."""
    if history.is_empty:
        return room
    waters = {name: _water(room, history, water) for name, water in room.waters.items()}
    shelf = dict(room.written.shelf)
    for name, bottle in history.bottles.items():
        left = shelf[name].left
        if left is not None and bottle.left is not None and bottle.left != left.value:
            now = replace(left, value=bottle.left, text=f"{bottle.left:.4g} {left.unit}")
            shelf[name] = shelf[name].model_copy(update={"left": now})
    return replace(room, waters=waters, written=room.written.model_copy(update={"shelf": shelf}))


def _water(room: Room, history: History, water: Water) -> Water:
    known = {holds.treatment for holds in water.conditions.holds}
    found = [id_ for id_ in medicines_on_record(room, history, water.name) if id_ not in known]
    if not found:
        return water
    held = tuple(Holds.model_construct(treatment=id_, level=None, since=None) for id_ in found)
    conditions = water.conditions.model_copy(update={"holds": (*water.conditions.holds, *held)})
    return replace(water, conditions=conditions)


def medicines_on_record(room: Room, history: History, water: str) -> tuple[str, ...]:
    """The treatments whose medicine is still in a water by the log, in the order in which they were first given."""
    record = history.of_water(water)
    cleaned = max((entry.at.timestamp() for entry in record.readied), default=0.0)
    meant: dict[tuple[str, str], Treatment | None] = {}
    given: list[tuple[Addition, Treatment]] = list(marked_additions(room, history, water))
    for entry in put_in(record):
        if entry.at.timestamp() >= cleaned:
            key = (entry.treatment, entry.product)
            treatment = meant[key] if key in meant else meant.setdefault(key, next(_meant(room, entry), None))
            if treatment is not None:
                given.append((entry, treatment))
    last: dict[str, Addition] = {}
    for addition, treatment in sorted(given, key=lambda found: found[0].at.timestamp()):
        if addition.at.timestamp() >= cleaned:
            last[treatment.id] = addition  # what was given last is there the longest
    treatments = {treatment.id: treatment for _, treatment in given}
    return tuple(
        id_ for id_, addition in last.items() if not _is_over(room, treatments[id_], addition, record, history.at)
    )


def marked_additions(room: Room, history: History, water: str) -> Iterator[tuple[Addition, Treatment]]:
    """Doses that are known only from a line of the sheet marked done: nobody wrote how much of which bottle."""
    if not history.dose_marks:
        return
    batches = {slug(name): batch for name, batch in room.batches.items()}
    for id_, mark in history.dose_marks.items():
        name, stage_name, *_ = id_.split("/")
        batch = batches.get(name)
        visits = history.visits.get(batch.name, ()) if batch is not None else ()
        visit = next((visit for visit in visits if within(mark.at, (visit.start, visit.end))), None)
        if batch is None or visit is None or room.tanks[visit.tank].water != water:
            continue
        treatment = _of_stage(room, batch, stage_name)
        if treatment is not None:
            yield Addition(
                at=mark.at, tank=visit.tank, treatment=treatment.id, product="", amount=0.0, unit="", into="tank",
                entry_id=mark.entry_id,
            ), treatment  # fmt: skip


def _of_stage(room: Room, batch: Batch, stage_name: str) -> Treatment | None:
    """What a stage of this batch's regimens is done with: its own choice, else the first that is on the shelf."""
    offered = (stage for proposal in candidates(room, batch) for stage in proposal.regimen.stages)
    stage = next((stage for stage in offered if slug(stage.name) == stage_name), None)
    if stage is None:
        return None
    wanted = batch.written.treatment
    known = [treatment_for(room, id_) for id_ in ([wanted] if wanted in stage.treatments else stage.treatments)]
    return next((found for found in known if products_for(room, found)), known[0])


def _meant(room: Room, addition: Addition) -> Iterator[Treatment]:
    """The treatments a dose may have been for: the one it names, else those done in a tank with that product."""
    for id_ in store.treatment_ids():
        treatment = store.treatment(id_)
        if treatment.active and treatment.kind in ("immersion", "bath") and gives(room, treatment, addition):
            yield treatment


def _is_over(
    room: Room, treatment: Treatment, addition: Addition, record: WaterRecord, at: dt.datetime
) -> bool:
    unseen = treatment.number("kit_detection")
    if unseen is not None and treatment.form:
        later = cut(record.readings, (addition.at, None))
        low = (entry for entry in later if entry.what == treatment.active and entry.value <= unseen.value)
        if any(hold_reading(room, entry, treatment).suits for entry in low):
            return True
    lasts = treatment.number("persistence")
    if lasts is not None:
        return plus_hours(addition.at, lasts.high).timestamp() < at.timestamp()
    if treatment.kind == "immersion":
        return False
    return any(exchange.at.timestamp() > addition.at.timestamp() for exchange in record.exchanges)
