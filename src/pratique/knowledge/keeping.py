"""What is known of a water without fish, and of a shelf that is ready: figures and sourced sentences by subject."""

from __future__ import annotations

from typing import Literal

from pratique.knowledge.model import Confidence, Known, Record, Statement
from pratique.knowledge.watercare import Care

KitKind = Literal["product", "water", "salt", "test", "gear", "vessel", "syringe", "tank", "other"]


class Keeping(Known):
    """Figures, and sentences under an id."""

    says: tuple[Care, ...] = ()

    def said(self, id_: str) -> tuple[Statement, ...]:
        """The sentences under an id. KeyError where there are none."""
        return {care.id: care.says for care in self.says}[id_]


class KitItem(Record):
    """One thing of an emergency kit. `amount` names how much of it, worked out for the room; `key` what of it counts.

    `key` is an active, what a test measures, or a piece of gear; `other` is what a room file does not list.
    """

    id: str
    kind: KitKind
    what: str
    why: str
    amount: str = ""
    key: str = ""
    source: str
    where: str
    confidence: Confidence


class Shelf(Keeping):
    """The figures of the shelf, and the emergency kit in the order it is needed."""

    kit: tuple[KitItem, ...] = ()
