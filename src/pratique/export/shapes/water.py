"""`pratique water --json`: one shape for each question, told apart by `question`."""

from __future__ import annotations

from typing import Literal, TypeAlias

from typing_extensions import TypedDict

from pratique.export.shapes.common import Day, MaybeQuantity, Moment, Overridden, Quantity, Range, Source, Step, strict


@strict
class Held(TypedDict):
    """A medicine that is in the water."""

    treatment: str
    level: MaybeQuantity


@strict
class Counted(TypedDict):
    """Animals of one name."""

    name: str
    count: int


@strict
class Part(TypedDict):
    """A part of the water, in % and in L."""

    share: MaybeQuantity
    volume: MaybeQuantity


@strict
class Forecast(TypedDict):
    """How fast ammonia would rise without a living filter, counted as nitrogen."""

    food_a_day: MaybeQuantity
    rise_a_day: MaybeQuantity
    counted_as: Literal["N"]
    to_correct: MaybeQuantity
    to_harm: MaybeQuantity
    daily_change: Part | None
    likely_daily_change: Part | None
    half_the_water_every: MaybeQuantity
    food_that_half_a_day_holds: MaybeQuantity


@strict
class Mixed(TypedDict):
    """Mixed water that is ready, and what it would make of this water."""

    container: str | None
    volume: MaybeQuantity
    salinity: MaybeQuantity
    made: Day | None
    share: MaybeQuantity
    salinity_after: MaybeQuantity


@strict
class State(TypedDict):
    """What the water is like. `gravity` is against pure water, both at 25 degC."""

    tank: str
    question: Literal["state"]
    water: MaybeQuantity
    tanks: list[str]
    salinity: MaybeQuantity
    gravity: MaybeQuantity
    temperature: MaybeQuantity
    ph: MaybeQuantity
    oxygen: MaybeQuantity
    oxygen_at_saturation: MaybeQuantity
    living_filter: bool | None
    holds: list[Held]
    animals: list[Counted]
    mass: MaybeQuantity
    forecast: Forecast | None
    mixed_water: list[Mixed]
    notes: list[str]
    working: list[Step]
    sources: list[Source]


@strict
class Limit(TypedDict):
    """A limit of un-ionised ammonia, and the total that has it here."""

    verdict: str
    unionised: MaybeQuantity
    total: MaybeQuantity


@strict
class AmmoniaChange(TypedDict):
    """The water change that brings it down."""

    share: MaybeQuantity
    volume: MaybeQuantity
    total_after: MaybeQuantity
    mixed_water_on_file: MaybeQuantity


@strict
class Ammonia(TypedDict):
    """What an ammonia reading means. `assumed` names what was not given."""

    tank: str
    question: Literal["ammonia"]
    water: MaybeQuantity
    total: Quantity
    counted_as: str
    assumed: list[str]
    kit: str | None
    ph: MaybeQuantity
    temperature: MaybeQuantity
    salinity: MaybeQuantity
    unionised: MaybeQuantity
    verdict: str
    verdict_at_the_worst: str
    unreliable_with: list[str]
    limits: list[Limit]
    change: AmmoniaChange | None
    notes: list[str]
    working: list[Step]
    sources: list[Source]


@strict
class Nitrite(TypedDict):
    """What a nitrite reading means in sea water."""

    tank: str
    question: Literal["nitrite"]
    water: MaybeQuantity
    nitrite: Quantity
    counted_as: str
    assumed: list[str]
    judged_as: str
    limit: MaybeQuantity
    verdict: Literal["fine", "harms"] | None
    salinity: MaybeQuantity
    chloride: MaybeQuantity
    chloride_for_each_nitrite: float | None
    notes: list[str]
    working: list[Step]
    sources: list[Source]


@strict
class Poured(TypedDict):
    """The water that is poured in."""

    volume: MaybeQuantity
    salinity: MaybeQuantity
    temperature: MaybeQuantity


@strict
class Blend(TypedDict):
    """What comes of it."""

    salinity: MaybeQuantity
    gravity: MaybeQuantity
    rise: MaybeQuantity
    temperature: MaybeQuantity
    volume: MaybeQuantity


@strict
class Mix(TypedDict):
    """Another water poured in: `added` on top, `swapped` in exchange."""

    tank: str
    question: Literal["mix"]
    water: MaybeQuantity
    salinity: MaybeQuantity
    temperature: MaybeQuantity
    poured: Poured
    added: Blend
    swapped: Blend | None
    notes: list[str]
    working: list[Step]
    sources: list[Source]


@strict
class Salt(TypedDict):
    """How much salt makes how much sea water; `left_makes` is how far the salt on the shelf goes."""

    tank: str
    question: Literal["salt"]
    volume: MaybeQuantity
    salinity: MaybeQuantity
    temperature: MaybeQuantity
    salt: MaybeQuantity
    fresh_water: MaybeQuantity
    left: MaybeQuantity
    left_makes: MaybeQuantity
    notes: list[str]
    working: list[Step]
    sources: list[Source]


@strict
class Bag(TypedDict):
    """A bag's water against the tank's: what is done to the tank, and when the fish may be let go."""

    tank: str
    question: Literal["bag"]
    water: MaybeQuantity
    bag: MaybeQuantity
    bag_gravity: MaybeQuantity
    salinity: MaybeQuantity
    act: str
    take_out: MaybeQuantity
    fresh_water: MaybeQuantity
    let_go: Range
    up_a_day: MaybeQuantity
    up_takes: MaybeQuantity
    notes: list[str]
    working: list[Step]
    sources: list[Source]


@strict
class SalinityStep(TypedDict):
    """One change of water on the way; `limited_by` is what keeps it from being larger."""

    at: Moment
    until: Moment | None
    leg: str
    change: MaybeQuantity
    add: None
    after: MaybeQuantity
    gravity: MaybeQuantity
    watch_ph: bool
    limited_by: str | None


PutIn = TypedDict(
    "PutIn", {"salinity": MaybeQuantity, "from": str, "volume": MaybeQuantity, "for_each_day": MaybeQuantity}
)
PutIn.__doc__ = "The water that is put in, and how much of it in all."
strict(PutIn)


@strict
class Salinity(TypedDict):
    """A change of salinity (`water --to`, or `dose TANK hyposalinity`): down, held, up again."""

    tank: str
    question: Literal["to"] | None
    water: MaybeQuantity
    treatment: str | None
    form: None
    product: None
    before: MaybeQuantity
    target: MaybeQuantity
    target_gravity: MaybeQuantity
    band: Range | None
    active: None
    add: None
    after: MaybeQuantity
    steps: list[SalinityStep]
    change: None
    overridden: list[Overridden]
    down: PutIn | None
    up: PutIn | None
    up_a_day: MaybeQuantity
    up_takes: MaybeQuantity
    notes: list[str]
    working: list[Step]
    sources: list[Source]


Result: TypeAlias = State | Ammonia | Nitrite | Mix | Salt | Bag | Salinity
