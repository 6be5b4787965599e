"""Wishes and bookings in the room file: days in order, names that are known, priorities that mean something."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from pratique.knowledge import store
from pratique.problem import quoted
from pratique.room import model
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.things import Tank

LAST = 9
"""The last of the priorities."""

LONGEST = 366
"""Days between the earliest and the latest day of a wish."""


def check_days(findings: Findings, earliest: dt.datetime, latest: dt.datetime, path: Path_) -> bool:
    """The latest day is not before the earliest, nor more than a year after it."""
    place, other = findings.place((*path, "latest")), findings.place((*path, "earliest"))
    if earliest.astimezone(dt.UTC) > latest.astimezone(dt.UTC):
        findings.report("S536", place, "the latest day is before the earliest", "swap the two days", other)
        return False
    if (latest.date() - earliest.date()).days > LONGEST:
        message = f"the latest day is more than {LONGEST} d after the earliest"
        findings.report("S536", place, message, "wish for a time within a year", other)
        return False
    return True


def check_wish(findings: Findings, name: str, written: model.Wish, path: Path_) -> None:
    """A priority from 1 to 9, and a name that no batch has."""
    if written.priority > LAST:
        message = f"a priority of {written.priority} is beyond {LAST}"
        hint = f"write a number from 1 (first) to {LAST}"
        findings.report("S531", findings.place((*path, "priority")), message, hint)
    if name in findings.named.get("batches", ()):
        message = f"{quoted(name)} is both a batch and a wish"
        hint = "delete the wish once it is a batch, or rename one"
        other = findings.place(("batches", name), key=True)
        findings.report("S537", findings.place(path, key=True), message, hint, other)


def check_booked(findings: Findings, written: model.Batch, tanks: Mapping[str, Tank], path: Path_) -> None:
    """Every stage and tank of a booking is known."""
    if not written.booked:
        return
    shipped = [stage.name for regimen in store.regimens().values() for stage in regimen.stages]
    stages = {*shipped, *(stage.name for own in findings.written.regimens.values() for stage in own.stages)}
    for stage, names in written.booked.items():
        at: Path_ = (*path, "booked", stage)
        findings.check_name(stage, stages, "stage", at)
        for name in names:
            findings.check_name(name, tanks, "tank", at, section="tanks")


def check_apart(findings: Findings) -> None:
    """Every name under `apart` is a species, a group or the name of an animal in the file."""
    written = findings.written
    if not written.apart:
        return
    arrivals = [*written.batches.values(), *written.wishes.values()]
    everyone = [*written.animals, *(animal for arrival in arrivals for animal in arrival.animals)]
    everyone += [animal for wish in written.wishes.values() for animal in wish.companion]
    known = {word.lower() for animal in everyone for word in (animal.species, animal.name or animal.species)}
    known |= {*store.groups(), *store.species_index()}
    for index, apart in enumerate(written.apart):
        for name in apart.between:
            if name.lower() not in known:
                findings.check_name(name, known, "animal", ("apart", index, "between"))
