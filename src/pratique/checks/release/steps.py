"""After a yes: the two waters side by side, and the last steps into the display."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.checks.release.model import Match, Subject, when
from pratique.logbook.quotes import shell_word
from pratique.room.resolve import Animal
from pratique.schedule.occupants import residents_now
from pratique.water.state import look_at

UNITS = {"salinity": "g/kg", "temperature": "degC"}
SHARP = ("coral", "invertebrate")


def matches(subject: Subject) -> tuple[Match, ...]:
    """Salinity and temperature of the water they leave and the one they go into; a reading of the log comes first."""
    into = _into(subject)
    if not into:
        return ()
    found = []
    for what, unit in UNITS.items():
        here, from_here = _figure(subject, subject.tank, what)
        there, from_there = _figure(subject, into, what)
        says = f"{subject.tank}: {from_here}; {into}: {from_there}"
        found.append(Match(what=what, unit=unit, here=here, there=there, says=says))
    return tuple(found)


def _into(subject: Subject) -> str:
    into = subject.plan.release.into if subject.plan.release is not None else ""
    return into if into in subject.room.tanks else ""


def _figure(subject: Subject, tank: str, what: str) -> tuple[float | None, str]:
    water = subject.room.tanks[tank].water
    for reading in reversed(subject.history.of_water(water).readings):
        if reading.what == what and reading.unit == UNITS[what]:
            return reading.value, f"read {when(reading.at)}"
    state = look_at(subject.room, tank)
    if what == "salinity":
        return state.salinity, "by the room file" if state.salinity is not None else "not on record"
    warm = state.temperature.value if state.temperature is not None else None
    return warm, "by the room file" if warm is not None else "not on record"


def last_steps(subject: Subject) -> Iterator[str]:
    """In the order in which they are done."""
    into = _into(subject) or "the display"
    fish = subject.has_fish
    yield f"read salinity and temperature of {subject.tank} and {into} on the day; bring theirs slowly to it"
    here = _company(subject)
    if _had_copper(subject):
        sharp = sorted({animal.label for animal in here if animal.group.kind in SHARP})
        kept = f", for {', '.join(sharp)} die of copper" if sharp else ", and nothing wet that was in copper"
        yield f"copper was used: a reading of zero in {subject.tank}, and carry none of its water into {into}{kept}"
    if fish:
        yield f"turn the lights of {into} low, and leave them low until the next day"
        yield f"feed those in {into} first, away from where the new ones go in"
    if here:
        who = ", ".join(f"{animal.count} {animal.label}" for animal in here)
        yield f"company: in {into} live {who}; watch who chases whom, and have a divider or a way out at hand"
    yield f"no water and no wet gear of {subject.tank} into {into}"
    name, to = shell_word(subject.name), shell_word(_into(subject) or "DISPLAY")
    yield f"write it down: `pratique log moved {name} {to}`; keep the page `pratique release {name} --certificate`"
    if not _into(subject):
        yield "DISPLAY is not in the room file: first add your display to `tanks:`, with `use: display`"


def _company(subject: Subject) -> tuple[Animal, ...]:
    """Who lives in the display by the record."""
    into = _into(subject)
    known = residents_now(subject.room, subject.history)
    return known.get(subject.room.tanks[into].water, ()) if into else ()


def _had_copper(subject: Subject) -> bool:
    begun = subject.plan.stages[: subject.current + 1]
    return any(subject.basis.treatment(stage.treatment).active == "copper" for stage in begun)
