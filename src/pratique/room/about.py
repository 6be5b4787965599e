"""The room as a whole: its clock, its hours, its days without anybody."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from pratique.room import fields as f
from pratique.room.written import Written, read_entries, read_list, read_map


class Away(Written, title="a stretch of days away"):
    from_: f.WhenField = Field(
        alias="from", description="when it begins; a date is its first moment", examples=["2027-04-17"]
    )
    to: f.WhenField = Field(description="when it ends; a date is its last moment", examples=["2027-04-19"])
    stand_in: f.Name | None = Field(
        default=None, description="who is there instead; without one no work is planned", examples=["Kim"]
    )


class Units(Written, title="the units of the room"):
    volume: Literal["L", "gal_us", "gal_imp"] = Field(
        default="L", description="how pages print volumes; the file may use any unit"
    )
    temperature: Literal["degC", "degF"] = Field(
        default="degC", description="how pages print temperatures; the file may use either"
    )


class Clocks(Written, title="the rules of the copper clock"):
    """Rules on which practice differs; `clocks.yaml` has what speaks for each."""

    copper_start: Literal["first", "second"] = Field(
        default="first", description="whether the days of copper count from the first reading in band, or the second"
    )
    below_floor: Literal["stop", "restart"] = Field(
        default="stop", description="whether a reading below the floor stops the days of copper, or starts them again"
    )


class Distance(Written, title="a distance in the room"):
    """How far two tanks (or waters) stand apart; without it no spray between them is worked out."""

    between: Annotated[tuple[f.Name, ...], BeforeValidator(read_list), Field(min_length=2, max_length=2)] = Field(
        description="two tanks, or waters, by their names", examples=["[ward, reef]"]
    )
    gap: f.Length = Field(
        description="from water to water where they are nearest, such as from rim to rim", examples=["40 cm"]
    )
    barrier: f.Yes = Field(
        default=False,
        description="whether a wall, a closed door or a screen stands between them, so that no drop passes",
    )


class About(Written, title="the room"):
    name: f.Name = Field(default="fish room", description="what the pages call it", examples=["Harbour Lane"])
    time_zone: f.Name = Field(
        description="continent and city; every time in the file is on the clock there", examples=["Europe/Lisbon"]
    )
    hours: f.HoursField = Field(
        default=f.read_hours("07:00-09:00, 18:00-22:00"),
        description="when somebody is there; every task is planned inside these",
    )
    away: Annotated[tuple[Away, ...], BeforeValidator(read_entries)] = Field(
        default=(), description="days on which you are not there"
    )
    units: Annotated[Units, BeforeValidator(read_map)] = Field(
        default=Units(), description="how pages print volumes and temperatures"
    )
    clocks: Annotated[Clocks, BeforeValidator(read_map)] = Field(
        default=Clocks(), description="the rules of the copper clock on which practice differs"
    )
    air: Literal["moving", "still"] = Field(
        default="moving",
        description="whether the air of the room moves (fan, heater, open window, a door in use): "
        "drops with velvet in them then go further",
    )
    distances: Annotated[tuple[Distance, ...], BeforeValidator(read_entries)] = Field(
        default=(),
        description="how far tanks stand apart, for drops that go from one to the other; those not here are not judged",
        examples=["[{between: [ward, reef], gap: 40 cm}]"],
    )
    delivery: f.Duration | None = Field(
        default=None, description="how long it takes until something ordered is there", examples=["3 d"]
    )
    work: f.Duration | None = Field(
        default=None,
        description="how long somebody can work in the room in one day; bookings keep to it",
        examples=["90 min"],
    )
    veterinarian: f.Sentence | None = Field(
        default=None,
        description="who is asked, for your own eye; nothing is worked out from it",
        examples=["Dr. Example, number on the wall"],
    )
