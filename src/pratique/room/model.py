"""The room file's shape: what a keeper may write, key by key. Meaning across keys is `resolve`'s work."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from pratique.room import fields as f
from pratique.room import phrases as p
from pratique.room.fields import Wrong

Use = Literal["display", "transfer", "ward", "observation", "reserve"]
Trust = Literal["trusted", "unsure", "untrusted"]
Substrate = Literal["bare", "calcareous", "inert"]
Rock = Literal["none", "calcareous", "inert"]
Shape = Literal["box", "cylinder", "bow front"]
Active = Literal["copper", "formalin", "peroxide", "praziquantel", "bicarbonate", "chloroquine", "acriflavine",
                 "methylene blue", "metronidazole", "fenbendazole", "antibiotic", "chlorine", "thiosulfate"]
CopperForm = Literal["ionic", "amine", "chelated"]
Measured = Literal["copper", "ammonia", "nitrite", "ph", "salinity", "temperature", "oxygen", "alkalinity"]


class Written(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, populate_by_name=True)


class Away(Written):
    from_: f.WhenField = Field(alias="from")
    to: f.WhenField
    stand_in: f.Name | None = None


class Units(Written):
    volume: Literal["L", "gal_us", "gal_imp"] = "L"
    temperature: Literal["degC", "degF"] = "degC"


def _list(value: Any) -> Any:
    if isinstance(value, Mapping):
        raise Wrong("F110", "a map stands where a list belongs", "begin each entry with `- `")
    if isinstance(value, str):
        if not value.strip():
            return []
        return [part.strip() for part in value.split(",") if part.strip()]
    return value


def _map(value: Any) -> Any:
    if isinstance(value, list):
        raise Wrong("F110", "a list stands where a map belongs", "write `name:` and the keys below it, without `- `")
    if isinstance(value, str):
        if not value.strip():
            return {}
        raise Wrong("F110", f"`{value[:40]}` stands where a map belongs", "write the keys below it, each on its own line")
    return value


def _entries(value: Any) -> Any:
    if isinstance(value, str) and value.strip():
        raise Wrong("F110", f"`{value[:40]}` stands where a list belongs", "begin each entry with `- ` on a line of its own")
    return _list(value)


class About(Written):
    name: f.Name = "fish room"
    time_zone: f.Name
    hours: f.HoursField = f.read_hours("07:00-09:00, 18:00-22:00")
    away: Annotated[tuple[Away, ...], BeforeValidator(_entries)] = ()
    units: Annotated[Units, BeforeValidator(_map)] = Units()
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
    holds: Annotated[tuple[Holds, ...], BeforeValidator(_entries)] = ()


class Water(Conditions):
    """A body of water that several tanks share; `sump` is the volume outside the tanks."""

    sump: f.Volume | None = None


CONDITION_KEYS = tuple(Conditions.model_fields)


class VolumeSpec(Written):
    """A net volume: measured, worked out from dimensions, or (marked) only nominal."""

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
            raise Wrong(
                "F124",
                f"`{data}` does not say how this volume is known",
                f"write `measured: {data} ± 2 %` if it was poured in and counted, `nominal: {data}` if it is the size on the "
                "label, or `shape:` with the inside dimensions",
                "dosing 62 L as the 75.7 L on the label is 22 % too much",
            )
        return _map(data)

    @model_validator(mode="after")
    def _one_way(self) -> VolumeSpec:
        ways = [name for name in ("measured", "nominal", "shape") if getattr(self, name) is not None]
        if len(ways) != 1:
            said = " and ".join(f"`{way}`" for way in ways) or "nothing"
            raise Wrong("F124", f"the volume is given by {said}", "give exactly one of `measured`, `nominal` or `shape`")
        if self.shape is None:
            extra = [k for k in ("length", "width", "bow", "diameter", "fill", "glass", "sand", "rock", "displacement")
                     if getattr(self, k) is not None]
            if extra:
                raise Wrong("F124", f"`{extra[0]}` stands beside `{ways[0]}`, which is already the whole answer", "delete it, or give `shape` and the dimensions instead")
            return self
        needed = {"box": ("length", "width", "fill"), "cylinder": ("diameter", "fill"), "bow front": ("length", "width", "bow", "fill")}[self.shape]
        missing = [name for name in needed if getattr(self, name) is None]
        if missing:
            raise Wrong("F124", f"a {self.shape} needs `{missing[0]}`, which is missing", f"give {', '.join(f'`{n}`' for n in needed)}; `fill` is the height of the water, not of the glass")
        unused = [name for name in ("length", "width", "bow", "diameter") if getattr(self, name) is not None and name not in needed]
        if unused:
            raise Wrong("F124", f"a {self.shape} has no `{unused[0]}`", f"a {self.shape} is given by {', '.join(f'`{n}`' for n in needed)}")
        if self.dimensions == "outside" and self.glass is None:
            raise Wrong("F124", "outside dimensions need the thickness of the glass", "add `glass: 6 mm`, or measure inside")
        return self


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
    signs: Annotated[tuple[f.Name, ...], BeforeValidator(_list)] = ()
    scaleless: f.Yes = False


class Resident(Animal):
    tank: f.Name
    since: f.WhenField | None = None
    from_: f.Sentence | None = Field(default=None, alias="from")


class Batch(Written):
    source: f.Sentence = "unnamed source"
    trust: Trust
    arrives: f.WhenField
    animals: Annotated[tuple[Animal, ...], BeforeValidator(_entries), Field(min_length=1)]
    signs: Annotated[tuple[f.Name, ...], BeforeValidator(_list)] = ()
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
    forms: Annotated[tuple[CopperForm, ...], BeforeValidator(_list)] = ()
    resolution: f.Level | None = None
    error: p.SpreadField | None = None
    limit: f.Level | None = None
    expires: f.WhenField | None = None


class Gear(Written):
    for_: Literal["transfers", "display", "ward", "observation", "all"] = Field(default="all", alias="for")
    holds: f.Sentence | None = None


class OwnValue(Written):
    """A keeper's own value for a knowledge number, or the choice of another source's."""

    value: f.Sentence | None = None
    use: f.Name | None = None
    reason: f.Sentence

    @model_validator(mode="after")
    def _one(self) -> OwnValue:
        if (self.value is None) == (self.use is None):
            raise Wrong("F124", "an own value needs either `value` or `use`", "write `value: 2.2 mg/L`, or `use: COL85` to choose that source's figure")
        return self


class OwnStage(Written):
    name: f.Name
    kind: Literal["transfers", "hold", "course", "observation"]
    use: Annotated[tuple[Use, ...], BeforeValidator(_list)]
    treatments: Annotated[tuple[f.Name, ...], BeforeValidator(_list)]
    only_with_signs: f.Yes = False
    why: f.Sentence = "the keeper's own stage"


class OwnRegimen(Written):
    title: f.Sentence
    reason: f.Sentence
    misses: f.Sentence = "not stated by the keeper"
    stages: Annotated[tuple[OwnStage, ...], BeforeValidator(_entries), Field(min_length=1)]


class RoomFile(Written):
    """The whole file, as written."""

    room: Annotated[About, BeforeValidator(_map)]
    waters: Annotated[dict[f.Name, Water], BeforeValidator(_map)] = {}
    tanks: Annotated[dict[f.Name, Tank], BeforeValidator(_map), Field(min_length=1)]
    animals: Annotated[tuple[Resident, ...], BeforeValidator(_entries)] = ()
    batches: Annotated[dict[f.Name, Batch], BeforeValidator(_map)] = {}
    shelf: Annotated[dict[f.Name, Product], BeforeValidator(_map)] = {}
    salt: Annotated[Salt, BeforeValidator(_map)] = Salt()
    mixed_water: Annotated[tuple[MixedWater, ...], BeforeValidator(_entries)] = ()
    kits: Annotated[dict[f.Name, Kit], BeforeValidator(_map)] = {}
    gear: Annotated[dict[f.Name, Gear], BeforeValidator(_map)] = {}
    vessels: Annotated[dict[f.Name, f.Volume], BeforeValidator(_map)] = {}
    regimens: Annotated[dict[f.Name, OwnRegimen], BeforeValidator(_map)] = {}
    values: Annotated[dict[f.Name, OwnValue], BeforeValidator(_map)] = {}
