"""What the answers of several commands are made of."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal, NotRequired

from pydantic import ConfigDict, Field, WithJsonSchema, with_config
from typing_extensions import TypedDict

_MOMENT = {
    "type": "string",
    "format": "date-time",
    "pattern": r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:\d{2})$",
}
_DAY = {"type": "string", "format": "date", "pattern": r"^\d{4}-\d{2}-\d{2}$"}
Moment = Annotated[datetime, WithJsonSchema(_MOMENT)]
"""ISO 8601 with an offset."""

Day = Annotated[str, WithJsonSchema(_DAY)]
strict = with_config(ConfigDict(extra="forbid"))
"""No key beyond those that are written down here: a key without a place in the schema fails a test."""


@strict
class Quantity(TypedDict):
    """A figure in its canonical unit; `low` and `high` are its ends at the worst, left out where it is exact."""

    value: float
    unit: str
    low: NotRequired[float]
    high: NotRequired[float]


@strict
class Range(TypedDict):
    """From `low` up to `high`."""

    low: float
    high: float
    unit: str


@strict
class Source(TypedDict):
    """Who says so: the key of a source, the place in it, and how sure it is: V read, Q quoted, C common practice,
    M from memory, D derived, K the keeper's own or a veterinarian's word."""

    key: str
    where: str
    confidence: Literal["V", "Q", "C", "M", "D", "K"]


@strict
class Step(TypedDict):
    """One step of the working: what is worked out, the sum in words and figures, its result, who says so."""

    label: str
    expression: str
    result: str
    source: str


@strict
class Overridden(TypedDict):
    """An interlock that was set aside, with the reason."""

    code: str
    because: str
    message: str


@strict
class Problem(TypedDict):
    """What is wrong, where, and how to mend it; places are counted from 1."""

    code: Annotated[str, Field(pattern="^[A-Z][0-9]{3}$")]
    severity: Literal["error", "warning"]
    message: str
    file: str | None
    line: int | None
    column: int | None
    hint: str
    note: str
    source: str


@strict
class Refused(TypedDict):
    """The first reason why there is no answer; every reason is among the problems."""

    code: str
    message: str
    hint: str


@strict
class Answer(TypedDict):
    """The one object that a command prints. `result` is null where there was a refusal or the file has errors."""

    pratique: str
    command: str
    at: Moment
    room: str | None
    problems: list[Problem]
    cautions: list[str]
    refusal: Refused | None
    result: Any


MaybeQuantity = Quantity | None
MaybeMoment = Moment | None
