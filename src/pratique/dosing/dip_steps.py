"""A dip as rows: what is done before, while the fish is in, at the end and after, in the order of work."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.dip import DipDose, DipRequest, DipStep, Match, Phase
from pratique.dosing.draws import shown_mL
from pratique.figure import Figure, digits
from pratique.knowledge.model import Treatment, cite
from pratique.room.resolve import Room
from pratique.room.shown import shown_degrees

LOOK_EVERY = {"dip": 1.0, "bath": 5.0}
"""Minutes between two looks: `every few minutes` for a bath (PIPER82), every minute for a short dip (D)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """What the rows are written from. Times in minutes."""

    request: DipRequest
    vessel: str
    water: Figure
    match: Match
    dose: DipDose | None
    minutes: float
    aerate_before: float

    @property
    def room(self) -> Room:
        return self.request.room

    @property
    def treatment(self) -> Treatment:
        return self.request.treatment

    @property
    def home(self) -> str:
        water = self.request.source_water
        return water.name if water is not None else "its own tank"


def dip_steps(course: Course) -> tuple[DipStep, ...]:
    """Every row of the sheet, in the order of work."""
    fresh = course.treatment.kind == "dip"
    before = _before_fresh(course) if fresh else _before_bath(course)
    return (*before, *_while_in(course), *(_after_fresh() if fresh else _after_bath(course)))


def stop_steps(course: Course) -> tuple[DipStep, ...]:
    """What is done at the first stop sign, whatever the clock says."""
    if course.treatment.kind == "dip":
        first = _row("out", "net it out at once, into the clean tank of full salinity", _at(10, "stop"))
    elif course.treatment.id == "formalin-bath":
        text = "flush with clean water at once, or net it out into the clean, well aerated tank"
        first = _row("out", text, "PIPER82, treatments 5, stop (V)")
    else:
        text = "net it out at once, into clean sea water of the same temperature and salinity"
        first = _row("out", text, "MEMORY, not in our reference (M)")
    again = _row("after", "write down the minute and what was seen; no second try the same day", "MEMORY (M)")
    return first, _row("after", "strong air, dim light, leave it alone and watch it", "MEMORY (M)"), again


def watch_for(course: Course) -> tuple[str, ...]:
    """What to look at while the fish is in."""
    looks = ["breathing: even, not forced and not stopped", "balance: upright, or soon upright again"]
    if course.treatment.kind == "dip":
        looks.append("lying on its side for a moment at the start is common, rolling that goes on is not")
    else:
        looks.append("the air stone: never without it")
    if course.treatment.id == "formalin-bath":
        keep = course.treatment.needed("oxygen_keep")
        looks.append(f"oxygen by a meter throughout: {keep.low:g} to {keep.high:g} mg/L")
    return tuple(looks)


def _at(section: int, where: str, confidence: str = "C", key: str = "COMMON") -> str:
    return f"{key}, treatments {section}, {where} ({confidence})"


def _row(phase: Phase, text: str, source: str = "", minute: float | None = None) -> DipStep:
    return DipStep(phase=phase, text=text, minute=minute, source=source)


def _before_fresh(course: Course) -> Iterator[DipStep]:
    litres, match = f"{digits(course.water.value)} L", course.match
    yield _row("before", "ready beside it: a clean tank of full salinity with air, a net, a clock", _at(10, "after"))
    fill = f"fill {course.vessel} with {litres} of dechlorinated or pure fresh water"
    yield _row("before", fill, _at(10, "water"))
    yield _row("before", _warm(course), cite(match.tolerance))
    buffer = (
        f"stir in sodium bicarbonate a little at a time until the pH meter reads {match.ph.value:.1f}, "
        "never by the spoon; pure water drops without it"
    )
    yield _row("before", buffer, _at(10, "pH"))
    text = f"aerate hard for at least {course.aerate_before:g} min"
    yield _row("before", text, _at(10, "aeration"), -course.aerate_before)
    yield _row("before", "measure temperature and pH once more; begin only when both match", _at(10, "test", "D"))


def _before_bath(course: Course) -> Iterator[DipStep]:
    treatment, litres = course.treatment, f"{digits(course.water.value)} L"
    yield _row("before", "gloves, goggles, open window; the safety data sheet at hand", _people(treatment))
    formalin = treatment.id == "formalin-bath"
    if formalin:
        text = "look into the bottle: a white deposit is paraformaldehyde, throw it away"
        yield _row("before", text, "VM061, treatments 5, storage (V)")
    text = "ready beside it: a clean tank of the same temperature and salinity with air, a net, a clock"
    yield _row("before", text, "MEMORY, not in our reference (M)")
    same = f" of {course.match.salinity}" if course.match.salinity else f" of the salinity of {course.home}"
    fill = f"fill {course.vessel}, which held nothing else, with {litres} of new salt water{same}"
    yield _row("before", fill, _at(5 if formalin else 14, "separate vessel"))
    yield _row("before", _warm(course), cite(course.match.tolerance))
    if formalin:
        keep, least = treatment.needed("oxygen_keep"), treatment.needed("oxygen_floor")
        text = (
            f"aerate hard, until a test reads {keep.low:g} to {keep.high:g} mg/L of oxygen; "
            f"under {least.value:g} mg/L there is no bath"
        )
        yield _row("before", text, cite(keep), -course.aerate_before)
    else:
        yield _row("before", "aerate hard", "MEMORY, not in our reference (M)", -course.aerate_before)
    if course.dose is not None:
        yield from _pour(course, course.dose)


def _pour(course: Course, dose: DipDose) -> Iterator[DipStep]:
    treatment = course.treatment
    add = dose.add
    measured = shown_mL(course.room, add.value) if add.unit == "mL" else f"{digits(add.value)} {add.unit}"
    amount = f"{measured} of {dose.product}"
    parts = treatment.number("predilute")
    if parts is not None and dose.add.unit != "tablet":
        litres = f"{digits(dose.add.value * parts.value / 1000)} L"
        text = f"stir {amount} into {litres} of the water, then that into the vessel, and mix; never onto a fish"
        yield _row("before", text, cite(parts))
    else:
        yield _row("before", f"stir in {amount}, and mix; never onto a fish", _at(14, "test: a separate vessel"))
    if treatment.id == "peroxide-bath":
        yield _row("before", "check the level with a strip, and use it fresh", _at(14, "test"))
    else:
        yield _row("before", "measure temperature and oxygen once more before the fish goes in", _at(5, "test", "D"))


def _warm(course: Course) -> str:
    warmth, within = course.match.temperature, shown_degrees(course.match.tolerance.value, course.room)
    if warmth is None:
        return f"measure the temperature of {course.home}, and bring this water within {within} of it"
    return f"bring it to {warmth.value:.1f} °C, that of {course.home}; at most {within} off"


def _people(treatment: Treatment) -> str:
    first = treatment.people[-1] if treatment.people else None
    return cite(first) if first is not None else ""


def _while_in(course: Course) -> Iterator[DipStep]:
    fresh = course.treatment.kind == "dip"
    air = "light air" if fresh else "strong air all the time"
    yield _row("in", f"{course.request.label} in; start the clock; {air}; stay beside it", _aeration(course), 0.0)
    if fresh and course.minutes > 3:
        text = "many fish grow uneasy from 3 to 5 minutes: look hard now"
        yield _row("in", text, _at(10, "time, practice"), 3.0)
    end = f"{course.minutes:g} min: net it out, even if all looks well"
    yield _row("out", end, minute=course.minutes)


def _aeration(course: Course) -> str:
    if course.treatment.kind == "dip":
        return _at(10, "aeration")
    if course.treatment.id == "formalin-bath":
        return "VM061, treatments 5, oxygen (V)"
    return "MEMORY, not in our reference (M)"


def _after_fresh() -> Iterator[DipStep]:
    yield _row("after", "straight into full salinity, in a clean tank; not back into the old water", _at(10, "after"))
    flakes = "look into the vessel: clear flakes are capsalid flukes; write down what is seen"
    yield _row("after", flakes, "MEMORY, agents 12, clear flakes after a freshwater dip (M)")
    eggs = "eggs are not killed: plan the next dip after they hatch"
    yield _row("after", eggs, "HOAI19, treatments 10, targets (V)")
    yield _row("after", _throw_away(), "DERIVED, treatments, opening, always print (D)")


def _after_bath(course: Course) -> Iterator[DipStep]:
    text = "into clean water of the same temperature and full salinity, in a clean tank, with strong air"
    yield _row("after", text, "MEMORY, not in our reference (M)")
    if course.treatment.id == "peroxide-bath":
        yield _row("after", _throw_away(), _at(14, "test: discard after"))
    else:
        yield _row("after", _throw_away(), "CFR529, treatments 5, legal (V)")


def _throw_away() -> str:
    return "throw the water away by local rules, never use it twice, none of it to a tank; rinse and dry vessel and net"
