"""`pratique risk` as its user meets it: a range with its limits, from the plan and its log; and what is refused."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from pratique.history.fold import fold
from pratique.logbook.file import read_log
from pratique.risk import chances, draws, fallow
from pratique.risk.course import Course
from pratique.risk.planned import course_of
from pratique.room.load import load_room
from pratique.schedule.calendar import elapsed_hours
from pratique.schedule.plan import make_plan
from release_rooms import Quarantine, coppered
from schedule_rooms import as_yaml, batch, room_data, tank

TOP = Path(__file__).parents[2]
HARBOUR = str(TOP / "examples/harbour-lane/fishroom.yaml")
AT = "2027-03-01T08:00"


@pytest.fixture(autouse=True)
def few_draws(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What is asked here hangs on no percentile of many draws; what was kept in memory is forgotten."""
    kept = (chances.chances, chances._each, chances._integrators, fallow._at)
    monkeypatch.setattr(draws, "DRAWS", 12)
    for memory in kept:
        memory.cache_clear()
    yield
    for memory in kept:
        memory.cache_clear()


def call(*words: str, room: str = HARBOUR, at: str = AT, width: int = 100) -> Result:
    env = {"COLUMNS": str(width), "NO_COLOR": "1"}
    return CliRunner().invoke(cli, ["risk", *words, "--room", room, "--at", at], env=env)


def answer(*words: str, room: str = HARBOUR, at: str = AT) -> dict[str, Any]:
    result = call(*words, "--json", room=room, at=at)
    assert result.exit_code == 0, result.output
    found: dict[str, Any] = json.loads(result.stdout)["result"]
    return found


def refused(*words: str, room: str = HARBOUR, at: str = AT) -> dict[str, Any]:
    result = call(*words, "--json", room=room, at=at)
    assert result.exit_code == 1, result.output
    found = json.loads(result.stdout)
    assert found["result"] is None
    refusal: dict[str, Any] = found["refusal"]
    return refusal


def high(found: dict[str, Any], strain: str) -> float:
    return next(float(s["high"]) for s in found["chance"]["strains"] if s["strain"] == strain)


def at_home(tmp_path: Path, **sections: Any) -> str:
    path = tmp_path / "fishroom.yaml"
    path.write_text(as_yaml(room_data(**sections)), "utf-8")
    return str(path)


class TestPlan:
    def test_the_range_stands_with_its_limits_and_its_price(self) -> None:
        found = answer("spring tangs")
        assert 0 <= found["chance"]["low"] <= found["chance"]["high"] <= 1
        assert "value" not in found["chance"]
        assert found["chance"]["is"] == "a model, not a guarantee"
        assert any("copper" not in limit["text"] and limit["source"] == "YOS01" for limit in found["limits"])
        assert found["price"]["moves"] == 5
        assert {point["day"]["unit"] for point in found["curve"]} == {"d"}
        assert [point["late"]["value"] for point in found["late"]] == [0, 12, 24, 48]

    @pytest.mark.parametrize("width", [120, 80, 40])
    def test_a_page_never_says_a_chance_without_its_limits(self, width: int) -> None:
        page = " ".join(call("spring tangs", "--parasites", "5", width=width).stdout.split())
        assert page.index("not a guarantee") < page.index("By strain")
        assert "is not known" in page
        assert not re.search(r"\b(safe|certain|guaranteed|100 %(?! *\[)) ", page.replace("0 to 100 %", ""))

    def test_every_line_fits_a_narrow_screen(self) -> None:
        page = call("pair from the club", width=40).stdout
        assert max(len(line) for line in page.splitlines()) <= 40

    def test_four_transfers_let_more_through_than_five(self) -> None:
        compared = {row["what"]: row for row in answer("spring tangs", "--compare")["compared"]}
        four, five = compared["4 transfers, 72 h apart"], compared["5 transfers, 72 h apart"]
        assert five["high"] < four["high"]
        copper = compared["14 days of copper, then a clean tank"]
        month = compared["30 days of copper, the same tank after"]
        assert copper["high"] < 0.001 < month["high"]
        assert (copper["moves"], copper["days_held"]["value"]) == (1, 14)
        assert compared["watched for 90 days"]["high"] > 0.99

    def test_the_simulation_stands_beside_the_sum(self) -> None:
        found = answer("late angel", "--parasites", "3", "--simulate", "400", "--seed", "5")
        assert {row["histories"] for row in found["simulated"]} == {400}
        for row in found["simulated"]:
            assert row["chance"] <= 0.02

    def test_velvet_is_told_by_its_own_strains(self) -> None:
        found = answer("late angel", "--agent", "velvet")
        assert {strain["strain"] for strain in found["chance"]["strains"]} == {"BER22", "VT600"}
        assert any("from memory" in limit["text"] for limit in found["limits"])

    def test_transfers_are_never_laid_beside_or_advised_against_velvet(self) -> None:
        """Agents 3.3 (C): they do not clear it. The model's times are from memory, and would let them."""
        found = answer("spring tangs", "--agent", "velvet", "--compare")
        assert not any("transfers" in row["what"] for row in found["compared"])
        moves = found["price"]["moves"]
        assert not any("transfers" in row["what"] and row["moves"] > moves for row in found["changes"])
        assert any("do not clear velvet" in limit["text"] for limit in found["limits"])

    def test_a_fluke_is_not_known_and_says_which_numbers_are_missing(self) -> None:
        refusal = refused("spring tangs", "--agent", "neobenedenia")
        assert refusal["code"] == "X760"
        assert "not known" in refusal["message"]
        assert "first hatch" in call("spring tangs", "--agent", "neobenedenia").stderr

    def test_a_batch_without_a_plan_has_none(self, tmp_path: Path) -> None:
        room = at_home(tmp_path, tanks={"reef": tank("display")})
        assert refused("first", room=room)["code"] == "X763"

    @pytest.mark.parametrize(("degrees", "code"), [(None, "X761"), ("16 degC", "X762")])
    def test_without_a_temperature_or_out_of_reach_there_is_none(
        self, tmp_path: Path, degrees: str | None, code: str
    ) -> None:
        home = tank("observation")
        home.pop("temperature")
        home.update({} if degrees is None else {"temperature": degrees})
        tanks = {"reef": tank("display"), "long": home}
        room = at_home(tmp_path, tanks=tanks, batches={"first": batch("2027-03-05T18:30", "trusted")})
        assert refused("first", room=room)["code"] == code


BEGUN = ("2027-03-05 18:30 arrived pair in ward", "2027-03-05 19:00 dose ward copper-chelated 13.3 mL of copper bottle")


class TestLog:
    """What really happened: the same file, another log, another course of the model."""

    def course(self, folder: Path, data: dict[str, Any], *lines: str) -> Course:
        folder.mkdir()
        quarantine = Quarantine(folder, data)
        quarantine.write(*lines)
        room, _ = load_room(quarantine.room)
        assert room is not None
        at = dt.datetime(2027, 3, 21, 12, tzinfo=room.zone)
        history = fold(room, read_log(quarantine.log)[0], at)
        plan = next(p for p in make_plan(room, history).batches if p.batch.name in ("pair", "first"))
        found = course_of(room, history, plan, "cryptocaryon")
        assert isinstance(found, Course), found
        return found

    def test_hours_between_two_readings_far_apart_are_not_held(self, tmp_path: Path) -> None:
        """The reading of the 10th carries for 36 h; by the 15th nobody knows the level."""
        daily = [f"2027-03-{day:02d} 08:00 reading ward copper 2.3 mg/L with copper meter" for day in range(6, 22)]
        gap = [line for line in daily if not "2027-03-10 08" < line[:13] < "2027-03-18"]
        whole = self.course(tmp_path / "whole", coppered(), *BEGUN, *daily)
        broken = self.course(tmp_path / "gap", coppered(), *BEGUN, *gap)
        fifteenth = 10 * 24.0 + 12
        assert any(start <= fifteenth < end for start, end in whole.held)
        assert not any(start <= fifteenth < end for start, end in broken.held)
        assert any(abs(end - (5 * 24 + 8 + 36)) < 0.1 for _, end in broken.held)

    def test_copper_that_is_taken_out_is_no_longer_held(self) -> None:
        """Where the fish stay, six changes follow the 30 days: from the first on nothing is counted on."""
        room, _ = load_room(TOP / "examples/first-tank/fishroom.yaml")
        assert room is not None
        plan = make_plan(room, None).batches[0]
        course = course_of(room, None, plan, "cryptocaryon")
        assert isinstance(course, Course)
        stage = plan.stages[0]
        changes = [task.at for task in plan.tasks if task.act == "change-water"]
        assert changes and changes[0] < stage.end
        start, end = course.held[-1]
        midnight = dt.datetime(2027, 3, 5, tzinfo=room.zone)
        assert end == pytest.approx(elapsed_hours(midnight, changes[0]))
        assert 29 < (end - start) / 24 < 32

    def test_moves_are_at_the_hours_they_were_made(self, tmp_path: Path) -> None:
        moves = (
            "2027-03-05 18:30 arrived first in tub a",
            "2027-03-08 20:00 moved first tub b",
            "2027-03-08 20:30 dried tub a",
            "2027-03-11 08:00 moved first tub a",
        )
        course = self.course(tmp_path / "moved", room_data(), *moves)
        assert [span.start for span in course.spans[:3]] == [18.5, 3 * 24 + 20.0, 6 * 24 + 8.0]
        assert len({span.pool for span in course.spans[:3]}) == 3

    def test_a_tank_that_was_not_dry_still_has_its_cysts(self, tmp_path: Path) -> None:
        moves = (
            "2027-03-05 18:30 arrived first in tub a",
            "2027-03-08 08:00 moved first tub b",
            "2027-03-09 08:00 moved first tub a",
        )
        first, _, back, *_ = self.course(tmp_path / "wet", room_data(), *moves).spans
        assert first.label == back.label == "tub a"
        assert first.pool == back.pool

    def test_the_temperature_that_was_read_counts(self, tmp_path: Path) -> None:
        read = [f"2027-03-0{day} 08:00 reading ward temperature {t} degC" for day, t in ((6, 21), (7, 23))]
        span = self.course(tmp_path / "cool", coppered(), *BEGUN, *read).spans[0]
        assert (span.low, span.high) == (21.0, 23.0)


class TestFallow:
    def test_forty_five_days_at_27_degrees(self) -> None:
        found = answer("--fallow", "reef", "--days", "45", "--temperature", "27 degC")
        assert high(found, "PV16B") < 0.001
        assert 0.001 < high(found, "COL85") < 0.2
        assert high(found, "CB97") > 0.9
        assert found["still"]
        curve = [point["high"] for point in found["curve"]]
        assert curve == sorted(curve, reverse=True)

    def test_fish_in_the_water_are_named(self) -> None:
        result = call("--fallow", "reef")
        assert result.exit_code == 0
        assert "X765" in result.stderr
        assert "if the last fish left" in result.stdout

    def test_warmer_is_sooner(self) -> None:
        cool, warm = (answer("--fallow", "reef", "--days", "35", "--temperature", t) for t in ("22 degC", "30 degC"))
        assert high(warm, "COL85") < high(cool, "COL85")

    def test_out_of_reach_is_refused(self) -> None:
        assert refused("--fallow", "reef", "--temperature", "15 degC")["code"] == "X762"


@pytest.mark.parametrize(
    "words",
    [
        [],
        ["spring tangs", "--fallow", "reef"],
        ["spring tangs", "--days", "4"],
        ["--fallow", "reef", "--days", "nan"],
        ["--fallow", "reef", "--days", "-3"],
        ["--fallow", "reef", "--temperature", "27"],
        ["--fallow", "wrong"],
        ["spring tangs", "--parasites", "0"],
        ["spring tangs", "--parasites", "0." + "0" * 40 + "1"],
        ["spring tangs", "--parasites", "2.5"],
        ["spring tangs", "--parasites", "-1"],
        ["spring tangs", "--parasites", "9" * 40],
        ["spring tangs", "--parasites", "nan"],
        ["spring tangs", "--parasites", "many"],
        ["spring tangs", "--simulate", "1e4"],
        ["spring tangs", "--simulate", "1000001"],
        ["spring tangs", "--simulate", "200", "--seed", "-1"],
        ["spring tangs", "--simulate", "200", "--seed", "9" * 30],
        ["spring tangs", "--temperature", "27 degC"],
        ["--fallow", "reef", "--parasites", "3"],
        ["--fallow", "reef", "--compare"],
        ["--fallow", "reef", "--simulate", "200"],
        ["--fallow", "reef", "--days", "3651"],
        ["--fallow", "reef", "--temperature", "27 C"],
        ["--fallow", "reef", "--temperature", " "],
        ["--fallow", "reef", "--agent", ""],
        ["spring tangs", "--simulate", "3"],
        ["spring tangs", "--agent", "flue"],
    ],
)
def test_a_wrong_command_line_gives_no_number(words: list[str]) -> None:
    result = call(*words)
    assert result.exit_code == 2
    assert not result.stdout
    assert "Traceback" not in result.output


def test_paper_has_the_curve_and_its_limits(tmp_path: Path) -> None:
    page = tmp_path / "risk.html"
    result = call("--fallow", "reef", "--paper", str(page))
    assert result.exit_code == 0, result.output
    text = page.read_text("utf-8")
    assert text.count("<svg") == 1
    assert "a model, not a guarantee" in text


def test_plain_is_one_record_a_line() -> None:
    found = call("--fallow", "reef", "--plain").stdout.splitlines()
    assert any(line.startswith("45\t") for line in found)
