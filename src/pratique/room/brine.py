"""Salinity as a keeper reads it off an instrument: g/kg, or a specific gravity with its temperatures."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import BeforeValidator

from pratique.problem import quoted
from pratique.quantity import QuantityError, parse_measure, parse_number
from pratique.room.written import Form
from pratique.room.wrong import Wrong, need_text, wrong_quantity


@dataclass(frozen=True, slots=True)
class Salinity:
    """g/kg as written, or a specific gravity, the temperature it was read at and its scale's reference."""

    text: str
    value: float
    is_gravity: bool = False
    at: float | None = None
    reference: float | None = None


_SPREAD = re.compile(r"±|\+/?-")
_GRAVITY = re.compile(
    r"(?P<number>[^ ]+?) ?sg(?:,? ?(?:at|@) ?(?P<at>[^,]+?))?(?:,? ?(?:reference|scale) (?P<ref>.+))?", re.I
)
_EXAMPLE = "write such as `1.025 sg at 25 degC`"


def read_salinity(value: Any) -> Salinity:
    if isinstance(value, Salinity):
        return value
    text = " ".join(need_text(value, "a salinity").split())
    if _SPREAD.search(text):
        hint = "write the reading alone; the program adds the error of the instrument"
        raise Wrong("U211", f"{quoted(text)} has an error after it, which is not read for a salinity", hint)
    try:
        found = _GRAVITY.fullmatch(text)
        if found is not None:
            return _gravity(text, found)
        if re.fullmatch(r"(?:1\.0|0\.9)[0-9]+", text):
            raise Wrong(
                "U206",
                f"{quoted(text)} has no unit; it looks like a specific gravity",
                f"write `{text} sg at 25 degC`, with the temperature it was read at",
            )
        plain = parse_measure(text, "salinity")
    except QuantityError as error:
        general = error.kind in ("no-unit", "dimension", "number")
        raise wrong_quantity(
            error, "write such as `35 g/kg`, or `1.025 sg at 25 degC`" if general else ""
        ) from None
    if not 0 <= plain.value <= 80:
        raise Wrong("U212", f"{quoted(text)} is outside 0 to 80 g/kg", "check the number and its unit")
    return Salinity(text=text, value=plain.value)


def _gravity(text: str, found: re.Match[str]) -> Salinity:
    number = parse_number(found["number"], "specific gravity", rest=text[found.end("number") :])
    if not 0.99 <= number <= 1.06:
        message = f"{quoted(text)} is not a specific gravity of any tank (0.990 to 1.060)"
        raise Wrong("U212", message, _EXAMPLE, part=found["number"])
    if found["at"] is None:
        message = f"{quoted(text)} does not say at which temperature it was read"
        written = f"{found['number']} sg at 25 degC"
        hint = f"write `{written}`; a scale that is not 25/25 also says `, reference 60 degF`"
        note = "the same 1.025 means 33.2, 34.8 or 35.9 g/kg by the reference temperature of the scale"
        raise Wrong("U213", message, hint, note)
    at = _temperature(found["at"].strip(), text)
    reference = _temperature(found["ref"].strip(), text) if found["ref"] else at
    return Salinity(text=text, value=number, is_gravity=True, at=at, reference=reference)


def _temperature(part: str, text: str) -> float:
    value = parse_measure(part, "temperature").value
    if not -2 <= value <= 45:
        message = f"{quoted(text)} has a temperature outside -2 to 45 degC"
        raise Wrong("U212", message, _EXAMPLE, part=part)
    return value


SalinityField = Annotated[
    Salinity,
    BeforeValidator(read_salinity),
    Form("a salinity in `g/kg`, or a specific gravity with the temperature it was read at", "1.0264 sg at 25 degC"),
]
