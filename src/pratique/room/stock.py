"""What stands on the shelves: products, salt and mixed water, kits, syringes and gear, key by key."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from pratique.room import fields as f
from pratique.room import phrases as p
from pratique.room.money import PriceField
from pratique.room.written import Written, read_list

Active = Literal[
    "copper",
    "formalin",
    "peroxide",
    "praziquantel",
    "bicarbonate",
    "chloroquine phosphate",
    "acriflavine",
    "methylene blue",
    "metronidazole",
    "fenbendazole",
    "levamisole",
    "antibiotic",
    "chlorine",
    "sodium thiosulfate",
]
CopperForm = Literal["ionic", "amine", "chelated"]
Measured = Literal["copper", "ammonia", "nitrite", "ph", "salinity", "temperature", "oxygen", "alkalinity"]


class Product(Written, title="a product on the shelf"):
    active: Active = Field(description="what works in it")
    form: CopperForm | None = Field(
        default=None, description="of copper only, and needed there: the bands of the forms differ up to 17 times"
    )
    strength: f.StrengthField = Field(description="how much of which substance is in how much of the product")
    left: p.LeftField | None = Field(default=None, description="what is left of it; a dose that needs more says so")
    opened: f.WhenField | None = Field(default=None, description="the day it was opened", examples=["2027-01-15"])
    expires: f.WhenField | None = Field(
        default=None,
        description="its last good day; of two bottles the first to expire is used",
        examples=["2028-12-31"],
    )
    dropper: p.DropperField = Field(default=None, description="its dropper, counted; without it no answer is in drops")
    claim: p.ClaimField | None = Field(
        default=None, description="the label's own sentence, which is checked against the strength"
    )
    error: p.SpreadField | None = Field(default=None, description="how far the strength may be off")
    price: PriceField | None = Field(
        default=None, description="what a new pack costs, in any money; then `pratique shelf` sums what is to be bought"
    )


class Salt(Written, title="the salt"):
    left: f.MassLeft | None = Field(default=None, description="how much dry salt is left")
    price: PriceField | None = Field(
        default=None, description="what a new bag costs, in any money", examples=["60 euro per 20 kg"]
    )


class MixedWater(Written, title="a container of mixed water"):
    volume: f.Volume = Field(description="how much water is mixed", examples=["90 L"])
    salinity: f.SalinityField | None = Field(default=None, description="its salinity")
    made: f.WhenField | None = Field(default=None, description="the day it was mixed", examples=["2027-03-03"])
    container: f.Name | None = Field(default=None, description="what it stands in", examples=["grey barrel"])


class Kit(Written, title="a test kit"):
    measures: Measured = Field(description="what it measures")
    forms: Annotated[tuple[CopperForm, ...], BeforeValidator(read_list)] = Field(
        default=(), description="of copper only, and needed there: the forms its leaflet says it reads"
    )
    resolution: f.Level | None = Field(
        default=None, description="the step between two readings it can show", examples=["0.05 mg/L"]
    )
    error: p.SpreadField | None = Field(default=None, description="how far a reading may be off")
    limit: f.Level | None = Field(
        default=None,
        description="the least it can tell from nothing; a reading below it is unknown",
        examples=["0.05 mg/L"],
    )
    expires: f.WhenField | None = Field(
        default=None, description="its last good day; it is not trusted after it", examples=["2028-03-31"]
    )
    left: f.CountLeft | None = Field(
        default=None, description="for how many tests it still has reagent; each reading in the log takes one"
    )


class Syringe(Written, title="a syringe"):
    """A syringe or cylinder that liquids are measured with: what it holds, and what lies between two marks."""

    volume: f.Volume = Field(description="what it holds when full", examples=["20 mL"])
    step: f.Volume = Field(
        description="what lies between two marks; no amount is shown finer than that", examples=["0.5 mL"]
    )


class Gear(Written, title="a set of gear"):
    for_: Literal["transfers", "display", "ward", "observation", "all"] = Field(
        default="all", alias="for", description="where it is used; two sets for transfers let one dry"
    )
    holds: f.Sentence | None = Field(default=None, description="what the set is made of", examples=["net, cup, hose"])
