"""What the clocks are fed with: the events of a history, as those of one batch in one stage.

A reading counts only if its kit can read the form: the kit it names, or, where it names none, the finest on file if
no other copper kit is there that cannot. A level that could only be guessed never becomes a reading.
"""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol, TypeVar

from pratique.clocks import hold, transfers, watch
from pratique.dosing.kits import best_kit, is_past, read_with
from pratique.dosing.product import active_of
from pratique.history.events import Addition, Carried, Exchange, GearUse, Passage, Reading, Span, Visit
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.logbook.ids import slug
from pratique.room.model import Kit
from pratique.room.resolve import Room
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.occupants import SUSPECT_FOR
from pratique.schedule.track import Track, newcomers
from pratique.water.volume import net_volume

PUT_BACK = 24.0
"""Hours before a water change in which a dose into new water is taken to be meant for it."""

NEARLY = 0.2
"""Share by which the dose of a change may miss the level and still have moved nothing (as a label's claim: B8)."""

SOON = 1e-3
"""Hours (4 s) by which a stretch reaches over its last moment, so that what is noted then is in it."""


class _Timed(Protocol):
    @property
    def at(self) -> dt.datetime: ...


T = TypeVar("T", bound=_Timed)


def cut(events: Sequence[T], span: Span) -> Sequence[T]:
    """Those of `events` (in order of time) from the start of `span` up to its end."""
    start, end = span
    first = bisect_left(events, start.timestamp(), key=_seconds)
    return events[first:] if end is None else events[first : bisect_left(events, end.timestamp(), key=_seconds)]


def _seconds(event: _Timed) -> float:
    return event.at.timestamp()


def within(moment: dt.datetime, span: Span) -> bool:
    """True from the start of `span` up to its end."""
    start, end = span
    return instant(start) <= instant(moment) and (end is None or instant(moment) < instant(end))


def gives(room: Room, treatment: Treatment, addition: Addition | Exchange) -> bool:
    """True where what was added is what this treatment is done with."""
    named = addition.treatment if isinstance(addition, Addition) else ""
    if named:
        return named == treatment.id
    product = room.written.shelf.get(addition.product)
    if product is None or not treatment.active:
        return False
    return product.active == treatment.active and (not treatment.form or product.form == treatment.form)


def is_active(room: Room, treatment: Treatment, addition: Addition | Exchange) -> bool:
    """True for the same active in any form."""
    product = room.written.shelf.get(addition.product)
    return gives(room, treatment, addition) or (product is not None and product.active == treatment.active)


def kit_of(room: Room, reading: Reading, form: str) -> tuple[Kit | None, bool]:
    """The kit of a reading of copper, and whether it can read the form on that day."""
    kits = {name: kit for name, kit in room.written.kits.items() if kit.measures == "copper"}
    kit = kits.get(reading.kit)
    if kit is not None:
        return kit, form in kit.forms and not is_past(kit, reading.at)
    if reading.kit or not kits or any(form not in other.forms for other in kits.values()):
        return None, False
    found = best_kit(room, form, near=reading.value, at=reading.at)
    return (found[1], True) if found is not None else (None, False)


def hold_reading(room: Room, reading: Reading, treatment: Treatment) -> hold.Reading:
    """A reading of copper (mg/L) with the ends of its error: those written with it, or those of its kit."""
    kit, suits = kit_of(room, reading, treatment.form)
    low, high = reading.low, reading.high
    if low is None or high is None:
        figure = read_with(kit, reading.value, treatment.unit)
        low, high = figure.low, figure.high
    return hold.Reading(
        at=reading.at, value=reading.value, low=min(max(low, 0.0), reading.value), high=max(high, reading.value),
        suits=suits, entry_id=reading.entry_id,
    )  # fmt: skip


def hold_readings(history: History, treatment: Treatment, visits: Iterable[Visit]) -> Iterator[hold.Reading]:
    """Every reading of the level in the water the batch was in."""
    room = history.room
    for visit in visits:
        record = history.of_water(room.tanks[visit.tank].water)
        for reading in cut(record.readings, (visit.start, visit.end)):
            if reading.what == treatment.active:
                yield hold_reading(room, reading, treatment)


def level_changes(history: History, treatment: Treatment, visits: tuple[Visit, ...]) -> Iterator[hold.LevelChange]:
    """Every act that is known to have moved the level the batch was in; a move to another water may have."""
    room = history.room
    for number, visit in enumerate(visits):
        water = room.tanks[visit.tank].water
        if number and room.tanks[visits[number - 1].tank].water != water:
            what = f"the fish were moved to `{visit.tank}`"
            yield hold.LevelChange(at=visit.start, effect="unknown", what=what, entry_id=visit.entry_id)
        yield from water_changes(history, treatment, water, (visit.start, visit.end))


def water_changes(history: History, treatment: Treatment, water: str, span: Span) -> Iterator[hold.LevelChange]:
    """The doses into one water within `span`, and the changes of it that were not put right."""
    room, record = history.room, history.of_water(water)
    for addition in cut(record.additions, span):
        if addition.into == "tank" and is_active(room, treatment, addition):
            yield hold.LevelChange(
                at=addition.at, effect="up" if gives(room, treatment, addition) else "unknown",
                what=f"{addition.amount:g} {addition.unit} of {addition.product}", entry_id=addition.entry_id,
            )  # fmt: skip
    for exchange in cut(record.exchanges, span):
        yield from _moved_by(history, treatment, water, exchange)


def _moved_by(history: History, treatment: Treatment, water: str, exchange: Exchange) -> Iterator[hold.LevelChange]:
    litres = litres_of(history.room, water, exchange)
    put_in = active_in(history, treatment, water, exchange)
    target = treatment.needed("target").value
    what = f"a water change of {litres:.3g} L"
    if put_in <= 0:
        what += " without its dose"
    elif litres > 0 and abs(put_in / litres - target) <= NEARLY * target:
        return
    elif litres > 0:
        what += f" with {put_in / litres:.3g} {treatment.unit} in it"
    down = litres <= 0 or put_in / litres < target
    yield hold.LevelChange(
        at=exchange.at, effect="down" if down else "up", what=what, entry_id=exchange.entry_id
    )  # fmt: skip


def litres_of(room: Room, water: str, exchange: Exchange) -> float:
    """L of a water change, where it was written as a share that of the net volume."""
    if exchange.litres is not None:
        return exchange.litres
    return (exchange.share or 0.0) * max(net_volume(room.waters[water]).figure.value, 0.0)


def active_in(history: History, treatment: Treatment, water: str, exchange: Exchange) -> float:
    """mg (of formalin µL) of the active that went into the new water of a change."""
    room = history.room
    found = 0.0
    if gives(room, treatment, exchange):
        found += exchange.amount * active_of(room, exchange.product).per_unit
    day = (plus_hours(exchange.at, -PUT_BACK), plus_hours(exchange.at, SOON))
    for addition in cut(history.of_water(water).additions, day):
        known = addition.product in room.written.shelf
        if addition.into == "new-water" and known and gives(room, treatment, addition):
            found += addition.amount * active_of(room, addition.product).per_unit
    return found


def transfer_moves(visits: Iterable[Visit]) -> list[transfers.Move]:
    """Each visit as a move into its tank; the first has no origin."""
    found: list[transfers.Move] = []
    before = ""
    for visit in visits:
        found.append(transfers.Move(at=visit.start, to=visit.tank, from_=before, entry_id=visit.entry_id))
        before = visit.tank
    return found


def watch_events(history: History, track: Track, visits: Iterable[Visit], dry: float) -> Iterator[watch.WatchEvent]:
    """What happened in the waters a batch was watched in. `dry` (h): gear unused for so long is dry."""
    name = track.batch.name
    for moment in history.looks.get(slug(name), ()):
        yield watch.WatchEvent(at=moment, kind="look")
    for visit in visits:
        water = history.room.tanks[visit.tank].water
        span = (visit.start, visit.end)
        record = history.of_water(water)
        yield from map(_came, newcomers(history.room, history, track, water, *span))
        for sign in cut(record.signs, span):
            what = ", ".join(sign.signs) + (f" on {sign.animal}" if sign.animal else "")
            yield watch.WatchEvent(at=sign.at, kind="sign", what=what, entry_id=sign.entry_id)
        for passage in cut(record.passages, span):
            if passage.how == "died":
                what = f"{passage.count} {passage.animal}"
                yield watch.WatchEvent(at=passage.at, kind="death", what=what, entry_id=passage.entry_id)
        yield from _wet(history, track, water, span, dry)


def _came(passage: Passage) -> watch.WatchEvent:
    kind = {"arrived": "arrived", "found": "found"}.get(passage.how, "moved-in")
    what = f"{passage.count} {passage.animal}" + (f" of {passage.batch}" if passage.batch else "")
    return watch.WatchEvent(at=passage.at, kind=kind, what=what, entry_id=passage.entry_id)


def _wet(history: History, track: Track, water: str, span: Span, dry: float) -> Iterator[watch.WatchEvent]:
    """Wet gear, rock and water that came from a suspect water."""
    record = history.of_water(water)
    for use in cut(record.gear, span):
        before = _wet_from(history, use, dry)
        if before is not None and is_suspect(history, before.tank, before.at, track.batch.name):
            what = f"{use.gear}, last in {before.tank}"
            yield watch.WatchEvent(at=use.at, kind="wet-gear", what=what, entry_id=use.entry_id)
    for carried in cut(record.carried, span):
        if _came_suspect(history, carried, track.batch.name):
            what = ", ".join(carried.things) + (f" from {carried.from_}" if carried.from_ else "")
            yield watch.WatchEvent(at=carried.at, kind="water", what=what, entry_id=carried.entry_id)


def _came_suspect(history: History, carried: Carried, batch: str) -> bool:
    """What came from nobody knows where is suspect; from outside the room is no entry of this kind."""
    return not carried.from_ or is_suspect(history, carried.from_, carried.at, batch)


def _wet_from(history: History, use: GearUse, dry: float) -> GearUse | None:
    """The use in another water after which it cannot have been dry."""
    water = history.room.tanks[use.tank].water
    before = cut(history.gear.get(use.gear, ()), (plus_hours(use.at, -dry), use.at))
    if not before or history.room.tanks[before[-1].tank].water == water:
        return None
    return before[-1] if stayed_wet(history, before[-1], use, dry) else None


def stayed_wet(history: History, before: GearUse, use: GearUse, dry: float) -> bool:
    """True where a set cannot have been dry between two uses: nobody wrote so in time, and too few hours (h) passed."""
    if instant(before.at) < instant(plus_hours(use.at, -dry)):
        return False
    readied = cut(history.gear_readied.get(use.gear, ()), (before.at, plus_hours(use.at, -dry / 2)))
    return not any(found.what == "dried" for found in readied)


def seen_sick(history: History, water: str, moment: dt.datetime) -> bool:
    """True for a water in which a sign was seen of late."""
    return bool(cut(history.of_water(water).signs, (instant(moment) - SUSPECT_FOR, plus_hours(moment, SOON))))


def is_suspect(history: History, tank: str, moment: dt.datetime, batch: str) -> bool:
    """True for a water in which another batch was, or in which a sign was seen in the month before."""
    known = history.room.tanks.get(tank)
    if known is None:
        return True
    if seen_sick(history, known.water, moment):
        return True
    if any(animal.signs for animal in history.room.residents_by_water.get(known.water, ())):
        return True
    others = [(name, span) for name, span in history.presence.get(known.water, ()) if name not in ("", batch)]
    return known.use != "display" and any(within(moment, span) for _, span in others)
