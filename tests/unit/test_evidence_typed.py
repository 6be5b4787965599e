"""Readings and additions as they are typed: what is read, and what is refused by its name."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from dosing_rooms import make_room
from pratique.dosing.evidence.addition import Added, read_addition
from pratique.dosing.evidence.typed import TypedReading, read_readings
from pratique.problem import Problem

LISBON = ZoneInfo("Europe/Lisbon")


def found(text: str, dimension: str = "level") -> list[TypedReading]:
    readings, problems = read_readings(text, dimension=dimension, zone=LISBON)
    assert problems == ()
    return list(readings)


def wrong(text: str, dimension: str = "level") -> Problem:
    _, problems = read_readings(text, dimension=dimension, zone=LISBON)
    assert {problem.code for problem in problems} == {"D500"}
    return problems[0]


@pytest.mark.parametrize(
    "text",
    [
        "2027-03-05T08:00 2.1 mg/L, 2027-03-06T08:00 1.9 mg/L",
        "2027-03-05T08:00 2.1 mg/L,2027-03-06T08:00 1.9 mg/L",
        "2027-03-05 08:00 2.1 mg/L; 2027-03-06 8:00 1.9 mg/L",
        "2027-03-06T08:00 1.9 mg/L\n2027-03-05T08:00, 2.1 mg/L\n",
        " 2027-03-05T08:00+00:00   2.1 mg/L , 2027-03-06T09:00+01:00 1900 ug/L ",
    ],
)
def test_readings_in_any_order_and_any_usual_form(text: str) -> None:
    first, second = found(text)
    assert (first.level.value, second.level.value) == pytest.approx((2.1, 1.9))
    assert first.at == dt.datetime(2027, 3, 5, 8, tzinfo=LISBON)
    assert second.at == dt.datetime(2027, 3, 6, 8, tzinfo=LISBON)


def test_its_own_error_stays_with_a_reading() -> None:
    (reading,) = found("2027-03-05T08:00 2.0 mg/L ± 5 %")
    assert (reading.level.low, reading.level.high) == pytest.approx((1.9, 2.1))


def test_formalin_is_read_by_volume() -> None:
    (reading,) = found("2027-03-05T08:00 150 uL/L", "parts")
    assert reading.level.unit == "uL/L"
    assert "level by volume" in wrong("2027-03-05T08:00 150 mg/L", "parts").message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2027-03-05 2.15 mg/L", "no time of day"),
        ("2027-03-05T08:00 2,1 mg/L", "has a comma"),
        ("2027-03-05T08:00 2.1", "has no unit"),
        ("2027-03-05T08:00 2.1 ppm", "`ppm`"),
        ("2027-03-05T08:00 -2.1 mg/L", "negative"),
        ("2027-03-05T08:00 2.1 Mg/L", "`Mg/L`"),
        ("2027-03-05T8pm 2.1 mg/L", "twelve-hour"),
        ("2027-03-05T08:00", "neither a reading nor a file"),
        ("2027-03-05T08:00 about two", "does not begin with a number"),
        ("05/03/2027 8:00 2.1 mg/L", "could be two different days"),
        ("2027-03-28T01:30 2.1 mg/L", "does not exist"),
        ("2027-10-31T01:30 2.1 mg/L", "happens twice"),
        ("2027-02-30T08:00 2.1 mg/L", "not a day of the calendar"),
        ("readings.txt", "neither a reading nor a file"),
        ("x" * 5000, "neither a reading nor a file"),
        ("\0", "neither a reading nor a file"),
        ("", "there is no reading"),
        (" , ; ", "there is no reading"),
    ],
)
def test_what_cannot_be_read_is_named(text: str, words: str) -> None:
    problem = wrong(text)
    assert words in problem.message
    assert problem.hint


def test_every_wrong_entry_is_told_at_once() -> None:
    _, problems = read_readings(
        "2027-03-05T08:00 2.1, 2027-03-06T08:00 1.9 mg/L, 2027-03-07 1.8 mg/L", dimension="level", zone=LISBON
    )
    assert [problem.note for problem in problems] == ["in `2027-03-05T08:00 2.1`", "in `2027-03-07 1.8 mg/L`"]


class TestFile:
    def test_one_a_line_with_comments(self, tmp_path: Path) -> None:
        path = tmp_path / "readings.txt"
        path.write_text("# copper, ward\n\n2027-03-05T08:00 2.1 mg/L  # by the meter\n2027-03-06 08:00, 1.9 mg/L\n")
        assert [reading.level.value for reading in found(str(path))] == [2.1, 1.9]

    def test_a_mistake_is_shown_where_it_stands(self, tmp_path: Path) -> None:
        path = tmp_path / "readings.txt"
        path.write_text("2027-03-05T08:00 2.1 mg/L\n  2027-03-06T08:00 1,9 mg/L # comma\n")
        place = wrong(str(path)).place
        assert place is not None
        assert (place.line, place.column, place.width) == (2, 20, 3)
        assert place.text == "  2027-03-06T08:00 1,9 mg/L # comma"
        assert wrong(str(path)).note == "", "the line itself is shown"

    def test_a_file_that_is_none(self, tmp_path: Path) -> None:
        path = tmp_path / "picture"
        path.write_bytes(b"\xff\xfe\x00\x80")
        assert "cannot be read" in wrong(str(path)).message
        path.write_text("2027-03-05T08:00 2.1 mg/L\n" * 10_000)
        assert "too large" in wrong(str(path)).message
        path.write_text("2027-03-05T08:00\n")
        assert "is not a moment and a level" in wrong(str(path)).message
        path.write_text("# nothing yet\n")
        assert "no reading" in wrong(str(path)).message


class TestAddition:
    ROOM = make_room(**{"shelf__ionic stock__dropper": "20 drops/mL"})

    def read(self, text: str) -> Added:
        answer = read_addition(text, self.ROOM)
        assert isinstance(answer, Added), answer
        return answer

    @pytest.mark.parametrize(
        ("text", "amount", "unit", "product"),
        [
            ("10 mL of ionic stock at 2027-03-05T08:00", 10.0, "mL", "ionic stock"),
            ("10 mL of Ionic Stock at 2027-03-05 08:00", 10.0, "mL", "ionic stock"),
            ("0.01 L of 'ionic stock' at 2027-03-05T08:00+00:00", 10.0, "mL", "ionic stock"),
            ("40 drops of ionic stock at 2027-03-05T08:00", 2.0, "mL", "ionic stock"),
            ("1 fl_oz_us of ionic stock at 2027-03-05T08:00", 29.5735, "mL", "ionic stock"),
            ("250 mg of prazi at 2027-03-05T08:00", 0.25, "g", "prazi"),
            ("3 tablets of prazi at 2027-03-05T08:00", 3.0, "tablet", "prazi"),
        ],
    )
    def test_amount_product_and_moment(self, text: str, amount: float, unit: str, product: str) -> None:
        added = self.read(text)
        assert (added.amount.value, added.amount.unit, added.product) == (
            pytest.approx(amount, rel=1e-5),
            unit,
            product,
        )
        assert added.at == dt.datetime(2027, 3, 5, 8, tzinfo=LISBON)

    def test_the_error_beside_an_amount_is_kept(self) -> None:
        added = self.read("10 mL ± 0.2 mL of ionic stock at 2027-03-05T08:00")
        assert (added.amount.low, added.amount.high) == pytest.approx((9.8, 10.2))

    @pytest.mark.parametrize(
        ("text", "code", "words"),
        [
            ("10 mL of ionic stock", "D506", "is not an addition"),
            ("10 mL", "D506", "is not an addition"),
            ("", "D506", "is not an addition"),
            ("10 mL of ionic stock at 2027-03-05", "D506", "no time of day"),
            ("10 mL of ionic stok at 2027-03-05T08:00", "D506", "no product"),
            ("0 mL of ionic stock at 2027-03-05T08:00", "D506", "adds nothing"),
            ("10 of ionic stock at 2027-03-05T08:00", "D506", "has no unit"),
            ("1 tsp of ionic stock at 2027-03-05T08:00", "D506", "`tsp`"),
            ("1 capful of ionic stock at 2027-03-05T08:00", "D506", "`capful`"),
            ("10 ml of ionic stock at 2027-03-05T08:00", "D506", "`ml`"),
            ("1,5 mL of ionic stock at 2027-03-05T08:00", "D506", "comma"),
            ("10 mL of ionic stock at 5 March", "D506", "not"),
            ("20 drops of chelate at 2027-03-05T08:00", "D512", "never counted"),
        ],
    )
    def test_what_cannot_be_read_is_named(self, text: str, code: str, words: str) -> None:
        problem = read_addition(text, self.ROOM)
        assert isinstance(problem, Problem)
        assert problem.code == code
        assert words in problem.message
        assert problem.hint

    @pytest.mark.parametrize(
        ("amount", "general"), [("10", True), ("1 capful", False), ("1 kg/L", True), ("1,5 mL", False)]
    )
    def test_how_an_amount_is_written(self, amount: str, general: bool) -> None:
        """In general, unless this very slip has its own mend."""
        problem = read_addition(f"{amount} of ionic stock at 2027-03-05T08:00", self.ROOM)
        assert isinstance(problem, Problem)
        assert (problem.hint == "write such as `10 mL`, `2 g` or `3 tablets`") is general

    def test_a_near_name_is_offered_and_never_taken(self) -> None:
        problem = read_addition("10 mL of ionic stok at 2027-03-05T08:00", self.ROOM)
        assert isinstance(problem, Problem)
        assert problem.hint == "did you mean `ionic stock`? nothing was changed"
        far = read_addition("10 mL of something else at 2027-03-05T08:00", self.ROOM)
        assert isinstance(far, Problem)
        assert far.hint.startswith("on the shelf: ionic stock, ")
        bare = read_addition("10 mL of ionic stock at 2027-03-05T08:00", make_room(shelf=None))
        assert isinstance(bare, Problem)
        assert bare.hint == "on the shelf: nothing"
