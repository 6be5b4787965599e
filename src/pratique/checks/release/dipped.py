"""The dips and baths of a batch that are on record: no condition, but evidence that the page to keep must not lose."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.checks.release.model import Subject, when
from pratique.knowledge import store
from pratique.logbook.entry import Dip, Out
from pratique.schedule.calendar import instant


def dips_of(subject: Subject) -> Iterator[str]:
    """Each dip in its order, with who went in, for how long, and how it ended."""
    for dip, out in _on_record(subject):
        yield f"{when(dip.at.astimezone(subject.room.zone))}: {_what(subject, dip)}, {_ended(dip, out)}"


def without_end(subject: Subject) -> Iterator[str]:
    """Dips that nobody wrote the end of: how long they were in is not known."""
    for dip, out in _on_record(subject):
        if out is None:
            began = when(dip.at.astimezone(subject.room.zone))
            yield f"how long the {_what(subject, dip)} of {began} was is not on record: `pratique log out {dip.id} …`"


def _on_record(subject: Subject) -> Iterator[tuple[Dip, Out | None]]:
    """Dips by the moment that is asked about, each with its end."""
    log, at = subject.history.log, instant(subject.at)
    ends = {out.dip: out for out in log.of(Out) if instant(out.at) <= at}
    for dip in log.of(Dip):
        if dip.batch == subject.name and instant(dip.at) <= at:
            yield dip, ends.get(dip.id)


def _what(subject: Subject, dip: Dip) -> str:
    known = dip.treatment in store.treatment_ids()
    title = subject.basis.treatment(dip.treatment).title if known else dip.treatment
    count = f"{dip.count} " if dip.count else ""
    return f"{title} of {count}{', '.join(dip.animals)}" if dip.animals else f"{title} of all"


def _ended(dip: Dip, out: Out | None) -> str:
    if out is None:
        return "its end is not on record"
    if out.how == "whole" and dip.minutes is not None and out.minutes < dip.minutes:
        return f"{out.minutes:g} min of the {dip.minutes:g} min that were meant"
    how = {"whole": "in full", "early": "cut short", "distress": "cut short at a stop sign"}[out.how]
    return f"{out.minutes:g} min, {how}"
