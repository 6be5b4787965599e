"""What is bought for tonight: what lacks, not a second bottle of what stands on the shelf without its kit."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from schedule_rooms import as_yaml, batch, room_data, tank

AT = ("--at", "2027-03-01T20:00")


def asked(folder: Path, data: dict[str, Any], *words: str) -> Result:
    path = folder / "fishroom.yaml"
    path.write_text(as_yaml(data), encoding="utf-8")
    return CliRunner().invoke(cli, [*words, "--room", str(path), *AT], env={"COLUMNS": "160", "NO_COLOR": "1"})


def with_shelf(left: str = "240 mL", **sections: Any) -> dict[str, Any]:
    """A reef with a clownfish, a bare tub with nobody in it, salt for a sea, and a bottle of copper."""
    data = room_data(
        tanks={"reef": tank("display"), "tub": tank("reserve")},
        animals=[{"species": "ocellaris clownfish", "tank": "reef"}],
        batches={"first": batch("2027-03-25T18:30", into="reef")},
        salt={"left": "20 kg"},
        **sections,
    )
    data["shelf"] = {"copper bottle": {**data["shelf"]["copper bottle"], "left": left}}
    return data


def velvet(folder: Path, data: dict[str, Any]) -> tuple[str, str]:
    """What X740 says and hints."""
    problems = json.loads(asked(folder, data, "check", "--json").stdout)["problems"]
    found = next(problem for problem in problems if problem["code"] == "X740")
    return found["message"].partition("tonight: ")[2], found["hint"].removeprefix("get ")


def test_copper_without_its_kit_wants_the_kit(tmp_path: Path) -> None:
    said, hint = velvet(tmp_path, with_shelf(kits={}))
    assert said == "no kit that reads the copper"
    assert "copper (ethanolamine type)" not in hint


def test_too_little_copper_wants_more_of_it(tmp_path: Path) -> None:
    said, hint = velvet(tmp_path, with_shelf("2 mL"))
    assert said == "too little of `copper bottle`"
    assert hint.startswith("more of `copper bottle`; ")


def test_no_copper_and_no_kit_wants_both(tmp_path: Path) -> None:
    data = with_shelf(kits={})
    data["shelf"] = {}
    said, hint = velvet(tmp_path, data)
    assert said == "no medicine that is held, no kit that reads the copper"
    assert hint.startswith("chelated copper (ethanolamine type), such as 10 mg/mL as Cu, and a kit that reads total")


def test_a_kit_that_is_there_is_not_bought_again(tmp_path: Path) -> None:
    data = with_shelf()
    data["shelf"] = {}
    _, hint = velvet(tmp_path, data)
    assert hint.startswith("chelated copper (ethanolamine type), such as 10 mg/mL as Cu; ")


def test_what_should_be_there_already_is_bought_today(tmp_path: Path) -> None:
    """By the delivery it was to be ordered on a day that is past."""
    data = with_shelf("2 mL", room={"delivery": "5 d"})
    data["tanks"]["ward"] = tank("ward")
    data["batches"] = {"first": batch("2027-03-02T18:30", into="reef")}
    found = asked(tmp_path, data, "shelf")
    assert "the plan      short of copper bottle" in found.stdout
    assert "; the first today\n" in found.stdout
    assert "buy it today; `pratique log bought` writes it down" in found.stderr


@pytest.mark.parametrize(("litres", "said"), [("10 L", "too little salt water, and salt"), (None, "no salt water")])
def test_some_salt_water_is_not_none(tmp_path: Path, litres: str | None, said: str) -> None:
    mixed = [{"volume": litres, "salinity": "35 g/kg"}] if litres else []
    data = with_shelf(mixed_water=mixed)
    data["salt"] = {"left": "100 g"}
    assert velvet(tmp_path, data)[0] == said


def test_the_evening_names_the_copper_that_has_to_follow_the_bath(tmp_path: Path) -> None:
    """Velvet is held back by a bath for a night: what ends it is begun as soon as it is bought."""
    data = with_shelf("2 mL", vessels={"bucket": "10 L"})
    data["shelf"]["peroxide"] = {"active": "peroxide", "strength": "3 % w/v as H2O2", "left": "1 L"}
    data["tanks"]["reef"] |= {"substrate": "calcareous", "rock": "calcareous"}
    page = asked(tmp_path, data, "signs", "reef", "dust", "fast breathing", "--plain").stdout
    told = " ".join(page.split())
    assert "copper, chelated into tub as soon as what lacks is there: hydrogen peroxide bath leaves cysts" in told
    assert "pratique dose tub copper-chelated" in told
    assert "not in reef itself (60.0 L): the medicine is refused there, D404" in told


def test_no_evening_sends_copper_where_the_keeper_forbids_it(tmp_path: Path) -> None:
    data = with_shelf("2 mL", vessels={"bucket": "10 L"})
    data["shelf"]["peroxide"] = {"active": "peroxide", "strength": "3 % w/v as H2O2", "left": "1 L"}
    data["tanks"]["tub"]["never"] = "copper"
    for left in ("2 mL", "240 mL"):
        data["shelf"]["copper bottle"]["left"] = left
        page = asked(tmp_path, data, "signs", "reef", "dust", "fast breathing", "--plain").stdout
        assert "copper, chelated into tub" not in page
    told = asked(tmp_path, data, "dose", "tub", "copper-chelated")
    assert told.exit_code == 1
    assert "D498" in told.stderr


def test_the_evening_has_no_such_line_where_copper_goes_in(tmp_path: Path) -> None:
    page = asked(tmp_path, with_shelf(vessels={"bucket": "10 L"}), "signs", "reef", "dust", "fast breathing").stdout
    assert "into tub" in page
    assert "as soon as what lacks is there" not in page
