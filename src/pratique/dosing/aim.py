"""The level to reach and the limits it has to keep, at one temperature; and what is wrong with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.dose import Band
from pratique.dosing.formalin import by_volume, formaldehyde_in
from pratique.dosing.slips import explain_level
from pratique.figure import digits, shown_unit
from pratique.knowledge.model import Sourced, Treatment, cite
from pratique.problem import Place, Problem
from pratique.quantity import Measure
from pratique.room.values import OWN

MEASURING_ROOM = 1.05
"""How far over the level of a bath the worst case may lie (D). A bath is printed at its ceiling, for water that
was measured by jug or tape like the keeper's own; so errors of up to 5 % in all do not cut it, larger ones do."""

MOST_WITHOUT_CEILING = 2.0
"""How many times the level in use, where no ceiling is on file (D). BR19 gave 2 mg/L praziquantel twice in four
days without a test between: at most twice the level has been met by fish on record."""

SLACK = 1e-9
"""Share by which rounding may lift a level over its limit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """A level in the treatment's unit, the number it comes from, and the limits on either side.

    `published` is what a source gives where the keeper put a value before it: a refused one is never what to write.
    """

    treatment: Treatment
    target: Sourced
    published: Sourced
    level: float
    floor: Sourced | None
    ceiling: Sourced | None
    temperature: float | None

    @property
    def unit(self) -> str:
        return self.target.unit

    @property
    def shown(self) -> str:
        return shown_unit(self.target.unit)

    @property
    def most(self) -> float | None:
        """What the level must not pass even with every error at its worst; None where no ceiling is known."""
        if self.ceiling is None:
            return None
        if self.treatment.form:
            return self.ceiling.value
        return max(self.ceiling.value, self.level * MEASURING_ROOM)

    @property
    def is_own(self) -> bool:
        """True where the keeper's own value is what is aimed for."""
        return self.target.source == OWN and self.level == self.target.value

    @property
    def band(self) -> Band:
        """Where the level is kept: the target's own range, inside floor and ceiling."""
        return self._inside(self.target)

    @property
    def published_band(self) -> Band:
        """The same by the sources alone."""
        return self._inside(self.published)

    def _inside(self, target: Sourced) -> Band:
        low = max(target.low, self.floor.value) if self.floor else target.low
        high = min(target.high, self.ceiling.value) if self.ceiling else target.high
        return Band(low=low, high=max(low, high), unit=self.unit)

    def says(self, level: float) -> str:
        return f"{digits(level)} {self.shown}"


def find_aim(treatment: Treatment, wanted: Measure | None, temperature: float | None) -> Aim | None:
    """The aim at `temperature` (degC), or None where no level is on file for it."""
    target = treatment.number("target", temperature)
    if target is None or (temperature is None and _hangs_on_temperature(treatment)):
        return None
    return Aim(
        treatment=treatment,
        target=target,
        published=_published(treatment, temperature) or target,
        level=target.value if wanted is None else wanted.value,
        floor=treatment.number("floor", temperature),
        ceiling=treatment.number("ceiling", temperature),
        temperature=temperature,
    )


def _published(treatment: Treatment, temperature: float | None) -> Sourced | None:
    ranked = treatment.numbers.get("target", ())
    return next((number for number in ranked if number.source != OWN and number.holds_at(temperature)), None)


def _hangs_on_temperature(treatment: Treatment) -> bool:
    """True where a level or its limit holds at some temperatures only, whatever the keeper put before it."""
    ranked = [number for name in ("target", "ceiling") for number in treatment.numbers.get(name, ())]
    return any(number.from_ is not None or number.below is not None for number in ranked)


def no_aim(
    treatment: Treatment,
    temperature: float | None,
    whose: str,
    places: tuple[Place, ...] = (),
    hint: str = "measure it and write it down, such as `temperature: 25 degC`",
) -> Problem:
    """Why there is no level: the temperature is unknown, or nothing is on file for it.

    `whose` is the water; `hint` says where its temperature is given.
    """
    if temperature is None:
        return Problem(
            code="D451",
            message=f"the temperature of {whose} is not known, and the limit of `{treatment.id}` depends on it",
            places=places,
            hint=hint,
        )
    return Problem(
        code="D451",
        message=f"no level of `{treatment.id}` is on file for {temperature:g} degC",
        places=places,
        hint=f"`pratique why {treatment.id}` lists the temperatures that are",
    )


def aim_problems(aim: Aim, wanted: Measure | None) -> Iterator[Problem]:
    """A target outside the band is refused, and the slip that may be behind it named."""
    if wanted is not None and wanted.unit != aim.unit:
        yield wrong_unit("target", wanted, aim)
        return
    level, id_ = aim.level, aim.treatment.id
    if level <= 0:
        yield _outside("D441", "is not a level to aim for", aim.published, aim)
    elif aim.ceiling is not None and level > aim.ceiling.value * (1 + SLACK):
        yield _outside("D440", f"is above the ceiling {aim.says(aim.ceiling.value)} of `{id_}`", aim.ceiling, aim)
    elif aim.floor is not None and level < aim.floor.value * (1 - SLACK):
        what = f"is below {aim.says(aim.floor.value)}, under which `{id_}` does not work"
        yield _outside("D441", what, aim.floor, aim)
    elif aim.ceiling is None and level > aim.published.high * MOST_WITHOUT_CEILING * (1 + SLACK):
        what = f"is more than twice the highest level in use, {aim.says(aim.published.high)}; no ceiling is on file"
        yield _outside("D440", what, aim.published, aim)
    else:
        yield from _unusual(aim)


def _unusual(aim: Aim) -> Iterator[Problem]:
    """A target no source gives, that is not dangerous by itself."""
    slip = explain_level(aim.level, aim.treatment, aim.temperature)
    above = aim.ceiling is None and aim.level > aim.target.high * (1 + SLACK)
    below = aim.level < aim.target.low * (1 - SLACK) and slip != "" and not is_long_bath(aim)
    if above or below:
        way = "above" if above else "below"
        what = f"is {way} the level in use, {aim.says(aim.target.value)}"
        yield _outside("D462", what, aim.target, aim, warning=True)


def is_long_bath(aim: Aim) -> bool:
    """True for a level of the long low bath, which is published beside the short strong one."""
    long = aim.treatment.number("prolonged")
    return long is not None and long.low * (1 - SLACK) <= aim.level <= long.high * (1 + SLACK)


def _outside(code: str, what: str, by: Sourced, aim: Aim, *, warning: bool = False) -> Problem:
    slip = explain_level(aim.level, aim.treatment, aim.temperature)
    band = aim.published_band
    in_use = f"the level in use is {aim.says(band.low)}"
    if band.low != band.high:
        in_use = f"the band is {digits(band.low)} to {aim.says(band.high)}"
    own = f"`{aim.treatment.id}.target` under `values:` asks for it; " if aim.is_own else ""
    return Problem(
        code=code,
        severity="warning" if warning else "error",
        message=f"the target {aim.says(aim.level)} {what}",
        note=f"what may have happened: {slip}" if slip else "",
        source=cite(by),
        hint=own + in_use,
    )


def wrong_unit(what: str, found: Measure, aim: Aim, places: tuple[Place, ...] = ()) -> Problem:
    """A level counted in another way than the treatment's; nothing is converted, since the count is not known."""
    level = f"{digits(found.value)} {shown_unit(found.unit)}"
    note = ""
    if aim.unit == "uL/L":
        volume, weight = found.value, by_volume(found.value, aim.treatment)
        formaldehyde = found.value / formaldehyde_in(1.0, aim.treatment)
        note = (
            f"{level} may be the product by volume ({digits(volume)} µL/L), the product by weight "
            f"({digits(weight)} µL/L) or formaldehyde ({digits(formaldehyde)} µL/L)"
        )
    return Problem(
        code="D461",
        message=f"the {what} {level} is not counted in {aim.shown}, as `{aim.treatment.id}` is",
        places=places,
        note=note,
        hint=f"write it in {aim.shown}, such as `{aim.target.value:g} {aim.unit}`",
    )
