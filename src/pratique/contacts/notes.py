"""What an answer about contacts rests on and what nobody wrote down, in words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.contacts.gather import Basis
from pratique.contacts.near import Drops, cm
from pratique.dates import full_day
from pratique.knowledge import store
from pratique.problem import Problem
from pratique.schedule.calendar import instant

MOST_NAMED = 4


def problems_of(basis: Basis, since: dt.datetime) -> Iterator[Problem]:
    """X611: nothing is on record. X612: the record begins later than the days that are asked about."""
    begun = basis.history.since
    if begun is None:
        yield Problem(
            code="X611",
            severity="warning",
            message="nothing is on record, so the answer follows the room file and its plan alone",
            hint="write moves, gear and feedings down with `pratique log`; then only what happened counts",
        )
    elif instant(begun) > instant(since):
        yield Problem(
            code="X612",
            severity="warning",
            message=f"the record begins on {full_day(begun)}, later than {full_day(since)}: "
            "what was before is not known",
            hint="ask with a later `--from`, or write down what you remember with `pratique log --file`",
        )


def notes_of(basis: Basis, drops: Drops, agent: str, since: dt.datetime) -> Iterator[str]:
    """Assumptions and gaps, the widest first."""
    yield (
        "exposed is not infected, and nothing here is a diagnosis; tank-mates without a sign count as exposed "
        "(practice D16)"
    )
    if not agent:
        yield "no agent was named, so the strictest figures hold; `--of PATHOGEN` takes those of one"
    if basis.history.is_empty:
        yield "no order of work is on record, so nothing is said of hands"
    else:
        hours = store.contacts().needed("round").value
        yield (
            f"hands: acts no more than {hours:g} h apart are one round of work, in the order of the log; between "
            "rounds hands are taken to be washed"
        )
    yield from _of_drops(basis, drops, agent)
    yield from _of_gear(basis, since)


def _of_drops(basis: Basis, drops: Drops, agent: str) -> Iterator[str]:
    if drops.limit is None:
        name = store.pathogen(agent).short
        yield f"drops: no distance is known for {name}, so none is counted; keep splash between tanks out all the same"
        return
    air = basis.room.written.room.air
    far = f"drops: {cm(drops.limit) / 100:g} m in {air} air ({drops.limit.source}, {drops.limit.confidence})"
    pairs = len(basis.room.waters) * (len(basis.room.waters) - 1) // 2
    missing = pairs - len(drops.pairs)
    if missing and not drops.pairs:
        yield f"{far}; no distance between tanks is in the room file (`distances` under `room:`), so none is counted"
    elif missing:
        yield f"{far}; {missing} of {pairs} pairs of waters have no distance in the room file and are not judged"
    else:
        yield far


def _of_gear(basis: Basis, since: dt.datetime) -> Iterator[str]:
    if basis.history.is_empty:
        return
    unused = [
        name
        for name in basis.room.written.gear
        if not any(instant(use.at) >= instant(since) for use in basis.history.gear.get(name, ())[-1:])
    ]
    if unused:
        named = ", ".join(unused[:MOST_NAMED]) + (" and more" if len(unused) > MOST_NAMED else "")
        yield f"gear: no use of {named} is on record since then (`pratique log gear`), so nothing is said of it"
