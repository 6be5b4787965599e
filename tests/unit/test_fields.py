"""How each kind of value is read from its text."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

import pytest

from pratique.quantity import Measure
from pratique.room import fields, phrases
from pratique.room.bottles import read_strength
from pratique.room.brine import Salinity, read_salinity
from pratique.room.times import read_clock_time, read_hours, read_when
from pratique.room.wrong import Wrong

Reader = Callable[[Any], Any]


def wrong(reader: Reader, value: Any) -> Wrong:
    with pytest.raises(Wrong) as caught:
        reader(value)
    return caught.value


def volume(value: Any) -> Measure:
    return fields.measure("volume", above=0, most=10_000_000)(value)


READERS: list[Reader] = [
    volume,
    fields.read_yes,
    fields.read_count,
    fields.read_name,
    fields.read_sentence,
    read_salinity,
    read_when,
    read_strength,
    phrases.read_left,
    phrases.read_claim,
    phrases.read_spread,
    phrases.read_change,
    phrases.read_dropper,
]


@pytest.mark.parametrize("reader", [*READERS, read_hours], ids=lambda reader: reader.__name__)
def test_keys_or_nothing_in_place_of_a_value(reader: Reader) -> None:
    assert wrong(reader, {"a": "b"}).code == "F110"
    assert wrong(reader, "  ").code == "F112"


@pytest.mark.parametrize("reader", READERS, ids=lambda reader: reader.__name__)
def test_a_list_in_place_of_a_value(reader: Reader) -> None:
    assert wrong(reader, ["a"]).code == "F110"


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (volume, "62 L ± 2 L"),
        (read_salinity, "35 g/kg"),
        (read_when, "2027-03-05T18:00"),
        (read_hours, "07:00-09:00, 18:00-22:00"),
        (read_strength, "10 mg/mL as Cu"),
        (phrases.read_left, "250 mL"),
        (phrases.read_claim, "1 mL per 40 L gives 0.15 mg/L"),
        (phrases.read_spread, "5 %"),
        (phrases.read_change, "25 % every 3 d"),
        (phrases.read_dropper, "20 drops/mL"),
        (fields.read_count, "2"),
        (fields.read_yes, "yes"),
    ],
)
def test_what_was_read_once_is_taken_as_it_is(reader: Reader, text: str) -> None:
    found = reader(text)
    assert reader(found) == found


@pytest.mark.parametrize(
    ("text", "meant"), [("yes", True), ("No", False), ("on", True), ("OFF", False), ("true", True)]
)
def test_yes_and_no(text: str, meant: bool) -> None:
    assert fields.read_yes(text) is meant


@pytest.mark.parametrize("text", ["1", "y", "maybe", "0"])
def test_what_is_neither_yes_nor_no(text: str) -> None:
    assert wrong(fields.read_yes, text).code == "F114"


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("0", "U212"),
        ("-1", "U212"),
        ("1.5", "U212"),
        ("two", "U201"),
        ("012", "U205"),
        ("1_000", "U203"),
        ("nan", "U202"),
        ("1e3", "U204"),
        ("2000000", "U212"),
    ],
)
def test_counts_that_are_none(text: str, code: str) -> None:
    assert wrong(fields.read_count, text).code == code


def test_names() -> None:
    assert fields.read_name(" no ") == "no"
    assert fields.read_name("two\n  words") == "two words"
    assert fields.read_name("x" * 60) == "x" * 60
    assert wrong(fields.read_name, "x" * 61).code == "F114"
    assert wrong(fields.read_entry_name, "two  words").hint == "write `two words:`"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("-20 L", "is negative"),
        ("0 L", "is zero"),
        ("2 L ± 3 L", "reaches -1 L at the low end"),
        ("99999999 L", "is above 10,000,000 L"),
    ],
)
def test_volumes_no_tank_has(text: str, said: str) -> None:
    error = wrong(volume, text)
    assert error.code == "U212"
    assert said in error.message


def test_temperatures_have_a_least_and_a_most() -> None:
    read = fields.measure("temperature", least=-2, most=45)
    assert read("77 degF").value == pytest.approx(25)
    assert "below -2 degC" in wrong(read, "-20 degC").message
    assert "above 45 degC" in wrong(read, "77 degC").message


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("35 g/kg", Salinity("35 g/kg", 35.0)),
        ("1.025 sg at 25 degC", Salinity("1.025 sg at 25 degC", 1.025, True, 25.0, 25.0)),
        ("1.025 sg @ 25 degC", Salinity("1.025 sg @ 25 degC", 1.025, True, 25.0, 25.0)),
        (
            "1.0264 SG at 25 degC, reference 20 degC",
            Salinity("1.0264 SG at 25 degC, reference 20 degC", 1.0264, True, 25.0, 20.0),
        ),
        (
            "1.009 sg at 25 degC, scale 4 degC",
            Salinity("1.009 sg at 25 degC, scale 4 degC", 1.009, True, 25.0, 4.0),
        ),
    ],
)
def test_salinities(text: str, found: Salinity) -> None:
    assert read_salinity(text) == found


@pytest.mark.parametrize(
    ("text", "code", "part"),
    [
        ("1.025", "U206", ""),
        ("0.998", "U206", ""),
        ("35", "U206", ""),
        ("1.025 sg", "U213", ""),
        ("1,025 sg at 25 degC", "U203", "1,025"),
        ("1.25 sg at 25 degC", "U212", "1.25"),
        ("1.025 sg at 25 C", "U208", "C"),
        ("1.025 sg at 25", "U206", ""),
        ("1.025 sg at 2500 degC", "U212", "2500 degC"),
        ("1.025 sg at 25 degC, reference 60", "U206", ""),
        ("1.025 sg ± 0.001 at 25 degC", "U211", ""),
        ("35 ppt", "U208", "ppt"),
        ("350 g/kg", "U212", ""),
        ("53 mS/cm", "U207", "mS/cm"),
        ("salty", "U201", ""),
    ],
)
def test_salinities_that_are_refused(text: str, code: str, part: str) -> None:
    error = wrong(read_salinity, text)
    assert (error.code, error.part) == (code, part)


UTC_PLUS_1 = dt.timedelta(hours=1)


@pytest.mark.parametrize(
    ("text", "time", "offset"),
    [
        ("2027-03-05", None, None),
        ("2027-3-5", None, None),
        ("2027-03-05T18:00", dt.time(18), None),
        ("2027-03-05 8:30", dt.time(8, 30), None),
        ("2027-03-05  8.30", dt.time(8, 30), None),
        ("2027-03-05T18:00:30", dt.time(18, 0, 30), None),
        ("2027-03-05T18:00+01:00", dt.time(18), UTC_PLUS_1),
        ("2027-03-05T18:00 -0330", dt.time(18), dt.timedelta(hours=-3, minutes=-30)),
        ("2027-03-05T18:00Z", dt.time(18), dt.timedelta(0)),
    ],
)
def test_dates(text: str, time: dt.time | None, offset: dt.timedelta | None) -> None:
    found = read_when(text)
    assert (found.date, found.time, found.offset) == (dt.date(2027, 3, 5), time, offset)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("03/04/2027", "`2027-04-03` or `2027-03-04`"),
        ("3.4.2027 18:00", "`2027-04-03 18:00` or `2027-03-04 18:00`"),
        ("05/05/2027", "write `2027-05-05`"),
        ("31/12/2027", "write `2027-12-31`"),
        ("12-31-2027", "write `2027-12-31`"),
        ("99/99/2027", "year-month-day"),
        ("2027-02-30", "year-month-day"),
        ("2027-13-01", "year-month-day"),
        ("2027/03/05", "write `2027-03-05`"),
        ("2027.3.5 18:00", "write `2027-3-5 18:00`"),
        ("27-03-05", "all four"),
        ("5/3/27", "all four"),
        ("0027-03-05", "year"),
        ("5pm", "the day too"),
        ("8:30", "the day too"),
        ("2027-03-05 5pm", "`17:00`"),
        ("2027-03-05 12:30 a.m.", "`00:30`"),
        ("2027-03-05 12pm", "`12:00`"),
        ("2027-03-05T24:00", "`23:59`"),
        ("2027-03-05T25:00", "`08:30`"),
        ("2027-03-05T18:60", "`08:30`"),
        ("2027-03-05T18", "`08:30`"),
        ("2027-03-05T18:00+27:00", "`+01:00`"),
        ("20270305", "year-month-day"),
        ("tomorrow", "`2027-03-05T18:00`"),
        ("٢٠٢٧-٠٣-٠٥", "year-month-day"),
    ],
)
def test_dates_that_are_refused(text: str, hint: str) -> None:
    error = wrong(read_when, text)
    assert error.code == "F115"
    assert hint in error.hint


def test_a_time_of_day_may_have_one_figure_for_the_hour() -> None:
    assert read_clock_time("8:30") == (dt.time(8, 30), None)


def test_working_hours_are_put_in_order() -> None:
    found = read_hours("18:00-22:00, 7:00 – 9:00")
    assert [(hours.start.hour, hours.end.hour) for hours in found] == [(7, 9), (18, 22)]
    assert read_hours(["7:00 to 9:00"])[0].end == dt.time(9)
    assert len(read_hours("7:00-9:00, 9:00-10:00")) == 2  # one after the other is no overlap


@pytest.mark.parametrize(
    ("value", "code"),
    [
        ("22:00-6:00", "F118"),
        ("9:00-9:00", "F118"),
        ("7:00-9:00, 8:30-10:00", "F118"),
        ("mornings", "F115"),
        ("7-9", "F115"),
        ("7:00-9:00-11:00", "F115"),
        ("7:00-9:00,", "F112"),
        ([], "F112"),
        ([{"from": "7:00"}], "F110"),
    ],
)
def test_working_hours_that_are_refused(value: Any, code: str) -> None:
    assert wrong(read_hours, value).code == code


@pytest.mark.parametrize(
    ("text", "per", "milligrams", "substance", "percent"),
    [
        ("10 mg/mL as Cu", "mL", 10, "Cu", None),
        ("14 g/L as copper", "mL", 14, "copper", None),
        ("2.5 g per 100 mL as Cu", "mL", 25, "Cu", None),
        ("3 % w/v as H2O2", "mL", 30, "H2O2", 3),
        ("3% w/v as H2O2", "mL", 30, "H2O2", 3),
        ("95 % w/w as praziquantel", "g", 950, "praziquantel", 95),
        ("37 % w/w density 1.08 g/mL as formaldehyde", "mL", 399.6, "formaldehyde", 37),
        ("37 % w/w as formaldehyde, density 1.08 g/mL", "mL", 399.6, "formaldehyde", 37),
        ("500 mg per tablet as praziquantel", "tablet", 500, "praziquantel", None),
        ("100 mg/g as copper sulfate pentahydrate", "g", 100, "copper sulfate pentahydrate", None),
        ("3 g in 750 mL as CuSO4.5H2O", "mL", 4, "CuSO4.5H2O", None),
        ("3g in 0.75L of water as copper sulfate pentahydrate", "mL", 4, "copper sulfate pentahydrate", None),
        ("4 g per 1 L RO water as CuSO4", "mL", 4, "CuSO4", None),
        ("500 mg / 5 mL as metronidazole", "mL", 100, "metronidazole", None),
    ],
)
def test_strengths(text: str, per: str, milligrams: float, substance: str, percent: float | None) -> None:
    found = read_strength(text)
    assert (found.per, found.substance, found.percent) == (per, substance, percent)
    assert found.milligrams == pytest.approx(milligrams)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("3 %", "U216"),
        ("3 % as H2O2", "U216"),
        ("3 % v/v as H2O2", "U216"),
        ("3 % density 1.01 g/mL as H2O2", "U216"),
        ("3 % w/v", "U215"),
        ("10 mg/mL", "U215"),
        ("10 mg/mL w/v as Cu", "U214"),
        ("3 % w/v density 1.01 g/mL as H2O2", "U214"),
        ("strong", "U214"),
        ("10 drams as Cu", "U214"),
        ("10 mg/ml as Cu", "U208"),
        ("10 Mg/L as Cu", "U208"),
        ("100 ppm as Cu", "U208"),
        ("1,5 % w/v as Cu", "U203"),
        ("nan % w/v as Cu", "U202"),
        ("0 % w/v as Cu", "U212"),
        ("-3 % w/v as Cu", "U212"),
        ("101 % w/w as Cu", "U212"),
        ("2000 mg/g as Cu", "U212"),
        ("9000 mg/mL as Cu", "U212"),
        ("37 % w/w density 108 g/mL as formaldehyde", "U212"),
        ("3 g in 750 mL", "U215"),
        ("3 g in 750 mL water", "U215"),
        ("3 g in 750 ml as CuSO4.5H2O", "U208"),
        ("3 L in 750 mL as CuSO4.5H2O", "U209"),
        ("0 g in 750 mL as CuSO4.5H2O", "U212"),
        ("3 g in 0 mL as CuSO4.5H2O", "U212"),
        ("30 kg in 3 mL as CuSO4.5H2O", "U212"),
        ("3,5 g in 750 mL as CuSO4.5H2O", "U203"),
        ("1 tablet of 500 mg", "U214"),
        ("1 tablet in 10 L", "U214"),
    ],
)
def test_strengths_that_are_refused(text: str, code: str) -> None:
    assert wrong(read_strength, text).code == code


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("250 mL", 250, "mL"),
        ("0.5 L", 500, "mL"),
        ("40 g", 40, "g"),
        ("1 kg", 1000, "g"),
        ("12 tablets", 12, "tablet"),
        ("1 tablet", 1, "tablet"),
        ("0 mL", 0, "mL"),
        ("1 fl_oz_us", 29.5735, "mL"),
    ],
)
def test_what_is_left(text: str, value: float, unit: str) -> None:
    found = phrases.read_left(text)
    assert (found.value, found.unit) == (pytest.approx(value), unit)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("250", "U206"),
        ("250 ml", "U208"),
        ("half", "U201"),
        ("3 h", "U209"),
        ("3 bottles", "U207"),
        ("-1 g", "U212"),
        ("250 mL ± 5 mL", "U211"),
        ("x tablets", "U201"),
    ],
)
def test_what_is_left_and_refused(text: str, code: str) -> None:
    assert wrong(phrases.read_left, text).code == code


def test_claims() -> None:
    found = phrases.read_claim("1 mL per 40 L gives 0.15 mg/L")
    assert (found.dose, found.dose_unit, found.volume, found.level) == (1, "mL", 40, 0.15)
    assert phrases.read_claim("2 g in 10 gal_us = 0.5 mg/L").volume == pytest.approx(37.85411784)
    for text, code in [
        ("1 mL per 40 L", "U217"),
        ("1 mL per 40 gal gives 0.15 mg/L", "U208"),
        ("1 ml per 40 L gives 0.15 mg/L", "U208"),
        ("0 mL per 40 L gives 0.15 mg/L", "U212"),
        ("1 mL per 40 L ± 1 L gives 0.15 mg/L", "U211"),
    ]:
        assert wrong(phrases.read_claim, text).code == code


def test_errors_of_a_test() -> None:
    assert phrases.read_spread("5 %").around(2.0) == (pytest.approx(1.9), pytest.approx(2.1))
    assert phrases.read_spread("± 0.02 mg/L").around(0.01) == (0.0, pytest.approx(0.03))
    for text, code in [
        ("5", "U206"),
        ("150 %", "U212"),
        ("-1 %", "U212"),
        ("-0.1 mg/L", "U212"),
        ("0,1 mg/L", "U203"),
    ]:
        assert wrong(phrases.read_spread, text).code == code


def test_change_habits() -> None:
    assert (phrases.read_change("25 % every 3 d").share, phrases.read_change("25 % every 3 d").hours) == (
        0.25,
        72,
    )
    assert phrases.read_change("10% every week").hours == 168
    for text, code in [
        ("25 %", "U217"),
        ("0 % every 3 d", "U212"),
        ("120 % every 3 d", "U212"),
        ("25 % every 3 h", "U212"),
        ("25 % every 3 days", "U208"),
        ("25 % every moon", "U201"),
    ]:
        assert wrong(phrases.read_change, text).code == code


def test_droppers() -> None:
    assert phrases.read_dropper("20 drops/mL") == 20.0
    for text, code in [
        ("20", "U217"),
        ("20 drops", "U217"),
        ("x drops/mL", "U201"),
        ("2000 drops/mL", "U212"),
    ]:
        assert wrong(phrases.read_dropper, text).code == code
