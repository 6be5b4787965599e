"""Rooms made for a test of dosing: a bare ward tank with everything in order, changed key by key."""

from __future__ import annotations

import copy
import datetime as dt
import json
from typing import Any
from zoneinfo import ZoneInfo

import yaml

from pratique.dosing.bath import work_out_dip
from pratique.dosing.dip import Dip, DipRequest
from pratique.dosing.dose import Answer, Dose, Request
from pratique.dosing.work import work_out
from pratique.problem import Refusal
from pratique.quantity import Measure, parse_measure
from pratique.room.load import load_room_text
from pratique.room.resolve import Room
from pratique.room.values import treatment_for

AT = dt.datetime(2027, 3, 5, 18, tzinfo=ZoneInfo("Europe/Lisbon"))

SOUND: dict[str, Any] = {
    "room": {"time_zone": "Europe/Lisbon"},
    "tanks": {
        "q1": {
            "use": "ward",
            "temperature": "25 degC",
            "oxygen": "7 mg/L",
            "salinity": "34 g/kg",
            "ph": "8.1",
            "volume": {"measured": "200 L ± 1 L"},
        }
    },
    "animals": [{"species": "royal gramma", "tank": "q1"}],
    "vessels": {"tub": "12 L"},
    "kits": {"meter": {"measures": "copper", "forms": "ionic, amine, chelated", "error": "0.005 mg/L"}},
    "shelf": {
        "ionic stock": {"active": "copper", "form": "ionic", "strength": "1 mg/mL as Cu"},
        "amine stock": {"active": "copper", "form": "amine", "strength": "10 mg/mL as Cu"},
        "chelate": {"active": "copper", "form": "chelated", "strength": "15 mg/mL as Cu"},
        "prazi": {"active": "praziquantel", "strength": "95 % w/w as praziquantel"},
        "formalin": {"active": "formalin", "strength": "37 % w/v as formaldehyde"},
        "peroxide": {"active": "peroxide", "strength": "3 % w/v as H2O2"},
        "blue": {"active": "methylene blue", "strength": "2.303 % w/v as methylene blue"},
        "bleach": {"active": "chlorine", "strength": "5.25 % w/v as chlorine"},
        "crystals": {"active": "sodium thiosulfate", "strength": "99 % w/w as sodium thiosulfate pentahydrate"},
    },
}
"""A room in which every treatment can be given without a word of warning."""


def keys(**changes: Any) -> dict[str, Any]:
    """The sound room's keys with some replaced: `tanks__q1__oxygen="4 mg/L"`; None takes a key out."""
    out = copy.deepcopy(SOUND)
    for path, value in changes.items():
        *way, last = path.split("__")
        place = out
        for step in way:
            place = place.setdefault(step, {})
        if value is None:
            place.pop(last, None)
        else:
            place[last] = copy.deepcopy(value)  # a later key may change something in it
    return out


def make_room(**changes: Any) -> Room:
    """The sound room with changes; anything wrong with it fails the test at once."""
    plain = json.loads(json.dumps(keys(**changes)))  # no aliases, which the reader refuses
    text = yaml.safe_dump(plain, sort_keys=False, allow_unicode=True)
    room, problems = load_room_text(text)
    assert room is not None, problems
    return room


def measure(text: str | None) -> Measure | None:
    """A level as it is typed: `0.1 mg/L`, `150 uL/L`, `20 L`."""
    if text is None:
        return None
    dimension = "parts" if text.endswith("uL/L") else "volume" if text.split()[-1] in ("L", "mL") else "level"
    return parse_measure(text, dimension)


def ask(treatment: str, room: Room | None = None, *, tank: str = "q1", **options: Any) -> Answer:
    """`work_out` with levels given as text (`reading`, `target`, `change_litres`)."""
    room = room or make_room()
    for name in ("reading", "target", "change_litres"):
        if isinstance(options.get(name), str):
            options[name] = measure(options[name])
    options.setdefault("at", AT)
    return work_out(Request(room=room, tank=tank, treatment=treatment_for(room, treatment), **options))


def dose(treatment: str, room: Room | None = None, **options: Any) -> Dose:
    answer = ask(treatment, room, **options)
    assert isinstance(answer, Dose), answer.problems
    return answer


def refusal(treatment: str, room: Room | None = None, **options: Any) -> Refusal:
    answer = ask(treatment, room, **options)
    assert isinstance(answer, Refusal), answer
    return answer


def ask_dip(treatment: str, room: Room | None = None, **options: Any) -> Dip | Refusal:
    """`work_out_dip` for the residents of q1; `volume` as text."""
    room = room or make_room()
    if isinstance(options.get("volume"), str):
        options["volume"] = measure(options["volume"])
    options.setdefault("animals", room.residents)
    options.setdefault("source_water", room.waters["q1"])
    options.setdefault("oxygen", 7.0)
    options.setdefault("at", AT)
    return work_out_dip(DipRequest(room=room, treatment=treatment_for(room, treatment), label="the fish", **options))


def dip(treatment: str, room: Room | None = None, **options: Any) -> Dip:
    answer = ask_dip(treatment, room, **options)
    assert isinstance(answer, Dip), answer.problems
    return answer


def codes(answer: Answer | Dip) -> list[str]:
    """The codes of all problems of an answer, in their order."""
    return [problem.code for problem in answer.problems]
