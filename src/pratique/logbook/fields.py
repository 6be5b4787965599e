"""How each plain value of an entry is read: moments with their offset, ids, names, words on one line."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import Field, GetPydanticSchema
from pydantic_core import core_schema

from pratique.letters import ONE_LINE, ONE_WORD
from pratique.logbook.ids import PATTERN

_MOMENT = (
    "^(199[0-9]|20[0-9]{2}|21[0-4][0-9])-[0-9]{2}-[0-9]{2}"
    r"T[0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]{1,6})?)?(Z|[+-][0-9]{2}:[0-9]{2})$"
)


def _settled(value: object) -> dt.datetime:
    """A moment with a fixed offset: a zone's repeated hour would make equal moments compare unequal."""
    offset = value.utcoffset() if isinstance(value, dt.datetime) else None
    if isinstance(value, dt.datetime) and offset is not None and not offset % dt.timedelta(minutes=1):
        if not 1990 <= value.year < 2150:
            raise ValueError("the year is not between 1990 and 2149")
        return value.replace(tzinfo=dt.timezone(offset), fold=0)
    raise ValueError("a moment has an offset in whole minutes")


def _moment_schema(_source: Any, _handler: Any) -> core_schema.CoreSchema:
    text = core_schema.str_schema(pattern=_MOMENT, strict=True)
    moment = core_schema.datetime_schema(tz_constraint="aware", strict=False)
    return core_schema.json_or_python_schema(
        json_schema=core_schema.chain_schema([text, moment]),
        python_schema=core_schema.no_info_plain_validator_function(_settled),
        serialization=core_schema.plain_serializer_function_ser_schema(
            dt.datetime.isoformat, return_schema=core_schema.str_schema()
        ),
    )


Moment = Annotated[dt.datetime, GetPydanticSchema(_moment_schema)]
"""ISO 8601 with an offset."""

Id = Annotated[str, Field(pattern=PATTERN)]
Name = Annotated[str, Field(min_length=1, max_length=60, pattern=ONE_LINE)]
Words = Annotated[str, Field(min_length=1, max_length=1000, pattern=ONE_LINE)]
TaskId = Annotated[str, Field(min_length=1, max_length=200, pattern=ONE_WORD)]
Count = Annotated[int, Field(ge=1, le=1_000_000)]
Minutes = Annotated[float, Field(gt=0, le=24 * 60)]
Breaths = Annotated[int, Field(ge=1, le=600)]
"""Breaths in a minute."""
Ending = Literal["whole", "early", "distress"]
"""How a dip ended."""

Thing = Literal["rock", "sand", "filter media", "water"]
"""What can carry something from water to water, other than animals and gear."""
