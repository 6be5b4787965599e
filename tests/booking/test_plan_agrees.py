"""A booking becomes a plan unchanged: written as a batch, `plan` gives the same tanks and dates."""

from __future__ import annotations

import copy
import datetime as dt
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pratique.booking.book import Answer, book
from pratique.room.resolve import Room
from pratique.schedule.plan import make_plan
from schedule_rooms import build, room_data, tanks

FISH = ("ocellaris clownfish", "yellow tang", "sixline wrasse", "royal gramma")


def wish(earliest: str, latest: str, priority: int, *species: str, trust: str = "untrusted") -> dict[str, Any]:
    animals = [{"species": name} for name in species]
    return {
        "source": "a shop", "trust": trust, "earliest": earliest, "latest": latest, "priority": priority,
        "animals": animals,
    }  # fmt: skip


@st.composite
def wishes(draw: st.DrawFn) -> dict[str, Any]:
    found = {}
    for number in range(draw(st.integers(1, 3))):
        first = dt.date(2027, 3, 10) + dt.timedelta(days=draw(st.integers(0, 60)))
        last = first + dt.timedelta(days=draw(st.integers(5, 150)))
        trust = draw(st.sampled_from(["trusted", "unsure", "untrusted"]))
        species = draw(st.sampled_from(FISH))
        priority = draw(st.integers(1, 9))
        found[f"wish {number}"] = wish(first.isoformat(), last.isoformat(), priority, species, trust=trust)
    return found


def as_batches(sections: dict[str, Any], answer: Answer) -> dict[str, Any]:
    """The file after the keeper moved every booked wish to `batches`, as the page says."""
    changed = copy.deepcopy(sections)
    changed.pop("wishes")
    for booked in answer.booked:
        kept = {key: value for key, value in sections["wishes"][booked.wish.name].items() if key in KEPT}
        kept["arrives"] = f"{booked.batch.arrives:%Y-%m-%dT%H:%M}"
        kept["regimen"] = booked.regimen.id
        kept["booked"] = {stay.stage: list(stay.tanks) for stay in booked.stays}
        changed["batches"][booked.wish.name] = kept
    return changed


KEPT = ("source", "trust", "animals")


def room_with(sections: dict[str, Any]) -> Room:
    return build(**sections)


def test_a_wish_booked_is_planned_the_same() -> None:
    check({"a tang": wish("2027-03-10", "2027-09-10", 5, "yellow tang")})


@given(wishes())
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whatever_is_booked_is_planned_the_same(wished: dict[str, Any]) -> None:
    check(wished)


def check(wished: dict[str, Any]) -> None:
    sections = {**room_data(tanks=tanks()), "wishes": wished}
    room = room_with(sections)
    at = dt.datetime(2027, 3, 1, 12, tzinfo=room.zone)
    answer, _ = book(room, None, at)
    plan = make_plan(room_with(as_batches(sections, answer)))
    planned = {batch.batch.name: batch for batch in plan.batches}
    for booked in answer.booked:
        found = planned[booked.wish.name]
        assert found.is_whole, [problem.message for problem in found.problems]
        shown = [(stage.name, set(stage.tanks), stage.start, stage.end) for stage in found.stages]
        assert shown == [(stay.stage, set(stay.tanks), stay.start, stay.end) for stay in booked.stays]
    first = next(batch for batch in make_plan(room).batches if batch.batch.name == "first")
    assert [stage.start for stage in planned["first"].stages] == [stage.start for stage in first.stages]


@pytest.mark.parametrize("late", [0, 400])
def test_nothing_is_booked_outside_its_days(late: int) -> None:
    room = room_with({**room_data(), "wishes": {"w": wish("2027-03-10", "2027-03-12", 1, "yellow tang")}})
    answer, _ = book(room, None, dt.datetime(2027, 3, 1, tzinfo=room.zone) + dt.timedelta(days=late))
    for booked in answer.booked:
        assert booked.wish.earliest <= booked.batch.arrives
        assert booked.batch.arrives.date() <= booked.wish.latest.date()
    if late:
        assert not answer.booked
