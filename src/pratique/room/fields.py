"""How each plain value in a room file is read from its text. Every failure is a `Wrong` with its code."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import BeforeValidator

from pratique.letters import stranger_in
from pratique.problem import quoted
from pratique.quantity import CANONICAL, Measure, QuantityError, parse_measure, parse_number
from pratique.room.bottles import Strength, StrengthField
from pratique.room.brine import Salinity, SalinityField
from pratique.room.times import Hours, HoursField, When, WhenField, read_hours
from pratique.room.written import Form
from pratique.room.wrong import Wrong, need_text, wrong_quantity
from pratique.spellings import SPOKEN

__all__ = [
    "PH",
    "Count",
    "CountLeft",
    "Duration",
    "EntryName",
    "Hours",
    "HoursField",
    "Length",
    "Level",
    "Mass",
    "MassLeft",
    "Measure",
    "Name",
    "Salinity",
    "SalinityField",
    "Sentence",
    "Share",
    "Strength",
    "StrengthField",
    "Temperature",
    "Volume",
    "When",
    "WhenField",
    "Wrong",
    "Yes",
    "read_hours",
]


def measure(
    dimension: str, *, least: float | None = None, most: float, above: float | None = None
) -> Callable[[Any], Measure]:
    """A reader of `dimension`; limits are in its canonical unit, `above` excluded."""
    unit, spoken = CANONICAL[dimension], SPOKEN[dimension]

    def read(value: Any) -> Measure:
        if isinstance(value, Measure):
            return value
        text = need_text(value, spoken)
        try:
            found = parse_measure(text, dimension)
        except QuantityError as error:
            raise wrong_quantity(error) from None
        if above is not None and found.low <= above:
            raise _too_small(found, above, unit, spoken)
        if least is not None and found.value < least:
            hint = "check the number and its unit"
            message = f"{quoted(text)} is below {least:g} {unit}, the least that is read here"
            raise Wrong("U212", message, hint)
        if found.value > most:
            message = f"{quoted(text)} is above {most:,.0f} {unit}, the most that is read here"
            raise Wrong("U212", message, "check the number and its unit")
        return found

    return read


def _too_small(found: Measure, above: float, unit: str, spoken: str) -> Wrong:
    if found.value < above:
        what = "is negative" if above == 0 else f"is below {above:g} {unit}"
    elif found.value == above:
        what = "is zero" if above == 0 else f"is not above {above:g} {unit}"
    else:
        what = f"reaches {found.low:.3g} {unit} at the low end of its error"
    return Wrong("U212", f"{quoted(found.text)} {what}", f"{spoken} here is above {above:g} {unit}")


Volume = Annotated[
    Measure,
    BeforeValidator(measure("volume", above=0, most=10_000_000)),
    Form("a volume and its unit; an error may follow", "62 L ± 1 L"),
]
Length = Annotated[
    Measure,
    BeforeValidator(measure("length", above=0, most=10_000)),
    Form("a length and its unit; an error may follow", "50 cm ± 0.5 cm"),
]
Mass = Annotated[
    Measure,
    BeforeValidator(measure("mass", above=0, most=100_000_000)),
    Form("a mass and its unit; an error may follow", "20 kg"),
]
MassLeft = Annotated[
    Measure,
    BeforeValidator(measure("mass", least=0, most=100_000_000)),
    Form("a mass and its unit", "20 kg"),
]
Temperature = Annotated[
    Measure,
    BeforeValidator(measure("temperature", least=-2, most=45)),
    Form("a temperature in `degC` or `degF`; an error may follow", "25 degC"),
]
Duration = Annotated[
    Measure,
    BeforeValidator(measure("duration", above=0, most=24 * 366 * 5)),
    Form("a duration and its unit", "24 h"),
]
Level = Annotated[
    Measure,
    BeforeValidator(measure("level", least=0, most=100_000)),
    Form("mass in a volume; an error may follow", "2 mg/L"),
]
Share = Annotated[Measure, BeforeValidator(measure("fraction", above=0, most=100)), Form("a percentage", "25 %")]
PH = Annotated[Measure, BeforeValidator(measure("ph", least=4, most=11)), Form("a pH, without a unit", "8.1 ± 0.1")]


def read_yes(value: Any) -> bool:
    if isinstance(value, bool):
        return value
    text = need_text(value, "`yes` or `no`")
    if text.lower() in ("yes", "true", "on"):
        return True
    if text.lower() in ("no", "false", "off"):
        return False
    raise Wrong("F114", f"{quoted(text)} is neither `yes` nor `no`", "write `yes` or `no`")


Yes = Annotated[bool, BeforeValidator(read_yes), Form("`yes` or `no`", "yes")]


def read_count(value: Any) -> int:
    if isinstance(value, int):
        return value
    text = need_text(value, "a whole number")
    try:
        number = parse_number(text)
    except QuantityError as error:
        raise wrong_quantity(error) from None
    if number != int(number) or number < 1 or number > 1_000_000:
        raise Wrong("U212", f"{quoted(text)} is not a whole number from 1", "write how many, such as `2`")
    return int(number)


Count = Annotated[int, BeforeValidator(read_count), Form("a whole number from 1", "2")]


def read_count_left(value: Any) -> int:
    return 0 if value == "0" or value == 0 else read_count(value)


CountLeft = Annotated[int, BeforeValidator(read_count_left), Form("a whole number from 0", "40")]

_LONGEST_NAME = 60


def read_name(value: Any) -> str:
    text = " ".join(need_text(value, "a name").split())
    if len(text) > _LONGEST_NAME:
        message = f"a name of {len(text)} characters is too long for a label"
        raise Wrong("F114", message, f"use at most {_LONGEST_NAME}")
    stranger = stranger_in(text)
    if stranger is not None:
        where = f"letter {stranger.number} of {quoted(text)}, `{stranger.letter}`, is {stranger.alphabet}"
        hint = f"type the name anew, all in {stranger.among} letters"
        raise Wrong("F132", f"{where} among {stranger.among} letters", hint, part=stranger.letter)
    return text


def read_entry_name(value: Any) -> str:
    """The name of an entry, which stands as a key: what is written is the name, letter for letter."""
    text = read_name(value)
    if text != value:
        hint = f"write `{text}:`"
        raise Wrong("F114", "a name has spaces at an end, or two in a row", hint, "two such names look alike")
    return text


Name = Annotated[str, BeforeValidator(read_name), Form("a name", "reef")]
EntryName = Annotated[str, BeforeValidator(read_entry_name), Form("a name", "reef")]


def read_sentence(value: Any) -> str:
    return " ".join(need_text(value, "a few words").split())


Sentence = Annotated[str, BeforeValidator(read_sentence), Form("a few words", "as you would say it")]
