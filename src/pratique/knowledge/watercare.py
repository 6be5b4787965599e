"""What is said beside an answer about a water: sourced sentences, by the question."""

from __future__ import annotations

from pratique.knowledge.model import Record, Statement


class Care(Record):
    """The sentences for one question about a water."""

    id: str
    says: tuple[Statement, ...]
