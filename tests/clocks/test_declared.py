"""Walks the declared clocks: who says so, that every subject exists, and that the rules are made of them."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from pratique.clocks.moments import in_zone
from pratique.clocks.rules import fallow_rule, hold_rule, transfer_rule, watch_rule
from pratique.clocks.watch import LOOKED
from pratique.knowledge import store
from pratique.knowledge.clockrule import ClockChoice, ClockRule
from pratique.knowledge.model import Sourced, Statement

CLOCKS = list(store.clocks().values())
OWN = {"COMMON": "CD", "MEMORY": "M", "DERIVED": "D"}


def statements(rule: ClockRule) -> Iterator[Statement]:
    for group in (rule.starts, rule.counts, rule.ends, rule.slack, rule.events, rule.choices):
        yield from group


def numbers(rule: ClockRule) -> Iterator[Sourced]:
    for found in (rule.numbers, *rule.by.values()):
        for ranked in found.values():
            yield from ranked


def test_the_four_clocks_are_on_file() -> None:
    assert list(store.clocks()) == ["hold", "transfers", "watch", "fallow"]


@pytest.mark.parametrize("rule", CLOCKS, ids=lambda rule: rule.id)
def test_everything_has_a_source_and_a_confidence_that_fits_it(rule: ClockRule) -> None:
    for said in (*statements(rule), *numbers(rule)):
        assert said.source in store.sources()
        assert said.where
        assert said.confidence in OWN.get(said.source, "VQMD")


@pytest.mark.parametrize("rule", CLOCKS, ids=lambda rule: rule.id)
def test_a_clock_says_what_starts_counts_ends_and_breaks_it(rule: ClockRule) -> None:
    assert rule.starts
    assert rule.counts
    assert rule.ends
    assert rule.slack
    effects = set(rule.effects().values())
    assert "counts" in effects or rule.id == "fallow"
    assert effects & {"restarts", "choice"}
    assert len({event.id for event in rule.events}) == len(rule.events)


def test_no_source_gives_how_long_a_reading_carries_so_each_says_it_is_derived() -> None:
    """practice D5: no source gives a tolerance for copper."""
    assert {number.confidence for found in store.clocks()["hold"].by.values() for number in found["gap"]} == {"D"}


def test_every_subject_is_on_file() -> None:
    assert set(store.clocks()["hold"].by) <= set(store.treatment_ids())
    assert set(store.clocks()["fallow"].by) <= set(store.pathogen_ids())
    assert {one for event in store.clocks()["fallow"].events for one in event.only} <= set(store.pathogen_ids())


def test_the_defaults_of_the_file_are_the_defaults_of_the_rules() -> None:
    hold = hold_rule(store.treatment("copper-chelated"))
    series = transfer_rule(store.treatment("tank-transfer"), [25.0])
    assert hold is not None
    assert series is not None
    declared = store.clocks()
    assert hold.start == declared["hold"].choice("start").default
    assert hold.below == declared["hold"].choice("below").default
    assert series.late == declared["transfers"].choice("grace").default
    assert set(LOOKED) <= set(watch_rule(store.treatment("observation")).effects)


def test_cold_stops_velvet_by_the_figure_of_its_own_record() -> None:
    rule = fallow_rule(store.pathogen("amyloodinium"))
    assert rule.warmth.coldest == store.pathogen("amyloodinium").needed("active_temperature").value == 24
    assert fallow_rule(store.pathogen("cryptocaryon")).warmth.coldest == 18


def test_a_keepers_own_course_holds_here_too() -> None:
    treatment = store.treatment("copper-chelated")
    own = treatment.numbers["course"][0].model_copy(update={"value": 21 * 24.0, "low": 504.0, "high": 504.0})
    rule = hold_rule(treatment.model_copy(update={"numbers": {**treatment.numbers, "course": (own,)}}))
    assert rule is not None
    assert rule.needed == 21 * 24


def test_what_is_not_declared_is_refused() -> None:
    rule = store.clocks()["hold"]
    with pytest.raises(KeyError):
        rule.choice("weather")
    assert rule.limit("praziquantel-bath", "gap") is None
    said = {"id": "a", "options": ["b"], "text": "t", "source": "COMMON", "where": "w", "confidence": "C"}
    with pytest.raises(ValueError, match="not among"):
        ClockChoice.model_validate({**said, "default": "c"})


def test_what_is_no_moment_stays_as_it_is() -> None:
    assert in_zone(("a", 1, None), None) == ("a", 1, None)
