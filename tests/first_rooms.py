"""Rooms for the first response: a reef with a frag tank on its water, a bare ward, and a shelf with everything."""

from __future__ import annotations

import copy
import datetime as dt
import json
from collections.abc import Mapping
from typing import Any
from zoneinfo import ZoneInfo

import yaml

from pratique.history.fold import History, fold
from pratique.logbook.book import Log
from pratique.logbook.phrase import parse_entry
from pratique.logbook.scope import Scope
from pratique.response.first import first_response
from pratique.response.model import RunSheet
from pratique.response.suspicion import Suspicion
from pratique.room.load import load_room_text
from pratique.room.resolve import Room

ZONE = ZoneInfo("Europe/Lisbon")
FRIDAY = dt.datetime(2027, 3, 5, 17, tzinfo=ZONE)

HOUSE: dict[str, Any] = {
    "room": {"time_zone": "Europe/Lisbon", "hours": "07:00-09:00, 17:00-22:00"},
    "waters": {
        "reef system": {"salinity": "35 g/kg", "temperature": "25 degC", "ph": "8.2", "cycled": "yes", "skimmer": "yes"}
    },
    "tanks": {
        "reef": {"use": "display", "water": "reef system", "volume": {"measured": "300 L ± 3 L"},
                 "substrate": "calcareous", "rock": "calcareous", "lid": "yes"},
        "frags": {"use": "display", "water": "reef system", "volume": {"measured": "60 L ± 1 L"}, "lid": "yes"},
        "ward": {"use": "ward", "salinity": "35 g/kg", "temperature": "25 degC", "ph": "8.2", "cycled": "no",
                 "oxygen": "7 mg/L", "volume": {"measured": "75 L ± 0.5 L"}, "lid": "yes"},
    },
    "animals": [
        {"species": "yellow tang", "name": "Lemon", "size": "10 cm", "tank": "reef"},
        {"species": "ocellaris clownfish", "count": 2, "size": "6 cm", "tank": "frags"},
        {"species": "cleaner shrimp", "tank": "reef"},
        {"species": "torch coral", "tank": "reef"},
    ],
    "shelf": {
        "chelate": {"active": "copper", "form": "chelated", "strength": "10 mg/mL as Cu", "left": "250 mL"},
        "formalin": {"active": "formalin", "strength": "37 % w/v as formaldehyde", "left": "200 mL"},
        "peroxide": {"active": "peroxide", "strength": "3 % w/v as H2O2", "left": "450 mL"},
        "fluke powder": {"active": "praziquantel", "strength": "100 % w/w as praziquantel", "left": "25 g"},
    },
    "salt": {"left": "10 kg"},
    "mixed_water": [{"volume": "120 L", "salinity": "35 g/kg", "made": "2027-03-04", "container": "grey barrel"}],
    "kits": {
        "copper meter": {"measures": "copper", "forms": "ionic, amine, chelated", "resolution": "0.01 mg/L",
                         "error": "0.005 mg/L"},
        "ammonia drops": {"measures": "ammonia"},
        "pH pen": {"measures": "ph"},
        "refractometer": {"measures": "salinity"},
        "oxygen probe": {"measures": "oxygen"},
    },
    "gear": {"white set": {"for": "ward"}},
    "vessels": {"dip bucket": "10 L ± 0.1 L"},
    "syringes": {"large syringe": {"volume": "20 mL", "step": "0.5 mL"},
                 "small syringe": {"volume": "1 mL", "step": "0.02 mL"}},
}  # fmt: skip
"""A room that can answer everything. 75 L of ward and 2.0 mg/L of copper from 10 mg/mL are 15.0 mL."""


def merge(base: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """The base with changes laid over it, key by key; None takes a key out."""
    out = copy.deepcopy(dict(base))
    for key, value in changes.items():
        if value is None:
            out.pop(key, None)
        elif isinstance(value, Mapping) and isinstance(out.get(key), Mapping):
            out[key] = merge(out[key], value)
        else:
            out[key] = copy.deepcopy(value)
    return out


def house(changes: Mapping[str, Any] | None = None) -> Room:
    """The house with changes; anything wrong with it fails the test at once."""
    return load(house_text(changes))


def house_text(changes: Mapping[str, Any] | None = None) -> str:
    """The house with changes as a room file."""
    plain = json.loads(json.dumps(merge(HOUSE, changes or {})))  # no aliases, which the reader refuses
    return yaml.safe_dump(plain, sort_keys=False, allow_unicode=True)


def load(text: str) -> Room:
    room, problems = load_room_text(text)
    assert room is not None, problems
    return room


def history(room: Room, lines: tuple[str, ...] = (), at: dt.datetime = FRIDAY) -> History:
    """The history of lines as they are typed after `pratique log`."""
    entries: tuple[Any, ...] = ()
    for line in lines:
        scope = Scope(room=room, at=at, written=at, log=Log(entries=entries, written=entries))
        understood = parse_entry([line], scope)
        assert not [problem for problem in understood.problems if problem.is_error], understood.problems
        entries = tuple(sorted((*entries, *understood.entries), key=lambda entry: (entry.at, entry.written, entry.id)))
    return fold(room, Log(entries=entries, written=entries), at)


def respond(
    tank: str = "reef",
    cover: tuple[str, ...] = ("amyloodinium",),
    changes: Mapping[str, Any] | None = None,
    *,
    log: tuple[str, ...] = (),
    at: dt.datetime = FRIDAY,
    **seen: tuple[str, ...],
) -> tuple[RunSheet, Room]:
    """The run sheet of the house with changes, and the room."""
    room = house(changes)
    suspicion = Suspicion(tank=tank, at=at, cover=cover, **seen)
    return first_response(room, history(room, log, at), suspicion), room


def words_of(sheet: RunSheet) -> str:
    """All that the sheet tells somebody to do."""
    return "\n".join(act.text + " " + act.command for act in (*sheet.now, *sheet.acts))
