"""The clock of an observation: elapsed days without a new animal, a sign, or anything wet from a suspect water."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from pratique.clocks.moments import hours_between, hours_later, in_zone, instant, local_date, midnight
from pratique.clocks.state import Break, ClockState, Row, Span, in_order, spoken
from pratique.knowledge.clockrule import Effect
from pratique.problem import plural

LOOKED = ("look", "sign", "death")
"""Events that show somebody looked at the fish that day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchEvent:
    """What happened in the watched water: `kind` is an event of the clock `watch`, `what` the keeper's words for it.

    Wet gear and water are fed only where they came from a suspect water; the batch's own arrival is not an event.
    """

    at: dt.datetime
    kind: str
    what: str = ""
    entry_id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchRule:
    """`needed` in hours; `effects` of each kind of event, and what it is called."""

    needed: float
    effects: Mapping[str, Effect]
    titles: Mapping[str, str]
    needed_low: float | None = None
    needed_high: float | None = None
    source: str = ""


def watch_clock(
    start: dt.datetime | None,
    events: Iterable[WatchEvent] = (),
    *,
    rule: WatchRule,
    at: dt.datetime,
    zone: dt.tzinfo,
) -> ClockState:
    """How an observation stands at `at`. `start` is when all were in the tank and treated; `zone` is the room's.

    Events may come in any order; those before `start` and after `at` are left out. A finished watch can still be
    restarted while the animals are in it. ValueError for a kind of event that is not declared.
    """
    known = sorted(events, key=lambda event: (instant(event.at), event.kind, event.entry_id, event.what))
    for event in known:
        if event.kind not in rule.effects:
            raise ValueError(f"no such event of a watch: {event.kind!r}")
    if start is None or instant(start) > instant(at):
        now = Row(at=at, what="the watch has not begun", evidence=rule.source, mark="now")
        return in_zone(_state(None, None, [], [now], (), rule, instant(at)), at.tzinfo)
    within = [event for event in known if instant(start) <= instant(event.at) <= instant(at)]
    return in_zone(_counted(instant(start), within, rule, instant(at), zone), at.tzinfo)


def _counted(
    start: dt.datetime, events: list[WatchEvent], rule: WatchRule, at: dt.datetime, zone: dt.tzinfo
) -> ClockState:
    started = start
    breaks: list[Break] = []
    rows = [Row(at=start, what="day one: all are in, and the last treatment is over", mark="start")]
    for event in events:
        title = rule.titles[event.kind] + (f": {event.what}" if event.what else "")
        if rule.effects[event.kind] == "restarts":
            cost = hours_between(started, event.at)
            breaks.append(Break(at=event.at, why=title, cost_hours=cost, entry_id=event.entry_id))
            what = f"{title}; day one again, {spoken(cost)} are lost"
            rows.append(Row(at=event.at, what=what, entry_id=event.entry_id, mark="restart"))
            started = instant(event.at)
        elif rule.effects[event.kind] == "note":
            rows.append(Row(at=event.at, what=title, entry_id=event.entry_id, mark="problem"))
    gaps = _days_unseen(started, events, at, zone)
    if gaps:
        days = round(sum(span.hours for span in gaps) / 24)
        what = f"no look on record on {plural(days, 'day')}: they count, and prove nothing"
        rows.append(Row(at=gaps[0].start, what=what, mark="unknown"))
    return _state(started, start, breaks, rows, gaps, rule, at)


def _days_unseen(started: dt.datetime, events: list[WatchEvent], at: dt.datetime, zone: dt.tzinfo) -> tuple[Span, ...]:
    """Whole days between the first and today on which nobody is on record to have looked, neighbours together."""
    seen = {local_date(event.at, zone) for event in events if event.kind in LOOKED}
    today = local_date(at, zone)
    day = local_date(started, zone) + dt.timedelta(days=1)
    spans: list[Span] = []
    while day < today:
        if day not in seen:
            start, end = midnight(day, zone), midnight(day + dt.timedelta(days=1), zone)
            if spans and spans[-1].end == start:
                start = spans.pop().start
            spans.append(Span(start=start, end=end, why="no look on record"))
        day += dt.timedelta(days=1)
    return tuple(spans)


def _state(
    started: dt.datetime | None,
    first: dt.datetime | None,
    breaks: list[Break],
    rows: list[Row],
    gaps: tuple[Span, ...],
    rule: WatchRule,
    at: dt.datetime,
) -> ClockState:
    counted = hours_between(started, at) if started is not None else 0.0
    done_at = hours_later(started, rule.needed) if started is not None else None
    finished = done_at if done_at is not None and done_at <= at else None
    if started is not None:
        what = f"{spoken(counted)} of {spoken(rule.needed)} without a new animal or a sign"
        rows = [*rows, Row(at=at, what=what, evidence=rule.source, mark="now")]
    if finished is not None:
        rows = [*rows, Row(at=finished, what="the days of the watch are over", evidence=rule.source, mark="done")]
    return ClockState(
        kind="watch", at=at, started=started, first_started=first, counted=counted, needed=rule.needed,
        needed_low=rule.needed_low or rule.needed, needed_high=rule.needed_high or rule.needed,
        done_at=done_at, finished=finished, unbroken=counted, breaks=tuple(breaks), restarts=len(breaks),
        unknown=gaps, explain=in_order(rows),
    )  # fmt: skip
