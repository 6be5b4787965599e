"""The run sheet within `pratique signs --json`: what to do first."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import MaybeMoment, MaybeQuantity, Moment, Problem, strict
from pratique.export.shapes.dip import Dip
from pratique.export.shapes.dose import Addition


@strict
class Act(TypedDict):
    """One act of the run sheet; `command` is what works its amount out."""

    phase: str
    act: str
    at: MaybeMoment
    tank: str | None
    text: str
    amount: MaybeQuantity
    source: str | None
    command: str | None
    who: str | None


@strict
class Gap(TypedDict):
    """What is missing, the next best that is there, what that does not do, and a line for the shopping."""

    kind: str
    what: str
    instead: str
    lacks: str
    buy: str


@strict
class Going(TypedDict):
    """Where an animal goes, and why."""

    animal: str
    count: int
    to: str
    why: str
    source: str | None


@strict
class OptionDose(TypedDict):
    """The dose of a treatment that could be given."""

    tank: str
    product: str
    target: MaybeQuantity
    add: MaybeQuantity
    after: MaybeQuantity
    steps: list[Addition]


@strict
class Option(TypedDict):
    """A treatment for what is to be answered: taken, or refused with the reason."""

    treatment: str
    role: str
    against: list[str]
    taken: bool
    does: str
    leaves: str
    source: str
    refused: Problem | None
    note: str | None
    command: str | None
    dip: Dip | None
    dose: OptionDose | None


@strict
class Need(TypedDict):
    """One thing that a first response needs; `enough` is false where it is short."""

    kind: str
    what: str
    why: str
    enough: bool
    need: MaybeQuantity
    have: MaybeQuantity
    name: str | None
    treatment: str | None
    active: MaybeQuantity
    buy: str | None


@strict
class Needs(TypedDict):
    """What a first response for a water needs."""

    water: str
    pathogen: str | None
    tank: str | None
    items: list[Need]


Way = TypedDict(
    "Way",
    {
        "title": str,
        "taken": bool,
        "in_band_after": MaybeQuantity,
        "for": str,
        "against": str,
        "steps": list[Addition],
    },
)
Way.__doc__ = "At once or by a ramp: what speaks for it and against it."
strict(Way)


@strict
class RunSheet(TypedDict):
    """What to do from now on: `now` has three steps, `acts` the rest; amounts are null where there is none."""

    tank: str
    water: str
    shares: list[str]
    at: Moment
    signs: list[str]
    cover: list[str]
    causes: list[str]
    dying: list[str]
    dead: list[str]
    to: str | None
    now: list[Act]
    missing: list[Gap]
    animals: list[Going]
    acts: list[Act]
    treatments: list[Option]
    ways: list[Way]
    uncovered: list[str]
    buy: list[str]
    log: list[str]
    needs: Needs
    cautions: list[str]
