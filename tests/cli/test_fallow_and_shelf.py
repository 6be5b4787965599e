"""`pratique fallow`, `pratique shelf` and the warning of `pratique check`, as they are typed."""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from first_rooms import history, house_text
from pratique.cli.main import cli
from pratique.logbook.file import append
from pratique.room.load import load_room

FRIDAY = "2027-03-05T17:00"


@pytest.fixture
def room(tmp_path: Path) -> Path:
    return written(tmp_path, None)


def written(folder: Path, changes: dict[str, Any] | None) -> Path:
    file = folder / "fishroom.yaml"
    file.write_text(house_text(changes), "utf-8")
    return file


def call(file: Path, *words: str, at: str = FRIDAY) -> Result:
    return CliRunner().invoke(cli, [*words, "--room", str(file), "--at", at])


def log(file: Path, *lines: str) -> None:
    room, problems = load_room(file)
    assert room is not None, problems
    append(file.with_suffix(".log.jsonl"), history(room, lines).log.entries)


def answer(file: Path, *words: str, at: str = FRIDAY) -> dict[str, Any]:
    found = call(file, *words, "--json", at=at)
    assert found.exit_code == 0, found.output
    whole: dict[str, Any] = json.loads(found.stdout)
    return whole


def test_a_fallow_from_what_was_logged(room: Path) -> None:
    """1 February 10:00 and 76 d of 24 h (agents.md 16): 18 April 10:00 by winter time, 11:00 on the clock of summer."""
    log(
        room,
        "move Lemon from reef to ward at 2027-01-20T10:00",
        "move 2 ocellaris clownfish from frags to ward at 2027-02-01T10:00",
    )
    found = answer(room, "fallow", "frags")["result"]
    assert (found["basis"], found["tanks"], found["fish"]) == ("log", ["reef", "frags"], [])
    assert found["end"] == "2027-04-18T11:00:00+01:00"
    assert found["ends_with"] == "cryptocaryon"
    assert [animal["animal"] for animal in found["animals"]] == ["cleaner shrimp", "torch coral"]


def test_the_water_may_be_named_and_the_agent_by_its_trade_name(room: Path) -> None:
    found = answer(room, "fallow", "reef system", "--of", "velvet", "--of", "uronema")["result"]
    assert [agent["pathogen"] for agent in found["agents"]] == ["amyloodinium", "uronema"]
    assert found["agents"][1]["end"] is None
    assert found["agents"][1]["why_no_date"]


def test_fish_in_it_are_said_first_and_warned_of(room: Path) -> None:
    found = call(room, "fallow", "reef")
    assert found.exit_code == 0
    assert "the clock stands at 0" in found.stdout
    assert "X720" in found.stderr
    whole = answer(room, "fallow", "reef")
    assert whole["result"]["days"]["value"] == 0
    assert whole["result"]["fish"] == ["Lemon", "ocellaris clownfish"]


def test_only_agents_without_a_period_have_no_end(room: Path) -> None:
    found = answer(room, "fallow", "reef", "--of", "uronema")["result"]
    assert (found["end"], found["ends_with"], found["may_come_in"]) == (None, None, [])
    assert "no date" in call(room, "fallow", "reef", "--of", "uronema").stdout


def test_too_cold_for_one_of_them_is_no_end_for_all(tmp_path: Path) -> None:
    cold = written(tmp_path, {"waters": {"reef system": {"temperature": "22 degC"}}})
    assert answer(cold, "fallow", "reef")["result"]["end"] is None
    shown = call(cold, "fallow", "reef").stdout
    assert "too cold for velvet" in shown


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("fallow", "reff"), "did you mean `reef`"),
        (("fallow", "reef", "--of", "velvit"), "did you mean `velvet`"),
        (("fallow", "reef", "--from", "20/02/2027"), "--from"),
        (("fallow", "reef", "--from", "2027-02-30"), "--from"),
        (("shelf", "--days", "0"), "--days"),
    ],
)
def test_a_wrong_word_gives_no_date(room: Path, words: tuple[str, ...], says: str) -> None:
    found = call(room, *words)
    assert found.exit_code == 2
    assert says in found.stderr
    assert not found.stdout


def test_a_day_that_lies_ahead_is_a_plan(room: Path) -> None:
    found = answer(room, "fallow", "reef", "--from", "2027-03-10")["result"]
    assert found["basis"] == "if"
    assert found["end"].startswith("2027-05-25"), "10 March and 76 days"


def test_friday_evening_without_the_medicine(tmp_path: Path) -> None:
    """75 L × 2.25 mg/L ÷ 10 mg/mL = 16.875 mL (16.86 by syringe), said by `shelf`; `check` warns, the room is sound."""
    file = written(tmp_path, {"shelf": {"chelate": None}})
    checked = call(file, "check")
    assert checked.exit_code == 0
    assert "X740" in checked.stderr
    whole = answer(file, "shelf")
    copper = next(row for row in whole["result"]["tonight"] if row["treatment"] == "copper-chelated")
    assert (copper["enough"], copper["need"]["value"]) == (False, pytest.approx(16.86))
    assert whole["result"]["can_answer_tonight"] is False
    assert [problem["code"] for problem in whole["problems"]] == ["X740"]
    assert "velvet could not be answered: no medicine" in " ".join(call(file, "shelf").stdout.split())


def test_a_room_with_everything_is_warned_of_nothing(room: Path) -> None:
    assert "X740" not in call(room, "check").stderr
    assert answer(room, "shelf")["problems"] == []


def test_what_the_log_took_out_of_a_bottle_is_gone_from_tonight_too(room: Path) -> None:
    """250 mL less 240 leave 10 mL, and the first night takes 16.875 in all."""
    log(room, "spoiled chelate 240 mL")
    whole = answer(room, "shelf")["result"]
    line = next(line for line in whole["plan"] if line["name"] == "chelate")
    assert line["have"]["value"] == 10
    copper = next(row for row in whole["tonight"] if row["treatment"].startswith("copper") if row["treatment"])
    assert copper["enough"] is False


def test_the_log_counts_tests_down(tmp_path: Path) -> None:
    file = written(tmp_path, {"kits": {"ammonia drops": {"left": "5"}}})
    log(file, "reading ward ammonia 0 mg/L", "reading reef ammonia 0 mg/L")
    line = next(line for line in answer(file, "shelf")["result"]["plan"] if line["name"] == "ammonia drops")
    assert line["have"] == {"value": 3, "unit": "test"}


def test_cost_is_shown_only_where_a_price_is(tmp_path: Path) -> None:
    """The ward is filled with 75 L, and 15 mL of copper go into it; 10 mL are there and a pack has 50."""
    batch = {
        "trust": "untrusted", "arrives": "2027-03-06T18:00", "regimen": "copper-hold", "into": "reef",
        "animals": [{"species": "kole tang", "size": "9 cm"}],
    }  # fmt: skip
    watch = {"use": "observation", "salinity": "35 g/kg", "temperature": "25 degC", "volume": {"measured": "100 L"}}
    changes: dict[str, Any] = {"batches": {"tangs": batch}, "tanks": {"watch": watch}}
    plain = written(tmp_path, {**changes, "shelf": {"chelate": {"left": "10 mL"}}})
    assert answer(plain, "shelf")["result"]["cost"] == {}
    assert "cost" not in call(plain, "shelf").stdout.lower()
    priced = written(tmp_path, {**changes, "shelf": {"chelate": {"left": "10 mL", "price": "9.90 crown per 50 mL"}}})
    found = answer(priced, "shelf")["result"]
    line = next(line for line in found["plan"] if line["name"] == "chelate")
    packs = -(-line["short"]["value"] // 50)
    assert line["packs"] == packs
    assert found["cost"] == {"crown": str(Decimal("9.90") * int(packs))}
    assert "crown" in call(priced, "shelf").stdout


def test_a_sum_of_days_is_not_said_of_a_water_with_fish(room: Path) -> None:
    found = call(room, "fallow", "reef", "--from", "2027-02-01")
    assert "the clock stands at 0" in found.stdout
    assert "days without fish" not in found.stdout
    assert answer(room, "fallow", "reef", "--from", "2027-02-01")["result"]["days"]["value"] == 0
