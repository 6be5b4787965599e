"""What a veterinarian prescribed, as the keeper wrote it down: drug, way, dose, times. Nothing here is chosen by us."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from pratique.problem import quoted
from pratique.quantity import CANONICAL, QuantityError, parse_measure
from pratique.room import fields as f
from pratique.room.written import Form, Written, read_list
from pratique.room.wrong import Wrong, need_text, wrong_quantity

Way = Literal["food", "bath"]

DIMENSION_OF_WAY: dict[Way, str] = {"food": "per_body", "bath": "level"}
"""A dose in food is counted by the mass of the fish and the day, one in a bath by the water."""

EXAMPLE_OF_WAY: dict[Way, str] = {"food": "50 mg/kg", "bath": "25 mg/L"}

_MOST = 10_000.0
"""mg/kg or mg/L: a hundred times what any source prints."""


@dataclass(frozen=True, slots=True)
class PrescribedDose:
    """mg for each kg of fish on a day, or mg in each litre at a time. `unit` is `mg/kg` or `mg/L`."""

    text: str
    value: float
    unit: str


def read_prescribed_dose(value: Any) -> PrescribedDose:
    if isinstance(value, PrescribedDose):
        return value
    text = " ".join(need_text(value, "a dose").split())
    first: QuantityError | None = None
    for dimension in ("level", "per_body"):
        try:
            found = parse_measure(text, dimension)
        except QuantityError as error:
            first = first or error
            continue
        if not found.exact:
            raise Wrong("U211", f"{quoted(text)} has an error after it", "write the dose as it was prescribed")
        if not 0 < found.value <= _MOST:
            raise Wrong("U212", f"{quoted(text)} is outside 0 to {_MOST:g} {found.unit}", "copy the prescription")
        return PrescribedDose(text, found.value, CANONICAL[dimension])
    assert first is not None
    ways = " or ".join(f"`{dose}` ({way})" for way, dose in EXAMPLE_OF_WAY.items())
    raise wrong_quantity(first, f"write such as {ways}")


class Prescription(Written, title="a prescription"):
    """`for` names a batch, a tank or animals; `change` is the part of the water changed before each later bath."""

    by: f.Sentence = Field(description="who prescribed it", examples=["Dr. Example, veterinarian"])
    for_: Annotated[tuple[f.Name, ...], BeforeValidator(read_list), Field(min_length=1)] = Field(
        alias="for", description="batches, tanks or animals it is for", examples=["ward"]
    )
    drug: f.Sentence = Field(description="what the dose counts, as it was prescribed", examples=["metronidazole"])
    product: f.Name = Field(description="which product of the shelf holds it", examples=["tablets"])
    way: Way = Field(description="how it is given", examples=["food"])
    dose: Annotated[
        PrescribedDose,
        BeforeValidator(read_prescribed_dose),
        Form("mg for each kg of fish a day (food), or mg in each litre (bath)", "50 mg/kg"),
    ] = Field(description="how much, as it was prescribed")
    every: f.Duration = Field(description="from one dose to the next", examples=["24 h"])
    days: f.Duration = Field(description="how long it goes on", examples=["5 d"])
    change: f.Share | None = Field(
        default=None, description="of a bath: the part of the water changed before each later dose"
    )
    note: f.Sentence | None = Field(
        default=None, description="anything else that was said", examples=["call again on day three"]
    )
