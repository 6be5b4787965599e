"""Dips among typed words, and the dips of a log that have no end yet."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence

from pratique.dates import shown_moment
from pratique.logbook.book import Log
from pratique.logbook.bottle import Fields, amount_of
from pratique.logbook.entry import Death, Dip, Move, Out
from pratique.logbook.ids import meant_id
from pratique.logbook.scope import Scope
from pratique.logbook.words import Names, Words
from pratique.problem import Problem, quoted
from pratique.room.wrong import Wrong

_MOST = 24 * 60.0
_NUMBER = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,12})?)(?:min)?", re.I)


def dip_fields(words: Words, scope: Scope) -> Sequence[Fields]:
    """`[3] kole tang of spring tangs from reef freshwater-dip for 5 min with 3 mL of peroxide`."""
    words.need("who was dipped", "name a batch or an animal, then the treatment")
    fields = _who(words, scope)
    if words.try_word("from"):
        fields["tank"] = words.name(scope.tanks)
    words.try_word("in", "into", "by")
    treatment = words.try_name(scope.treatments) or words.name(scope.treatment_names)
    minutes = _minutes(words) if words.try_word("for") else None
    amount = amount_of(words, scope, treatment) if words.try_word("with") else {}
    return [{**fields, "treatment": treatment, "minutes": minutes, **amount}]


def _who(words: Words, scope: Scope) -> Fields:
    count = words.try_count()
    batch = words.try_name(scope.batches) if count is None else None
    if batch is not None:
        words.try_word("batch")
        return {"batch": batch}
    animals = [words.name(scope.animals)]
    while (another := words.try_name(scope.animals)) is not None:
        animals.append(another)
    batch = words.name(scope.batches) if words.try_word("of") else scope.batch_of(animals[0])
    return {"animals": tuple(animals), "batch": batch, "count": count}


def out_fields(words: Words, scope: Scope) -> Sequence[Fields]:
    """`k7m2q9x after 4.5 min distress`; a name stands for the dip of it that has no end."""
    words.need("which dip", "write its id or who was dipped, such as `out Lemon`")
    dip = _meant(words, scope)
    at = words.moment or scope.at
    minutes = _minutes(words) if words.try_word("after") else (at - dip.at).total_seconds() / 60
    if not 0 < minutes <= _MOST:
        began = f"{dip.at.astimezone(scope.room.zone):%Y-%m-%d %H:%M}"
        hint = "write the minutes or the time, such as `out Lemon after 5 min` or `out Lemon at 18:36`"
        raise Wrong("L761", f"the dip began {began}, and does not end {minutes:.0f} min later", hint)
    how = "early" if words.try_word("early") else "distress" if words.try_word("distress") else "whole"
    return [{"dip": dip.id, "minutes": round(minutes, 2) or minutes, "how": how}]


def _meant(words: Words, scope: Scope) -> Dip:
    """The dip that ends: one dip has one end, which can be set right but not written twice."""
    ends = {out.dip: out for out in scope.known(Out) if out.id != scope.corrects}
    by_id = {dip.id: dip for dip in scope.known(Dip)}
    found = by_id.get(meant_id(words.left[0]))
    if found is not None and found.id in ends:
        raise _ended(found, ends[found.id], words.left[0])
    if found is not None:
        words.at += 1
        return found
    running = [dip for dip in by_id.values() if dip.id not in ends and dip.at <= scope.written]
    by_name = {name: dip for dip in running for name in (dip.batch, *dip.animals) if name}
    name = words.try_name(Names("dip", by_name))
    if name is None:
        known = ", ".join(f"`{who(dip)}` ({dip.id})" for dip in running)
        hint = f"without an end so far: {known}" if known else "every dip in the log has its end"
        whom = words.upto("after", "early", "distress") or words.rest
        raise Wrong("L761", f"no dip of {quoted(whom)} is without an end", hint, part=whom)
    return by_name[name]


def _ended(dip: Dip, out: Out, part: str) -> Wrong:
    mend = f"pratique log correct {out.id} out {dip.id} after MINUTES min"
    hint = f"to set that right: `{mend}`; a second dip is an entry of its own"
    message = f"the dip of {quoted(who(dip))} has its end already, after {out.minutes:g} min (`{out.id}`)"
    return Wrong("L761", message, hint, part=part)


def _minutes(words: Words) -> float:
    words.need("how many minutes", "such as `5 min`")
    text = words.left[0]
    words.at += 1
    found = _NUMBER.fullmatch(text)
    minutes = float(found[1]) if found else 0.0
    if not 0 < minutes <= _MOST:
        raise Wrong("L731", f"{quoted(text)} is no number of minutes", "such as `5 min`", part=text)
    words.try_word("min", "minutes", "minute")
    return minutes


def who(dip: Dip) -> str:
    """What to call those that were dipped."""
    return ", ".join(dip.animals) or dip.batch or ""


def open_dips(log: Log, at: dt.datetime) -> tuple[Dip, ...]:
    """Dips that had begun by `at` and of which nothing says that the fish is out, the latest last.

    It is out by an `out`, by a later move or death of it, or where the entry was written down after its minutes.
    """
    ended = {out.dip for out in log.of(Out)}
    begun = (dip for dip in log.of(Dip) if dip.id not in ended and dip.at <= at)
    return tuple(dip for dip in begun if not _told_afterwards(dip) and not _went_on(log, dip, at))


def _told_afterwards(dip: Dip) -> bool:
    """True for `dip Lemon … for 5 min` that was written when the five minutes were over."""
    return dip.minutes is not None and dip.written - dip.at >= dt.timedelta(minutes=dip.minutes)


def _went_on(log: Log, dip: Dip, at: dt.datetime) -> bool:
    """True where one of those dipped was moved, or died, after it went in: it is in the vessel no more."""
    acts: list[Move | Death] = [*log.of(Move), *log.of(Death)]
    return any(_is_of(act, dip) for act in acts if dip.at <= act.at <= at and act.written >= dip.written)


def _is_of(entry: Move | Death, dip: Dip) -> bool:
    named = entry.animals if isinstance(entry, Move) else (entry.animal,)
    if named and dip.animals:
        return bool(set(named) & set(dip.animals)) and (entry.batch or dip.batch) == (dip.batch or entry.batch)
    return entry.batch is not None and entry.batch == dip.batch


STALE = dt.timedelta(hours=24)
"""After so long a dip without an end is a gap in the log, and no fish that could still be taken out (D)."""


def running_dips(log: Log, at: dt.datetime) -> tuple[Dip, ...]:
    """Dips in which a fish may still be at `at`: what every command has to warn of."""
    return tuple(dip for dip in open_dips(log, at) if at - dip.at <= STALE)


def unfinished(dip: Dip, at: dt.datetime, zone: dt.tzinfo) -> Problem:
    """What to say of a dip without an end, whenever the log is read (L760)."""
    since = dip.at.astimezone(zone)
    end = since + dt.timedelta(minutes=dip.minutes or 0)
    hint = (
        f"it is meant to be out at {end:%H:%M}; the same `pratique dip … --run` goes on with its clock"
        if at < end
        else f"if the fish is still in, take it out now; then write `pratique log out {dip.id} after MINUTES min`, "
        "with `distress` where it was cut short for that"
    )
    return Problem(
        code="L760",
        severity="warning",
        message=f"a dip of {quoted(who(dip))} ({dip.treatment}) began {shown_moment(since)}, "
        f"{ago(at - dip.at)} ago, and the log has no end of it",
        hint=hint,
    )


def ago(span: dt.timedelta) -> str:
    """A span in the largest unit that tells it: minutes, hours or days."""
    minutes = span.total_seconds() / 60
    if minutes < 120:
        return f"{minutes:.0f} min"
    return f"{minutes / 60:.0f} h" if minutes < 48 * 60 else f"{minutes / 1440:.0f} days"
