"""Every rule over the whole room fires in a room made for it, and is silent in the same room mended."""

from __future__ import annotations

import datetime as dt

import pytest

from pratique.checks.rules import RULES, check_room
from pratique.room.load import load_room_text
from pratique.schedule.plan import make_plan

HEAD = "room: {name: checks, time_zone: Europe/Lisbon}\n"
WARD = "  ward: {use: ward, volume: {measured: 60 L}, temperature: 25 degC, lid: yes}\n"
REEF = "  reef: {use: display, volume: {measured: 300 L}, lid: yes}\n"
COPPER = "shelf:\n  blue: {active: copper, form: ionic, strength: 1 mg/mL as Cu}\n"
COMING = "batches:\n  pair: {trust: trusted, arrives: 2027-03-05T18:00, animals: [{species: ocellaris clownfish}]}\n"
FINE = "kits:\n  fine: {measures: copper, forms: [ionic], resolution: 0.01 mg/L, error: 0.01 mg/L}\n"

CASES = {
    "X601": (
        "waters:\n  one: {}\ntanks:\n  reef: {use: display, water: one, volume: {measured: 300 L}}\n"
        "  ward: {use: ward, water: one, volume: {measured: 60 L}}\n",
        "waters:\n  one: {}\ntanks:\n  reef: {use: display, water: one, volume: {measured: 300 L}}\n"
        "  reef two: {use: display, water: one, volume: {measured: 60 L}}\n"
        "  ward: {use: ward, volume: {measured: 60 L}}\n",
    ),
    "X602": (
        "tanks:\n  reef: {use: display, volume: {measured: 300 L}}\n"
        + WARD
        + "animals:\n  - {species: sixline wrasse, tank: reef}\n",
        "tanks:\n" + REEF + WARD + "animals:\n  - {species: sixline wrasse, tank: reef}\n",
    ),
    "X604": (
        "tanks:\n" + REEF + WARD + COMING,
        "tanks:\n" + REEF + WARD + COMING + "kits:\n  drops: {measures: ammonia, resolution: 0.25 mg/L}\n",
    ),
    "D447": ("tanks:\n  ward: {use: ward, volume: {nominal: 60 L}}\n", "tanks:\n" + WARD),
    "D446": (
        "tanks:\n" + WARD + COPPER.replace("}", ", claim: 1 mL per 1 L gives 0.1 mg/L}") + FINE,
        "tanks:\n" + WARD + COPPER.replace("}", ", claim: 1 mL per 1 L gives 1 mg/L}") + FINE,
    ),
    "D433": (
        "tanks:\n" + WARD + COPPER.replace("}", ", expires: 2027-01-01}") + FINE,
        "tanks:\n" + WARD + COPPER.replace("}", ", expires: 2028-01-01}") + FINE,
    ),
    "D409": ("tanks:\n" + WARD + COPPER, "tanks:\n" + WARD + COPPER + FINE),
    "D410": (
        "tanks:\n" + WARD + COPPER + FINE.replace("0.01 mg/L", "0.25 mg/L"),
        "tanks:\n" + WARD + COPPER + FINE,
    ),
    "D402": (
        "tanks:\n  reef: {use: display, volume: {measured: 300 L}, holds: [{treatment: copper-ionic}]}\n"
        + WARD
        + "animals:\n  - {species: cleaner shrimp, tank: reef}\n",
        "tanks:\n  reef: {use: display, volume: {measured: 300 L}}\n"
        + WARD
        + "animals:\n  - {species: cleaner shrimp, tank: reef}\n",
    ),
    "S510": ("tanks:\n" + REEF, "tanks:\n" + REEF + WARD),
    "K301": (
        "tanks:\n" + WARD + "values:\n  copper-ionic.target: {value: 0.3 mg/L, reason: an old book}\n",
        "tanks:\n" + WARD + "values:\n  copper-ionic.target: {value: 0.16 mg/L, reason: a careful hand}\n",
    ),
}


def codes_of(text: str) -> list[str]:
    room, problems = load_room_text(HEAD + text)
    assert room is not None, problems
    found = check_room(room, dt.datetime(2027, 3, 1, 8, tzinfo=room.zone))
    assert all(problem.hint for problem in found)
    return [problem.code for problem in found]


@pytest.mark.parametrize("code", CASES)
def test_a_rule_fires_and_is_silent_once_mended(code: str) -> None:
    wrong, mended = CASES[code]
    assert code in codes_of(wrong)
    assert code not in codes_of(mended)


def test_every_rule_says_what_it_is_for() -> None:
    assert all(rule.__doc__ for rule in RULES)


def plan_codes(animal: str, batch: str) -> list[str]:
    text = (
        HEAD
        + "tanks:\n"
        + WARD
        + "  long: {use: observation, volume: {measured: 100 L}, temperature: 25 degC}\n"
        + COPPER
        + FINE
        + "batches:\n  new: {arrives: 2027-03-05T18:30, animals: [{species: "
        + animal
        + "}], "
        + batch
        + "}\n"
    )
    room, problems = load_room_text(text)
    assert room is not None, problems
    return [problem.code for problem in make_plan(room).problems]


def test_a_slow_ramp_with_signs_of_velvet_is_said() -> None:
    assert "S519" in plan_codes("flame angelfish", "trust: unsure, signs: dust")
    assert "S519" not in plan_codes("flame angelfish", "trust: unsure, regimen: copper-hold")


def test_a_watch_chosen_for_an_untrusted_source_needs_a_reason() -> None:
    assert "S515" in plan_codes("kole tang", "trust: untrusted, regimen: watch-only")
    assert "S515" not in plan_codes("kole tang", "trust: untrusted, regimen: watch-only, because: no other tank")
    assert "S515" not in plan_codes("kole tang", "trust: trusted, regimen: watch-only")
