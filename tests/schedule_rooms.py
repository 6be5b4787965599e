"""Made-up rooms for the tests of the schedule, built as a keeper's file and read like one."""

from __future__ import annotations

from typing import Any

import yaml

from pratique.room.load import load_room_text
from pratique.room.resolve import Room

Entry = dict[str, Any]

COPPER = {"active": "copper", "form": "chelated", "strength": "10 mg/mL as Cu", "left": "900 mL"}
FLUKE_POWDER = {"active": "praziquantel", "strength": "95 % w/w as praziquantel", "left": "90 g"}
COPPER_KIT = {
    "measures": "copper",
    "forms": ["ionic", "amine", "chelated"],
    "resolution": "0.01 mg/L",
    "error": "3 %",
}


def tank(use: str, **keys: Any) -> Entry:
    """A tank of 60 L at 25 degC with a lid; an observation tank has live sand and rock and a living filter."""
    entry: Entry = {"use": use, "volume": {"measured": "60 L ± 1 L"}, "salinity": "35 g/kg", "temperature": "25 degC"}
    entry["lid"] = "yes"
    if use == "observation":
        entry.update(substrate="calcareous", rock="calcareous", cycled="yes")
    return {**entry, **keys}


def tanks() -> dict[str, Entry]:
    """One of everything, and two tubs."""
    return {
        "reef": tank("display", cycled="yes"),
        "tub a": tank("transfer"),
        "tub b": tank("transfer"),
        "ward": tank("ward"),
        "long": tank("observation"),
    }


def batch(arrives: str = "2027-03-05T18:30", trust: str = "untrusted", *species: str, **keys: Any) -> Entry:
    """A batch of one clownfish, or of what is named."""
    animals = [{"species": name} for name in species or ("ocellaris clownfish",)]
    return {"source": "a shop", "trust": trust, "arrives": arrives, "animals": animals, **keys}


def room_data(**sections: Any) -> Entry:
    """A whole file as data: the sections given replace those of a sound room without animals."""
    about: Entry = {"name": "test room", "time_zone": "Europe/Lisbon", "hours": "07:00-09:00, 18:00-22:00"}
    data: Entry = {
        "room": {**about, **sections.pop("room", {})},
        "tanks": tanks(),
        "batches": {"first": batch()},
        "shelf": {"copper bottle": COPPER, "fluke powder": FLUKE_POWDER},
        "kits": {"copper meter": COPPER_KIT},
        "gear": {"red set": {"for": "transfers"}, "white set": {"for": "transfers"}},
    }
    return {**data, **sections}


def as_yaml(data: Entry) -> str:
    """The data as a keeper's file, every entry written out."""
    return yaml.dump(data, Dumper=_Plain, sort_keys=False, allow_unicode=True)


class _Plain(yaml.SafeDumper):
    def ignore_aliases(self, data: Any) -> bool:
        return True


def build(**sections: Any) -> Room:
    """The room of `room_data`, which has to be sound."""
    room, problems = load_room_text(as_yaml(room_data(**sections)))
    assert room is not None, [f"{problem.code} {problem.message}" for problem in problems]
    return room
