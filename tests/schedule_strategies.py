"""Random fish rooms for the properties of the schedule: any zone, both clock changes, absences, tanks, batches."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from hypothesis import strategies as st

from schedule_rooms import batch, room_data, tank

ZONES = sorted(name for name in available_timezones() if "/" in name and not name.startswith(("posix/", "right/")))

FISH = ("ocellaris clownfish", "yellow tang", "sixline wrasse")
GUARDED = ("coral beauty angelfish", "mandarinfish", "volitans lionfish")
SHARKS = ("bamboo shark", "shovelnose ray")
SPINELESS = ("torch coral", "cleaner shrimp")

HOURS = (
    "07:00-09:00, 18:00-22:00",
    "06:00-23:00",
    "08:00-08:20, 20:00-21:00",
    "21:00-23:30",
    "00:30-03:30",
    "05:00-06:00, 12:00-13:00, 17:00-17:45",
)


@cache
def clock_changes(zone: str) -> tuple[dt.datetime, ...]:
    """The days of 2027 (UTC midnights) after which the zone's clocks show another offset."""
    days = [dt.datetime(2027, 1, 1, tzinfo=dt.UTC) + dt.timedelta(days=day) for day in range(365)]
    offsets = [day.astimezone(ZoneInfo(zone)).utcoffset() for day in days]
    return tuple(day for day, one, two in zip(days, offsets, offsets[1:], strict=False) if one != two)


@st.composite
def moments(draw: st.DrawFn, zone: str) -> dt.datetime:
    """A moment of 2027, often in the fortnight before a clock change."""
    changes = clock_changes(zone)
    minutes = draw(st.integers(0, 24 * 60 * 15))
    if changes and draw(st.booleans()):
        start = draw(st.sampled_from(changes)) - dt.timedelta(minutes=minutes)
    else:
        start = dt.datetime(2027, 1, 10, tzinfo=dt.UTC) + dt.timedelta(minutes=minutes * 20)
    return start.replace(second=0).astimezone(ZoneInfo(zone))


def temperatures() -> st.SearchStrategy[str]:
    return st.integers(200, 309).map(lambda tenths: f"{tenths / 10} degC")


@st.composite
def many_tanks(draw: st.DrawFn) -> dict[str, Any]:
    """From one tank to a shop's worth, each at its own temperature."""
    found = {"reef": tank("display", cycled="yes")}
    for use, most in (("transfer", 3), ("ward", 2), ("observation", 2), ("reserve", 1)):
        for number in range(draw(st.integers(0, most))):
            keys: dict[str, Any] = {"temperature": draw(temperatures())}
            if use == "ward" and draw(st.booleans()):
                keys["change"] = draw(st.sampled_from(["25 % every 2 d", "10 % every 1 d", "50 % every 1 wk"]))
            found[f"{use} {number}"] = tank(use, **keys)
    return found


@st.composite
def batches(draw: st.DrawFn, zone: str) -> dict[str, Any]:
    kinds = draw(st.sampled_from([FISH, FISH, FISH, GUARDED, SHARKS, SPINELESS, FISH + SHARKS, FISH + GUARDED]))
    species = draw(st.lists(st.sampled_from(kinds), min_size=1, max_size=3))
    signs = draw(st.sampled_from([[], [], ["white-spots"], ["dust"], ["slime"]]))
    trust = draw(st.sampled_from(["trusted", "unsure", "untrusted"]))
    arrives = draw(moments(zone))
    return batch(arrives.isoformat(timespec="minutes"), trust, *species, **({"signs": signs} if signs else {}))


@st.composite
def absences(draw: st.DrawFn, zone: str) -> list[dict[str, str]]:
    found = []
    for _ in range(draw(st.sampled_from([0, 0, 1, 2]))):
        start = draw(moments(zone))
        end = start + dt.timedelta(hours=draw(st.integers(5, 24 * 9)))
        entry = {"from": start.isoformat(timespec="minutes"), "to": _real(end).isoformat(timespec="minutes")}
        found.append({**entry, **({"stand_in": "Kim"} if draw(st.booleans()) else {})})
    return found


def _real(moment: dt.datetime) -> dt.datetime:
    return moment.astimezone(dt.UTC).astimezone(moment.tzinfo)


@st.composite
def rooms(draw: st.DrawFn, *, most: int = 3) -> dict[str, Any]:
    """The sections of a room file; `schedule_rooms.build` makes a room of them."""
    zone = draw(st.sampled_from(ZONES))
    about = {"time_zone": zone, "hours": draw(st.sampled_from(HOURS)), "away": draw(absences(zone))}
    entries = {f"batch {number}": draw(batches(zone)) for number in range(draw(st.integers(1, most)))}
    animals = draw(st.sampled_from([[], [{"species": "yellow tang", "tank": "reef"}]]))
    return room_data(room=about, tanks=draw(many_tanks()), batches=entries, animals=animals)
