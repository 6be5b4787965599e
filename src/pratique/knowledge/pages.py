"""The shape of a row of codes.yaml."""

from __future__ import annotations

from typing import Literal

from pratique.knowledge.model import Record


class CodePage(Record):
    """The long page behind a code: what it says, why it is so, what to do instead."""

    code: str
    title: str
    severity: Literal["error", "warning"]
    why: str
    example: str
    instead: str
    sources: tuple[str, ...] = ()
