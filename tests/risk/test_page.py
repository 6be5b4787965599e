"""The figures of docs/explanation/risk.md, made anew: `--golden` rewrites the tables between their marks."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from pratique.risk.course import Course, series
from pratique.risk.draws import Array, Draws, draws_of
from pratique.risk.fallow import Warmth, chance_left
from pratique.risk.kernels import later_than
from pratique.risk.regimens import side_by_side
from pratique.risk.survival import chance
from pratique.sheets.risk_parts import span
from risk_plans import pulses

PAGE = Path(__file__).parents[2] / "docs/explanation/risk.md"
STRAINS = draws_of("cryptocaryon")
BY_STRAIN = tuple(draws.strain.id for draws in STRAINS)


def cell(values: Array) -> str:
    low, high = np.percentile(values, (5, 95))
    return span(float(low), float(high))


def row(what: str, of: Callable[[Draws], Array], *more: str) -> str:
    return f"| {' | '.join([what, *more, *(cell(of(draws)) for draws in STRAINS)])} |"


def head(*names: str) -> list[str]:
    columns = [*names, *BY_STRAIN]
    return [f"| {' | '.join(columns)} |", f"|{' --- |' * len(columns)}"]


def questions() -> str:
    lines = head("plan")
    for what, course in side_by_side(26.0):
        lines.append(row(what, lambda draws, c=course: chance(draws, c)))  # type: ignore[misc]
        if course.held:
            leaky = replace(course, leak=0.01)
            lines.append(row("the same, if one in 100 got past", lambda draws, c=leaky: chance(draws, c)))  # type: ignore[misc]
    late = series([(hours, "transfers") for hours in (72.0, 84.0, 72.0, 72.0, 720.0)], 26.0)
    lines.append(row("4 transfers, the second 12 h late", lambda draws: chance(draws, Course(spans=late))))
    for days, degrees in ((45.0, 27.0), (76.0, 25.0)):
        warmth = (Warmth(since=0.0, low=degrees, high=degrees),)
        what = f"{days:g} days without fish at {degrees:g} degC"
        lines.append(row(what, lambda draws, w=warmth, d=days: chance_left(draws, w, d * 24)))  # type: ignore[misc]
    return "\n".join(lines)


def _cleared(draws: Draws, moves: int, hours: float, degrees: float) -> Array:
    spans = series([(hours, "transfers")] * moves + [(14 * 24.0, "observation")], degrees)
    return 1 - chance(draws, Course(spans=spans))


def _released(draws: Draws, degrees: float, days: float) -> Array:
    return 1 - later_than(draws.release, np.full(draws.count, degrees), np.array([days * 24]))[:, 0]


def _pulsed(draws: Draws) -> Array:
    spans = series([(30 * 24.0, "observation")], 25.0)
    return 1 - chance(draws, Course(spans=spans, low=pulses(spans[0].start)))


def calibration() -> str:
    lines = head("experiment", "published")
    for source, moves, hours, degrees in (
        ("COL85", 4, 72.0, 22.0), ("COL85", 4, 72.0, 25.0), ("COL85", 4, 72.0, 28.0), ("AQ18", 4, 96.0, 18.0),
        ("AQ18", 4, 96.0, 20.0), ("AQ18", 3, 48.0, 22.0), ("AQ18", 3, 72.0, 22.0), ("AQ18", 3, 48.0, 27.0),
        ("AQ18", 3, 72.0, 27.0), ("AQ18", 2, 48.0, 27.0), ("AQ18", 2, 72.0, 32.0),
    ):  # fmt: skip
        what = f"{source}: cleared by {moves} moves, {hours:g} h apart, {degrees:g} degC"
        lines.append(row(what, lambda d, m=moves, h=hours, t=degrees: _cleared(d, m, h, t), "cleared"))  # type: ignore[misc]
    lines.append(row("COL85: cleared by 3 h at 10 g/kg, four times", _pulsed, "cleared"))
    for source, degrees, days, read in (
        ("PV16B", 27.0, 2.5, "all (fitted: PV16B)"), ("COL85", 25.0, 28.0, "all (fitted: COL85)"),
        ("LC-T", 15.0, 14.0, "none"), ("CHE79", 37.0, 14.0, "none"), ("CHE79", 30.0, 5.0, "50 % (fitted: CHE79)"),
        ("CHE79", 30.0, 7.0, "100 % (fitted: CHE79)"), ("CHE79", 25.0, 8.0, "60 % (fitted: CHE79)"),
        ("CHE79", 25.0, 9.0, "70 % (fitted: CHE79)"), ("CHE79", 20.0, 9.0, "10 % (fitted: CHE79)"),
        ("CHE79", 20.0, 10.0, "40 % (fitted: CHE79)"),
    ):  # fmt: skip
        what = f"{source}: cysts opened by day {days:g}, {degrees:g} degC"
        lines.append(row(what, lambda d, t=degrees, n=days: _released(d, t, n), read))  # type: ignore[misc]
    return "\n".join(lines)


def velvet() -> str:
    """The median cycle: no outcome but these was published with a length for velvet."""
    sets = draws_of("amyloodinium")
    published = (("BER22", "under 7 d, good conditions (fitted: BER22)"), ("VT600", "7 to 20 d, by temperature"))
    columns = ["source", "published", *(f"set {draws.strain.id}" for draws in sets)]
    lines = [f"| {' | '.join(columns)} |", f"|{' --- |' * len(columns)}"]
    for source, read in published:
        cycles = (np.percentile(cycle(draws, 26.0), (5, 95)) for draws in sets)
        lines.append(f"| {' | '.join([source, read, *(f'{low:.1f} to {high:.1f}' for low, high in cycles)])} |")
    return "\n".join(lines)


def cycle(draws: Draws, degrees: float) -> Array:
    """By draw, the median stay on the fish and the median time of a cyst together (d)."""
    at = np.full(draws.count, degrees)
    found: Array = (np.exp(draws.stay.at(at)) + np.exp(draws.release.at(at))) / 24
    return found


def test_the_slow_set_of_velvet_has_the_cycle_that_vt600_gives() -> None:
    """VT600: 7 to 20 d. Its stay is common practice and its division from memory: the sum was not fitted."""
    fast, slow = (cycle(draws, 26.0) for draws in draws_of("amyloodinium"))
    assert 7 < slow.min() <= slow.max() < 20
    assert fast.max() < 7


def test_the_tables_of_the_page_are_what_the_model_says(golden: Callable[[Path, str], None]) -> None:
    text = PAGE.read_text("utf-8")
    for name, made in (("questions", questions()), ("calibration", calibration()), ("velvet", velvet())):
        text, found = re.subn(rf"(<!-- {name} -->\n).*?(<!-- end -->)", rf"\g<1>{made}\n\g<2>", text, flags=re.S)
        assert found == 1
    golden(PAGE, text)
