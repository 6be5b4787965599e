"""The log folded up: where everybody was, what bottles hold, what is known of a water."""

from __future__ import annotations

import pytest

from history.kept import build, copper_room, history, moment, one_of_each, tanks
from pratique.history.events import Stay
from pratique.history.fold import History

RESIDENTS = [
    {"species": "yellow tang", "name": "Lemon", "tank": "reef"},
    {"species": "ocellaris clownfish", "count": 2, "tank": "reef"},
]


def where(found: History) -> dict[str, dict[str, int]]:
    """Name to tank to count, at the moment of the history."""
    out: dict[str, dict[str, int]] = {}
    for stay in found.standing:
        name = f"{stay.animal} of {stay.batch}" if stay.batch else stay.animal
        out.setdefault(name, {})[stay.tank] = stay.count
    return out


def visits(found: History, batch: str = "first") -> list[tuple[str, str]]:
    return [(visit.tank, f"{visit.start:%d %H:%M}") for visit in found.visits.get(batch, ())]


def test_nothing_on_record() -> None:
    found = history(build(animals=RESIDENTS), "", "2027-03-05T12:00")
    assert found.is_empty
    assert where(found) == {"Lemon": {"reef": 1}, "ocellaris clownfish": {"reef": 2}}
    assert found.visits == {}


def test_an_arrival_a_move_and_a_death() -> None:
    lines = """
        2027-03-05T19:00 arrived first in tub a
        2027-03-08T08:00 move first to tub b
        2027-03-09T08:00 death tub b yellow tang
    """
    found = history(one_of_each(), lines, "2027-03-10T12:00")
    assert where(found) == {"ocellaris clownfish of first": {"tub b": 1}}
    assert visits(found) == [("tub a", "05 19:00"), ("tub b", "08 08:00")]
    assert [passage.how for passage in found.of_water("tub b").passages] == ["moved", "moved", "died"]
    assert found.count_of("first", "yellow tang") == 0


def test_what_lies_after_the_moment_is_not_known_yet() -> None:
    lines = """
        2027-03-05T19:00 arrived first in tub a
        2027-03-08T08:00 move first to tub b
    """
    found = history(one_of_each(), lines, "2027-03-08T07:59")
    assert visits(found) == [("tub a", "05 19:00")]


def test_a_dead_fish_does_not_move_with_its_batch() -> None:
    lines = """
        2027-03-05T19:00 arrived first in tub a
        2027-03-06T08:00 death tub a yellow tang
        2027-03-08T08:00 move first to tub b
        2027-03-09T08:00 arrived first in tub b
    """
    assert where(history(one_of_each(), lines, "2027-03-10T12:00")) == {"ocellaris clownfish of first": {"tub b": 1}}


def test_a_move_without_an_arrival_is_one() -> None:
    found = history(one_of_each(), "2027-03-06T08:00 move first to tub b", "2027-03-07T08:00")
    assert visits(found) == [("tub b", "06 08:00")]
    assert {passage.how for passage in found.passages} == {"arrived"}


def test_animals_moved_one_by_one_have_moved_when_more_than_half_has() -> None:
    lines = """
        2027-03-05T19:00 arrived first in tub a
        2027-03-08T08:00 move yellow tang to tub b
        2027-03-08T08:10 move ocellaris clownfish to tub b
    """
    found = history(one_of_each(), lines, "2027-03-08T09:00")
    assert visits(found) == [("tub a", "05 19:00"), ("tub b", "08 08:10")]


def test_a_resident_that_moved_and_one_that_is_where_the_file_has_it_by_now() -> None:
    room = build(animals=RESIDENTS)
    lines = "2027-03-05T19:00 move Lemon from reef to ward"
    assert where(history(room, lines, "2027-03-06T08:00"))["Lemon"] == {"ward": 1}
    moved = build(animals=[{**RESIDENTS[0], "tank": "ward"}, RESIDENTS[1]])
    assert where(history(moved, lines, "2027-03-06T08:00"))["Lemon"] == {"ward": 1}


def test_some_of_several_are_moved_and_more_than_there_are_cannot_be() -> None:
    room = build(animals=RESIDENTS)
    some = history(room, "2027-03-05T19:00 move 1 ocellaris clownfish to ward", "2027-03-06T08:00")
    assert where(some)["ocellaris clownfish"] == {"reef": 1, "ward": 1}
    more = history(room, "2027-03-05T19:00 move 7 ocellaris clownfish to ward", "2027-03-06T08:00")
    assert where(more)["ocellaris clownfish"] == {"ward": 2}


def test_a_hidden_fish_found() -> None:
    found = history(build(animals=RESIDENTS), "2027-03-05T19:00 found ward damselfish", "2027-03-06T08:00")
    assert where(found)["damselfish"] == {"ward": 1}
    assert found.in_water("ward")[0].count == 1
    assert found.in_water("ward", moment("2027-03-05T18:00")) == ()


def test_more_deaths_than_animals_are_kept_as_deaths() -> None:
    lines = "2027-03-05T19:00 death reef 3 ocellaris clownfish"
    found = history(build(animals=RESIDENTS), lines, "2027-03-06T08:00")
    assert where(found) == {"Lemon": {"reef": 1}}
    assert [passage.count for passage in found.passages] == [2, 1]


def test_a_death_in_the_next_tank_of_one_sump() -> None:
    rack = {"left": {"use": "display"}, "right": {"use": "display"}}
    shared = {name: {**keys, "volume": {"measured": "60 L"}, "water": "rack"} for name, keys in rack.items()}
    room = build(
        tanks={**shared, "ward": tanks()["ward"]}, waters={"rack": {}}, batches={},
        animals=[{"species": "yellow tang", "tank": "left"}],
    )  # fmt: skip
    found = history(room, "2027-03-05T19:00 death right yellow tang", "2027-03-06T08:00")
    assert found.standing == ()


def test_bottles() -> None:
    lines = """
        2027-03-05T19:00 opened copper bottle
        2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle
        2027-03-06T19:00 change ward 15 L with 3 mL of copper bottle
        2027-03-07T19:00 spoiled copper bottle 85 mL
        2027-03-08T19:00 bought copper bottle 100 mL
    """
    bottle = history(copper_room(), lines, "2027-03-09T08:00").bottles["copper bottle"]
    assert (bottle.used, bottle.spoiled, bottle.bought, bottle.left) == (15, 85, 100, 900)
    assert f"{bottle.opened:%d %H:%M}" == "05 19:00"
    gone = history(copper_room(), "2027-03-05T19:00 spoiled copper bottle", "2027-03-09T08:00")
    assert gone.bottles["copper bottle"].left == 0


def test_the_last_word_on_a_task_holds() -> None:
    lines = """
        2027-03-05T19:00 skipped first/transfers/dry/1 because it stays wet
        2027-03-06T19:00 done first/transfers/dry/1
    """
    found = history(one_of_each(), lines, "2027-03-07T08:00")
    assert found.tasks["first/transfers/dry/1"].what == "done"


def test_looks_are_kept_by_who_was_looked_at() -> None:
    lines = """
        2027-03-06T07:10 done first/transfers/look/0/2027-03-06
        2027-03-06T07:15 done reef/look/2027-03-06
        2027-03-06T07:20 done first/transfers/feed/1/2027-03-06
    """
    looks = history(one_of_each(), lines, "2027-03-07T08:00").looks
    assert {name: len(found) for name, found in looks.items()} == {"first": 1, "reef": 1}


def test_names_the_room_does_not_have_are_left_out() -> None:
    room = one_of_each()
    found = history(room, "2027-03-05T19:00 arrived first in tub a", "2027-03-06T08:00")
    fewer = one_of_each(tanks={name: keys for name, keys in tanks().items() if name != "tub a"})
    kept = type(found)
    assert kept is History
    other = history_of(fewer, found)
    assert other.visits == {}
    assert not other.is_empty


def history_of(room, found: History) -> History:  # type: ignore[no-untyped-def]
    from pratique.history.fold import fold

    return fold(room, found.log, found.at)


@pytest.mark.parametrize("kind", ["reading ward copper 2.1 mg/L", "sign ward dust", "gear red set in ward", "fed ward"])
def test_events_lie_under_their_water(kind: str) -> None:
    found = history(copper_room(), f"2027-03-06T08:00 {kind}", "2027-03-07T08:00")
    record = found.of_water("ward")
    assert sum(map(len, (record.readings, record.signs, record.gear, record.feedings))) == 1
    assert found.of_water("reef") == type(record)()


def test_stays_cover_what_they_should() -> None:
    lines = """
        2027-03-05T19:00 arrived first in tub a
        2027-03-08T08:00 move first to tub b
    """
    found = history(one_of_each(), lines, "2027-03-09T08:00")
    tangs = [stay for stay in found.stays if stay.animal == "yellow tang"]
    came, moved = moment("2027-03-05T19:00"), moment("2027-03-08T08:00")
    assert tangs == [
        Stay(animal="yellow tang", batch="first", tank="tub a", count=1, start=came, end=moved),
        Stay(animal="yellow tang", batch="first", tank="tub b", count=1, start=moved),
    ]
    assert [name for name, _ in found.presence["tub a"]] == ["first"]
