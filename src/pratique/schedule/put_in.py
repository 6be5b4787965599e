"""What went into a water, by whatever way: dosed into the tank, or with the new water of a change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pratique.history.events import Addition, WaterRecord
from pratique.schedule.calendar import plus_hours
from pratique.schedule.feeds import PUT_BACK, cut


def put_in(record: WaterRecord) -> Iterator[Addition]:
    """All that went into a water, as doses: what was dosed into the tank, and what went in with a change of water.

    A dose into new water is in the tank once that is changed in.
    """
    for addition in record.additions:
        if addition.into == "tank":
            yield addition
            continue
        day = (addition.at, plus_hours(addition.at, PUT_BACK))
        for exchange in cut(record.exchanges, day)[:1]:
            yield replace(addition, at=exchange.at, into="tank")
    for exchange in record.exchanges:
        if exchange.product:
            yield Addition(
                at=exchange.at, tank=exchange.tank, treatment="", product=exchange.product, amount=exchange.amount,
                unit=exchange.unit, into="tank", entry_id=exchange.entry_id,
            )  # fmt: skip
