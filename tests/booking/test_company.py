"""Who comes along with a wish, who stays behind and why; and why a tank that would do for the medicine will not do."""

from __future__ import annotations

from typing import Any

import pytest

from booking.test_wish_codes import AT, wish
from pratique.booking.book import Answer, book
from schedule_rooms import Entry, batch, build, room_data, tank


def asked(wanted: Entry, **sections: Any) -> Answer:
    """The answer for one wish in a room of one ward and one observation tank."""
    rooms = {"reef": tank("display", cycled="yes"), "ward": tank("ward"), "long": tank("observation")}
    data = {"tanks": rooms, "batches": {}, "wishes": {"x": {"regimen": "copper-hold", **wanted}}, **sections}
    return book(build(**room_data(**data)), None, AT)[0]


BITES = "royal gramma and yellow tang are kept apart (it bites)"


@pytest.mark.parametrize(
    ("companion", "apart", "behind"),
    [
        ("royal gramma", [], ""),
        ("royal gramma", [{"between": ["yellow tang", "royal gramma"], "because": "it bites"}], BITES),
        ("royal gramma", [{"between": ["surgeonfish", "royal gramma"], "because": "it bites"}], BITES),
        ("royal gramma", [{"between": ["royal gramma", "yellow tang"], "because": "it bites"}], BITES),
        ("royal gramma", [{"between": ["royal gramma", "cleaner shrimp"], "because": "it bites"}], ""),
        ("cleaner shrimp", [], "cleaner shrimp and yellow tang: fish and animals without a backbone"),
    ],
)
def test_a_companion_comes_along_unless_it_is_kept_apart(companion: str, apart: list[Entry], behind: str) -> None:
    answer = asked(wish("yellow tang", companion=[{"species": companion}]), apart=apart)
    (booked,) = answer.booked
    there = [animal.label for animal in booked.batch.animals]
    assert (booked.left_behind, there) == (behind, ["yellow tang"] if behind else ["yellow tang", companion])


@pytest.mark.parametrize(
    ("count", "between", "is_broken"),
    [
        (1, ["royal gramma", "yellow tang"], True),
        (1, ["yellow tang", "yellow tang"], False),
        (2, ["yellow tang", "yellow tang"], True),
    ],
)
def test_animals_of_one_wish_that_are_kept_apart_are_two_wishes(
    count: int, between: list[str], is_broken: bool
) -> None:
    wanted = wish("yellow tang", "royal gramma")
    wanted["animals"][0]["count"] = count
    answer = asked(wanted, apart=[{"between": between}])
    assert [entry.problem.code for entry in answer.broken if entry.problem] == (["S533"] if is_broken else [])


@pytest.mark.parametrize(
    ("wanted", "ward", "why"),
    [
        (wish("sixline wrasse"), {"lid": "no"}, "`ward` has no lid, and sixline wrasse jumps"),
        (wish("yellow tang"), {"lid": "no"}, ""),
        (wish("yellow tang", least="61 L"), {}, "`ward` is smaller than 61 L"),
        (wish("yellow tang", least="60 L"), {}, ""),
        (wish("yellow tang", living_filter="yes"), {}, "`ward` has no living filter"),
        (wish("yellow tang", living_filter="yes"), {"cycled": "yes"}, ""),
    ],
)
def test_a_tank_that_will_not_do_says_why(wanted: Entry, ward: Entry, why: str) -> None:
    rooms = {"reef": tank("display", cycled="yes"), "ward": tank("ward", **ward), "long": tank("observation")}
    answer = asked(wanted, tanks=rooms)
    if not why:
        assert [booked.stays[0].tanks for booked in answer.booked] == [("ward",)]
        return
    (broken,) = answer.broken
    assert broken.problem is not None
    assert (broken.problem.code, broken.problem.note) == ("S535", why)


def test_nothing_without_a_backbone_goes_where_copper_is_to_go() -> None:
    """The batch of March gets copper in the ward; a shrimp that wants the ward after it is told so."""
    rooms = {"reef": tank("display", cycled="yes"), "ward": tank("ward")}
    coppered = batch("2027-03-05T18:30", "untrusted", "yellow tang", regimen="copper-hold")
    wanted = wish("cleaner shrimp", regimen="fishless-hold", earliest="2027-09-02T18:30", latest="2027-09-06")
    without = asked(wanted, tanks=rooms)
    assert [booked.stays[0].tanks for booked in without.booked] == [("ward",)]
    (broken,) = asked(wanted, tanks=rooms, batches={"first": coppered}).broken
    assert broken.problem is not None
    assert broken.problem.note == "`ward` has had copper, which harms animals without a backbone"
