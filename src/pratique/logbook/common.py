"""What every entry of the log says."""

from __future__ import annotations

from pratique.logbook.amount import Written
from pratique.logbook.fields import Id, Moment, Name, Words


class Common(Written):
    """`at` is when it happened, `written` when it was written down; `by` who did it."""

    id: Id
    kind: str
    at: Moment
    written: Moment
    by: Name | None = None
    note: Words | None = None
