"""Who looked and when, and whether they are fed: what only the keeper's own record can show."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator

from pratique.checks.release.model import Condition, Subject, listed, when
from pratique.checks.release.seen import breath, examined, looked_at, seen_eating
from pratique.clocks.moments import local_date
from pratique.dates import shown_day
from pratique.logbook.ids import slug
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.feeds import cut

FRESH = 48.0
"""Hours for which a look, and a feeding, still speak of the fish as they are."""


def looks_of(subject: Subject) -> list[dt.datetime]:
    """Every moment since day one at which somebody is on record to have looked: a look, a sign, a death."""
    since = instant(subject.counted_from)
    found = [moment for moment in subject.history.looks.get(slug(subject.name), ()) if instant(moment) >= since]
    for water in subject.waters(subject.stage):
        record = subject.history.of_water(water)
        found += [sign.at for sign in cut(record.signs, (subject.counted_from, None))]
        found += [p.at for p in cut(record.passages, (subject.counted_from, None)) if p.how == "died"]
    return sorted(found, key=instant)


def unseen_days(subject: Subject) -> list[dt.date]:
    """Whole days between day one and today without a look on record."""
    zone = subject.room.zone
    seen = {local_date(moment, zone) for moment in looks_of(subject)}
    first, today = local_date(subject.counted_from, zone), local_date(subject.at, zone)
    between = (first + dt.timedelta(days=number) for number in range(1, (today - first).days))
    return [day for day in between if day not in seen]


def spans_of(days: list[dt.date]) -> list[str]:
    """Days with their neighbours: `Sat 3 Apr to Mon 5 Apr`."""
    runs: list[tuple[dt.date, dt.date]] = []
    for day in days:
        if runs and day - runs[-1][1] == dt.timedelta(days=1):
            runs[-1] = (runs[-1][0], day)
        else:
            runs.append((day, day))
    return [shown_day(a) if a == b else f"{shown_day(a)} to {shown_day(b)}" for a, b in runs]


def looked_condition(subject: Subject) -> Condition:
    """Looked at on enough days, and of late. A day without a look counts, and proves nothing: it is said."""
    text = f"looked at in {subject.stage.name}, and of late"
    looks = looks_of(subject)
    if not looks:
        missing = "no look is on record since day one: write each down, such as `pratique log look TANK 2 heads eating`"
        return Condition(text=text, met=None, evidence=("no look is on record",), missing=missing)
    zone = subject.room.zone
    days = {local_date(moment, zone) for moment in looks}
    whole = (local_date(subject.at, zone) - local_date(subject.counted_from, zone)).days + 1
    gaps = spans_of(unseen_days(subject))
    evidence = (
        f"on {len(days)} of {whole} days, the last {when(looks[-1])}",
        *_by_whom(subject),
        *listed(f"under the microscope, {text}" for text in examined(subject, "microscope")),
        *(f"nobody on record: {span}" for span in listed(gaps)),
    )
    wanted = min(_least(subject), whole - 1)
    if len(days) < wanted:
        missing = f"looks are on record on {len(days)} days, of at least {wanted}: write down those that were made"
        return Condition(text=text, met=None, evidence=evidence, missing=missing)
    if elapsed_hours(looks[-1], subject.at) > FRESH:
        missing = f"nobody is on record to have looked since {when(looks[-1])}: look, and write it down"
        return Condition(text=text, met=None, evidence=evidence, missing=missing)
    return Condition(text=text, met=True, evidence=evidence)


def _least(subject: Subject) -> int:
    """Days of looking that a watch has to have: the least that most institutions give."""
    least = subject.basis.treatment("observation").number("minimum")
    return round(least.value / 24) if least is not None else 0


def _by_whom(subject: Subject) -> Iterator[str]:
    """Who looked, as far as the entries name somebody."""
    since, names = instant(subject.counted_from), Counter[str]()
    looks = {look.entry_id for look in looked_at(subject)}
    for entry in subject.history.log.entries:
        parts = str(getattr(entry, "task", "")).split("/")
        is_look = entry.kind == "done" and parts[0] == slug(subject.name) and "look" in parts[1:3]
        if (is_look or entry.id in looks) and since <= instant(entry.at) <= instant(subject.at):
            names[entry.by or ""] += 1
    named = [f"{name} {count}" for name, count in names.most_common() if name]
    if named:
        yield "looks by " + ", ".join(named) + (f"; {names['']} without a name" if names[""] else "")
    elif names[""]:
        yield "who looked is not on record: `--by NAME` writes it"


HARD = {"not-eating", "fast-breathing", "gill-only"}
"""Signs of a fish that does not eat or breathes badly."""


def fed_condition(subject: Subject) -> Condition:
    """Fed of late, and no sign of the contrary. That they ate is what the one who fed them saw."""
    text = "eating, and breathing as calmly as the fish in the display"
    hard = _hard_signs(subject)
    if hard:
        missing = f"not eating, or breathing badly: {hard[-1]}"
        return Condition(text=text, met=False, evidence=listed(hard), missing=missing)
    eating, breaths = seen_eating(subject, FRESH), breath(subject)
    if eating is not None:
        by = f", by {eating.by}" if eating.by else ""
        evidence = (f"seen eating on {when(eating.at)}{by}", *([breaths] if breaths else []))
        return Condition(text=text, met=True, evidence=evidence)
    fed = _feedings(subject)
    if not fed or elapsed_hours(fed[-1], subject.at) > FRESH:
        last = f"the last {when(fed[-1])}" if fed else "none is on record"
        missing = f"no feeding on record in the last {FRESH:g} h ({last}): see that all eat, and write it down"
        return Condition(text=text, met=None, evidence=(f"feedings: {last}",), missing=missing)
    days = {local_date(moment, subject.room.zone) for moment in fed}
    seen = f"fed on {len(days)} days of {subject.stage.name}, the last {when(fed[-1])}"
    contrary = "no sign of the contrary on record since day one"
    return Condition(text=text, met=True, evidence=(seen, contrary, *([breaths] if breaths else [])))


def _hard_signs(subject: Subject) -> list[str]:
    """After day one: the sign that began the days again is judged by its clock."""
    since = instant(subject.counted_from)
    return [
        f"{when(sign.at)}, {', '.join(sign.signs)}"
        for water in subject.waters(subject.stage)
        for sign in cut(subject.history.of_water(water).signs, (subject.counted_from, None))
        if HARD & set(sign.signs) and instant(sign.at) > since
    ]


def _feedings(subject: Subject) -> list[dt.datetime]:
    span = (subject.counted_from, None)
    waters = subject.waters(subject.stage)
    found = [fed.at for water in waters for fed in cut(subject.history.of_water(water).feedings, span)]
    for id_, mark in subject.history.tasks.items():
        parts = id_.split("/")
        if mark.what == "done" and parts[0] == slug(subject.name) and "feed" in parts[1:3]:
            found.append(mark.at)
    since = instant(subject.counted_from)
    return sorted((moment for moment in found if instant(moment) >= since), key=instant)
