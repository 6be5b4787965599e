"""The sheets as somebody reads them who is at the tank: what was left undone, what does not concern the day."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from schedule_rooms import as_yaml, batch, room_data, tank


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "fishroom.yaml"


def asked(path: Path, data: dict[str, Any], *words: str) -> Result:
    path.write_text(as_yaml(data), encoding="utf-8")
    return CliRunner().invoke(cli, [*words, "--room", str(path)], env={"COLUMNS": "160", "NO_COLOR": "1"})


def ward_only(**batches: Any) -> dict[str, Any]:
    return room_data(tanks={"reef": tank("display"), "ward": tank("ward")}, batches=batches)


class TestAnArrivalNobodyPreparedFor:
    """A fish that was bought yesterday: the water that should have stood overnight is asked for all the same."""

    ROOM = ward_only(first=batch("2026-03-05T18:30", into="reef"))
    LATE = "; it was for Wed 4 Mar 18:00: do it before they come, unless it is done"

    def test_the_day_of_arrival_asks_for_the_water_and_the_tank(self, path: Path) -> None:
        page = asked(path, self.ROOM, "day", "--at", "2026-03-05T12:00", "--plain").stdout
        rows = [line for line in page.splitlines() if "\tward\t" in line]
        told = [(row.split("\t")[4].split(":")[0], self.LATE in row) for row in rows]
        assert told[:3] == [("prepare water", True), ("set up", True), ("arrive", False)]

    @pytest.mark.parametrize("day", ["2026-03-04", "2026-03-06"])
    def test_neither_the_eve_nor_the_day_after_says_so(self, path: Path, day: str) -> None:
        assert "it was for" not in asked(path, self.ROOM, "day", "--at", f"{day}T12:00").stdout

    def test_another_day_than_today_is_not_burdened_with_it(self, path: Path) -> None:
        assert "it was for" not in asked(path, self.ROOM, "day", "2026-03-05", "--at", "2026-03-03T12:00").stdout

    def test_once_they_are_in_nothing_is_left_to_do_of_it(self, path: Path) -> None:
        room = {**self.ROOM, "tanks": {**self.ROOM["tanks"], "ward": tank("ward", cycled="yes")}}
        path.write_text(as_yaml(room), encoding="utf-8")
        line = ["log", "arrived first in ward at 2026-03-05T11:00", "--at", "2026-03-05T11:05", "--room", str(path)]
        written = CliRunner().invoke(cli, line)
        assert written.exit_code == 0, written.output
        page = asked(path, room, "day", "--at", "2026-03-05T12:00", "--plain").stdout
        late = [line for line in page.splitlines() if self.LATE in line]
        assert [line.split("\t")[5] for line in late] == ["missed", "done 11:00"]


class TestBatchesThatMustNotComeYet:
    """A shop's sheet is not headed by the season to come, and a stand-in is told of none but their own days."""

    ROOM = ward_only(
        first=batch("2027-03-05T18:30", into="reef"),
        soon=batch("2027-03-12T18:30", into="reef"),
        later=batch("2027-03-20T18:30", into="reef"),
    )

    def test_the_day_names_those_of_the_week_and_counts_the_rest(self, path: Path) -> None:
        found = asked(path, self.ROOM, "day", "--at", "2027-03-05T12:00")
        assert "· soon: needs two free tanks" in found.stdout
        assert "· 1 batch more, not due within a week: `pratique check`" in found.stdout
        assert ("`soon`" in found.stderr, "`later`" in found.stderr) == (True, False)
        assert found.exit_code == 1

    def test_check_has_them_all(self, path: Path) -> None:
        told = asked(path, self.ROOM, "check", "--at", "2027-03-05T12:00").stderr
        assert "`soon` needs" in told
        assert "`later` needs" in told

    @pytest.mark.parametrize(("days", "told"), [("3", False), ("10", True)])
    def test_a_stand_in_reads_of_those_of_their_days(self, path: Path, days: str, told: bool) -> None:
        words = ("day", "2027-03-05", "--deputy", "--days", days, "--at", "2027-03-05T12:00", "--paper", "-")
        page = asked(path, self.ROOM, *words).stdout
        assert "For " in page
        assert ("`soon` needs" in page) is told
        assert "`later` needs" not in page


class TestABottleThatDoesNotLast:
    """The dose of the day is not poured as far as it goes: that the bottle is short stands above it."""

    @pytest.mark.parametrize(("left", "short"), [("16 mL", True), ("17 mL", False)])
    def test_the_sheet_says_what_is_left_and_what_it_takes(self, path: Path, left: str, short: bool) -> None:
        data = ward_only(first=batch("2027-03-05T18:30", into="reef"))
        data["shelf"] = {"copper bottle": {**data["shelf"]["copper bottle"], "left": left}}
        for words in (["day", "2027-03-06", "--days", "3"], ["day", "2027-03-06", "--days", "3", "--deputy"]):
            page = asked(path, data, *words, "--at", "2027-03-05T12:00", "--plain").stdout
            assert ("copper bottle: 16.0 mL left, 16.5 mL asked for on this sheet" in page) is short
            assert ("asked for on this sheet" in page) is short


class TestTheRoundOfTheMorning:
    """Copper in a ward, read too low on Sunday morning."""

    LOG = (
        "arrived first in ward at 2026-03-05T18:30",
        "dose ward 12 mL of copper bottle at 2026-03-06T19:00",
        "reading ward copper 1.8 mg/L with copper meter at 2026-03-08T07:30",
        "reading ward ph 8.1 at 2026-03-08T07:35",
    )

    @pytest.fixture
    def lines(self, path: Path) -> list[list[str]]:
        data = ward_only(first=batch("2026-03-05T18:30", into="reef"))
        data["kits"] |= {"ph kit": {"measures": "ph"}, "ammonia kit": {"measures": "ammonia"}}
        path.write_text(as_yaml(data), encoding="utf-8")
        for entry in self.LOG:
            words = ["log", entry, "--at", "2026-03-08T07:40", "--room", str(path)]
            assert CliRunner().invoke(cli, words).exit_code == 0
        page = asked(path, data, "day", "--at", "2026-03-08T07:45", "--plain").stdout
        return [row for line in page.splitlines() if len(row := line.split("\t")) > 5]

    def test_a_dose_the_reading_asks_for_stands_before_the_evening(self, lines: list[list[str]]) -> None:
        times = [row[1] for row in lines]
        dose = next(number for number, row in enumerate(lines) if "by the reading 1.8 mg/L" in row[4])
        assert lines[dose][1] == "07:30"
        assert "18:00" in times
        assert dose < times.index("18:00")
        assert lines[dose][0].split()[1] == str(len(lines))  # its number is the last: those on the wall stay

    def test_a_ph_does_not_tick_the_ammonia_off(self, lines: list[list[str]]) -> None:
        asks = next(row for row in lines if row[4].startswith("test: ammonia"))
        assert asks[0].startswith("☐")
        assert not asks[5].startswith("done")
