"""What a first response says in a room that seldom comes up: each is an act, an amount or a date nothing else shows.

What has to be done is common practice, no published source; the amounts are worked out by hand beside each.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Any

import pytest

from first_rooms import FRIDAY, ZONE, history, house, respond
from pratique.knowledge import store
from pratique.response.gaps import CARE
from pratique.response.hearing import hear
from pratique.response.medicine import choose
from pratique.response.model import Option, RunSheet
from pratique.response.observed import Observed
from pratique.response.scene import scene_of
from pratique.response.verdict import Verdict, background_of, judge, warnings
from pratique.response.vocabulary import vocabulary
from response.test_fallow_dates import CLEARED, RESTARTS, asked
from response.test_shelf import BATCH

SEA = 1.02333
"""kg/L of sea water of 35 g/kg at 25 degC (TEOS-10)."""


def text_of(sheet: RunSheet, phase: str, act: str) -> str:
    """The one act of a kind in a part of the evening."""
    (found,) = [one for one in sheet.acts if (one.phase, one.act) == (phase, act)]
    return found.text


def barrel(litres: str) -> dict[str, Any]:
    return {
        "mixed_water": [{"volume": litres, "salinity": "35 g/kg", "made": "2027-03-04", "container": "grey barrel"}]
    }


def test_where_no_water_is_mixed_the_salt_for_it_is_weighed() -> None:
    """75 L × 1.0233 kg/L × 35 g/kg = 2686 g of dry salt; the change of tomorrow takes half as much again."""
    sheet, _ = respond(changes={"mixed_water": None})
    (mix,) = [act for act in sheet.acts if (act.phase, act.act) == ("hours", "mix")]
    assert mix.amount is not None
    assert mix.amount.value == pytest.approx(75 * SEA * 35, rel=2e-3)
    assert mix.text.startswith("for 75.0 L weigh 2686 g of salt")
    assert text_of(sheet, "tonight", "mix").startswith("mix 37.5 L for tomorrow's change: 1343 g of salt")


def test_what_a_barrel_has_left_is_counted_on_for_the_change() -> None:
    """80 L less the 75 L of the ward leave 5 L of the 37.5 L."""
    sheet, _ = respond(changes=barrel("80 L"))
    assert text_of(sheet, "tonight", "mix").startswith("mix 32.5 L for tomorrow's change: 1164 g of salt")


def test_where_neither_water_nor_salt_is_there_both_are_said_to_be_missing() -> None:
    sheet, _ = respond(changes={"mixed_water": None, "salt": None})
    said = "37.5 L of salt water are missing for tomorrow's change: salt is the first thing to buy"
    assert text_of(sheet, "tonight", "mix") == said
    assert text_of(sheet, "hours", "own-water").startswith("75.0 L come from reef system")


def test_where_nobody_knows_the_salinity_no_grams_are_told() -> None:
    sheet, _ = respond(changes={"waters": {"reef system": {"salinity": None}}, "mixed_water": None})
    (gap,) = [gap for gap in sheet.gaps if gap.kind == "salt"]
    assert gap.buy.startswith("sea salt for aquaria; before using it")
    assert not [act for act in sheet.acts if act.act == "mix" and " g of salt" in act.text]


def test_of_two_held_medicines_one_is_taken_and_named_and_the_dip_stays() -> None:
    """No bath is on the shelf: the dip is for both, copper for velvet; praziquantel does not go in beside copper."""
    changes = {"shelf": {"peroxide": None, "formalin": None}}
    sheet, _ = respond(cover=("amyloodinium", "neobenedenia"), changes=changes)
    options = {option.treatment: option for option in sheet.options}
    assert {id_ for id_, option in options.items() if option.chosen} == {"freshwater-dip", "copper-chelated"}
    said = "copper, chelated is taken, and two held medicines are not combined"
    assert options["praziquantel-bath"].note == said


def test_nothing_stands_in_that_does_nothing_to_what_is_missing() -> None:
    """Without formalin the dip and praziquantel are for the flukes; against brook there is only plain care."""
    sheet, _ = respond(cover=("brooklynella", "neobenedenia"), changes={"shelf": {"formalin": None}})
    assert {option.treatment for option in sheet.options if option.chosen} == {"freshwater-dip", "praziquantel-bath"}
    (gap,) = [gap for gap in sheet.gaps if gap.what == "formalin bath"]
    assert (gap.instead, gap.lacks) == (CARE, "it does nothing to brook")


def made(options: tuple[Option, ...], treatment: str, covers: tuple[str, ...]) -> Option:
    return replace(next(option for option in options if option.treatment == treatment), covers=covers, chosen=False)


def test_a_dip_stays_beside_a_bath_that_does_not_reach_what_it_does() -> None:
    sheet, _ = respond(cover=("amyloodinium", "neobenedenia"))
    dip = made(sheet.options, "freshwater-dip", ("amyloodinium", "neobenedenia"))
    bath = made(sheet.options, "formalin-bath", ("amyloodinium",))
    second = made(sheet.options, "peroxide-bath", ("uronema",))
    found = {one.treatment: one for one in choose((dip, bath, second), ("amyloodinium", "neobenedenia"))}
    assert found["freshwater-dip"].chosen and found["formalin-bath"].chosen
    assert (found["peroxide-bath"].chosen, found["peroxide-bath"].note) == (False, "one hard thing a day")
    bath = made(sheet.options, "formalin-bath", ("amyloodinium", "neobenedenia"))
    found = {one.treatment: one for one in choose((dip, bath), ("amyloodinium", "neobenedenia"))}
    assert (found["freshwater-dip"].chosen, found["formalin-bath"].chosen) == (False, True)


def test_a_tank_that_is_wanted_says_by_whom_it_is_wanted_first() -> None:
    coming = {"source": "a shop", "trust": "untrusted", "regimen": "copper-hold"}
    batches = {
        "later": {**coming, "arrives": "2027-06-25T18:30", "animals": [{"species": "royal gramma"}]},
        "sooner": {**coming, "arrives": "2027-03-20T18:30", "animals": [{"species": "yellow tang"}]},
    }
    sheet, _ = respond(changes={"batches": batches, "tanks": BATCH["tanks"]})
    assert text_of(sheet, "hours", "plan").startswith("ward was meant for sooner from Sat 20 Mar")


def test_one_dead_of_two_lines_of_a_kind_is_one_fish_fewer() -> None:
    animals = [{"species": "ocellaris clownfish", "tank": tank} for tank in ("reef", "frags")]
    sheet, _ = respond(dead=("ocellaris clownfish",), changes={"animals": animals})
    assert sum(going.count for going in sheet.goings) == 1


def test_new_water_gets_no_copper_before_copper_is_begun() -> None:
    """White spot leaves a day of rest: the change of the morning comes before the first dose."""
    sheet, _ = respond(cover=("cryptocaryon",))
    assert text_of(sheet, "tomorrow", "change-water") == "change 37.5 L of ward (50 %)"
    assert not [act for act in sheet.acts if act.phase == "tonight" and act.act == "test"]
    assert text_of(respond()[0], "tonight", "test").startswith("read copper in ward")


def test_medicine_of_the_plan_that_is_not_ticked_yet_is_taken_to_be_in_the_water() -> None:
    """The batch came on Thursday and its copper was due; once the log has it, it is on record and not planned twice."""
    changes = {"batches": {"tangs": {**BATCH["batches"]["tangs"], "arrives": "2027-03-04T18:00"}}} | {
        "tanks": BATCH["tanks"]
    }
    room = house(changes)
    late = dt.datetime(2027, 3, 7, 20, tzinfo=ZONE)
    came = "arrived tangs in ward at 2027-03-04T18:00"
    before = scene_of(room, history(room, (), late), late)
    assert [one.treatment for one in before.planned_in("ward")] == ["copper-chelated"]
    dosed = history(room, (came, "dose ward 15 mL chelate at 2027-03-05T18:00"), late)
    assert scene_of(room, dosed, late).planned_in("ward") == ()


def test_fish_put_in_and_taken_out_after_the_day_that_was_named_begin_a_fallow_again() -> None:
    named = dt.datetime(2027, 2, 2, 10, tzinfo=ZONE)
    found = asked(*CLEARED, *RESTARTS["fish"], since=named)
    assert (found.basis, found.began) == ("said", dt.datetime(2027, 2, 21, 12, tzinfo=ZONE))


def seen(text: str, *log: str) -> Verdict:
    """What fits what was typed about the reef."""
    room = house()
    told = history(room, log)
    animals = scene_of(room, told, FRIDAY).animals_in("reef system")
    observed, problems = hear(text, "", vocabulary(animals), Observed(tank="reef", at=FRIDAY))
    assert not problems
    return judge(background_of(told, "reef", animals), observed)


@pytest.mark.parametrize(
    ("text", "doubted"), [("rubbing, white spots", "velvet"), ("white spots", ""), ("white spots, fast breathing", "")]
)
def test_velvet_is_named_where_it_is_covered_though_another_fits_better(text: str, doubted: str) -> None:
    assert seen(text).doubted == doubted


@pytest.mark.parametrize(("breaths", "said"), [(79, "absent"), (80, ""), (119, ""), (120, "present"), (121, "present")])
def test_a_count_of_breaths_at_each_end_of_the_span(breaths: int, said: str) -> None:
    """scoring, `breaths_fast`: under 80 not fast, from 120 on fast, between them it cannot be told."""
    observed = seen(f"breaths {breaths}").observed
    found = {"present": "fast-breathing" in observed.present, "absent": "fast-breathing" in observed.absent}
    assert [key for key, there in found.items() if there] == ([said] if said else [])


@pytest.mark.parametrize(
    ("line", "counts"),
    [
        ("cleaned tank reef at 2027-03-05T15:00", True),
        ("cleaned tank reef at 2027-03-04T17:00", True),
        ("cleaned tank reef at 2027-03-04T16:00", False),
        ("dried reef at 2027-03-05T15:00", False),
    ],
)
def test_a_tank_cleaned_within_a_day_may_be_why(line: str, counts: bool) -> None:
    facts = seen("gasping", line).observed.facts
    assert (("done", "cleaned") in facts) is counts


@pytest.mark.parametrize("text", ["oxygen 5 furlongs now, dust", "oxygen 5 furlongs"])
def test_a_reading_that_cannot_be_read_is_told_by_its_number_and_unit(text: str) -> None:
    """Once, at the number: its unit is not taken for a sign as well."""
    _, (problem, *others) = hear(text, "", vocabulary(), Observed(tank="reef", at=FRIDAY))
    assert problem.message == "`5 furlongs` has the unknown unit `furlongs`"
    assert "mg/L" in problem.hint
    assert [(place.column, place.width) for place in problem.places] == [(8, len("5 furlongs"))]
    assert not others


SECOND = {"use": "ward", "salinity": "35 g/kg", "temperature": "25 degC", "ph": "8.2", "volume": {"measured": "60 L"},
          "cycled": "no", "oxygen": "7 mg/L", "lid": "yes"}  # fmt: skip


@pytest.mark.parametrize(
    ("ward", "other", "place"),
    [
        ({}, {}, "ward"),
        ({}, {"volume": {"measured": "90 L"}}, "second"),
        ({"substrate": "calcareous"}, {}, "second"),
        ({"rock": "calcareous"}, {}, "second"),
        ({"rock": "calcareous"}, {"substrate": "calcareous"}, "a food-grade tub"),
        ({"use": "observation"}, {}, "second"),
        ({"holds": [{"treatment": "praziquantel-bath"}]}, {}, "second"),
    ],
    ids=["the larger", "the larger of two", "no sand", "no rock", "neither bare", "no watch", "no medicine in it"],
)
def test_of_two_free_tanks_the_better_is_taken(ward: dict[str, Any], other: dict[str, Any], place: str) -> None:
    """Bare before one with sand or rock, which take up copper (practice B14); then without a medicine; then by size."""
    sheet, _ = respond(changes={"tanks": {"ward": ward, "second": SECOND | other}})
    assert sheet.place == place


@pytest.mark.parametrize("agent", sorted(store.pathogen_ids()))
def test_every_agent_on_file_has_three_steps_now_and_a_morning(agent: str) -> None:
    sheet, _ = respond(cover=(agent,))
    assert len(sheet.now) == 3
    assert {act.phase for act in sheet.acts} >= {"hours", "tonight", "tomorrow"}
    assert sum(going.count for going in sheet.goings) == 5
    chosen = {agent_ for option in sheet.options if option.chosen and option.role != "dip" for agent_ in option.covers}
    assert agent in (*chosen, *sheet.uncovered) or not sheet.uncovered


def told(text: str) -> Observed:
    """What is heard in words about a reef with Lemon and clownfish."""
    room = house()
    animals = scene_of(room, history(room), FRIDAY).animals_in("reef system")
    observed, problems = hear(text, "", vocabulary(animals), Observed(tank="reef", at=FRIDAY))
    assert not problems
    return observed


@pytest.mark.parametrize(
    ("text", "hours"),
    [("3 h", 3), ("3 hours", 3), ("2 days", 48), ("2 d", 48), ("2 weeks", 336), ("1 week", 168), ("90 minutes", 1.5),
     ("30 mins", 0.5)],
)  # fmt: skip
def test_since_when_is_understood_in_any_unit(text: str, hours: float) -> None:
    assert told(f"dust, since {text}").hours == hours


def test_who_is_dead_or_dying_is_understood() -> None:
    observed = told("dead ocellaris clownfish, dying Lemon, dust")
    assert (observed.dead, observed.dying, observed.present) == (("ocellaris clownfish",), ("Lemon",), ("dust",))


@pytest.mark.parametrize(("breaths", "code"), [("400", None), ("401", "X652"), ("0", "X652")])
def test_a_count_of_breaths_no_fish_has_is_refused(breaths: str, code: str | None) -> None:
    _, problems = hear(f"breaths {breaths}", "", vocabulary(), Observed(tank="reef", at=FRIDAY))
    assert [problem.code for problem in problems[:1]] == ([code] if code else [])


def test_what_was_not_read_is_asked_for_the_first_first() -> None:
    room = house()
    background = background_of(history(room), "reef", scene_of(room, history(room), FRIDAY).animals_in("reef system"))
    (found,) = [one for one in warnings(background, judge(background, told("gasping"))) if one.code == "X654"]
    assert found.message == "oxygen and ammonia were not read in the last hours"
    assert found.hint == "test now and run it again with such as `oxygen 6 mg/L`"


@pytest.mark.parametrize(
    ("degrees", "cause", "said"),
    [("23", "clears", "only 2"), ("22", "shows", "from 3"), ("29", "shows", "from 4")],
)  # fmt: skip
def test_a_temperature_off_what_the_file_says_is_judged_with_its_distance(degrees: str, cause: str, said: str) -> None:
    findings = [one for one in seen(f"gasping, temperature {degrees} degC").findings if "file's 25" in one.text]
    assert [(one.verdict, f"{said}" in one.text) for one in findings] == [(cause, True)]


def test_the_one_that_left_last_is_named_where_the_log_contradicts_the_day() -> None:
    (problem,) = asked(*CLEARED, since=dt.datetime(2027, 1, 10, tzinfo=ZONE)).problems
    assert problem.code == "X722"
    assert problem.message.startswith("by the log `ocellaris clownfish` left `reef system` only on Mon 1 Feb 2027")


@pytest.mark.parametrize(("count", "more"), [(6, ""), (7, " and 1 more")])
def test_up_to_six_fish_that_are_still_there_are_named(count: int, more: str) -> None:
    animals = [{"species": "yellow tang", "name": f"No {number}", "tank": "reef"} for number in range(1, count + 1)]
    (problem,) = [one for one in asked(changes={"animals": animals}).problems if one.code == "X720"]
    names = ", ".join(f"`No {number}`" for number in range(1, 7))
    assert problem.message.startswith(f"{names}{more} are still in")


def test_the_smallest_vessel_is_for_dips_and_every_bottle_that_lacks_is_named() -> None:
    vessels = {"dip bucket": "10 L ± 0.1 L", "tub": "40 L ± 1 L", "jug": "12 L"}
    sheet, _ = respond(changes={"vessels": vessels})
    assert [need.name for need in sheet.needs.of("vessel")] == ["dip bucket"]
    bare = {"shelf": {"formalin": None, "fluke powder": None, "peroxide": None}}
    sheet, _ = respond(cover=("brooklynella", "neobenedenia"), changes=bare)
    named = [gap.what for gap in sheet.gaps if gap.kind == "product"]
    assert any(what.startswith("formalin") for what in named) and any("praziquantel" in what for what in named), named


def test_nobody_is_called_for_tomorrow_where_no_medicine_is_begun() -> None:
    away = {"room": {"away": [{"from": "2027-03-06", "to": "2027-03-07"}]}}
    kinds = {cover: [gap.kind for gap in respond(cover=cover, causes=("low-oxygen",), changes=away)[0].gaps]
             for cover in ((), ("amyloodinium",))}  # fmt: skip
    assert "person" not in kinds[()]
    assert "person" in kinds["amyloodinium",]


def test_the_tank_the_fish_are_in_is_passed_over_for_its_sand_and_not_for_them() -> None:
    sick = [{"species": "yellow tang", "name": "Lemon", "size": "10 cm", "tank": "ward"}]
    tanks = {"ward": {"rock": "calcareous", "substrate": "calcareous"}, "second": SECOND}
    sheet, _ = respond(tank="ward", changes={"animals": sick, "tanks": tanks})
    assert sheet.place == "second"
    said = [act.text for act in sheet.acts if act.text.startswith(("not in", "not into"))]
    assert len(said) == 1
    assert said[0].startswith("not in ward itself (75.0 L): the medicine is refused there")
