"""Made-up courses for the two engines of the risk model, from whole hours so that the grid of the first is exact."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import strategies as st

from pratique.risk.course import Course, Low, Span, series
from pratique.risk.draws import Draws, draws_of

STRAINS = {draws.strain.id: draws for id_ in ("cryptocaryon", "amyloodinium") for draws in draws_of(id_, 12)}
VELVET = {draws.strain.id for draws in draws_of("amyloodinium", 12)}


def few(draws: Draws, reach: float, burden: float) -> Draws:
    """The same with so few parasites that no history of the simulation has to be cut."""
    return replace(draws, reach=np.minimum(draws.reach, reach), burden=np.full(draws.count, burden))


def pulses(start: float) -> tuple[Low, ...]:
    """Those of COL85: 10 g/kg for 3 h, four times, 3 d apart; the first after one interval."""
    return tuple(Low(start=start + at, end=start + at + 3, salinity=10.0) for at in (72.0, 144.0, 216.0, 288.0))


@st.composite
def drawn_strains(draw: st.DrawFn) -> Draws:
    strain = draw(st.sampled_from(sorted(STRAINS)))
    return few(STRAINS[strain], draw(st.sampled_from([2.0, 5.0, 12.0])), float(draw(st.sampled_from([1, 2, 5]))))


@st.composite
def courses(draw: st.DrawFn) -> Course:
    """One to six stays, perhaps back in a tank that was not dry, with copper and low salinity for some hours."""
    many = draw(st.integers(1, 6))
    longest = 400 if many < 3 else 150
    lengths = [(float(draw(st.integers(20, longest))), "transfers") for _ in range(many)]
    spans: tuple[Span, ...] = series(lengths, float(draw(st.integers(24, 28))), start=float(draw(st.integers(0, 23))))
    if many > 2 and draw(st.booleans()):
        spans = tuple(replace(span, pool=0) if index == 2 else span for index, span in enumerate(spans))
    first, last = int(spans[0].start), int(spans[-1].end)
    held: tuple[tuple[float, float], ...] = ()
    low: tuple[Low, ...] = ()
    if draw(st.booleans()):
        start = draw(st.integers(first, last - 1))
        held = ((float(start), float(min(start + draw(st.integers(10, 300)), last))),)
    if draw(st.booleans()):
        start = draw(st.integers(first, last - 4))
        low = (Low(start=float(start), end=float(start + 3), salinity=10.0),)
    light, leak = float(draw(st.sampled_from([6, 8]))), draw(st.sampled_from([0.0, 0.0, 0.2]))
    return Course(spans=spans, held=held, low=low, light=light, leak=leak)
