"""Quantities are read as meant, or refused by an error that knows the mistake."""

from __future__ import annotations

import doctest
import re

import pytest

from pratique import problem, quantity, spellings
from pratique.quantity import (
    CANONICAL,
    MISTAKES,
    SPELLINGS,
    Measure,
    QuantityError,
    from_canonical,
    parse_measure,
    parse_number,
    to_canonical,
)
from pratique.spellings import SPOKEN

READ = [
    ("62 L", "volume", 62),
    ("62L", "volume", 62),
    ("  62   L ", "volume", 62),
    ("62\u00a0L", "volume", 62),
    ("+62 L", "volume", 62),
    ("-20 L", "volume", -20),  # whether a volume may be negative is the caller's matter
    ("0 L", "volume", 0),
    ("0.5 mL", "volume", 0.0005),
    ("1 m3", "volume", 1000),
    ("1 ft3", "volume", 28.316846592),
    ("40 gal_us", "volume", 151.41647136),
    ("40 gal_imp", "volume", 181.8436),
    ("1 fl_oz_us", "volume", 0.0295735295625),
    ("1 fl_oz_imp", "volume", 0.0284130625),
    ("12 in", "length", 30.48),
    ("1 ft", "length", 30.48),
    ("1 lb", "mass", 453.59237),
    ("1 oz", "mass", 28.349523125),
    ("25 degC", "temperature", 25),
    ("77 degF", "temperature", 25),
    ("25 °C", "temperature", 25),
    ("25℃", "temperature", 25),
    ("77 °F", "temperature", 25),
    ("-40 degF", "temperature", -40),
    ("3 d", "duration", 72),
    ("1 wk", "duration", 168),
    ("90 min", "duration", 1.5),
    ("0.15 mg/L", "level", 0.15),
    ("150 ug/L", "level", 0.15),
    ("1 g/m3", "level", 1),
    ("2 mg/gal_us", "level", 0.5283441047),
    ("25 uL/L", "parts", 25),
    ("25 mL/m3", "parts", 25),
    ("35 g/kg", "salinity", 35),
    ("60 %", "fraction", 60),
    ("8.1", "ph", 8.1),
    ("8.1 pH", "ph", 8.1),
    ("3", "count", 3),
    ("3 count", "count", 3),
]

REFUSED = [
    ("8:30", "volume", "time", "such as `10 L`"),
    ("12:30:00", "duration", "time", "such as `10 h`"),
    ("0123 L", "volume", "leading-zero", "`123 L`"),
    ("-007.5 L", "volume", "leading-zero", "`-7.5 L`"),
    ("00 L", "volume", "leading-zero", "`0 L`"),
    ("1e3 L", "volume", "exponent", "write `1000 L`"),
    ("1E-3 L", "volume", "exponent", "write `0.001 L`"),
    ("1e999 L", "volume", "exponent", "`1000` for `1e3`"),
    ("nan L", "volume", "not-finite", "measured"),
    ("NaN", "count", "not-finite", "measured"),
    ("inf L", "volume", "not-finite", "measured"),
    ("-Infinity L", "volume", "not-finite", "measured"),
    (".nan L", "volume", "not-finite", "measured"),
    ("1,5 L", "volume", "comma", "write `1.5 L`"),
    ("1,500 L", "volume", "comma", "`1500 L` or `1.500 L`"),
    ("1,500.5 L", "volume", "comma", "`1500.5 L`"),
    ("1.500,5 L", "volume", "comma", "`1500.5 L`"),
    ("1_500 L", "volume", "comma", "`1500 L`"),
    ("1 500 L", "volume", "comma", "`1500 L`"),
    ("1'500 L", "volume", "comma", "`1500 L`"),
    (".5 L", "volume", "number", "`0.5 L`"),
    ("-.5 L", "volume", "number", "`-0.5 L`"),
    ("1.2.3 L", "volume", "number", "`12.5`"),
    ("about 60 L", "volume", "number", "such as `10 L`"),
    ("−20 L", "volume", "number", "`-20 L`"),
    ("3O cm", "length", "number", "write `30 cm`"),
    ("1o0.O L", "volume", "number", "write `100.0 L`"),
    ("", "volume", "number", "such as `10 L`"),
    ("L", "volume", "number", "such as `10 L`"),
    ("6" * 100 + " L", "volume", "number", "such as `10 L`"),
    ("½ L", "volume", "number", "such as `10 L`"),
    ("٣ L", "volume", "number", "such as `10 L`"),  # a digit, but not one of ours
    ("62", "volume", "no-unit", "`62 L`"),
    ("25", "temperature", "no-unit", "`25 degC` or `25 degF`"),
    ("62 buckets", "volume", "unknown-unit", "`gal_us`"),
    ("62 GAL_US", "volume", "unknown-unit", "write `gal_us`"),
    ("62 kL", "volume", "unknown-unit", "`m3`"),  # no prefixes but those on the list
    ("25 C", "temperature", "unit-mistake", "`degC`"),
    ("77 F", "temperature", "unit-mistake", "`degF`"),
    ("25 ºC", "temperature", "unit-mistake", "`degC`"),
    ("25 º", "temperature", "unit-mistake", "`degC`"),
    ("1 ppt", "salinity", "unit-mistake", "`g/kg`"),
    ("35 ‰", "salinity", "unit-mistake", "`g/kg`"),
    ("35 psu", "salinity", "unit-mistake", "`g/kg`"),
    ("10 Mg/L", "level", "unit-mistake", "mega"),
    ("10 mg/l", "level", "unit-mistake", "`mg/L`"),
    ("3 ppm", "level", "unit-mistake", "of what"),
    ("3 ppm", "parts", "unit-mistake", "of what"),
    ("2 mg/gal", "level", "unit-mistake", "which gallon"),
    ("1 gal", "volume", "unit-mistake", "which gallon"),
    ("1 fl oz", "volume", "unit-mistake", "which"),
    ("62 l", "volume", "unit-mistake", "`L`"),
    ("5 µL/L", "parts", "unit-mistake", "`uL/L`"),  # U+00B5
    ("5 \u03bcL/L", "parts", "unit-mistake", "`uL/L`"),
    ("5 µg/L", "level", "unit-mistake", "`ug/L`"),
    ("2 tsp", "volume", "unit-mistake", "weigh powders"),
    ("5 drops", "volume", "unit-mistake", "dropper"),
    ("3 days", "duration", "unit-mistake", "`d`"),
    ("3 m", "duration", "unit-mistake", "`min`"),
    ("20 kg", "volume", "dimension", "`L`"),
    ("25 °C", "volume", "dimension", "`L`"),
    ("3 m", "volume", "dimension", "`L`"),
    ("25 uL/L", "level", "dimension", "`mg/L`"),
    ("1.025 sg", "salinity", "dimension", "`g/kg`"),
    ("62 L ± 2", "volume", "spread", "`± 1 L`"),
    ("62 L ± -2 L", "volume", "spread", "without a sign"),
    ("62 L ± 2 L ± 3 %", "volume", "spread", "one error"),
    ("62 L ± 2 gal", "volume", "spread", "which gallon"),
    ("25 degC ± 2 %", "temperature", "spread", "`± 1 degC`"),
    ("8.1 ± x", "ph", "spread", "`± 0.1`"),
    ("40-60 L", "volume", "spread", "`50 L ± 10 L`"),
    ("40 L – 60 L", "volume", "spread", "`50 L ± 10 L`"),
    ("40 to 60 L", "volume", "spread", "`50 L ± 10 L`"),
]


@pytest.mark.parametrize(("text", "dimension", "value"), READ)
def test_read(text: str, dimension: str, value: float) -> None:
    found = parse_measure(text, dimension)
    assert found.value == pytest.approx(value, rel=1e-9, abs=1e-12)
    assert found.unit == CANONICAL[dimension]
    assert found.exact


@pytest.mark.parametrize(("text", "dimension", "kind", "hint"), REFUSED)
def test_refused(text: str, dimension: str, kind: str, hint: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_measure(text, dimension)
    error = caught.value
    assert error.kind == kind
    assert hint in error.hint
    assert error.part in " ".join(text.split())
    assert len(error.text) <= 81


@pytest.mark.parametrize(
    ("text", "dimension", "low", "high"),
    [
        ("62 L ± 2 L", "volume", 60, 64),
        ("62 L ± 3 %", "volume", 60.14, 63.86),
        ("62 L +/- 2 L", "volume", 60, 64),
        ("62 L±500 mL", "volume", 61.5, 62.5),
        ("-20 L ± 10 %", "volume", -22, -18),
        ("25 degC ± 1 degC", "temperature", 24, 26),
        ("77 degF ± 1.8 degF", "temperature", 24, 26),  # a difference, not a temperature
        ("8.1 ± 0.1", "ph", 8.0, 8.2),
        ("60 % ± 5 %", "fraction", 55, 65),  # points of the hundred, not a share of the sixty
    ],
)
def test_errors_of_a_quantity(text: str, dimension: str, low: float, high: float) -> None:
    found = parse_measure(text, dimension)
    assert (found.low, found.high) == (pytest.approx(low), pytest.approx(high))
    assert not found.exact
    assert found.low <= found.value <= found.high


def test_an_error_is_added_only_where_none_was_written() -> None:
    assert parse_measure("100 L", "volume").with_error(0.02) == Measure(100, "L", 98, 102, "100 L")
    written = parse_measure("100 L ± 1 L", "volume")
    assert written.with_error(0.02) == written


def test_numbers_too_large_to_hold_are_refused() -> None:
    with pytest.raises(QuantityError, match="too large"):
        parse_number("9" * 400)


def test_every_dimension_is_complete() -> None:
    assert set(CANONICAL) == set(SPELLINGS)
    assert set(CANONICAL) <= set(SPOKEN)
    for dimension, unit in CANONICAL.items():
        assert unit in SPELLINGS[dimension]
        assert to_canonical(1.5, unit, dimension) == 1.5


def test_units_off_the_list_of_a_dimension_are_refused_by_the_converter_too() -> None:
    with pytest.raises(QuantityError, match="is a mass, not a volume"):
        to_canonical(1.0, "kg", "volume")


@pytest.mark.parametrize("spelling", sorted(MISTAKES))
def test_no_mistake_is_accepted_and_its_hint_names_a_unit_that_is(spelling: str) -> None:
    mistake = MISTAKES[spelling]
    dimensions = [mistake.dimension] if mistake.dimension else ["volume", "level", "parts"]
    for dimension in dimensions:
        assert spelling not in SPELLINGS[dimension]
        with pytest.raises(QuantityError) as caught:
            parse_measure(f"10 {spelling}", dimension)
        assert caught.value.kind == "unit-mistake"
    if mistake.dimension:
        proposed = set(re.findall("`([^` ]+)`", mistake.hint)) | set(re.findall("`[^` ]+ ([^` ]+)", mistake.hint))
        assert proposed & {*SPELLINGS[mistake.dimension], "sg"}


def test_a_reading_in_ppm_is_told_of_milligrams_and_not_of_formalin() -> None:
    with pytest.raises(QuantityError) as reading:
        parse_measure("0 ppm", "level")
    assert "`mg/L`" in reading.value.hint
    assert "formalin" not in reading.value.hint
    with pytest.raises(QuantityError) as bath:
        parse_measure("150 ppm", "parts")
    assert "`uL/L` for formalin" in bath.value.hint


def test_the_units_that_mislead_are_not_units_here() -> None:
    for unit in ("C", "F", "ppt", "Mg/L", "gal", "ppm", "fl", "kL", "dL", "cup", "K"):
        for dimension in SPELLINGS:
            assert unit not in SPELLINGS[dimension]


@pytest.mark.parametrize("unit", ["degC", "degF"])
def test_temperatures_go_there_and_back(unit: str) -> None:
    assert from_canonical(to_canonical(71.3, unit, "temperature"), unit, "temperature") == pytest.approx(71.3)


@pytest.mark.parametrize("module", [quantity, problem, spellings])
def test_examples_in_the_docstrings(module: object) -> None:
    result = doctest.testmod(module)  # type: ignore[arg-type]
    assert result.attempted
    assert not result.failed


@pytest.mark.parametrize(("unit", "target"), spellings.DECIMAL)
def test_the_short_way_agrees_with_the_unit_file(unit: str, target: str) -> None:
    registry = quantity._registry()
    assert spellings.DECIMAL[unit, target] == pytest.approx(
        registry.Quantity(1.0, unit).to(target).magnitude, rel=1e-12
    )
