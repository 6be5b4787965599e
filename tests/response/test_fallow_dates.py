"""Dates of a water without fish, against the periods of agents.md section 16 and its parameter block (section 20)."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from first_rooms import ZONE, history, house
from pratique.knowledge import store
from pratique.response.fallow import Asked, Fallow, make_fallow

OUT = dt.datetime(2027, 2, 1, 10, tzinfo=ZONE)
NOW = dt.datetime(2027, 3, 5, 17, tzinfo=ZONE)
CLEARED = (
    "move Lemon from reef to ward at 2027-01-20T10:00",
    "move 2 ocellaris clownfish from frags to ward at 2027-02-01T10:00",
)

IN_SECTION_16 = {
    "cryptocaryon": 76,
    "amyloodinium": 42,
    "brooklynella": 42,
    "neobenedenia": 28,
    "gill-flukes": 28,
    "paravortex": 28,
    "gyrodactylus": 10,
}
"""Days: the figure each agent has in the table `Fallow` of agents.md section 16."""

RANGE_OF_WHITE_SPOT = [(14, 14), (28, 28), (35, 42), (42, 45), (76, 76)]
"""agents.md 16: 14 d at 30 degC, 28 d of COL85, 28 + 7 to 14, 42 to 45 at 27 degC, 76."""


def asked(*lines: str, at: dt.datetime = NOW, changes: Any = None, **more: Any) -> Fallow:
    room = house(changes)
    return make_fallow(room, history(room, lines, at), Asked(**{"tank": "reef", **more}))


def by_agent(fallow: Fallow) -> dict[str, Any]:
    return {agent.pathogen.id: agent for agent in fallow.agents}


@pytest.mark.parametrize(("agent", "days"), IN_SECTION_16.items())
def test_each_agent_ends_after_the_days_of_section_16(agent: str, days: int) -> None:
    """Day one is 1 February 10:00, when the last fish of the whole water left, not when the tank's own did."""
    found = by_agent(asked(*CLEARED))[agent]
    assert found.end is not None
    assert found.end.replace(fold=0).astimezone(dt.UTC) == OUT.astimezone(dt.UTC) + dt.timedelta(days=days)


@pytest.mark.parametrize("agent", ["uronema", "vibrio", "lymphocystis", "spironucleus", "ichthyobodo", "nematodes"])
def test_agents_without_a_period_get_no_date_and_a_reason(agent: str) -> None:
    found = by_agent(asked(*CLEARED))[agent]
    assert found.end is None
    assert found.used is None
    assert len(found.why_not) > 20


def test_every_agent_on_file_is_answered() -> None:
    assert {agent.pathogen.id for agent in asked(*CLEARED).agents} == set(store.pathogen_ids())


def test_the_range_of_white_spot_is_all_that_section_16_has_and_one_is_counted_on() -> None:
    found = by_agent(asked(*CLEARED))["cryptocaryon"].published
    assert [(one.figure.low / 24, one.figure.high / 24) for one in found] == RANGE_OF_WHITE_SPOT
    assert [one.part for one in found] == ["shorter", "shorter", "shorter", "warm", "used"]
    assert [(one.first.date() - OUT.date()).days for one in found] == [low for low, _ in RANGE_OF_WHITE_SPOT]
    assert [(one.last.date() - OUT.date()).days for one in found] == [high for _, high in RANGE_OF_WHITE_SPOT]


def test_warm_water_on_record_takes_the_warm_figure() -> None:
    """agents.md 16 and 19: 45 d only with 27 degC or more logged throughout. 1 February + 45 d is 18 March."""
    days = [(OUT + dt.timedelta(days=day)).date() for day in range(33)]
    read = tuple(f"reading reef temperature 27.5 degC at {day}T09:00" for day in days)
    warm = by_agent(asked(*CLEARED, *read))["cryptocaryon"]
    assert warm.end is not None
    assert warm.end.date() == dt.date(2027, 3, 18)
    one_day_cool = tuple(line.replace("27.5", "26.5") if "02-15" in line else line for line in read)
    cooled = by_agent(asked(*CLEARED, *one_day_cool))["cryptocaryon"]
    assert cooled.end is not None
    assert cooled.end.date() > dt.date(2027, 3, 18)


def test_in_cold_water_velvet_has_no_date() -> None:
    """agents.md 18.8: below 24 degC its clock stops; section 16: low temperature voids a fallow."""
    cold = {"waters": {"reef system": {"temperature": "22 degC"}}}
    found = by_agent(asked(*CLEARED, changes=cold))
    assert found["amyloodinium"].end is None
    assert "24" in found["amyloodinium"].why_not
    assert found["cryptocaryon"].end is not None
    assert by_agent(asked(*CLEARED))["amyloodinium"].end is not None


def test_one_fish_on_the_same_sump_keeps_the_clock_at_nought() -> None:
    """Practice B34 and B35: the clock belongs to the water; a fish left makes it nought, and is named."""
    fallow = asked(CLEARED[0])
    assert fallow.fish == ("ocellaris clownfish",)
    assert (fallow.basis, fallow.days, fallow.began) == ("if", 0.0, NOW)
    assert [problem.code for problem in fallow.problems] == ["X720"]
    assert fallow.problems[0].message.startswith("`ocellaris clownfish`")
    assert "frags" in fallow.problems[0].note


RESTARTS = {
    "fish": ("move Lemon from ward to reef at 2027-02-20T12:00", "move Lemon from reef to ward at 2027-02-21T12:00"),
    "found": ("found reef Lemon at 2027-02-19T12:00", "move Lemon from reef to ward at 2027-02-21T12:00"),
    "rock": ("move rock from ward to reef at 2027-02-21T12:00",),
    "sand": ("move sand from ward to frags at 2027-02-21T12:00",),
    "water": ("move water from ward to reef at 2027-02-21T12:00",),
    "gear": ("gear white set in ward at 2027-02-21T11:00", "gear white set in reef at 2027-02-21T12:00"),
}
"""What agents.md 16 says voids a fallow: the last event of each is on 21 February at noon."""


@pytest.mark.parametrize("lines", RESTARTS.values(), ids=RESTARTS)
def test_what_voids_a_fallow_begins_it_again(lines: tuple[str, ...]) -> None:
    fallow = asked(*CLEARED, *lines)
    again = dt.datetime(2027, 2, 21, 12, tzinfo=ZONE)
    assert fallow.began == again
    assert fallow.breaks
    assert fallow.last is not None
    assert fallow.last.end is not None
    assert fallow.last.end.astimezone(dt.UTC) == again.astimezone(dt.UTC) + dt.timedelta(days=76)


def test_gear_that_dried_and_things_of_the_same_water_begin_nothing_again() -> None:
    dry = ("gear white set in ward at 2027-02-18T11:00", "gear white set in reef at 2027-02-21T12:00")
    within = ("move rock from frags to reef at 2027-02-21T12:00",)
    for lines in (dry, within):
        assert asked(*CLEARED, *lines).began == OUT


def test_corals_from_outside_begin_it_again_and_corals_held_long_enough_do_not() -> None:
    """Practice D19 and agents 16: held without fish for the days of the agent, a coral brings nothing."""
    coral = {
        "batches": {
            "frag": {"trust": "unsure", "arrives": "2027-02-20T12:00", "animals": [{"species": "torch coral"}]}
        },
        "tanks": {"box": {"use": "observation", "volume": {"measured": "40 L"}, "salinity": "35 g/kg"}},
    }
    fresh = asked(*CLEARED, "arrived frag in reef at 2027-02-20T12:00", changes=coral)
    assert fresh.began == dt.datetime(2027, 2, 20, 12, tzinfo=ZONE)
    late = dt.datetime(2027, 6, 1, 12, tzinfo=ZONE)
    held = ("arrived frag in box at 2027-02-20T12:00", "move frag from box to reef at 2027-05-15T12:00")
    assert asked(*CLEARED, *held, at=late, changes=coral).began == OUT
    soon = ("arrived frag in box at 2027-02-20T12:00", "move frag from box to reef at 2027-05-01T12:00")
    assert asked(*CLEARED, *soon, at=late, changes=coral).began == dt.datetime(2027, 5, 1, 12, tzinfo=ZONE)


@pytest.mark.parametrize(
    ("species", "why"),
    [
        ("torch coral", "a coral from a water with fish: 1 torch coral, from outside"),
        ("turbo snail", "a snail, shrimp or other animal from a water with fish: 1 turbo snail, from outside"),
    ],
)
def test_what_came_in_and_cost_the_days_is_named(species: str, why: str) -> None:
    """Day one was 1 February 10:00; it came on the 20th at noon, 19 d and 2 h later."""
    came = {"batches": {"new": {"trust": "unsure", "arrives": "2027-02-20T12:00", "animals": [{"species": species}]}}}
    (broken,) = asked(*CLEARED, "arrived new in reef at 2027-02-20T12:00", changes=came).breaks
    assert (broken.why, broken.cost_hours) == (why, 19 * 24 + 2)


def test_the_day_named_by_the_keeper_is_counted_from_and_a_log_that_contradicts_it_is_told() -> None:
    said = asked(*CLEARED, since=dt.datetime(2027, 1, 25, tzinfo=ZONE))
    assert said.basis == "said"
    assert said.last is not None
    assert said.last.end is not None
    assert said.last.end.date() == dt.date(2027, 1, 25) + dt.timedelta(days=76) == dt.date(2027, 4, 11)
    assert [problem.code for problem in said.problems] == ["X722"]
    assert not asked(*CLEARED, since=dt.datetime(2027, 2, 5, tzinfo=ZONE)).problems


def test_a_water_without_a_fish_on_record_says_so() -> None:
    empty = asked(changes={"animals": [{"species": "torch coral", "tank": "reef"}]})
    assert [problem.code for problem in empty.problems] == ["X721"]
    assert empty.began == NOW


def test_a_temperature_nobody_knows_is_told() -> None:
    room = {"waters": {"reef system": {"temperature": None}}}
    assert "X723" in [problem.code for problem in asked(*CLEARED, changes=room).problems]
    assert "X723" not in [problem.code for problem in asked(*CLEARED).problems]


def test_fish_within_the_reach_of_drops_are_told() -> None:
    """RT06: 0.44 m in still air, 3 m in moving air."""
    for gap, air, wanted in (("2.9 m", "moving", True), ("3.1 m", "moving", False), ("0.4 m", "still", True),
                             ("0.5 m", "still", False)):  # fmt: skip
        room = {"room": {"air": air, "distances": [{"between": ["ward", "reef"], "gap": gap}]}}
        found = [problem.code for problem in asked(*CLEARED, changes=room).problems]
        assert ("X724" in found) is wanted, (gap, air)


def test_holds_of_section_16_and_the_last_day_to_come_in() -> None:
    """The end is 18 April (1 February + 76 d): 76 d before it is day one, 45 d before it is 4 March."""
    entries = asked(*CLEARED).entries
    found = [(entry.figure.value / 24, entry.usable) for entry in entries]
    assert found == [(76, True), (42, True), (16, False), (7, False)]
    assert entries[0].by == OUT
    assert entries[1].by.date() == dt.date(2027, 3, 4)
    assert entries[1].warm == 27
    assert entries[0].end_if_now.date() == NOW.date() + dt.timedelta(days=76)


def test_one_agent_narrows_it_and_its_hold_goes_with_it() -> None:
    velvet = asked(*CLEARED, agents=("amyloodinium",))
    assert [agent.pathogen.id for agent in velvet.agents] == ["amyloodinium"]
    assert [(entry.figure.value / 24, entry.by) for entry in velvet.entries] == [(42, OUT)]


def test_a_figure_of_the_keepers_own_is_used() -> None:
    own = {"values": {"cryptocaryon.fallow": {"value": "90 d", "reason": "sand bed of 15 cm"}}}
    found = by_agent(asked(*CLEARED, changes=own))["cryptocaryon"]
    assert found.end is not None
    assert (found.end.date() - OUT.date()).days == 90


@given(day=st.integers(-300, 60), agents=st.sets(st.sampled_from(sorted(IN_SECTION_16)), min_size=1))
def test_the_end_follows_the_day_named_and_never_precedes_the_longest(day: int, agents: set[str]) -> None:
    since = dt.datetime(2027, 3, 1, tzinfo=ZONE) + dt.timedelta(days=day)
    fallow = asked(changes={"animals": [{"species": "torch coral", "tank": "reef"}]}, since=since, agents=tuple(agents))
    assert fallow.last is not None
    assert fallow.last.end is not None
    longest = max(IN_SECTION_16[agent] for agent in agents)
    assert (fallow.last.end.astimezone(dt.UTC) - since.astimezone(dt.UTC)).total_seconds() / 86400 == longest
    assert all(entry.end_if_now >= fallow.last.end for entry in fallow.entries)
