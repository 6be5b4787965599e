"""The room file's shape: what a keeper may write, key by key. Meaning across keys is `resolve`'s work.

Every key describes itself, in a few words without a full stop; `describe` shows that to the keeper.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from pratique.room import fields as f
from pratique.room import phrases as p
from pratique.room.about import About, Away, Units
from pratique.room.arrivals import Animal, Apart, Batch, Resident, Trust, WaterMaking, Wish
from pratique.room.prescribed import Prescription
from pratique.room.stock import Active, CopperForm, Gear, Kit, Measured, MixedWater, Product, Salt, Syringe
from pratique.room.volume_spec import Shape, VolumeSpec
from pratique.room.written import Written, read_entries, read_list, read_map

__all__ = [
    "CONDITION_KEYS",
    "About",
    "Active",
    "Animal",
    "Apart",
    "Away",
    "Batch",
    "Conditions",
    "CopperForm",
    "Gear",
    "Holds",
    "Kit",
    "Measured",
    "MixedWater",
    "OwnRegimen",
    "OwnStage",
    "OwnValue",
    "Prescription",
    "Product",
    "Resident",
    "RoomFile",
    "Salt",
    "Shape",
    "Syringe",
    "Tank",
    "Trust",
    "Units",
    "Use",
    "VolumeSpec",
    "Water",
    "WaterMaking",
    "Wish",
]

Use = Literal["display", "transfer", "ward", "observation", "reserve"]
Substrate = Literal["bare", "calcareous", "inert"]
Rock = Literal["none", "calcareous", "inert"]


class Holds(Written, title="a medicine already in the water"):
    """A medicine that is already in the water when the file is written."""

    treatment: f.Name = Field(description="which treatment it belongs to", examples=["copper-chelated"])
    level: f.Level | None = Field(default=None, description="how much of it, as last measured")
    since: f.WhenField | None = Field(default=None, description="when it went in", examples=["2027-02-20"])


class Conditions(Written, title="a water"):
    """What a water is like. On a tank that shares no water, these keys may stand on the tank itself."""

    salinity: f.SalinityField | None = Field(default=None, description="how salt the water is")
    temperature: f.Temperature | None = Field(default=None, description="how warm the water is")
    ph: f.PH | None = Field(default=None, description="the pH of the water")
    oxygen: f.Level | None = Field(default=None, description="dissolved oxygen, as measured", examples=["6.6 mg/L"])
    cycled: f.Yes | None = Field(default=None, description="whether it has a living filter, which some medicines harm")
    carbon: f.Yes | None = Field(default=None, description="whether carbon is in it, which takes medicines out")
    uv: f.Yes | None = Field(default=None, description="whether a UV lamp burns, which breaks medicines down")
    ozone: f.Yes | None = Field(default=None, description="whether ozone goes in, which breaks medicines down")
    skimmer: f.Yes | None = Field(default=None, description="whether a skimmer runs, which takes medicines out")
    filter: f.Sentence | None = Field(default=None, description="what filters it, in your words", examples=["sponge"])
    holds: Annotated[tuple[Holds, ...], BeforeValidator(read_entries)] = Field(
        default=(), description="medicines that are already in the water"
    )


class Water(Conditions, title="a water that tanks share"):
    """A body of water that several tanks share."""

    sump: f.Volume | None = Field(default=None, description="the water outside the tanks", examples=["110 L ± 5 L"])


CONDITION_KEYS = tuple(Conditions.model_fields)


class Tank(Conditions, title="a tank"):
    use: Use = Field(
        description="what the program may plan it for: `display` is where animals stay, `transfer` is moved out of and "
        "dried, `ward` is medicated, `observation` is for watching, `reserve` waits for a need",
        examples=["ward"],
    )
    water: f.Name | None = Field(
        default=None, description="which of `waters` it shares; else its water is its own", examples=["reef system"]
    )
    volume: VolumeSpec = Field(
        description="how much water is in it, and how that is known", examples=["{measured: 62 L ± 2 %}"]
    )
    substrate: Substrate = Field(default="bare", description="what is on the floor; calcareous sand takes up medicines")
    rock: Rock = Field(default="none", description="what rock is in it; calcareous rock takes up medicines")
    lid: f.Yes = Field(default=False, description="whether a lid keeps jumpers in")
    place: f.Sentence | None = Field(
        default=None, description="where it stands, in your words", examples=["shelf by the door"]
    )
    change: p.ChangeField | None = Field(
        default=None, description="your habit of water changes; the plan doses the new water"
    )
    never: Annotated[tuple[Active, ...], BeforeValidator(read_list)] = Field(
        default=(),
        description="medicines that must never be in it; no plan puts copper into an observation tank anyway",
        examples=["copper"],
    )


class OwnValue(Written, title="a value of your own"):
    """A keeper's own value for a knowledge number, or the choice of another source's. One of the two."""

    value: f.Sentence | None = Field(default=None, description="your figure, with its unit", examples=["84 d"])
    use: f.Name | None = Field(default=None, description="or the source whose figure is used", examples=["COL85"])
    reason: f.Sentence = Field(
        description="why; the pages say it beside the figure", examples=["why this and not the default"]
    )


class OwnStage(Written, title="a stage of your own regimen"):
    name: f.Name = Field(description="what the plan calls it", examples=["watch"])
    kind: Literal["transfers", "hold", "course", "observation"] = Field(
        description="how its days are counted", examples=["observation"]
    )
    use: Annotated[tuple[Use, ...], BeforeValidator(read_list)] = Field(
        description="the uses of tanks it may be in, best first", examples=["ward"]
    )
    treatments: Annotated[tuple[f.Name, ...], BeforeValidator(read_list)] = Field(
        description="what may be given in it, best first", examples=["[observation]"]
    )
    only_with_signs: f.Yes = Field(default=False, description="whether it is left out where no signs were seen")
    why: f.Sentence = Field(
        default="the keeper's own stage", description="what it is for, for the pages", examples=["leaves cysts behind"]
    )


class OwnRegimen(Written, title="a regimen of your own"):
    title: f.Sentence = Field(description="what the pages call it", examples=["what it is in a few words"])
    reason: f.Sentence = Field(
        description="why; the pages say it beside the plan", examples=["why this and not the default"]
    )
    misses: f.Sentence = Field(
        default="not stated by the keeper", description="what it leaves alive", examples=["velvet"]
    )
    stages: Annotated[tuple[OwnStage, ...], BeforeValidator(read_entries), Field(min_length=1)] = Field(
        description="its stages in order; the last one watches"
    )


class RoomFile(Written, title="the top of the file"):
    """The whole file, as written."""

    room: Annotated[About, BeforeValidator(read_map)] = Field(
        description="the room as a whole: its clock and its hours", examples=["{time_zone: Europe/Lisbon}"]
    )
    waters: Annotated[dict[f.EntryName, Water], BeforeValidator(read_map)] = Field(
        default={}, description="waters that several tanks share: what one pump turns over; doses belong to a water"
    )
    tanks: Annotated[dict[f.EntryName, Tank], BeforeValidator(read_map), Field(min_length=1)] = Field(
        description="every tank, by its name"
    )
    animals: Annotated[tuple[Resident, ...], BeforeValidator(read_entries)] = Field(
        default=(), description="who lives here already, each with its `tank`"
    )
    batches: Annotated[dict[f.EntryName, Batch], BeforeValidator(read_map)] = Field(
        default={}, description="who is coming: animals that arrive together and are planned together"
    )
    wishes: Annotated[dict[f.EntryName, Wish], BeforeValidator(read_map)] = Field(
        default={}, description="who may come once there is room: `pratique book` says when, and into which tanks"
    )
    apart: Annotated[tuple[Apart, ...], BeforeValidator(read_entries)] = Field(
        default=(),
        description="animals that may share no water in quarantine",
        examples=["[{between: [wrasse, wrasse]}]"],
    )
    shelf: Annotated[dict[f.EntryName, Product], BeforeValidator(read_map)] = Field(
        default={},
        description="your bottles, powders and tablets; no dose is worked out for what is not here",
        examples=["{blue bottle: {active: copper, form: chelated, strength: 10 mg/mL as Cu}}"],
    )
    salt: Annotated[Salt, BeforeValidator(read_map)] = Field(default=Salt(), description="your dry salt")
    mixed_water: Annotated[tuple[MixedWater, ...], BeforeValidator(read_entries)] = Field(
        default=(), description="salt water that is mixed and stands ready"
    )
    water_making: Annotated[WaterMaking, BeforeValidator(read_map)] = Field(
        default=WaterMaking(),
        description="how fast new salt water is made and how much can stand ready; bookings keep to it",
        examples=["{per_day: 60 L, containers: 150 L}"],
    )
    kits: Annotated[dict[f.EntryName, Kit], BeforeValidator(read_map)] = Field(
        default={},
        description="your test kits and meters; a reading has the error of its kit",
        examples=["{copper kit: {measures: copper, forms: [chelated]}}"],
    )
    gear: Annotated[dict[f.EntryName, Gear], BeforeValidator(read_map)] = Field(
        default={}, description="sets of nets, cups and hoses"
    )
    vessels: Annotated[dict[f.EntryName, f.Volume], BeforeValidator(read_map)] = Field(
        default={},
        description="buckets for dips and baths, each with the volume it is filled to",
        examples=["{dip bucket: 10 L ± 0.2 L}"],
    )
    syringes: Annotated[dict[f.EntryName, Syringe], BeforeValidator(read_map)] = Field(
        default={}, description="what liquids are measured with"
    )
    prescriptions: Annotated[dict[f.EntryName, Prescription], BeforeValidator(read_map)] = Field(
        default={}, description="what a veterinarian prescribed; nothing in it is chosen by the program"
    )
    regimens: Annotated[dict[f.EntryName, OwnRegimen], BeforeValidator(read_map)] = Field(
        default={}, description="regimens of your own, which a batch may name"
    )
    values: Annotated[dict[f.EntryName, OwnValue], BeforeValidator(read_map)] = Field(
        default={},
        description="your own figures; each name is a treatment or agent, a dot and a figure of it",
        examples=["{observation.days: {value: 84 d, reason: whole weeks are easier to count}}"],
    )
