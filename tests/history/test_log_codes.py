"""Every code that only a log can bring about: with its severity, a place and a way out."""

from __future__ import annotations

import pytest

from history.kept import batch, build, copper_room, first, one_of_each
from pratique.knowledge import store
from pratique.room.resolve import Room

CAME = "2027-03-05T19:00 arrived first in tub a\n"

CASES: dict[str, tuple[Room, str, str]] = {
    "S521": (one_of_each(), "2027-03-01T08:00 note the log begins", "2027-03-06T08:00"),
    "S522": (one_of_each(), CAME, "2027-03-09T08:00"),
    "S523": (
        build(batches={"first": batch(regimen="transfers-anthelmintic")}),
        "2027-03-05T19:00 arrived first in ward",
        "2027-03-06T08:00",
    ),
    "S524": (
        build(batches={"first": batch(regimen="without-copper")}),
        """
        2027-03-05T19:00 arrived first in ward
        2027-03-06T19:00 dose ward praziquantel-bath 0.126 g of fluke powder
        2027-03-08T19:00 dose ward praziquantel-bath 0.126 g of fluke powder
        """,
        "2027-03-09T08:00",
    ),
    "S525": (one_of_each(), CAME + "2027-03-07T19:00 move first to ward", "2027-03-08T08:00"),
    "S526": (one_of_each(), CAME + "2027-03-06T09:00 move yellow tang to ward", "2027-03-06T10:00"),
    "S527": (
        copper_room(),
        "2027-03-05T19:00 arrived first in ward\n2027-03-06T09:00 reading ward copper 3.4 mg/L",
        "2027-03-06T10:00",
    ),
    "S528": (one_of_each(), "2027-03-05T19:00 arrived first in reef", "2027-03-06T10:00"),
    "S538": (
        copper_room(),
        """
        2027-03-05T19:00 arrived first in ward
        2027-03-05T19:10 dose ward 12 mL of copper bottle
        2027-03-06T19:00 dose ward praziquantel-bath 0.126 g of fluke powder
        """,
        "2027-03-06T20:00",
    ),
}


@pytest.mark.parametrize("code", CASES)
def test_the_code_is_given_with_a_place_and_a_hint(code: str) -> None:
    found = [problem for problem in first(*CASES[code]).problems if problem.code == code]
    assert found
    for problem in found:
        assert problem.hint
        assert problem.place is not None
        assert problem.message[0].islower() or problem.message[0] in "`0123456789"
        assert not problem.message.endswith(".")
        assert problem.severity == store.codes()[code].severity


@pytest.mark.parametrize("code", CASES)
def test_a_batch_that_is_looked_after_as_it_should_be_has_none_of_them(code: str) -> None:
    found = first(one_of_each(), CAME, "2027-03-06T08:00")
    assert code not in [problem.code for problem in found.problems]
