"""Who is coming: animals, the batches they arrive in, and arrivals that are only wished for as yet."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from pratique.room import fields as f
from pratique.room.written import Written, read_entries, read_list, read_map

Trust = Literal["trusted", "unsure", "untrusted"]


class Animal(Written, title="an animal of a batch"):
    species: f.Name = Field(description="the trade or the scientific name", examples=["ocellaris clownfish"])
    name: f.Name | None = Field(
        default=None, description="what the pages call it; else its species", examples=["Lemon"]
    )
    group: f.Name | None = Field(
        default=None, description="for a species that is not on file: what it is treated as", examples=["wrasse"]
    )
    count: f.Count = Field(default=1, description="how many of them")
    size: f.Length | None = Field(default=None, description="the length of each", examples=["9 cm"])
    weight: f.Mass | None = Field(
        default=None, description="the weight of each; else it is worked out from `size`", examples=["9 g ± 2 g"]
    )
    signs: Annotated[tuple[f.Name, ...], BeforeValidator(read_list)] = Field(
        default=(), description="what is seen on it, in the program's words", examples=["white-spots, scratching"]
    )
    scaleless: f.Yes = Field(default=False, description="whether it has no scales: copper is raised slowly for it")


class Resident(Animal, title="an animal that lives here"):
    tank: f.Name = Field(description="which tank it lives in", examples=["reef"])
    since: f.WhenField | None = Field(default=None, description="since when", examples=["2024-05-11"])
    from_: f.Sentence | None = Field(
        default=None, alias="from", description="where it came from, in your words", examples=["a friend"]
    )


class Arrival(Written, title="an arrival"):
    """What a batch and a wish have in common."""

    source: f.Sentence = Field(
        default="unnamed source", description="where it comes from, in your words", examples=["a shop in town"]
    )
    trust: Trust = Field(
        description="how far its source is trusted; it decides which regimen is proposed",
        examples=["untrusted"],
    )
    animals: Annotated[tuple[Animal, ...], BeforeValidator(read_entries), Field(min_length=1)] = Field(
        description="who is in it", examples=["[{species: ocellaris clownfish}]"]
    )
    signs: Annotated[tuple[f.Name, ...], BeforeValidator(read_list)] = Field(
        default=(), description="what is seen on any of them, in the program's words", examples=["countable-spots"]
    )
    regimen: f.Name | None = Field(
        default=None,
        description="which regimen it goes through; else the program proposes one",
        examples=["copper-hold"],
    )
    into: f.Name | None = Field(
        default=None,
        description="the display it goes to at the end, else the first; the quarantine tanks are not yours to name",
        examples=["reef"],
    )
    because: f.Sentence | None = Field(
        default=None, description="why this regimen, for the pages", examples=["this source sent flukes twice"]
    )
    treatment: f.Name | None = Field(
        default=None,
        description="which of the treatments a stage offers; else the first that suits",
        examples=["copper-ionic"],
    )


Tanks = Annotated[tuple[f.Name, ...], BeforeValidator(read_list), Field(min_length=1)]


class Batch(Arrival, title="a batch"):
    arrives: f.WhenField = Field(
        description="when it arrives; without a time, when that day's last hours begin, or in the middle of long ones",
        examples=["2027-03-05T18:00"],
    )
    booked: Annotated[dict[f.EntryName, Tanks], BeforeValidator(read_map)] = Field(
        default={},
        description="the tanks of each stage as `pratique book` gave them; the plan keeps to these",
        examples=["{transfers: [blue tub, green tub], observation: [long tank]}"],
    )


class Wish(Arrival, title="a wished arrival"):
    """Animals that are to come once there is room for them: `pratique book` says when."""

    earliest: f.WhenField = Field(description="the first day on which it could come", examples=["2027-03-05"])
    latest: f.WhenField = Field(description="the last day on which it could come", examples=["2027-04-10"])
    priority: f.Count = Field(
        default=5, description="which wish comes first where not all can be met: 1 before 2, 9 last", examples=["1"]
    )
    mixing: f.Yes = Field(
        default=False,
        description="whether it may share its waters with another wish that may too, if both come on one day",
    )
    least: f.Volume | None = Field(
        default=None,
        description="the least water it may be kept in, by your own judgement; no figure is published",
        examples=["120 L"],
    )
    living_filter: f.Yes = Field(
        default=False, description="whether each tank it stays in (but for transfers) needs a living filter"
    )
    companion: Annotated[tuple[Animal, ...], BeforeValidator(read_entries)] = Field(
        default=(),
        description="animals that come along for company if they can, and then go through all that it goes through",
        examples=["[{species: green chromis, count: 3}]"],
    )


class Apart(Written, title="animals that are kept apart"):
    """Two kinds of animals that may share no water in quarantine, by your own judgement."""

    between: Annotated[tuple[f.Name, ...], BeforeValidator(read_list), Field(min_length=2, max_length=2)] = Field(
        description="two species, groups or names of animals; one of them twice keeps its like apart",
        examples=["[yellow tang, kole tang]"],
    )
    because: f.Sentence | None = Field(default=None, description="why, for the pages", examples=["they fight"])


class WaterMaking(Written, title="the making of salt water"):
    """How much new salt water can be had; without `per_day` no booking is held against it."""

    per_day: f.Volume | None = Field(default=None, description="how much can be made in a day", examples=["60 L"])
    containers: f.Volume | None = Field(
        default=None,
        description="how much can stand ready in all containers; else what is made in a day",
        examples=["150 L"],
    )
