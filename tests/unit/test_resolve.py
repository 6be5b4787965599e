"""The room put together: what is found, what follows from it, and every problem of a file in one run."""

from __future__ import annotations

import datetime as dt
import doctest
import time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from pratique import letters
from pratique.knowledge import store
from pratique.letters import skeleton
from pratique.problem import Problem
from pratique.room import model, own
from pratique.room.load import load_room, load_room_text
from pratique.room.own import read_own_figure
from pratique.room.resolve import Room
from pratique.room.values import OWN, treatment_for

CASES = Path(__file__).parent.parent / "cases"

HEAD = "room:\n  time_zone: Europe/Lisbon\n"
TANKS = "tanks:\n  q1:\n    use: ward\n    volume:\n      measured: 62 L\n"


def sound(text: str) -> Room:
    room, problems = load_room_text(text)
    assert problems == []
    assert room is not None
    return room


def found(text: str) -> list[tuple[str, int]]:
    """Code and line of every problem."""
    room, problems = load_room_text(text)
    assert room is None
    return [(problem.code, problem.places[0].line) for problem in problems]


@pytest.fixture(scope="module")
def everything() -> Room:
    room, problems = load_room(CASES / "good" / "everything.yaml")
    assert problems == []
    assert room is not None
    return room


def test_tanks_on_one_sump_share_one_water(everything: Room) -> None:
    main = everything.waters["main system"]
    assert [tank.name for tank in main.tanks] == ["display", "no"]
    assert everything.water_of("no") is main
    assert main.sump is not None
    assert main.sump.value == pytest.approx(151.4, abs=0.1)
    assert main.conditions.carbon is True


def test_a_tank_of_its_own_is_a_water_of_its_own(everything: Room) -> None:
    water = everything.water_of("8:30")
    assert [tank.name for tank in water.tanks] == ["8:30"]
    assert water.conditions.salinity is not None
    assert water.conditions.salinity.value == 35
    assert water.sump is None


def test_animals_get_their_group(everything: Room) -> None:
    pair, wrasse = everything.residents
    assert (pair.scientific, pair.group.id, pair.label, pair.count) == (
        "Amphiprion ocellaris",
        "clownfish",
        "Pair",
        2,
    )
    assert (wrasse.scientific, wrasse.group.id) == ("some undescribed wrasse", "wrasse")
    assert wrasse.signs == ("scratching", "fast-breathing")
    assert set(everything.residents_by_water) == {"main system"}


def test_batches_gather_the_signs_of_their_animals(everything: Room) -> None:
    batch = everything.batches["spring order"]
    assert batch.signs == ("white-spots", "not-eating")
    assert batch.head_count == 1


def test_a_batch_without_a_time_arrives_in_the_last_working_hours(everything: Room) -> None:
    batch = everything.batches["spring order"]
    assert batch.arrives == dt.datetime(2027, 3, 5, 18, tzinfo=ZoneInfo("America/New_York"))
    on_the_change = everything.batches["lone puffer"]  # the clocks went forward that morning
    assert on_the_change.arrives.isoformat() == "2027-03-14T18:00:00-04:00"


@pytest.mark.parametrize(
    ("hours", "time"),
    [("08:00-18:00", "13:00"), ("08:00-12:00", "08:00"), ("06:30-08:00, 12:00-17:01", "14:00")],
)
def test_in_a_working_day_a_batch_without_a_time_arrives_in_its_middle(hours: str, time: str) -> None:
    """Else each move of a series would be due at the very minute in which the room opens."""
    text = HEAD + f"  hours: {hours}\n" + TANKS
    text += "batches:\n  a: {trust: unsure, arrives: 2027-03-05, animals: [{species: yellow tang}]}\n"
    assert sound(text).batches["a"].arrives.strftime("%H:%M") == time


def test_working_hours_that_a_clock_change_skips_begin_after_it() -> None:
    text = HEAD.replace("Lisbon\n", "Lisbon\n  hours: 1:30-3:00\n") + TANKS
    text += "batches:\n  a: {trust: unsure, arrives: 2027-03-28, animals: [{species: yellow tang}]}\n"
    assert sound(text).batches["a"].arrives.isoformat() == "2027-03-28T02:30:00+01:00"


def test_days_away_last_until_the_end_of_the_last_day(everything: Room) -> None:
    first, second = everything.away
    assert (first.start.isoformat(), first.end.isoformat()) == (
        "2027-04-02T12:00:00-04:00",
        "2027-04-06T00:00:00-04:00",
    )
    assert first.stand_in == "neighbour"
    assert second.start.isoformat() == "2027-11-07T01:30:00-05:00"  # the second of the two


def test_own_values_come_before_the_shipped_ones(everything: Room) -> None:
    target = treatment_for(everything, "copper-ionic").needed("target")
    assert (target.value, target.source, target.where) == (0.18, OWN, "my kit reads in steps of 0.02")
    assert treatment_for(everything, "copper-amine") is store.treatment("copper-amine")


def test_own_values_may_be_in_any_unit_that_is_read() -> None:
    assert read_own_figure("180 ug/L", "mg/L").value == pytest.approx(0.18)
    assert read_own_figure("2 d", "h").value == 48
    assert read_own_figure("3", "count").value == 3


def test_a_room_can_point_at_its_own_lines(everything: Room) -> None:
    place = everything.place(("tanks", "drum", "volume", "fill"))
    assert place.text.strip() == "fill: 12 in"
    assert place.text[place.column - 1 :] == "12 in"


# --- all problems in one run


ALL_AT_ONCE = """\
room:
  time_zone: Europe/Lisbonn
  hours: 9:00-8:00
  colour: blue
tanks:
  q1:
    use: word
    volume: {measured: 62 L}
  q2:
    use: ward
    volume: {measured: 62 l}
    lid: perhaps
  q3:
    use: ward
    volume: {shape: box, length: 60 cm, width: 3O cm, fill: 30 cm, sand: 4 cm}
    substrate: brae
animals:
  - species: yelow tang
    tank: q1
  - species: yellow tang
    tank: q9
    count: 0
batches:
  march:
    trust: no
    arrives: 2027-03-28T01:30
    animals: [{species: yellow tang, signs: [flashing]}]
  april:
    trust: unsure
    arrives: 04/05/2027
    into: q2
    animals: [{species: yellow tang}]
shelf:
  bottle:
    active: copper
    form: inoic
    strength: 10 mg/mL as Zn
"""


def test_every_problem_of_a_file_is_reported_in_one_run_sorted_by_line() -> None:
    assert found(ALL_AT_ONCE) == [
        ("F113", 2),  # the zone
        ("F118", 3),
        ("F111", 4),
        ("F114", 7),
        ("U208", 11),
        ("F114", 12),
        ("U201", 15),
        ("F114", 16),
        ("F113", 18),  # the species; that its tank was refused is said once, at the tank
        ("F113", 21),
        ("U212", 22),
        ("F114", 25),
        ("F115", 30),
        ("F114", 36),
        ("F113", 37),
    ]


def test_one_cause_is_one_problem_a_refused_tank_is_still_a_tank() -> None:
    text = (
        HEAD
        + TANKS.replace("ward", "word")
        + (
            "animals: [{species: yellow tang, tank: q1}]\n"
            "batches:\n  a: {trust: unsure, arrives: 2027-03-05, into: q1,"
            " animals: [{species: yellow tang}]}\n"
        )
    )
    assert found(text) == [("F114", 5)]


def test_one_cause_is_one_problem_a_refused_water_is_still_a_water() -> None:
    text = HEAD + "waters: {main: 3}\n" + TANKS.replace("ward", "ward\n    water: main")
    assert found(text) == [("F110", 3)]


def test_one_cause_is_one_problem_a_water_of_a_refused_tank_is_not_empty() -> None:
    text = HEAD + "waters: {main: {cycled: yes}}\n" + TANKS.replace("ward", "word\n    water: main")
    assert found(text) == [("F114", 6)]


def test_one_cause_is_one_problem_a_refused_volume_is_not_missing() -> None:
    assert found(HEAD + TANKS.replace("62 L", "62 l")) == [("U208", 7)]


@pytest.mark.parametrize(
    ("volume", "codes"),
    [
        ("{shape: bx, length: 60 cm, width: 30 cm, fill: 30 cm}", ["F114"]),
        ("{shape: box, length: 60 C, width: 30 cm, fill: 30 cm}", ["U209"]),
        ("{shape: box, dimensions: outsid, length: 60 cm, width: 30 cm, fill: 30 cm, glass: 6 mm}", ["F114"]),
        (
            "{shape: box, dimensions: outside, length: 60 cm, width: 30 cm, fill: 30 cm, glass: 6 m m}",
            ["U207"],
        ),
        ("{shape: box, length: 60 cm, width: 30 cm, fill: 30 cm, sand: 4 C}", ["U209"]),
        ("{measured: 62 l, nominal: 80 L}", ["U208", "F124"]),
        ("{measured: 62 L, fill: 3 C}", ["F124", "U209"]),
    ],
)
def test_one_cause_is_one_problem_inside_a_volume(volume: str, codes: list[str]) -> None:
    text = HEAD + f"tanks: {{q1: {{use: ward, substrate: inert, volume: {volume}}}}}\n"
    assert [code for code, _ in found(text)] in (codes, codes[::-1])


@pytest.mark.parametrize(
    ("rest", "codes"),
    [
        ("animals: [{species: strange fish, group: [wrasse], tank: q1}]", ["F110"]),
        ("shelf: {a: {active: copper, form: inoic, strength: 10 mg/mL as Cu}}", ["F114"]),
        ("shelf: {a: {active: coper, strength: 10 mg/mL as Cu}}", ["F114"]),
        ("kits: {a: {measures: copper, forms: [inoic]}}", ["F114"]),
        ("kits: {a: {measures: copper, forms: inoic}}", ["F114"]),
        ("values: {copper-ionic.target: {value: [1], reason: x}}", ["F110"]),
        ("batches: {a: {trust: unsure, arrives: 2027-03-05, animals: [{species: [x]}]}}", ["F110"]),
        ("batches: {a: {trust: unsure, arrives: 2027-03-05, animals: [{count: 2}]}}", ["F112"]),
        ("regimens: {mine: {title: x, reason: y, stages: [{name: z}]}}", ["F112"] * 3),
        (
            "regimens: {mine: 3}\nbatches: {a: {trust: unsure, arrives: 2027-03-05, regimen: mine,"
            " animals: [{species: yellow tang}]}}",
            ["F110"],
        ),
    ],
)
def test_one_cause_is_one_problem_elsewhere(rest: str, codes: list[str]) -> None:
    assert [code for code, _ in found(HEAD + TANKS + rest + "\n")] == codes


def test_without_a_readable_room_the_rest_is_judged_all_the_same() -> None:
    assert found("room: 3\n" + TANKS + "animals: [{species: yelow tang, tank: q1}]\n") == [
        ("F110", 1),
        ("F113", 7),
    ]
    assert found(TANKS + "animals: [{species: yelow tang, tank: q1}]\n") == [("F112", 1), ("F113", 6)]


def test_an_unknown_zone_adds_no_clock_changes() -> None:
    text = HEAD.replace("Lisbon", "Lisbonn") + TANKS
    text += "batches:\n  a: {trust: unsure, arrives: 2027-03-28T01:30, animals: [{species: yellow tang}]}\n"
    assert found(text) == [("F113", 2)]


@pytest.mark.parametrize("zone", ["UTC", "Etc/UTC", "America/Argentina/Buenos_Aires"])
def test_zones_that_are_known(zone: str) -> None:
    assert sound(HEAD.replace("Europe/Lisbon", zone) + TANKS).zone.key == zone


@pytest.mark.parametrize(
    "zone",
    [
        "EST",
        "GMT+1",
        "europe/lisbon",
        "Europe",
        "Europe/",
        "../../etc/passwd",
        "posix/Europe/Lisbon",
        "right/Europe/Lisbon",
        "/etc/localtime",
        "Europe\\Lisbon",
        "local/time",
    ],
)
def test_zones_that_are_not(zone: str) -> None:
    assert found(HEAD.replace("Europe/Lisbon", zone) + TANKS) == [("F113", 2)]


def test_times_everywhere_are_held_against_the_clock() -> None:
    text = (
        HEAD.replace("Lisbon\n", "Lisbon\n  away: [{from: 2027-03-28T01:30, to: 2027-03-29}]\n")
        + TANKS
        + "    holds: [{treatment: copper-ionic, since: 2027-03-28T01:30}]\n"
        + "animals: [{species: yellow tang, tank: q1, since: 2027-03-28T01:30}]\n"
        + "batches: {a: {trust: unsure, arrives: 2027-10-31T01:30, animals: [{species: yellow tang}]}}\n"
        + "shelf:\n  b: {active: peroxide, strength: 3 % w/v as H2O2, opened: 2027-03-28T01:30}\n"
        + "  c: {active: peroxide, strength: 3 % w/v as H2O2, expires: 2027-03-28T01:30}\n"
        + "mixed_water: [{volume: 20 L, made: 2027-03-28T01:30}]\n"
        + "kits: {d: {measures: ph, expires: 2027-03-28T01:30}}\n"
    )
    assert [code for code, _ in found(text)] == [
        "F116",
        "F116",
        "F116",
        "F117",
        "F116",
        "F116",
        "F116",
        "F116",
    ]


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("q1", "ql", True),
        ("q1", "Q1", True),
        ("q1", "qI", True),
        ("tank 10", "tank 1o", True),
        ("copper", "сорреr", True),  # Cyrillic but for the last letter
        ("ward", "wаrd", True),
        ("TANK", "ΤΑΝΚ", True),  # Greek
        ("café", "cafe", True),
        ("ward_1", "ward 1", True),
        ("ward-1", "ward 1", True),
        ("ｗard", "ward", True),
        ("wa\u200drd", "ward", True),
        ("q1", "q2", False),
        ("q1", "q11", False),
        ("1-1", "11", False),
        ("left", "right", False),
    ],
)
def test_names_that_can_be_taken_for_each_other(one: str, other: str, alike: bool) -> None:
    assert (skeleton(one) == skeleton(other)) is alike


def test_look_alikes_are_found_among_refused_names_too() -> None:
    text = (
        HEAD
        + "tanks:\n  q1: {use: word, volume: {measured: 62 L}}\n  ql: {use: ward, volume: {measured: 62 L}}\n"
    )
    room, problems = load_room_text(text)
    assert room is None
    assert [problem.code for problem in problems] == ["F114", "F119"]
    assert [place.line for place in problems[1].places] == [5, 4]


def test_names_may_be_alike_in_different_sections() -> None:
    sound(HEAD + TANKS + "vessels: {Q1: 10 L}\n")


def test_substances_are_checked_only_for_actives_that_are_dosed_by_mass() -> None:
    sound(HEAD + TANKS + "shelf: {a: {active: antibiotic, strength: 50 mg/g as anything}}\n")


def test_every_active_of_a_substance_is_one_a_product_can_have() -> None:
    actives = set(model.Active.__args__)
    assert {substance.active for substance in store.substances().values()} <= actives
    assert {store.treatment(id_).active for id_ in store.treatment_ids()} - {""} <= actives


def big_room(animals: str) -> str:
    tanks = "".join(f"  t{n}: {{use: ward, volume: {{measured: 60 L}}}}\n" for n in range(500))
    return HEAD + "tanks:\n" + tanks + "animals:\n" + animals


@pytest.mark.parametrize(
    ("line", "count"),
    [
        ("  - {{species: yellow tang, tank: t{tank}}}\n", 0),
        ("  - {{species: strange {n}, tank: t{tank}}}\n", 5000),
        ("  - {{species: yellow tang, tank: x{n}}}\n", 5000),
        ("  - {{species: yellow tang, tank: t{tank}, bogus: 1}}\n", 5000),
        ("  - {{species: [x], tank: t{tank}}}\n", 5000),
    ],
    ids=["sound", "unknown species", "unknown tanks", "unknown keys", "lists"],
)
def test_five_thousand_animals_stay_fast(line: str, count: int) -> None:
    text = big_room("".join(line.format(n=n, tank=n % 500) for n in range(5000)))
    start = time.process_time()
    problems: list[Problem] = load_room_text(text)[1]
    assert time.process_time() - start < 10  # one or two seconds on a slow machine
    assert len(problems) == count


@pytest.mark.parametrize("module", [own, letters])
def test_examples_in_the_docstrings(module: object) -> None:
    result = doctest.testmod(module)  # type: ignore[arg-type]
    assert result.attempted
    assert not result.failed
