"""`dose` with `--readings`, `--added` and `--claim` as their user meets them: pages, JSON, refusals, both streams."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from pratique.knowledge import store

TOP = Path(__file__).parents[2]
HARBOUR = str(TOP / "examples/harbour-lane/fishroom.yaml")
EVIDENCE = TOP / "src/pratique/dosing/evidence"
CHELATED = ("ward", "copper-chelated", "--off", "uv")
FALLING = "2027-03-03T08:00 2.40 mg/L, 2027-03-04T08:00 2.30 mg/L, 2027-03-04T20:00 2.25 mg/L"
SPREAD = "2027-03-03T08:00 2.30 mg/L, 2027-03-04T08:00 2.05 mg/L, 2027-03-04T20:00 2.2 mg/L"
POURED = "15 mL of copper bottle at 2027-03-03T08:00"
BEFORE = "2027-03-03T07:00 0 mg/L"


def call(*words: str, room: str = HARBOUR, at: str = "2027-03-05T08:00") -> Result:
    result = CliRunner().invoke(cli, ["dose", *words, "--at", at, "--room", room], env={"COLUMNS": "100"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def answer(*words: str, room: str = HARBOUR, at: str = "2027-03-05T08:00") -> dict[str, Any]:
    found: dict[str, Any] = json.loads(call(*words, "--json", room=room, at=at).stdout)
    return found


@pytest.fixture
def room_without(tmp_path: Path):
    """The example room with keys replaced; None takes a key out."""

    def make(**changes: Any) -> str:
        data = yaml.load(Path(HARBOUR).read_text("utf-8"), Loader=yaml.BaseLoader)
        for path, value in changes.items():
            *way, last = path.split("__")
            place = data
            for step in way:
                place = place[step]
            if value is None:
                del place[last]
            else:
                place[last] = value
        file = tmp_path / "fishroom.yaml"
        file.write_text(yaml.safe_dump(data, sort_keys=False, allow_unicode=True), "utf-8")
        return str(file)

    return make


REFUSED = {
    "D500": ("--readings", "2027-03-05T08:00 2.1"),
    "D501": ("--readings", "2027-03-03T08:00 2.1 mg/L"),
    "D503": ("--readings", f"{FALLING}, 2027-03-06T08:00 2.2 mg/L"),
    "D506": ("--added", "10 mL at eight", "--readings", FALLING),
    "D507": ("--added", POURED),
    "D508": ("--added", POURED, "--readings", "2027-03-03T07:00 2 mg/L, 2027-03-04T08:00 2 mg/L"),
    "D511": ("--claim", "2 drops per gallon gives 0.1 mg/L"),
    "D512": ("--claim", "20 drops per 10 L gives 0.15 mg/L"),
    "D513": ("--claim", "1 g per 10 L gives 0.15 mg/L"),
    "D515": ("--readings", "2027-03-03T08:00 2.3 mg/L, 2027-03-04T08:00 0.23 mg/L, 2027-03-04T20:00 2.2 mg/L"),
}

WARNED = {
    "D504": ("--readings", SPREAD),
    "D505": ("--readings", "2027-03-03T08:00 2.0 mg/L, 2027-03-04T08:00 2.3 mg/L"),
    "D509": ("--added", POURED, "--readings", f"{BEFORE}, 2027-03-03T12:00 1.7 mg/L, 2027-03-04T08:00 1.7 mg/L"),
    "D510": ("--added", POURED, "--readings", f"{BEFORE}, 2027-03-03T20:00 1.65 mg/L, 2027-03-04T08:00 1.4 mg/L"),
    "D514": ("--claim", "1 mL per 10 gal_us gives 1 mg/L"),
}


@pytest.mark.parametrize("code", REFUSED)
def test_a_refusal_fires_and_gives_no_number(code: str) -> None:
    words = (*CHELATED, *REFUSED[code])
    result = call(*words)
    assert result.exit_code == 1
    assert result.stdout == ""
    assert f"error[{code}]" in result.stderr
    assert re.search("no level was worked out|no volume was worked out|the claim was not judged", result.stderr)
    found = answer(*words)
    assert found["result"] is None
    assert found["refusal"]["code"] == code
    assert found["refusal"]["hint"]


def test_a_reading_without_an_error_is_refused(room_without) -> None:
    room = room_without(**{"kits__copper meter": {"measures": "copper", "forms": "chelated"}})
    result = call(*CHELATED, "--readings", FALLING, room=room)
    assert (result.exit_code, result.stdout) == (1, "")
    assert "error[D502]" in result.stderr


@pytest.mark.parametrize("code", WARNED)
def test_a_warning_fires_beside_the_answer(code: str) -> None:
    words = (*CHELATED, *WARNED[code])
    result = call(*words)
    assert result.exit_code == 0, result.stderr
    assert result.stdout
    assert f"warning[{code}]" in result.stderr
    assert code in [problem["code"] for problem in answer(*words)["problems"]]


def test_every_code_of_the_evidence_has_a_page_and_fires_here() -> None:
    texts = [path.read_text("utf-8") for path in EVIDENCE.glob("*.py")]
    emitted = {code for text in texts for code in re.findall(r'"(D5[01][0-9])"', text)}
    assert emitted == {*REFUSED, *WARNED, "D502"}
    for code in emitted:
        severity = "warning" if code in WARNED else "error"
        assert store.codes()[code].severity == severity


@pytest.mark.parametrize(
    "words",
    [
        ("--claim", "1 mL per 5 L gives 2 mg/L", "--readings", FALLING),
        ("--claim", "1 mL per 5 L gives 2 mg/L", "--added", POURED),
        ("--reading", "2.1 mg/L", "--readings", FALLING),
        ("--reading", "2.1 mg/L", "--added", POURED, "--readings", FALLING),
        ("--readings", FALLING, "--prescription", "any"),
    ],
)
def test_two_questions_at_once_are_a_wrong_command_line(words: tuple[str, ...]) -> None:
    result = call(*CHELATED, *words)
    assert result.exit_code == 2
    assert result.stdout == ""


@pytest.mark.parametrize("option", ["--readings", "--added", "--claim"])
def test_a_salinity_has_no_part_in_them(option: str) -> None:
    assert call("ward", "hyposalinity", option, "x").exit_code == 2


class TestLevel:
    def test_the_page_says_what_is_left_until_when_and_what_comes_next(self) -> None:
        page = call(*CHELATED, "--readings", FALLING).stdout
        for words in ("level now", "under 2", "half gone in", "What the readings say", "The next dose", "Cautions"):
            assert words in page
        assert "no figure is on file for how long it lasts" in page

    def test_json_has_the_keys_of_a_dose_and_the_level(self) -> None:
        result = answer(*CHELATED, "--readings", FALLING.replace("mg/L", "mg/L ± 1 %"))["result"]
        plain = answer(*CHELATED)["result"]
        assert set(plain) < set(result)
        level = result["level"]
        assert level["basis"] == "readings"
        assert level["now"]["low"] < level["now"]["value"] < level["now"]["high"]
        assert result["before"]["value"] == level["now"]["value"]
        assert level["falls_below"]["earliest"] < level["falls_below"]["about"] < level["falls_below"]["latest"]
        assert level["curves"]["half_life"]["unit"] == "h"
        assert level["curves"]["rate"]["unit"] == "1/h"
        assert [reading["at"] for reading in level["readings"]] == sorted(r["at"] for r in level["readings"])

    def test_readings_from_a_file_are_the_same(self, tmp_path: Path) -> None:
        path = tmp_path / "ward.txt"
        path.write_text("# copper\n" + FALLING.replace(", ", "\n") + "\n")
        assert answer(*CHELATED, "--readings", str(path)) == answer(*CHELATED, "--readings", FALLING)

    def test_a_mistake_in_a_file_is_shown_in_its_line(self, tmp_path: Path) -> None:
        path = tmp_path / "ward.txt"
        path.write_text("2027-03-03T08:00 2.40 mg/L\n2027-03-04T08:00 2.30\n")
        result = call(*CHELATED, "--readings", str(path))
        assert "ward.txt:2:18" in result.stderr
        assert "^^^^" in result.stderr
        assert "1 error in fishroom.yaml" not in result.stderr

    def test_where_no_dose_may_be_given_the_level_is_shown_all_the_same(self) -> None:
        result = call("ward", "copper-chelated", "--readings", FALLING)  # the lamp is on
        assert result.exit_code == 1
        assert "level now" in result.stdout
        assert "— see D412" in result.stdout
        assert "error[D412]" in result.stderr
        found = answer("ward", "copper-chelated", "--readings", FALLING)
        assert set(found["result"]) == {"tank", "treatment", "form", "level"}

    def test_a_drug_that_goes_is_never_shown_as_lasting(self) -> None:
        text = "2027-03-03T08:00 2.0 mg/L ± 10 %, 2027-03-04T08:00 2.0 mg/L ± 10 %"
        level = answer("ward", "praziquantel-bath", "--off", "uv", "--readings", text)["result"]["level"]
        assert level["now"]["low"] == 0
        assert level["published"]["gone_after"] == {"low": 168, "high": 216, "unit": "h"}
        assert level["published"]["gone_after_repeat"] == {"low": 24, "high": 72, "unit": "h"}

    def test_the_published_time_is_named_as_such(self) -> None:
        words = ("ward", "praziquantel-bath", "--off", "uv", "--readings", "2027-03-03T08:00 2.0 mg/L ± 10 %")
        page = call(*words).stdout
        assert "the published time ¹ after 1 reading" in page
        assert "THOM16" in page
        assert answer(*words)["result"]["level"]["basis"] == "published"

    def test_settling_is_a_moment_and_two_levels(self) -> None:
        text = "2027-03-05T04:00 150 uL/L ± 5 %, 2027-03-05T07:00 130 uL/L ± 5 %"
        level = answer("ward", "formalin-bath", "--off", "uv", "--readings", text)["result"]["level"]
        assert level["curves"]["told"] is False
        assert level["settles"]["question"] == "model"
        assert level["settles"]["at"] > "2027-03-05T08:00"
        assert level["settles"]["one"] != level["settles"]["other"]


class TestVolume:
    def test_the_page_holds_found_against_stated(self) -> None:
        result = call(*CHELATED, *WARNED["D509"])
        for words in ("by the rise", "stated", "gap", "What it means"):
            assert words in result.stdout
        assert "fishroom.yaml:59" in result.stderr
        assert "mend the line `volume` of `ward`" in result.stderr

    def test_json(self) -> None:
        result = answer(*CHELATED, *WARNED["D509"])["result"]
        volume = result["volume"]
        assert volume["active"] == {"value": 150, "unit": "mg", "low": 147.5, "high": 152.5}
        assert volume["found"]["value"] == pytest.approx(150 / 1.7)
        assert volume["found"]["unit"] == "L"
        assert volume["gap"] == pytest.approx(volume["found"]["value"] / volume["stated"]["value"] - 1)
        assert (volume["cause"], volume["agrees"]) == ("volume", False)


class TestClaim:
    def test_a_claim_that_holds(self) -> None:
        result = call(*CHELATED, "--claim", "1 mL per 5 L gives 2 mg/L")
        assert result.exit_code == 0
        assert "it holds within a fifth" in result.stdout
        assert "The right dose for this tank" in result.stdout

    def test_json(self) -> None:
        claim = answer(*CHELATED, *WARNED["D514"])["result"]["claim"]
        assert claim["gives"]["value"] == pytest.approx(10 / 37.85411784)
        assert claim["ratio"] == pytest.approx(3.785411784)
        assert claim["holds"] is False
        assert claim["slip"].startswith("3.785 × is mg per US gallon")
        assert claim["followed"]["value"] == pytest.approx(2.25 / 3.785411784)


class TestSpread:
    def test_every_dose_says_how_much_of_its_range_is_inside(self, room_without) -> None:
        assert "all of it inside the band" in call(*CHELATED).stdout
        result = answer(*CHELATED)["result"]
        assert result["inside"] == 1
        wide = room_without(tanks__ward__volume={"nominal": "75 L"})
        found = answer(*CHELATED, room=wide)["result"]
        assert 0 < found["inside"] < 1
        assert found["better_first"][0]["what"] == "volume"
        assert {"what", "width", "known", "advice"} == set(found["better_first"][0])
        page = call(*CHELATED, room=wide).stdout
        assert "of that inside the band" in page
        assert "To measure better, the most telling first" in page

    def test_a_level_at_the_floor_of_its_band_says_why_half_may_miss_it(self, room_without) -> None:
        amine = room_without(**{"shelf__copper bottle__form": "amine"})
        page = " ".join(call("ward", "copper-amine", "--off", "uv", room=amine).stdout.split())
        assert "the level aimed for is the lowest that counts" in page
        assert "where it reads under 0.500 mg/L, `--reading` tops it up, never over 0.600 mg/L" in page
        assert "the lowest that counts" not in call(*CHELATED).stdout

    def test_a_treatment_of_one_level_has_no_share(self) -> None:
        assert answer("ward", "praziquantel-bath", "--off", "uv")["result"]["inside"] is None

    def test_amounts_are_shown_no_finer_than_the_syringes(self, room_without) -> None:
        room = room_without(syringes={"jug": {"volume": "50 mL", "step": "1 mL"}})
        page = " ".join(call(*CHELATED, room=room).stdout.split())
        assert "add now 15 mL" in page
        assert "take one with steps of 0.1 mL or less" in page  # the second step is 1.88 mL
        unrounded = call(*CHELATED, room=room_without(syringes=None)).stdout
        assert re.search(r"add now +15\.0 mL", unrounded)
        assert "To measure at all" not in unrounded

    def test_a_weaker_stock_is_offered_where_the_reference_has_one(self, room_without) -> None:
        bottle = {"active": "copper", "form": "ionic", "strength": "20 mg/mL as Cu"}
        room = room_without(**{"shelf__blue stock": bottle}, syringes={"only": {"volume": "10 mL", "step": "0.1 mL"}})
        page = " ".join(call("ward", "copper-ionic", "--off", "uv", room=room).stdout.split())
        assert "mix 1 mL of the bottle with 9 mL of pure water and dose 2.1 mL of that" in page
        assert "derived here: treatments 1, stock 1 and 2" in page
