"""Each supply against its uses: in order of date, up to its last good day, never below nought."""

from __future__ import annotations

import datetime as dt
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal

from pratique.response.shelf.model import Line, Supply, Use
from pratique.schedule.calendar import instant, plus_hours

TINY = 1e-9
"""Share of a need by which sums may differ and still be the same: what rounding leaves."""


def ledger(supplies: Iterable[Supply], uses: Iterable[Use], delivery: float | None) -> tuple[Line, ...]:
    """One line for each supply, in the order of the supplies. `delivery` (h) is how long an order takes.

    The order of the uses does not matter. KeyError for a use of something that is no supply.
    """
    known = {(supply.kind, supply.name): supply for supply in supplies}
    found: defaultdict[tuple[str, str], list[Use]] = defaultdict(list)
    for use in uses:
        if (use.kind, use.name) not in known:
            raise KeyError(use.name)
        found[use.kind, use.name].append(use)
    return tuple(_line(supply, found[key], delivery) for key, supply in known.items())


def _line(supply: Supply, uses: list[Use], delivery: float | None) -> Line:
    uses.sort(key=lambda use: (instant(use.at), use.task, use.text, use.amount or 0.0))
    need = math.fsum(use.amount or 0.0 for use in uses)
    good = [use for use in uses if supply.last_day is None or use.at.date() <= supply.last_day]
    in_time = math.fsum(use.amount or 0.0 for use in good)
    there = math.inf if supply.have is None else supply.have
    covered = min(in_time, there)
    short = max(need - covered, 0.0)
    if short <= TINY * need:
        short = 0.0
    runs_out = _runs_out(supply, uses, there, need)
    packs = _packs(supply, short)
    return Line(
        supply=supply,
        uses=tuple(uses),
        need=need,
        covered=covered,
        short=None if short == 0 and (supply.have is None or runs_out is not None) else short,
        left=None if supply.have is None else max(supply.have - covered, 0.0),
        unknown=sum(use.amount is None for use in uses),
        expired=max(need - in_time, 0.0),
        runs_out=runs_out,
        buy_by=plus_hours(runs_out, -(delivery or 0.0)).date() if runs_out is not None else None,
        packs=packs,
        cost=supply.price.money * packs if supply.price is not None and packs else None,
    )


def _runs_out(supply: Supply, uses: list[Use], there: float, need: float) -> dt.datetime | None:
    """The first use, in order of time, that what there is does not cover."""
    taken = in_time = 0.0  # what rounding adds up to in a long list stays far below TINY
    for use in uses:
        past = supply.last_day is not None and use.at.date() > supply.last_day
        taken += use.amount or 0.0
        if not past:
            in_time += use.amount or 0.0
        lacking = taken - min(in_time, there)
        if lacking > TINY * need or supply.missing or (past and use.amount is None):
            return use.at
    return None


def _packs(supply: Supply, short: float) -> int | None:
    if supply.price is None:
        return None
    return math.ceil(short / supply.price.amount * (1 - TINY)) if short else 0


def spent(lines: Iterable[Line]) -> Mapping[str, Decimal]:
    """What the packs to be bought cost, by currency; only those with a price on file."""
    found: defaultdict[str, Decimal] = defaultdict(Decimal)
    for line in lines:
        if line.cost is not None and line.supply.price is not None:
            found[line.supply.price.currency] += line.cost
    return dict(found)
