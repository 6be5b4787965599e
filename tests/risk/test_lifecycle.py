"""The life cycles against the pages of the pathogens: the same figures, and no code raised."""

from __future__ import annotations

import pytest

from pratique.knowledge import store
from pratique.knowledge.model import Sourced

RANK = "VQCMD"
SAME = {
    ("cryptocaryon", "COL85", "on_fish"): "trophont_stay",
    ("cryptocaryon", "PV16B", "on_fish"): "trophont_stay",
    ("amyloodinium", "VT600", "on_fish"): "trophont_stay",
    ("amyloodinium", "BER22", "release"): "tomont_division",
    ("cryptocaryon", "", "rhythm_leave"): "detach_before_light",
    ("cryptocaryon", "", "rhythm_release"): "theronts_before_light",
    ("cryptocaryon", "", "free_life"): "theront_life",
    ("cryptocaryon", "", "free_infective"): "theront_infective",
    ("cryptocaryon", "", "free_count"): "tomites_count",
    ("cryptocaryon", "", "kill_cyst_drying"): "kill_cyst_drying",
    ("cryptocaryon", "PV16B", "release"): "earliest_release",
}


@pytest.mark.parametrize(("where", "name"), SAME.items(), ids=str)
def test_a_figure_is_that_of_the_pathogen(where: tuple[str, str, str], name: str) -> None:
    pathogen, strain, number = where
    cycle = store.life_cycles()[pathogen]
    holder = next((s for s in cycle.strains if s.id == strain), cycle)
    ours = holder.needed(number)
    known = [n for n in store.pathogen(pathogen).numbers[name] if (n.source, n.low, n.high) == _key(ours)]
    assert known, f"{ours} is not among the figures of {pathogen}.{name}"
    assert known[0].confidence == ours.confidence


def _key(number: Sourced) -> tuple[str, float, float]:
    return number.source, number.low, number.high


def test_che79s_points_are_those_of_half_released() -> None:
    """The pathogen's page has the medians read off the same points."""
    points = {(p.temperature, p.share): p.after for p in store.life_cycles()["cryptocaryon"].strains[2].points}
    half = next(n for n in store.pathogen("cryptocaryon").numbers["half_released"] if n.from_ == 30)
    assert points[30.0, 0.5] == half.value
    assert points[30.0, 1.0] == store.pathogen("cryptocaryon").needed("all_released_30").value


@pytest.mark.parametrize("pathogen", ["cryptocaryon", "amyloodinium"])
def test_what_nobody_has_measured_is_marked_as_derived_and_says_what_it_is(pathogen: str) -> None:
    assumed = store.life_cycles()[pathogen].assumed
    assert assumed is not None
    for ranked in assumed.numbers.values():
        for number in ranked:
            assert number.confidence == "D"
            assert number.low < number.high


def test_every_model_has_limits_and_every_other_a_reason() -> None:
    for cycle in store.life_cycles().values():
        assert bool(cycle.strains) == bool(cycle.limits) == (not cycle.no_model)
