"""What stands against the dates of a fallow: fish still there, a day the log contradicts, drops."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.contacts.near import AS_WORST, drops_of
from pratique.dates import full_day
from pratique.knowledge.model import cite
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem
from pratique.response.fallow_events import Record
from pratique.room.values import pathogen_for
from pratique.schedule.calendar import instant


def doubts(record: Record, since: dt.datetime | None, fish: tuple[str, ...], *, never: bool) -> Iterator[Problem]:
    """Every warning about the water of `record`; `fish` are still in it by the record, `never` none ever was."""
    if fish:
        yield _still_there(record, fish, since)
    elif never and since is None:
        yield _no_fish_known(record)
    if since is not None:
        yield from _contradicted(record, since, fish)
    yield from _cold(record)
    yield from _drops(record)


def _still_there(record: Record, fish: tuple[str, ...], since: dt.datetime | None) -> Problem:
    others = sorted({stay.tank for stay in record.here if stay.animal in fish})
    names = ", ".join(f"`{name}`" for name in fish[:6]) + (f" and {len(fish) - 6} more" if len(fish) > 6 else "")
    shared = f"; {', '.join(sorted(record.tanks))} are one water" if len(record.tanks) > 1 else ""
    said = ", and the dates count on it that they are out since the day you say" if since is not None else ""
    word = shell_word(fish[0])
    return Problem(
        code="X720",
        severity="warning",
        message=f"{names} {'is' if len(fish) == 1 else 'are'} still in `{record.water.name}` by the record, "
        f"so its clock stands at 0{said}",
        places=(record.room.place(record.water.path, key=True),),
        note=f"seen in {', '.join(others)}{shared}: one fish makes the whole time worthless",
        source="COMMON, practice B34 and B35 (C)",
        hint=f"take out every fish of the whole water and write it down: `pratique log move {word} to TANK`",
    )


def _no_fish_known(record: Record) -> Problem:
    return Problem(
        code="X721",
        severity="warning",
        message=f"no fish is on record to have been in `{record.water.name}`, so the days are counted from now",
        places=(record.room.place(record.water.path, key=True),),
        hint="say when the last fish came out, such as `--from 2027-02-20`; write who lived there under `animals:`",
    )


def _contradicted(record: Record, since: dt.datetime, fish: tuple[str, ...]) -> Iterator[Problem]:
    """Fish that left after the day named: they were there on it."""
    later = [one for one in record.fish() if one.change < 0 and instant(one.at) > instant(since)]
    here = [one for one in record.fish() if one.change > 0 and instant(one.at) <= instant(since)]
    known = [one for one in later if one.who in {was.who for was in here}]
    if not known or fish:
        return
    last = max(known, key=lambda one: instant(one.at))
    yield Problem(
        code="X722",
        severity="warning",
        message=f"by the log `{last.who}` left `{record.water.name}` only on {full_day(last.at)}, "
        "after the day given with `--from`",
        hint="leave `--from` out to count by the log, or correct the log: `pratique log` shows its entries",
    )


def _cold(record: Record) -> Iterator[Problem]:
    known = sorted(record.temperatures(), key=lambda reading: instant(reading.at))
    if not known:
        yield Problem(
            code="X723",
            severity="warning",
            message=f"no temperature of `{record.water.name}` is on record, so only the long figures hold",
            places=(record.room.place(record.water.path, key=True),),
            note="in cold water they do not hold either: cysts lived 4 to 5 months at 12 degC",
            source="PV16A, opening (V)",
            hint="read it each day: `pratique log reading TANK temperature 27 degC`",
        )


def _drops(record: Record) -> Iterator[Problem]:
    """A water with fish within the reach of drops."""
    reach = drops_of(record.room, AS_WORST)
    for pair in reach.pairs:
        if not pair.reached or record.water.name not in (pair.one, pair.other):
            continue
        other = pair.other if pair.one == record.water.name else pair.one
        living = record.basis.where.standing(record.room, other)
        if not any(record.is_fish(stay.batch, stay.animal) for stay in living):
            continue
        short = pathogen_for(record.room, AS_WORST).short
        assert reach.limit is not None
        yield Problem(
            code="X724",
            severity="warning",
            message=f"`{other}` has fish and stands {pair.gap:g} cm from `{record.water.name}`: drops reach that far",
            note=f"drops with live {short} went {reach.limit.value:g} {reach.limit.unit}; of white spot no distance "
            "is published",
            source=cite(reach.limit),
            hint="cover both, or put a screen between them and write `barrier: yes`",
        )
