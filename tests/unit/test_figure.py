"""Figures keep their ends in order; printed digits are as many as a tool can show."""

from __future__ import annotations

import pytest

from pratique.figure import Figure, digits


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"),
        (0.0, "0"),
        (1e-12, "0"),
        (1e-9, "0.00000000100"),
        (0.0001751, "0.000175"),
        (0.0583333, "0.0583"),
        (0.09999, "0.100"),
        (0.175, "0.175"),
        (0.9999, "1.00"),
        (2.0, "2.00"),
        (9.996, "10.0"),
        (12.449, "12.4"),
        (99.96, "100"),
        (620.0, "620"),
        (999.7, "1000"),
        (1514.16, "1514"),
        (123456.7, "123457"),
        (-12.449, "-12.4"),
    ],
)
def test_digits(value: float, text: str) -> None:
    assert digits(value) == text


def test_a_figure_around_ends_in_any_order() -> None:
    assert Figure.around(2.0, "L", 3.0, 1.0) == Figure(value=2.0, unit="L", low=1.0, high=3.0)
    assert Figure.around(2.0, "L", 3.0) == Figure(value=2.0, unit="L", low=2.0, high=3.0)
    assert Figure.around(2.0, "L").is_exact


def test_times_and_plus_keep_the_ends() -> None:
    figure = Figure(value=2.0, unit="L", low=1.0, high=4.0)
    assert figure.times(3.0, "mL") == Figure(value=6.0, unit="mL", low=3.0, high=12.0)
    assert figure.plus(figure) == figure.times(2.0)
