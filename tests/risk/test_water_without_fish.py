"""Water without fish: the sum against drawn cysts, and against what the sources say outright."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.risk.chances import limits_of
from pratique.risk.draws import Draws, draws_of
from pratique.risk.fallow import Warmth, chance_left
from pratique.risk.kernels import EARLIEST_RELEASE
from risk_plans import STRAINS, VELVET

HISTORIES = 4000


@st.composite
def warmths(draw: st.DrawFn) -> tuple[Warmth, ...]:
    """Up to four stretches of a water, some of them too cold for a cyst to go on."""
    since = [0.0, *sorted(draw(st.lists(st.floats(5, 900), max_size=3)))]
    found = []
    for hour in since:
        low = draw(st.floats(15, 30))
        found.append(Warmth(since=hour, low=low, high=low + draw(st.floats(0, 1.5))))
    last = replace(found[-1], low=max(found[-1].low, 24.5), high=max(found[-1].high, 24.5))
    return (*found[:-1], last)


def drawn_left(draws: Draws, warmth: tuple[Warmth, ...], hours: float) -> float:
    """The same by drawing every cyst: the share of histories in which one, or what came out of it, lives."""
    generator = np.random.default_rng(5)
    of = np.arange(HISTORIES) % draws.count
    many = np.floor(draws.cysts[of] + generator.random(HISTORIES)).astype(int)
    who = np.repeat(np.arange(HISTORIES), many)
    draw = of[who]
    need = np.exp(draws.release.log_hours[draw] + draws.release.spread[draw] * generator.standard_normal(len(who)))
    opens = np.zeros(len(who))
    coldest = limits_of("amyloodinium" if draws.strain.id in VELVET else "cryptocaryon").low
    ends = [*(w.since for w in warmth[1:]), math.inf]
    for stretch, end in zip(warmth, ends, strict=True):
        degrees = (stretch.low + stretch.high) / 2 + draws.warmer[draw] * (stretch.high - stretch.low) / 2
        speed = np.exp(draws.release.slope[draw] * (degrees - draws.release.read_at[draw]))
        speed = np.where(degrees >= coldest - 1e-9, speed, 0.0)
        span = end - stretch.since
        done = need <= speed * span
        done &= speed > 0
        lasts = np.where(done, need / np.maximum(speed, 1e-12), span)
        opens = np.where(need > 0, opens + lasts, opens)
        need = np.where(done, 0.0, need - (0.0 if math.isinf(span) else speed * span))
    dies = np.maximum(opens, EARLIEST_RELEASE) + draws.life[draw]
    return len(set(who[dies > hours])) / HISTORIES


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.sampled_from(sorted(STRAINS)), warmths(), st.floats(24, 2400))
def test_the_sum_agrees_with_drawn_cysts(strain: str, warmth: tuple[Warmth, ...], hours: float) -> None:
    draws = replace(STRAINS[strain], cysts=np.minimum(STRAINS[strain].cysts, 40.0).round())
    summed = float(chance_left(draws, warmth, hours).mean())
    drawn = drawn_left(draws, warmth, hours)
    error = math.sqrt(max(summed * (1 - summed), 1 / HISTORIES) / HISTORIES)
    assert abs(summed - drawn) <= 5 * error


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.sampled_from(sorted(STRAINS)), warmths(), st.floats(24, 2000), st.floats(1, 400))
def test_longer_and_fewer_cysts_never_raise_it(
    strain: str, warmth: tuple[Warmth, ...], hours: float, more: float
) -> None:
    draws = STRAINS[strain]
    now = chance_left(draws, warmth, hours)
    assert (chance_left(draws, warmth, hours + more) <= now + 1e-12).all()
    assert (chance_left(replace(draws, cysts=draws.cysts / 2), warmth, hours) <= now + 1e-12).all()


@pytest.mark.parametrize("days", [30.0, 76.0])
def test_cold_water_brings_nothing_to_an_end(days: float) -> None:
    """PV16A: cysts live 4 to 5 months at 12 degC; here they stand still, so nothing is lower after 76 days of it."""
    for draws in draws_of("cryptocaryon"):
        assert (chance_left(draws, (Warmth(since=0.0, low=12.0, high=12.0),), days * 24) > 0.999).all()


def test_a_fortnight_at_30_degrees_is_not_enough_for_every_strain() -> None:
    """Agents 16 calls 14 d at 30 degC not safe: one strain. CHE79's own set is over by then, COL85's is not."""
    warmth = (Warmth(since=0.0, low=30.0, high=30.0),)
    found = {draws.strain.id: chance_left(draws, warmth, 14 * 24.0) for draws in draws_of("cryptocaryon")}
    assert np.percentile(found["CHE79"], 95) < 0.01
    assert np.median(found["COL85"]) > 0.5


def test_col85_needs_more_than_its_28_days() -> None:
    """COL85 saw the last release on day 28: on that day, at its temperature, something may still come."""
    draws = next(d for d in draws_of("cryptocaryon") if d.strain.id == "COL85")
    warmth = (Warmth(since=0.0, low=25.0, high=25.0),)
    assert np.median(chance_left(draws, warmth, 28 * 24.0)) > 0.05
    assert np.percentile(chance_left(draws, warmth, 76 * 24.0), 95) < 0.01


@pytest.mark.parametrize("strain", sorted(VELVET))
def test_the_custom_for_velvet_outlasts_what_is_known_of_it(strain: str) -> None:
    """42 d is custom; 4 d of division (from memory) and 30 d of a dinospore (custom) end before it."""
    draws = next(d for d in draws_of("amyloodinium") if d.strain.id == strain)
    warmth = (Warmth(since=0.0, low=26.0, high=26.0),)
    assert np.percentile(chance_left(draws, warmth, 42 * 24.0), 95) < 0.01
