"""Entries that do not fit what is known, and what is done with them.

Refused (errors, here or in `phrase`): what cannot be understood for certain, and what cannot have happened by
the moment of writing. Nothing could be worked out from it.

Kept with a warning: what contradicts the rest of the log. The keeper was there and the program was not; the
mistake may as well be an earlier entry that was never written. So a dose larger than the bottle, a fish moved out
of a tank it is not in, a second arrival, a change larger than the water and an entry that looks like the last one
again are written down, and the warning says how to take them back.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from pratique.dates import full_moment
from pratique.letters import alike_note
from pratique.logbook.book import Log
from pratique.logbook.entry import (
    Arrival,
    Common,
    Correction,
    Death,
    Dip,
    Dose,
    Look,
    Move,
    Sign,
    Spoiled,
    TopOff,
    WaterChange,
)
from pratique.problem import Problem, plural, quoted
from pratique.room.resolve import Room

AGAIN = dt.timedelta(minutes=15)
"""Two entries alike but for their time, closer than this, may be one that was written twice."""

_UNTOLD = {"id", "at", "written", "by", "note"}
_MOST_PLACES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """So many animals of one name are believed to be in a tank; `batch` is empty for residents."""

    animal: str
    tank: str
    count: int
    batch: str = ""


@dataclass(frozen=True, kw_only=True)
class State:
    """What is believed just before an entry: where animals are, what bottles hold, how much water there is.

    `arrived`: batches that have come, whether or not any of them is left. `shelf`: product to amount and its unit
    (mL, g or tablet). `volumes`: tank to the litres of its water.
    """

    positions: Sequence[Standing] = ()
    arrived: Collection[str] = ()
    shelf: Mapping[str, tuple[float, str]] = field(default_factory=dict)
    volumes: Mapping[str, float] = field(default_factory=dict)
    log: Log = field(default_factory=Log)


def check_entry(entry: Common, state: State) -> list[Problem]:
    """What about `entry` does not fit: L734 refuses it, the warnings L740 to L745 do not."""
    if entry.at > entry.written:
        message = f"{quoted(entry.kind)} at {full_moment(entry.at)} lies after the moment it is written down"
        return [Problem(code="L734", message=message, hint="an entry says what has happened")]
    if isinstance(entry, Correction):
        return check_entry(entry.instead, state) if entry.instead is not None else []
    return [*_shelf(entry, state), *_water(entry, state), *_animals(entry, state), *_again(entry, state)]


def _warning(code: str, message: str, hint: str) -> Problem:
    return Problem(code=code, severity="warning", message=message, hint=hint)


def _shelf(entry: Common, state: State) -> Iterator[Problem]:
    """More out of a bottle than it holds."""
    if not isinstance(entry, (Dose, WaterChange, Dip, Spoiled)) or entry.product is None or entry.amount is None:
        return
    left, unit = state.shelf.get(entry.product, (None, ""))
    if left is not None and unit == entry.amount.unit and entry.amount.value > left * (1 + 1e-9):
        yield _warning(
            "L740",
            f"{entry.amount.text} is more than the {left:g} {unit} left in {quoted(entry.product)}",
            "write what was bought with `pratique log bought`, or set the amount right",
        )


def _water(entry: Common, state: State) -> Iterator[Problem]:
    """More water changed or added than there is."""
    if not isinstance(entry, (WaterChange, TopOff)) or entry.volume.unit != "L":
        return
    volume = state.volumes.get(entry.tank)
    if volume is not None and entry.volume.value > volume:
        message = f"{entry.volume.text} is more than the {volume:.4g} L of water in {quoted(entry.tank)}"
        yield _warning("L745", message, "check the amount and the tank")


def _animals(entry: Common, state: State) -> Iterator[Problem]:
    match entry:
        case Arrival():
            there = [one for one in state.positions if one.batch == entry.batch]
            if there:
                message = f"{quoted(entry.batch)} has arrived before, and is in {quoted(there[0].tank)}"
                yield _warning("L743", message, "if it went from one tank to another, write `pratique log move`")
            elif entry.batch in state.arrived:
                message = f"{quoted(entry.batch)} has arrived before, and by the log none of it is left"
                hint = "fish that come later are a batch of their own: give them one in the room file; if they live, "
                yield _warning("L743", message, hint + "take back the death")
        case Death() | Sign() if entry.animal is not None:
            yield from _there(entry.animal, entry.batch, entry.tank, entry.count or 1, state)
        case Look() if entry.heads is not None and entry.animal is None:
            yield from _heads(entry, entry.heads, state)
        case Look() if entry.animal is not None:
            yield from _there(entry.animal, entry.batch, entry.tank, 1, state)
        case Move() if entry.animals:
            for animal in entry.animals:
                yield from _there(animal, entry.batch, entry.from_, entry.count or 1, state, to=entry.to)
        case Move() if entry.batch is not None:
            yield from _there(None, entry.batch, entry.from_, 1, state, to=entry.to)
        case _:
            return


def _heads(entry: Look, heads: int, state: State) -> Iterator[Problem]:
    """A count that is not what the log says is alive there."""
    there = [
        one
        for one in state.positions
        if (entry.batch is None or one.batch == entry.batch) and (entry.tank is None or one.tank == entry.tank)
    ]
    known = sum(one.count for one in there)
    if known and heads != known:
        where = quoted(entry.tank or entry.batch)
        counted = f"{plural(heads, 'head')} {'was' if heads == 1 else 'were'} counted in {where}"
        message = f"{counted}, and alive there by the log: {known}"
        hint = "look for the missing one now, on the floor and behind the pump" if heads < known else "count again"
        yield _warning("L752", message, f"{hint}; then write what was left out: a death, a move, one that was found")


def _there(
    animal: str | None, batch: str | None, tank: str | None, count: int, state: State, *, to: str | None = None
) -> Iterator[Problem]:
    """Whether animals are in `tank` (None: anywhere but in `to`)."""
    named = [
        one
        for one in state.positions
        if (animal is None or one.animal == animal) and (batch is None or one.batch == batch)
    ]
    here = [one for one in named if (one.tank == tank if tank is not None else one.tank != to)]
    shown = quoted(animal or batch)
    if not here:
        known = " and ".join(quoted(name) for name in dict.fromkeys(one.tank for one in named))
        message = f"{shown} is not in {quoted(tank)}" if tank else f"{shown} is in no tank it could be moved from"
        hint = f"by the log so far it is in {known}" if known else "by the log so far it is in no tank at all"
        yield _warning("L741", message, f"{hint}; write what was left out, or set this right")
    elif count > (found := sum(one.count for one in here)):
        where = quoted(tank) if tank else "the room"
        message = f"{count} of {shown} are more than the {found} in {where}"
        yield _warning("L742", message, "check the count; write what was left out, or set this right")


def _again(entry: Common, state: State) -> Iterator[Problem]:
    """The same once more, minutes later: a line typed twice would count twice."""
    told = entry.model_dump(exclude=_UNTOLD)
    for other in reversed(state.log.by_kind.get(entry.kind, ())):
        near = abs(entry.at - other.at) <= AGAIN
        if near and other.id != entry.id and other.model_dump(exclude=_UNTOLD) == told:
            message = f"the same stands in the log already, as `{other.id}`"
            yield _warning(
                "L744", message, f"if it was written twice, take one back: `pratique log withdraw {other.id}`"
            )
            return
        if other.at < entry.at - AGAIN:
            return


def check_names(log: Log, room: Room) -> list[Problem]:
    """Names in the log that the room file does not have, one problem for each with the lines it stands in (L746)."""
    written = room.written
    known: dict[str, Collection[str]] = {
        "tank": room.tanks,
        "from_": room.tanks,
        "to": room.tanks,
        "batch": room.batches,
        "product": written.shelf,
        "gear": written.gear,
        "kit": written.kits,
    }
    unknown: dict[tuple[str, str], list[Common]] = {}
    for entry in log.entries:
        fields = entry.__dict__
        for key, names in known.items():
            name = fields.get(key)
            if name is not None and name not in names:
                unknown.setdefault(("tank" if names is room.tanks else key, name), []).append(entry)
    return [_unknown(what, name, entries, log, known[what]) for (what, name), entries in unknown.items()]


def _unknown(what: str, name: str, entries: Sequence[Common], log: Log, known: Collection[str]) -> Problem:
    places = [place for entry in entries[:_MOST_PLACES] if (place := log.place(entry)) is not None]
    times = "once" if len(entries) == 1 else f"{len(entries)} times"
    hint = "write it in the room file again, or correct the entries; what they say of it is left out till then"
    return Problem(
        code="L746",
        severity="warning",
        message=f"the log names the {what} {quoted(name)} {times}, and the room file does not have it",
        places=tuple(sorted(places, key=lambda place: place.line)),
        note=alike_note(name, known),
        hint=hint,
    )
