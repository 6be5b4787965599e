"""A wish typed at the command line: read by the rules of the room file, as if it stood there."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Any

import click

from pratique.cli.session import Session

NAME = "asked now"
"""What the wish of the command line is called."""

MOST_DAYS = 61


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """The options as they were typed."""

    animals: str
    source: str
    trust: str
    earliest: str | None
    latest: str | None
    priority: int
    regimen: str | None


def with_wish(session: Session, typed: Typed) -> None:
    """Adds the wish to the room of the session; the end (exit 2) where it cannot be read."""
    from pratique.room.load import load_room_with

    first = typed.earliest or session.at.date().isoformat()
    wish: dict[str, Any] = {
        "source": typed.source,
        "trust": typed.trust,
        "earliest": first,
        "latest": typed.latest or _later(first),
        "priority": str(typed.priority),
        "animals": [_animal(text) for text in typed.animals.split(",")],
    }
    if typed.regimen is not None:
        wish["regimen"] = typed.regimen
    room, problems = load_room_with(session.path, "wishes", NAME, wish)
    errors = [problem for problem in problems if problem.is_error]
    if room is None or errors:
        lines = (problem.message + (f" ({problem.hint})" if problem.hint else "") for problem in errors)
        said = "; ".join(list(dict.fromkeys(lines))[:3])
        raise click.UsageError(f"the wish cannot be read: {said}")
    session.use_room(room)


def _later(first: str) -> str:
    try:
        return (dt.date.fromisoformat(first[:10]) + dt.timedelta(days=MOST_DAYS)).isoformat()
    except ValueError:
        return first


def _animal(text: str) -> dict[str, str]:
    found = re.fullmatch(r"\s*(?:(\d+)\s*(?:x\s+|\s))?\s*(.+?)\s*", text)
    if found is None:
        raise click.BadParameter("an animal is missing between two commas", param_hint="--animals")
    return {"species": found[2], **({"count": found[1]} if found[1] else {})}
