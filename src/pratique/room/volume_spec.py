"""How a keeper says how much water a tank holds. `volumes` checks that it is said in one way, and whole."""

from __future__ import annotations

import math
import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from pratique.problem import quoted
from pratique.quantity import QuantityError, parse_measure
from pratique.room import fields as f
from pratique.room.written import Written, read_map
from pratique.room.wrong import Wrong, wrong_quantity
from pratique.spellings import SPELLINGS, find_mistake

Shape = Literal["box", "cylinder", "bow front"]

MEASURES = {
    "box": ("length", "width", "fill"),
    "cylinder": ("diameter", "fill"),
    "bow front": ("length", "width", "bow", "fill"),
}
"""What each shape is given by; the height of the water comes last."""

OUTSIDE = "measured outside, also `dimensions: outside` and `glass: 6 mm`"
"""What a hint about dimensions ends with."""

_SIDE = r"(?P<number{at}>[0-9]+(?:[.,][0-9]+)?) ?(?P<unit{at}>[^0-9x×*\s]{{0,12}})"
_THREE_SIDES = re.compile(r" ?(?:x|×|\*|by) ?".join(_SIDE.format(at=at) for at in "123"), re.I)


def _readable(text: str) -> None:
    """Wrong where the volume itself cannot be read: what is proposed with it could not be either."""
    try:
        parse_measure(text, "volume")
    except QuantityError as error:
        if error.kind == "unit-mistake":
            hint = f"{error.hint}; and below `volume:` say how it is known, such as `measured: 62 L ± 2 %`"
            raise wrong_quantity(error, hint) from None


def _refuse_three_sides(data: Any) -> Any:
    """`36 x 12 x 16 in` is the size of the glass: its height is not the height of the water."""
    found = _THREE_SIDES.fullmatch(" ".join(data.split())) if isinstance(data, str) else None
    if found is None:
        return data
    units = [_length_unit(found[f"unit{at}"]) for at in "123"]
    numbers = [found[f"number{at}"].replace(",", ".") for at in "123"]
    sides = [f"{number} {unit or units[-1] or 'cm'}" for number, unit in zip(numbers, units, strict=True)]
    raise Wrong(
        "F124",
        f"{quoted(data)} is three measures, not a volume",
        f"if they are length × width × height, write below `volume:` `shape: box`, `length: {sides[0]}`, "
        f"`width: {sides[1]}` and, as `fill:`, the height of the WATER; then `dimensions: outside` and `glass: 6 mm` "
        "if they were measured outside, else `dimensions: inside`",
        _up_to_the_rim(sides) if units[-1] else "",
    )


def _up_to_the_rim(sides: list[str]) -> str:
    litres = math.prod(parse_measure(side, "length").value for side in sides) / 1000
    return f"a box of that size is {litres:.3g} L up to its rim; the water in it is less"


def _length_unit(typed: str) -> str:
    """The unit as it is read; empty where none was typed, or none that is a length."""
    if typed in SPELLINGS["length"]:
        return typed
    mistake = find_mistake(typed)
    meant = re.search("`([^`]+)`", mistake.hint) if mistake is not None and mistake.dimension == "length" else None
    return meant[1] if meant else ""


Net = Annotated[f.Volume, BeforeValidator(_refuse_three_sides)]


class VolumeSpec(Written, title="the volume of a tank"):
    """A net volume: measured, worked out from dimensions, or (marked) only nominal."""

    measured: Net | None = Field(
        default=None,
        description="the water that is in it, poured in with a measure; 2 % of error where none is written",
    )
    nominal: Net | None = Field(
        default=None,
        description="the size on the label, which is not the water; doses are worked out with a warning",
        examples=["200 L"],
    )
    shape: Shape | None = Field(default=None, description="to work the volume out from dimensions")
    dimensions: Literal["inside", "outside"] = Field(
        default="inside", description="where length, width, bow and diameter were measured; outside needs `glass`"
    )
    length: f.Length | None = Field(default=None, description="from left to right", examples=["60 cm"])
    width: f.Length | None = Field(
        default=None, description="from front to back; of a bow front at its side", examples=["38 cm"]
    )
    bow: f.Length | None = Field(
        default=None, description="of a bow front, from the back to its foremost point", examples=["48 cm"]
    )
    diameter: f.Length | None = Field(default=None, description="of a cylinder, from side to side", examples=["40 cm"])
    fill: f.Length | None = Field(
        default=None, description="the height of the water, not of the glass", examples=["33 cm ± 0.5 cm"]
    )
    glass: f.Length | None = Field(
        default=None, description="the thickness of the glass, for outside dimensions", examples=["6 mm"]
    )
    sand: f.Length | None = Field(
        default=None, description="the depth of the sand, which takes the place of water", examples=["4 cm ± 1 cm"]
    )
    rock: f.Mass | None = Field(default=None, description="how much rock is in it", examples=["9 kg"])
    displacement: f.Volume | None = Field(
        default=None, description="the volume of other things in the water", examples=["1.5 L"]
    )

    @model_validator(mode="before")
    @classmethod
    def _not_a_bare_number(cls, data: Any) -> Any:
        if isinstance(data, str) and data.strip():
            _refuse_three_sides(data)
            _readable(data)
            measured = data if "±" in data else f"{data} ± 2 %"
            raise Wrong(
                "F124",
                f"{quoted(data)} does not say how this volume is known",
                f"below `volume:` write `measured: {measured}` if it was poured in and counted, "
                f"`nominal: {data}` if it is the size on the label, or `shape: box` with the inside dimensions "
                f"({OUTSIDE})",
                "dosing 62 L as the 75.7 L on the label is 22 % too much",
            )
        return read_map(data)
