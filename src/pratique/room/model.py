"""The room file's shape: what a keeper may write, key by key. Meaning across keys is `resolve`'s work."""

# ruff: noqa: RUF012 (pydantic copies a default)

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from pratique.problem import quoted
from pratique.room import fields as f
from pratique.room import phrases as p
from pratique.room.fields import Wrong
from pratique.room.prescribed import Prescription
from pratique.room.written import Written, read_entries, read_list, read_map

Use = Literal["display", "transfer", "ward", "observation", "reserve"]
Trust = Literal["trusted", "unsure", "untrusted"]
Substrate = Literal["bare", "calcareous", "inert"]
Rock = Literal["none", "calcareous", "inert"]
Shape = Literal["box", "cylinder", "bow front"]
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


class Away(Written):
    from_: f.WhenField = Field(alias="from")
    to: f.WhenField
    stand_in: f.Name | None = None


class Units(Written):
    volume: Literal["L", "gal_us", "gal_imp"] = "L"
    temperature: Literal["degC", "degF"] = "degC"


class About(Written):
    name: f.Name = "fish room"
    time_zone: f.Name
    hours: f.HoursField = f.read_hours("07:00-09:00, 18:00-22:00")
    away: Annotated[tuple[Away, ...], BeforeValidator(read_entries)] = ()
    units: Annotated[Units, BeforeValidator(read_map)] = Units()
    veterinarian: f.Sentence | None = None


class Holds(Written):
    """A medicine that is already in the water when the file is written."""

    treatment: f.Name
    level: f.Level | None = None
    since: f.WhenField | None = None


class Conditions(Written):
    """What a water is like. On a tank that shares no water, these keys may stand on the tank itself."""

    salinity: f.SalinityField | None = None
    temperature: f.Temperature | None = None
    ph: f.PH | None = None
    oxygen: f.Level | None = None
    cycled: f.Yes | None = None
    carbon: f.Yes | None = None
    uv: f.Yes | None = None
    ozone: f.Yes | None = None
    skimmer: f.Yes | None = None
    filter: f.Sentence | None = None
    holds: Annotated[tuple[Holds, ...], BeforeValidator(read_entries)] = ()


class Water(Conditions):
    """A body of water that several tanks share; `sump` is the volume outside the tanks."""

    sump: f.Volume | None = None


CONDITION_KEYS = tuple(Conditions.model_fields)


class VolumeSpec(Written):
    """A net volume: measured, worked out from dimensions, or (marked) only nominal. `volumes` checks it."""

    measured: f.Volume | None = None
    nominal: f.Volume | None = None
    shape: Shape | None = None
    dimensions: Literal["inside", "outside"] = "inside"
    length: f.Length | None = None
    width: f.Length | None = None
    bow: f.Length | None = None
    diameter: f.Length | None = None
    fill: f.Length | None = None
    glass: f.Length | None = None
    sand: f.Length | None = None
    rock: f.Mass | None = None
    displacement: f.Volume | None = None

    @model_validator(mode="before")
    @classmethod
    def _not_a_bare_number(cls, data: Any) -> Any:
        if isinstance(data, str) and data.strip():
            measured = data if "±" in data else f"{data} ± 2 %"
            raise Wrong(
                "F124",
                f"{quoted(data)} does not say how this volume is known",
                f"below `volume:` write `measured: {measured}` if it was poured in and counted, "
                f"`nominal: {data}` if it is the size on the label, or `shape:` with the inside dimensions",
                "dosing 62 L as the 75.7 L on the label is 22 % too much",
            )
        return read_map(data)


class Tank(Conditions):
    use: Use
    water: f.Name | None = None
    volume: VolumeSpec
    substrate: Substrate = "bare"
    rock: Rock = "none"
    lid: f.Yes = False
    place: f.Sentence | None = None
    change: p.ChangeField | None = None


class Animal(Written):
    species: f.Name
    name: f.Name | None = None
    group: f.Name | None = None
    count: f.Count = 1
    size: f.Length | None = None
    weight: f.Mass | None = None
    signs: Annotated[tuple[f.Name, ...], BeforeValidator(read_list)] = ()
    scaleless: f.Yes = False


class Resident(Animal):
    tank: f.Name
    since: f.WhenField | None = None
    from_: f.Sentence | None = Field(default=None, alias="from")


class Batch(Written):
    source: f.Sentence = "unnamed source"
    trust: Trust
    arrives: f.WhenField
    animals: Annotated[tuple[Animal, ...], BeforeValidator(read_entries), Field(min_length=1)]
    signs: Annotated[tuple[f.Name, ...], BeforeValidator(read_list)] = ()
    regimen: f.Name | None = None
    into: f.Name | None = None
    because: f.Sentence | None = None
    treatment: f.Name | None = None


class Product(Written):
    active: Active
    form: CopperForm | None = None
    strength: f.StrengthField
    left: p.LeftField | None = None
    opened: f.WhenField | None = None
    expires: f.WhenField | None = None
    dropper: p.DropperField = None
    claim: p.ClaimField | None = None
    error: p.SpreadField | None = None


class Salt(Written):
    left: f.MassLeft | None = None


class MixedWater(Written):
    volume: f.Volume
    salinity: f.SalinityField | None = None
    made: f.WhenField | None = None
    container: f.Name | None = None


class Kit(Written):
    measures: Measured
    forms: Annotated[tuple[CopperForm, ...], BeforeValidator(read_list)] = ()
    resolution: f.Level | None = None
    error: p.SpreadField | None = None
    limit: f.Level | None = None
    expires: f.WhenField | None = None


class Syringe(Written):
    """A syringe or cylinder that liquids are measured with: what it holds, and what lies between two marks."""

    volume: f.Volume
    step: f.Volume


class Gear(Written):
    for_: Literal["transfers", "display", "ward", "observation", "all"] = Field(default="all", alias="for")
    holds: f.Sentence | None = None


class OwnValue(Written):
    """A keeper's own value for a knowledge number, or the choice of another source's. One of the two."""

    value: f.Sentence | None = None
    use: f.Name | None = None
    reason: f.Sentence


class OwnStage(Written):
    name: f.Name
    kind: Literal["transfers", "hold", "course", "observation"]
    use: Annotated[tuple[Use, ...], BeforeValidator(read_list)]
    treatments: Annotated[tuple[f.Name, ...], BeforeValidator(read_list)]
    only_with_signs: f.Yes = False
    why: f.Sentence = "the keeper's own stage"


class OwnRegimen(Written):
    title: f.Sentence
    reason: f.Sentence
    misses: f.Sentence = "not stated by the keeper"
    stages: Annotated[tuple[OwnStage, ...], BeforeValidator(read_entries), Field(min_length=1)]


class RoomFile(Written):
    """The whole file, as written."""

    room: Annotated[About, BeforeValidator(read_map)]
    waters: Annotated[dict[f.EntryName, Water], BeforeValidator(read_map)] = {}
    tanks: Annotated[dict[f.EntryName, Tank], BeforeValidator(read_map), Field(min_length=1)]
    animals: Annotated[tuple[Resident, ...], BeforeValidator(read_entries)] = ()
    batches: Annotated[dict[f.EntryName, Batch], BeforeValidator(read_map)] = {}
    shelf: Annotated[dict[f.EntryName, Product], BeforeValidator(read_map)] = {}
    salt: Annotated[Salt, BeforeValidator(read_map)] = Salt()
    mixed_water: Annotated[tuple[MixedWater, ...], BeforeValidator(read_entries)] = ()
    kits: Annotated[dict[f.EntryName, Kit], BeforeValidator(read_map)] = {}
    gear: Annotated[dict[f.EntryName, Gear], BeforeValidator(read_map)] = {}
    vessels: Annotated[dict[f.EntryName, f.Volume], BeforeValidator(read_map)] = {}
    syringes: Annotated[dict[f.EntryName, Syringe], BeforeValidator(read_map)] = {}
    prescriptions: Annotated[dict[f.EntryName, Prescription], BeforeValidator(read_map)] = {}
    regimens: Annotated[dict[f.EntryName, OwnRegimen], BeforeValidator(read_map)] = {}
    values: Annotated[dict[f.EntryName, OwnValue], BeforeValidator(read_map)] = {}
