"""Values that are a small phrase of several quantities: what is left, a label's claim, a change habit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator

from pratique.problem import quoted
from pratique.quantity import QuantityError, parse_measure, parse_number
from pratique.room.written import Form
from pratique.room.wrong import Wrong, need_text, wrong_quantity


def _phrase(value: Any, what: str) -> str:
    return " ".join(need_text(value, what).split())


@dataclass(frozen=True, slots=True)
class Left:
    """What a bottle still holds, in mL, g or tablets."""

    text: str
    value: float
    unit: str


_LEFT_EXAMPLE = "write such as `250 mL`, `40 g` or `12 tablets`"


def read_left(value: Any) -> Left:
    if isinstance(value, Left):
        return value
    text = _phrase(value, "what is left")
    try:
        left = _left(text)
    except QuantityError as error:
        general = error.kind in ("number", "no-unit", "dimension", "unknown-unit")
        raise wrong_quantity(error, _LEFT_EXAMPLE if general else "") from None
    if left.value < 0:
        raise Wrong("U212", f"{quoted(text)} is negative", "write what is left, or delete the product")
    return left


def _left(text: str) -> Left:
    tablets = re.fullmatch(r"(\S+?) ?tablets?", text)
    if tablets:
        return Left(text, parse_number(tablets[1], rest=text[len(tablets[1]) :]), "tablet")
    try:
        return Left(text, _exact(text, "volume") * 1000, "mL")
    except QuantityError as error:
        if error.kind not in ("dimension", "unknown-unit"):
            raise
    return Left(text, _exact(text, "mass"), "g")


def _exact(text: str, dimension: str) -> float:
    """A value in a phrase that has no room for an error."""
    found = parse_measure(text, dimension)
    if not found.exact:
        detail = "has an error after it, which is not read here"
        raise QuantityError("spread", text, dimension, detail, "write the number alone")
    return found.value


LeftField = Annotated[Left, BeforeValidator(read_left), Form("mL, g or a number of tablets", "250 mL")]


@dataclass(frozen=True, slots=True)
class Claim:
    """A label's sentence `1 mL per 40 L gives 0.15 mg/L`: dose in mL or g, volume in L, level in mg/L."""

    text: str
    dose: float
    dose_unit: str
    volume: float
    level: float


_CLAIM = re.compile(r"(?P<dose>.+?) (?:per|in|to) (?P<volume>.+?) (?:gives?|=) (?P<level>.+)")


def read_claim(value: Any) -> Claim:
    if isinstance(value, Claim):
        return value
    text = _phrase(value, "the label's claim")
    found = _CLAIM.fullmatch(text)
    if found is None:
        hint = "write such as `1 mL per 40 L gives 0.15 mg/L`"
        raise Wrong("U217", f"{quoted(text)} is not a claim that can be checked", hint)
    try:
        dose = _left(found["dose"])
        volume = _exact(found["volume"], "volume")
        level = _exact(found["level"], "level")
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if dose.value <= 0 or volume <= 0 or level <= 0:
        message = f"{quoted(text)} has an amount that is not above zero"
        raise Wrong("U212", message, "copy the label's figures")
    return Claim(text, dose.value, dose.unit, volume, level)


ClaimField = Annotated[
    Claim,
    BeforeValidator(read_claim),
    Form("an amount, `per` a volume, `gives` a level", "1 mL per 40 L gives 0.15 mg/L"),
]


@dataclass(frozen=True, slots=True)
class Spread:
    """An error: an absolute part (mg/L) or a share of the value."""

    text: str
    absolute: float = 0.0
    share: float = 0.0

    def around(self, value: float) -> tuple[float, float]:
        size = self.absolute + self.share * value
        return max(value - size, 0.0), value + size


def read_spread(value: Any) -> Spread:
    if isinstance(value, Spread):
        return value
    text = _phrase(value, "an error")
    size = re.sub(r"^(?:±|\+/-|\+-) ?", "", text)
    example = "write such as `0.02 mg/L` or `5 %`"
    try:
        if size.endswith("%"):
            share = parse_number(size[:-1], rest=" %")
            if not 0 <= share <= 100:
                raise Wrong("U212", f"{quoted(text)} is outside 0 to 100 %", example)
            return Spread(text, share=share / 100)
        absolute = _exact(size, "level")
    except QuantityError as error:
        raise wrong_quantity(error, example if error.kind in ("no-unit", "dimension") else "") from None
    if absolute < 0:
        raise Wrong("U212", f"{quoted(text)} is negative", example)
    return Spread(text, absolute=absolute)


SpreadField = Annotated[Spread, BeforeValidator(read_spread), Form("a level, or a percentage of the value", "5 %")]


@dataclass(frozen=True, slots=True)
class Change:
    """A water-change habit: `share` of the water (0 to 1) every `hours`."""

    text: str
    share: float
    hours: float


_CHANGE = re.compile(r"(?P<share>\S+?) ?% (?:every|each|per) (?P<every>.+)")
_LEAST_HOURS = 6


def read_change(value: Any) -> Change:
    if isinstance(value, Change):
        return value
    text = _phrase(value, "a water change")
    found = _CHANGE.fullmatch(text)
    if found is None:
        hint = "write such as `25 % every 3 d`"
        raise Wrong("U217", f"{quoted(text)} is not a change that can be planned", hint)
    every = {"day": "1 d", "week": "1 wk", "d": "1 d", "wk": "1 wk"}.get(found["every"], found["every"])
    try:
        share = parse_number(found["share"], rest=text[found.end("share") :])
        hours = _exact(every, "duration")
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if not 0 < share <= 100:
        hint = "write a share above 0 and up to 100 %"
        raise Wrong("U212", f"{quoted(text)} is not a share of the water", hint)
    if hours < _LEAST_HOURS:
        message = f"{quoted(text)} comes sooner than {_LEAST_HOURS} h after the last"
        raise Wrong("U212", message, f"write at least `{_LEAST_HOURS} h`", part=found["every"])
    return Change(text, share / 100, hours)


ChangeField = Annotated[
    Change,
    BeforeValidator(read_change),
    Form("a percentage, `every` so many hours, days or weeks", "25 % every 3 d"),
]


def read_dropper(value: Any) -> float:
    """Drops per mL."""
    if isinstance(value, float):
        return value
    text = _phrase(value, "a dropper's calibration")
    number, _, unit = text.partition(" ")
    if unit != "drops/mL":
        hint = "count the drops in 1 mL and write such as `20 drops/mL`"
        raise Wrong("U217", f"{quoted(text)} is not the calibration of a dropper", hint)
    try:
        found = parse_number(number, rest=" drops/mL")
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if not 5 <= found <= 100:
        raise Wrong("U212", f"{quoted(text)} is outside 5 to 100 drops/mL", "count again over several mL")
    return found


DropperField = Annotated[float | None, BeforeValidator(read_dropper), Form("drops in one mL, counted", "20 drops/mL")]
