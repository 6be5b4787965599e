"""A disinfection, of a tank (`dose`) or of gear (`dip`)."""

from __future__ import annotations

from typing_extensions import TypedDict

from pratique.export.shapes.common import MaybeMoment, MaybeQuantity, Moment, Overridden, Source, Step, strict


@strict
class CleaningStep(TypedDict):
    """One act; `at` is null where only the order matters."""

    at: MaybeMoment
    add: MaybeQuantity
    after: None
    text: str
    source: str


@strict
class Agent(TypedDict):
    """What the level in use is known to do: `times` is that level over the one that the source needed."""

    agent: str
    what: str
    level: MaybeQuantity
    times: float


@strict
class Cleaning(TypedDict):
    """`tank` is the tank or set of gear, `vessel` what gear lies in; `target` is chlorine, `ready` when fit for use."""

    tank: str
    vessel: str | None
    treatment: str
    form: None
    product: str | None
    water: MaybeQuantity
    before: None
    target: MaybeQuantity
    band: None
    active: MaybeQuantity
    add: MaybeQuantity
    after: MaybeQuantity
    contact: MaybeQuantity
    ready: Moment
    steps: list[CleaningStep]
    change: None
    agents: list[Agent]
    overridden: list[Overridden]
    notes: list[str]
    working: list[Step]
    sources: list[Source]
