"""Tasks as an iCalendar file (RFC 5545): one event a task, which an updated plan moves instead of doubling.

The earlier file is the memory: an event that says the same keeps its SEQUENCE and DTSTAMP, one that changed gets the
next SEQUENCE, and one whose task is gone is cancelled (RFC 5546, 2.1.4 and 3.2.5). Without the earlier file the UID,
which comes from the task's id alone, still lets an importing program find its own entry.
"""

from __future__ import annotations

import datetime as dt
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

import icalendar

from pratique import VERSION
from pratique.dates import shown_moment
from pratique.letters import HIDDEN
from pratique.room.resolve import Room
from pratique.room.shown import in_own_units
from pratique.schedule.model import Task
from pratique.sheets import words

PRODUCT = "-//pratique//plan//EN"
TASK, BATCH = "X-PRATIQUE-TASK", "X-PRATIQUE-BATCH"
ALARM_BEFORE = dt.timedelta(minutes=10)
LIMIT_BEFORE = dt.timedelta(hours=1)
SHORTEST = dt.timedelta(minutes=15)
"""An entry of no length does not show in most calendars."""

_NAMESPACE = uuid.UUID("8f6f2d0c-0f5f-5c5e-9a7e-6a2a3c1d4b70")
_SAID = ("summary", "description", "location", "dtstart", "dtend", "status", "categories")


@dataclass(frozen=True, slots=True, kw_only=True)
class Calendar:
    """`text` is the file; the others count its events, against those of the file before."""

    text: str
    new: int
    moved: int
    same: int
    cancelled: int


class NotACalendarError(ValueError):
    """The text of the earlier file cannot be read."""


def is_ours(text: str) -> bool:
    """True for the beginning of a file that this module made."""
    return text.startswith("BEGIN:VCALENDAR") and f"PRODID:{PRODUCT}" in text


def uid_of(room: Room, task_id: str) -> str:
    """The same for the same task of the same room, whatever its date."""
    return f"{uuid.uuid5(_NAMESPACE, f'{room.name}{chr(10)}{task_id}')}"


def calendar_of(
    room: Room, tasks: Iterable[Task], *, at: dt.datetime, earlier: str = "", only: str | None = None
) -> Calendar:
    """The tasks as a calendar made at the moment `at`. `earlier` is the text of the file that is written anew.

    Of `earlier` those tasks are kept that are over by `at`, and, where `only` is given, those of other batches.
    Raises NotACalendarError where it cannot be read.
    """
    before = _read(earlier)
    stamp = at.astimezone(dt.UTC).replace(microsecond=0)
    events: dict[str, icalendar.Event] = {}
    counts = {"new": 0, "moved": 0, "same": 0, "cancelled": 0}
    for task in tasks:
        event, was = _event(room, task, stamp), before.get(uid_of(room, task.id))
        what = _follow(event, was)
        counts[what] += 1
        events[str(event["uid"])] = event
    for uid, was in before.items():
        if uid not in events:
            gone, what = _left_over(was, at, stamp, only)
            counts[what] += what == "cancelled"
            events[uid] = gone
    return Calendar(text=_text(room, events.values()), **counts)


def _read(text: str) -> dict[str, icalendar.Event]:
    if not text.strip():
        return {}
    try:
        found = icalendar.Calendar.from_ical(text)
    except (ValueError, KeyError, IndexError) as error:
        raise NotACalendarError(str(error)) from None
    if not isinstance(found, icalendar.Calendar):
        raise NotACalendarError("it holds no calendar")
    events = [event for event in found.walk("VEVENT") if isinstance(event, icalendar.Event)]
    try:
        return {str(event["uid"]): event for event in events if _start(event) <= _end(event) and event.sequence >= 0}
    except (icalendar.InvalidCalendar, ValueError, KeyError, TypeError) as error:
        raise NotACalendarError(str(error)) from None


def _start(event: icalendar.Event) -> dt.datetime:
    return _moment(event.start)


def _end(event: icalendar.Event) -> dt.datetime:
    return _moment(event.end)


def _moment(found: dt.date) -> dt.datetime:
    if not isinstance(found, dt.datetime) or found.tzinfo is None:
        raise ValueError("an event without a time or a time zone")
    return found


def _event(room: Room, task: Task, stamp: dt.datetime) -> icalendar.Event:
    start = task.at.astimezone(room.zone)
    end = max(task.until, task.at + SHORTEST).astimezone(room.zone)
    event = icalendar.Event()
    event.add("uid", uid_of(room, task.id))
    event.add("dtstamp", stamp)
    event.add("last-modified", stamp)
    event.add("sequence", 0)
    event.add("dtstart", start)
    event.add("dtend", end)
    event.add("summary", _clean(_summary(task)))
    event.add("description", _clean("\n".join(_description(room, task))))
    event.add("location", _clean(task.tank))
    event.add("categories", [task.act])
    event.add("status", "CANCELLED" if task.state in ("skipped", "off") else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    event.add(TASK, _text_value(task.id), encode=False)
    if task.batch:
        event.add(BATCH, _text_value(task.batch), encode=False)
    if task.state in ("", "due", "late"):
        event.add_component(_alarm(-ALARM_BEFORE, event))
        if task.deadline and end - start > 2 * LIMIT_BEFORE:
            event.add_component(_alarm(-LIMIT_BEFORE, event, related="END"))
    return event


def _summary(task: Task) -> str:
    mark = f"{task.state}: " if task.state in ("done", "skipped", "late", "missed", "off") else ""
    whose = f" · {task.batch}" if task.batch else ""
    return f"{mark}{task.act.replace('-', ' ')} · {task.tank}{whose}"


def _description(room: Room, task: Task) -> Iterable[str]:
    yield in_own_units(task.text, room)
    if task.amount is not None:
        yield f"amount: {words.amount(task.amount, room)}"
    if task.refused:
        yield f"no amount: {task.refused}"
    if task.deadline:
        yield f"no later than {shown_moment(task.until)}"
    if task.who:
        yield f"for: {task.who}"
    if task.done_at is not None:
        yield f"done {shown_moment(task.done_at)}"
    yield from task.sources
    yield f"task {task.id}"


def _alarm(trigger: dt.timedelta, event: icalendar.Event, related: str = "START") -> icalendar.Alarm:
    alarm = icalendar.Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", str(event["summary"]))
    alarm.add("trigger", trigger, parameters={"RELATED": related})
    return alarm


def _follow(event: icalendar.Event, was: icalendar.Event | None) -> str:
    """Gives `event` the SEQUENCE and the stamps it has after `was`."""
    if was is None:
        return "new"
    if _said(event) == _said(was):
        for key in ("sequence", "dtstamp", "last-modified"):
            event[key] = was[key]
        return "same"
    event["sequence"] = icalendar.vInt(was.sequence + 1)
    return "moved"


def _said(event: icalendar.Event) -> tuple[str, ...]:
    """What a person sees of it, as it is written."""
    return tuple(str(event[key].to_ical()) if key in event else "" for key in _SAID)


def _left_over(
    was: icalendar.Event, at: dt.datetime, stamp: dt.datetime, only: str | None
) -> tuple[icalendar.Event, str]:
    """An event whose task the plan no longer has: as it was where it is over or another batch's, else cancelled."""
    others = only is not None and (BATCH not in was or was[BATCH].to_ical() != _text_value(only).to_ical())
    if others or _end(was) <= at or str(was.get("status")) == "CANCELLED":
        return was, "same"
    gone = was.copy()
    gone["sequence"] = icalendar.vInt(was.sequence + 1)
    gone["status"] = icalendar.vText("CANCELLED")
    gone["dtstamp"] = gone["last-modified"] = icalendar.vDDDTypes(stamp)
    return gone, "cancelled"


def _text(room: Room, events: Iterable[icalendar.Event]) -> str:
    calendar = icalendar.Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("x-wr-calname", _text_value(room.name), encode=False)
    calendar.add("x-pratique-version", VERSION)
    events = list(events)
    for event in sorted(events, key=lambda event: (_start(event).astimezone(dt.UTC), str(event["uid"]))):
        calendar.add_component(event)
    days = [day.date() for event in events for day in (_start(event), _end(event))]
    if days:
        calendar.add_missing_timezones(
            first_date=dt.date(min(days).year - 1, 1, 1), last_date=dt.date(max(days).year + 2, 1, 1)
        )
    return bytes(calendar.to_ical()).decode()


def _text_value(text: str) -> icalendar.vText:
    """For a property of our own: read back, it comes as it is written (commas escaped), so that is what is compared."""
    return icalendar.vText(_clean(text))


def _clean(text: str) -> str:
    """Control characters have no way to be written."""
    return HIDDEN.sub(" ", text.replace("\t", " "))
