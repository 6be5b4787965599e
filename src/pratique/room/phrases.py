"""Values that are a small phrase of several quantities: what is left, a label's claim, a change habit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator

from pratique.quantity import QuantityError, parse_measure, parse_number
from pratique.room.fields import CODE_OF_KIND, Wrong, need_text, wrong_quantity


@dataclass(frozen=True, slots=True)
class Left:
    """What a bottle still holds, in mL, g or tablets."""

    text: str
    value: float
    unit: str


def read_left(value: Any) -> Left:
    if isinstance(value, Left):
        return value
    text = need_text(value, "what is left")
    tablets = re.fullmatch(r"(\S+) ?tablets?", text)
    try:
        if tablets:
            return _not_negative(Left(text, parse_number(tablets[1]), "tablet"))
        try:
            return _not_negative(Left(text, parse_measure(text, "volume").value * 1000, "mL"))
        except QuantityError as error:
            if error.kind != "dimension":
                raise
        return _not_negative(Left(text, parse_measure(text, "mass").value, "g"))
    except QuantityError as error:
        raise Wrong(CODE_OF_KIND[error.kind], f"`{text}` {error.detail}", error.hint if error.kind != "dimension" else "write mL, g or tablets") from None


def _not_negative(left: Left) -> Left:
    if left.value < 0:
        raise Wrong("U212", f"`{left.text}` is negative", "write what is left, or delete the product")
    return left


LeftField = Annotated[Left, BeforeValidator(read_left)]


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
    text = " ".join(need_text(value, "the label's claim").split())
    found = _CLAIM.fullmatch(text)
    if found is None:
        raise Wrong("U217", f"`{text}` is not a claim that can be checked", "write such as `1 mL per 40 L gives 0.15 mg/L`")
    dose = read_left(found["dose"])
    try:
        volume = parse_measure(found["volume"], "volume").value
        level = parse_measure(found["level"], "level").value
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if dose.value <= 0 or volume <= 0 or level <= 0:
        raise Wrong("U212", f"`{text}` has an amount that is not above zero", "copy the label's figures")
    return Claim(text, dose.value, dose.unit, volume, level)


ClaimField = Annotated[Claim, BeforeValidator(read_claim)]


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
    text = need_text(value, "an error")
    try:
        if text.endswith("%"):
            share = parse_number(text[:-1].lstrip("±"))
            if not 0 <= share <= 100:
                raise Wrong("U212", f"`{text}` is outside 0 to 100 %", "write such as `5 %`")
            return Spread(text, share=share / 100)
        absolute = parse_measure(text.lstrip("±").strip(), "level").value
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if absolute < 0:
        raise Wrong("U212", f"`{text}` is negative", "write such as `0.02 mg/L` or `5 %`")
    return Spread(text, absolute=absolute)


SpreadField = Annotated[Spread, BeforeValidator(read_spread)]


@dataclass(frozen=True, slots=True)
class Change:
    """A water-change habit: `share` of the water (0 to 1) every `hours`."""

    text: str
    share: float
    hours: float


_CHANGE = re.compile(r"(?P<share>\S+) ?% every (?P<every>.+)")


def read_change(value: Any) -> Change:
    if isinstance(value, Change):
        return value
    text = " ".join(need_text(value, "a water change").split())
    found = _CHANGE.fullmatch(text)
    if found is None:
        raise Wrong("U217", f"`{text}` is not a change that can be planned", "write such as `25 % every 3 d`")
    every = found["every"] if found["every"][0].isdigit() else f"1 {found['every']}"
    try:
        share = parse_number(found["share"])
        hours = parse_measure({"1 day": "1 d", "1 week": "1 wk"}.get(every, every), "duration").value
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if not 0 < share <= 100 or hours < 6:
        raise Wrong("U212", f"`{text}` is not a change that can be planned", "at most 100 %, at least 6 h apart")
    return Change(text, share / 100, hours)


ChangeField = Annotated[Change, BeforeValidator(read_change)]


def read_dropper(value: Any) -> float:
    """Drops per mL."""
    if isinstance(value, float):
        return value
    text = need_text(value, "a dropper's calibration")
    number, _, unit = text.partition(" ")
    if unit != "drops/mL":
        hint = "count the drops in 1 mL and write such as `20 drops/mL`"
        raise Wrong("U217", f"`{text}` is not the calibration of a dropper", hint)
    try:
        found = parse_number(number)
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if not 5 <= found <= 100:
        raise Wrong("U212", f"`{text}` is outside 5 to 100 drops/mL", "count again over several mL")
    return found


DropperField = Annotated[float | None, BeforeValidator(read_dropper)]
