"""`pratique water` as its user meets it: pages, objects, refusals, slips of the command line."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import pratique
from pratique.cli.main import cli
from pratique.cli.water import GOES_WITH
from water_rooms import BIN, NOBODY, ONE_FISH, write_room

AT = ["--at", "2027-03-08T18:00"]
SOURCE = Path(pratique.__file__).parent
HELD = {"tanks__q1__holds": [{"treatment": "copper-chelated"}]}
UNKNOWN = {"tanks__q1__salinity": None, "tanks__q1__temperature": None, "tanks__q1__ph": None}

Call = Callable[..., Result]

QUESTIONS: dict[str, list[str]] = {
    "state": [],
    "ammonia": ["--ammonia", "0.5 mg/L"],
    "nitrite": ["--nitrite", "1 mg/L"],
    "to": ["--to", "30 g/kg"],
    "mix": ["--mix", "20 L at 30 g/kg, 22 degC"],
    "salt": ["--salt", "60 L at 35 g/kg"],
    "bag": ["--bag", "1.019 sg at 24 degC"],
}


@pytest.fixture
def call(tmp_path: Path) -> Call:
    """`pratique water q1` with words, in the sound room with changes."""

    def run(*words: str, command: tuple[str, ...] = ("water", "q1"), **changes: Any) -> Result:
        path = write_room(tmp_path, **changes)
        return CliRunner().invoke(cli, [*command, *words, *AT, "--room", path], env={"COLUMNS": "100", "NO_COLOR": "1"})

    return run


@pytest.fixture
def answer(call: Call) -> Callable[..., dict[str, Any]]:
    def run(*words: str, **changes: Any) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(call(*words, "--json", **changes).stdout)
        return found

    return run


# --- every question -----------------------------------------------------------------------------------


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_question_has_a_page_with_its_amounts_first(call: Call, question: str) -> None:
    result = call(*QUESTIONS[question], **NOBODY)
    assert result.exit_code == 0, result.stderr
    assert result.stderr == ""
    head = result.stdout.split("\n\n")[1]
    assert re.search(r"\d", head.splitlines()[0]), head


@pytest.mark.parametrize("question", QUESTIONS)
def test_working_adds_the_sum(call: Call, question: str) -> None:
    plain, worked = (call(*QUESTIONS[question], *more, **NOBODY).stdout for more in ([], ["--working"]))
    assert "Working" not in plain
    assert "\nWorking\n" in worked


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_object_has_the_keys_of_the_contract(answer: Callable[..., dict[str, Any]], question: str) -> None:
    found = answer(*QUESTIONS[question], **NOBODY)
    assert set(found) == {"pratique", "command", "at", "room", "problems", "cautions", "refusal", "result"}
    assert found["command"] == "water"
    result = found["result"]
    assert (result["tank"], result["question"]) == ("q1", question)
    assert {"notes", "working", "sources"} <= set(result)
    assert all(set(step) == {"label", "expression", "result", "source"} for step in result["working"])
    assert all(set(source) == {"key", "where", "confidence"} for source in result["sources"])


UNITS = {"L", "mL", "g", "mg", "mg/L", "degC", "g/kg", "h", "d", "sg", "pH", "%"}


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_quantity_has_a_known_unit_and_its_ends_in_order(
    answer: Callable[..., dict[str, Any]], question: str
) -> None:
    def walk(tree: Any) -> None:
        if isinstance(tree, list):
            for entry in tree:
                walk(entry)
        elif isinstance(tree, dict):
            if "unit" in tree:
                assert tree["unit"] in UNITS
                if {"low", "high", "value"} <= set(tree):
                    assert tree["low"] <= tree["value"] <= tree["high"]
            for entry in tree.values():
                walk(entry)

    walk(answer(*QUESTIONS[question], **BIN)["result"] or {})


def test_the_questions_of_the_tests_are_those_of_the_command() -> None:
    assert set(QUESTIONS) == set(GOES_WITH)


# --- the state ----------------------------------------------------------------------------------------


def test_the_state_of_a_tank(answer: Callable[..., dict[str, Any]]) -> None:
    result = answer(**ONE_FISH, **BIN)["result"]
    assert result["water"] == {"value": 200, "unit": "L", "low": 199, "high": 201}
    assert result["salinity"] == {"value": 34, "unit": "g/kg"}
    assert result["gravity"]["value"] == pytest.approx(1.0255, abs=0.0001)
    assert result["oxygen_at_saturation"]["value"] == pytest.approx(6.82, abs=0.01)
    assert result["living_filter"] is None
    assert result["animals"] == [{"name": "yellow tang", "count": 1}]
    assert result["mass"]["value"] == 28
    seen = result["forecast"]
    assert seen["rise_a_day"]["value"] == pytest.approx(0.84 * 0.45 * 0.092 * 1000 / 200)
    assert seen["to_correct"]["unit"] == "h"
    assert seen["to_correct"]["value"] < seen["to_harm"]["value"]
    assert seen["daily_change"] is None
    assert seen["likely_daily_change"]["volume"]["value"] == pytest.approx(
        2 * seen["likely_daily_change"]["share"]["value"]
    )
    assert result["mixed_water"][0]["share"] == {"value": 15, "unit": "%"}


def test_food_that_was_weighed_out(answer: Callable[..., dict[str, Any]]) -> None:
    seen = answer("--food", "0.5 g")["result"]["forecast"]
    assert seen["food_a_day"] == {"value": 0.5, "unit": "g"}
    assert seen["daily_change"]["share"]["value"] == pytest.approx(100 * 20.7 / 199 / 0.3067, rel=0.01)


def test_what_is_not_known_is_a_dash_and_null_never_a_number(
    call: Call, answer: Callable[..., dict[str, Any]]
) -> None:
    shown = call(**UNKNOWN, **ONE_FISH)
    assert shown.exit_code == 0
    for label in ("salinity", "temperature", "pH", "oxygen"):
        assert re.search(rf"^  {label} +—$", shown.stdout, re.M), label
    assert "Ammonia from the food" not in shown.stdout
    result = answer(**UNKNOWN, **ONE_FISH)["result"]
    for key in ("salinity", "gravity", "temperature", "ph", "oxygen_at_saturation", "forecast"):
        assert result[key] is None


def test_a_water_of_several_tanks_is_told_as_one(call: Call) -> None:
    tank = {"use": "ward", "water": "both", "volume": {"measured": "100 L"}}
    shown = call(waters={"both": {"salinity": "34 g/kg"}}, tanks={"q1": tank, "q2": tank}).stdout
    assert re.search(r"^  water +both: q1, q2$", shown, re.M)


# --- readings -----------------------------------------------------------------------------------------


def test_the_kit_on_file_gives_the_reading_its_error(answer: Callable[..., dict[str, Any]]) -> None:
    kit = {"kits": {"drops": {"measures": "ammonia", "resolution": "0.25 mg/L"}}}
    result = answer("--ammonia", "0.5 mg/L", "--as", "N", **kit)["result"]
    assert result["kit"] == "drops"
    assert result["total"] == {"value": 0.5, "unit": "mg/L", "low": 0.375, "high": 0.625}
    assert answer("--ammonia", "0.5 mg/L ± 0.01 mg/L", **kit)["result"]["kit"] is None
    past = {"kits": {"drops": kit["kits"]["drops"] | {"expires": "2027-03-07"}}}
    assert answer("--ammonia", "0.5 mg/L", **past)["result"]["kit"] is None


def test_the_finest_kit_is_taken(answer: Callable[..., dict[str, Any]]) -> None:
    kits = {
        "drops": {"measures": "ammonia", "resolution": "0.25 mg/L"},
        "meter": {"measures": "ammonia", "error": "5 %"},
        "unknown": {"measures": "ammonia"},
        "other": {"measures": "nitrite", "error": "1 %"},
    }
    assert answer("--ammonia", "0.5 mg/L", kits=kits)["result"]["kit"] == "meter"


def test_readings_taken_now_stand_before_the_file(answer: Callable[..., dict[str, Any]]) -> None:
    words = ("--ammonia", "0.5 mg/L", "--ph", "8.4 ± 0.1", "--temperature", "20 degC", "--salinity", "30 g/kg")
    result = answer(*words, **UNKNOWN)["result"]
    assert result["ph"] == {"value": 8.4, "unit": "pH", "low": 8.3, "high": 8.5}
    assert result["temperature"] == {"value": 20, "unit": "degC"}
    assert result["salinity"] == {"value": 30, "unit": "g/kg"}
    assert result["assumed"] == ["basis"]


def test_an_unknown_ph_is_said_on_the_page(call: Call) -> None:
    shown = call("--ammonia", "0.5 mg/L", tanks__q1__ph=None).stdout
    assert "8.4, not known and so taken as high" in shown
    assert "pH is not known and counts as high (8.4)" in shown


def test_the_change_that_brings_it_back(answer: Callable[..., dict[str, Any]]) -> None:
    change = answer("--ammonia", "1 mg/L", "--as", "NH3")["result"]["change"]
    assert change["volume"]["value"] == pytest.approx(2 * change["share"]["value"])
    assert change["total_after"]["value"] == pytest.approx(0.02 / 0.0532, rel=0.01)


@pytest.mark.parametrize(
    ("litres", "said"), [(None, "no mixed water on file"), ("20 L", "mix"), ("190 L", "190.0 L, enough")]
)
def test_mixed_water_for_the_change(call: Call, litres: str | None, said: str) -> None:
    bins = {"mixed_water": [{"volume": litres, "salinity": "34 g/kg"}]} if litres else {}
    assert said in call("--ammonia", "1 mg/L", **bins).stdout


def test_a_medicine_marks_the_reading_everywhere(call: Call, answer: Callable[..., dict[str, Any]]) -> None:
    shown = call("--ammonia", "0.5 mg/L", **HELD)
    assert shown.exit_code == 0
    assert "unreliable with copper-chelated" in shown.stdout
    assert "warning[W809]" in shown.stderr
    assert answer("--ammonia", "0.5 mg/L", **HELD)["result"]["unreliable_with"] == ["copper-chelated"]


def test_nitrite_gives_no_verdict_and_no_fresh_water_limit(
    call: Call, answer: Callable[..., dict[str, Any]]
) -> None:
    assert "no limit for sea water is on file" in call("--nitrite", "1 mg/L").stdout
    result = answer("--nitrite", "1 mg/L", "--as", "NO2")["result"]
    assert (result["limit"], result["verdict"], result["judged_as"]) == (None, None, "sea water")
    assert result["chloride_for_each_nitrite"] == pytest.approx(result["chloride"]["value"])


# --- salinity -----------------------------------------------------------------------------------------


def test_the_steps_begin_at_the_moment_asked_for(answer: Callable[..., dict[str, Any]]) -> None:
    result = answer("--to", "1.0105 sg at 25 degC")["result"]
    assert result["steps"][0]["at"] == "2027-03-08T18:00:00+00:00"
    assert result["target"]["value"] == pytest.approx(14, abs=0.05)
    assert result["up_takes"]["value"] == pytest.approx(10, abs=0.05)
    assert all(step["watch_ph"] for step in result["steps"])


def test_raising_takes_days_and_says_so(call: Call) -> None:
    shown = call("--to", "34 g/kg", "--salinity", "14 g/kg", "--with", "20 L at 40 g/kg")
    assert shown.exit_code == 0
    assert re.search(r"up takes +10\.0 d at 2 g/kg a day", shown.stdout)
    assert "by the water there is" in shown.stdout
    assert "limited by the water there is" in shown.stdout


def test_the_treatment_has_the_same_table(call: Call, tmp_path: Path) -> None:
    path = write_room(tmp_path)
    words = [*AT, "--room", path, "--json"]
    dose = json.loads(CliRunner().invoke(cli, ["dose", "q1", "hyposalinity", *words]).stdout)
    move = json.loads(CliRunner().invoke(cli, ["water", "q1", "--to", "13 g/kg", *words]).stdout)
    down = [step for step in dose["result"]["steps"] if step["leg"] == "down"]
    assert down == move["result"]["steps"]
    assert dose["cautions"] == move["cautions"]
    keys = "tank treatment form product water before target band active add after steps change working sources"
    assert set(keys.split()) <= set(dose["result"])
    assert dose["command"] == "dose"
    assert dose["result"]["treatment"] == "hyposalinity"
    assert dose["result"]["band"] == {"low": 12, "high": 14, "unit": "g/kg"}
    assert {"at", "add", "after"} <= set(down[0])


def test_a_reading_and_a_target_of_the_treatment(call: Call) -> None:
    shown = call("--reading", "30 g/kg", "--target", "12 g/kg", "--working", command=("dose", "q1", "hyposalinity"))
    assert shown.exit_code == 0, shown.stderr
    assert re.search(r"before +30\.0 g/kg", shown.stdout)
    assert re.search(r"target +12\.0 g/kg", shown.stdout)
    assert "never with copper" in shown.stdout


@pytest.mark.parametrize("words", [["water", "q1", "--to", "13 g/kg"], ["dose", "q1", "hyposalinity"]])
def test_an_interlock_set_aside_is_on_the_page_and_in_the_object(call: Call, words: list[str]) -> None:
    shark = {"animals": [{"species": "bamboo shark", "tank": "q1"}]}
    reason = ("--because", "D473: the veterinarian asked for it")
    shown = call(*reason, command=tuple(words), **shark)
    assert shown.exit_code == 0, shown.stderr
    assert "because: the veterinarian asked for it" in " ".join(shown.stdout.split())
    assert "--because" in shown.stdout
    found = json.loads(call(*reason, "--json", command=tuple(words), **shark).stdout)
    assert found["result"]["overridden"][0]["code"] == "D473"


@pytest.mark.parametrize("words", [["--product", "prazi"], ["--change", "20 L"], ["--oxygen", "7 mg/L"]])
def test_what_has_no_part_in_the_treatment_is_a_slip(call: Call, words: list[str]) -> None:
    result = call(*words, command=("dose", "q1", "hyposalinity"))
    assert result.exit_code == 2
    assert "has no part in `hyposalinity`" in result.stderr


# --- pouring ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "salinity", "temperature"),
    [
        ("20 L at 30 g/kg", 30, None),
        ("20 L ± 1 L at 30 g/kg", 30, None),
        ("20 L at 30 g/kg, 22 degC", 30, 22),
        ("5 gal_us at 1.022 sg at 25 degC", 29.34, None),
        ("20 L at 1.022 sg at 25 degC, 72 degF", 29.34, 22.222),
        ("20 L at 1.022 sg at 25 degC, reference 60 degF", 32.0, None),
    ],
)
def test_so_much_of_a_water(
    answer: Callable[..., dict[str, Any]], text: str, salinity: float, temperature: float | None
) -> None:
    poured = answer("--mix", text)["result"]["poured"]
    assert poured["salinity"]["value"] == pytest.approx(salinity, abs=0.15)
    assert (poured["temperature"] or {}).get("value") == (temperature and pytest.approx(temperature, abs=0.01))


def test_the_shelf_is_weighed_against_the_batch(call: Call, answer: Callable[..., dict[str, Any]]) -> None:
    result = answer("--salt", "60 L at 35 g/kg", salt={"left": "14 kg"})["result"]
    assert result["left"] == {"value": 14000, "unit": "g"}
    assert result["salt"]["low"] < result["salt"]["value"] < result["salt"]["high"]
    short = call("--salt", "60 L at 35 g/kg", salt={"left": "2 kg"})
    assert short.exit_code == 0
    assert "warning[W808]" in short.stderr


def test_a_batch_that_arrives_today_does_not_stand_in_its_own_way(call: Call) -> None:
    batch = {"trust": "untrusted", "arrives": "2027-03-08T18:30", "animals": [{"species": "royal gramma"}]}
    tubs = {
        name: {"use": "transfer", "salinity": "34 g/kg", "volume": {"measured": "40 L"}, "lid": "yes"}
        for name in ("q1", "q2")
    }
    room: dict[str, Any] = {"animals": None, "tanks": tubs, "batches": {"new": batch}}
    today = call("--bag", "1.019 sg at 24 degC", **room)
    assert today.exit_code == 0, today.stderr


def test_living_rock_is_not_lowered_to_a_weak_bag(call: Call) -> None:
    rock = NOBODY | {"tanks__q1__rock": "calcareous"}
    weak = call("--bag", "1.010 sg at 24 degC", **rock)
    assert weak.exit_code == 1
    assert "error[D472]" in weak.stderr
    assert call("--bag", "1.019 sg at 24 degC", **rock).exit_code == 0


@pytest.mark.parametrize(
    ("bag", "said"),
    [("1.0256 sg at 25 degC", "near enough"), ("40 g/kg", "no fresh water helps"), ("25 g/kg", "take out")],
)
def test_a_bag_beside_its_tank(call: Call, bag: str, said: str) -> None:
    assert said in call("--bag", bag, **NOBODY).stdout


# --- slips of the command line ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--ammonia", "0.5 mg/L", "--nitrite", "1 mg/L"], "two questions"),
        (["--ammonia", "0.5"], "no unit"),
        (["--ammonia", "0.5 ppm"], "`ppm` does not say of what"),
        (["--ammonia=-1 mg/L"], "below 0 mg/L"),
        (["--ammonia", "0.5 mg/L", "--as", "NO2"], "unknown way of counting `NO2`"),
        (["--nitrite", "1 mg/L", "--as", "NH3"], "unknown way of counting `NH3`"),
        (["--ammonia", "0.5 mg/L", "--ph", "82"], "above 11"),
        (["--ammonia", "0.5 mg/L", "--temperature", "25 C"], "degC"),
        (["--ammonia", "0.5 mg/L", "--food", "2 g"], "--food has no part in --ammonia"),
        (["--nitrite", "1 mg/L", "--ph", "8"], "--ph has no part in --nitrite"),
        (["--as", "N"], "--as has no part in a call without a question"),
        (["--with", "40 g/kg"], "it goes with --to"),
        (["--bag", "25 g/kg", "--because", "it is only for a day"], "--because has no part in this question"),
        (["--food", "two grams"], "does not begin with a number"),
        (["--to", "12"], "no unit"),
        (["--to", "1.010"], "looks like a specific gravity"),
        (["--to", "1.010 sg"], "at which temperature"),
        (["--to", "12 ppt"], "g/kg"),
        (["--to", "90 g/kg"], "outside 0 to 80"),
        (["--to", "30 g/kg", "--with", "20 L of brine"], "--with"),
        (["--mix", "20 L"], "is not so much water of a salinity"),
        (["--mix", "20 at 30 g/kg"], "no unit"),
        (["--mix", "0 L at 30 g/kg"], "is zero"),
        (["--mix", "20 L at 30 g/kg, 99 degC"], "above 45"),
        (["--salt", "60 L at 0 g/kg"], "needs none"),
        (["--bag", "1.019 sg"], "at which temperature"),
        (["--bag", "nan g/kg"], "is not a number"),
    ],
)
def test_a_slip_ends_with_status_2_and_no_number(call: Call, words: list[str], said: str) -> None:
    result = call(*words)
    assert result.exit_code == 2, result.output
    assert result.stdout == ""
    assert said in " ".join(result.stderr.split())


def test_a_tank_with_a_near_name_is_offered(call: Call) -> None:
    result = call(command=("water", "q11"))
    assert result.exit_code == 2
    assert "`q1`" in result.stderr


# --- refusals -----------------------------------------------------------------------------------------

NO_WATER = {"shape": "box", "length": "40 cm", "width": "30 cm", "fill": "20 cm", "displacement": "24 L"}
UP = ["--to", "34 g/kg", "--salinity", "14 g/kg"]

REFUSED: dict[str, tuple[list[str], dict[str, Any]]] = {
    "W801": (["--to", "30 g/kg"], UNKNOWN),
    "W802": (["--ammonia", "0.5 mg/L"], {"tanks__q1__temperature": None}),
    "W803": (["--ammonia", "0.5 mg/L", "--ph", "10"], {}),
    "W804": (["--to", "1.2 g/kg"], {}),
    "W805": ([*UP, "--with", "34 g/kg"], {}),
    "W806": ([*UP, "--with", "0.1 L at 35 g/kg"], {}),
    "W807": (["--bag", "1.019 sg at 24 degC"], {}),
    "W811": (["--nitrite", "1 mg/L", "--salinity", "0.2 g/kg"], {}),
    "D466": ([], {"tanks__q1__volume": NO_WATER}),
    "D470": (["--to", "13 g/kg"], {"animals": [{"species": "torch coral", "tank": "q1"}]}),
}
WARNED: dict[str, tuple[list[str], dict[str, Any]]] = {
    "W808": (["--salt", "60 L at 35 g/kg"], {"salt": {"left": "2 kg"}}),
    "W809": (["--ammonia", "0.5 mg/L"], HELD),
    "W810": (["--mix", "40 L at 45 g/kg"], {}),
    "D447": (["--to", "30 g/kg"], {"tanks__q1__volume": {"nominal": "200 L"}}),
}


@pytest.mark.parametrize("code", REFUSED)
def test_every_refusal_fires_and_gives_no_number(
    call: Call, answer: Callable[..., dict[str, Any]], code: str
) -> None:
    words, changes = REFUSED[code]
    shown = call(*words, **changes)
    assert shown.exit_code == 1
    assert shown.stdout == ""
    assert f"error[{code}]" in shown.stderr
    assert re.search(r"no change of salinity was worked out|nothing was worked out", shown.stderr)
    found = answer(*words, **changes)
    assert found["result"] is None
    assert found["refusal"]["code"] == code
    assert found["refusal"]["hint"]


@pytest.mark.parametrize("code", WARNED)
def test_every_warning_stands_beside_an_answer_and_only_once(
    call: Call, answer: Callable[..., dict[str, Any]], code: str
) -> None:
    words, changes = WARNED[code]
    shown = call(*words, **changes)
    assert shown.exit_code == 0
    assert shown.stdout
    assert shown.stderr.count(f"warning[{code}]") == 1
    assert [problem["code"] for problem in answer(*words, **changes)["problems"]].count(code) == 1


def test_every_code_about_water_has_a_case_here() -> None:
    emitted = {
        code for path in SOURCE.rglob("*.py") for code in re.findall(r'"(W\d{3})"', path.read_text(encoding="utf-8"))
    }
    of_the_treatment = {"W812"}
    assert emitted == {code for code in (*REFUSED, *WARNED) if code.startswith("W")} | of_the_treatment


@pytest.mark.parametrize("target", ["16 g/kg", "10 g/kg"])
def test_the_treatment_is_refused_outside_its_band(call: Call, target: str) -> None:
    shown = call("--target", target, command=("dose", "q1", "hyposalinity"))
    assert shown.exit_code == 1
    assert shown.stdout == ""
    assert "error[W812]" in shown.stderr
    assert "no change of salinity was worked out" in shown.stderr


def test_over_a_medicine_ammonia_has_one_instruction_and_the_band_that_must_stay(tmp_path: Path) -> None:
    """A medicine can falsify the test: a badge decides, and the change and its dose are said for the other case."""
    path = tmp_path / "fishroom.yaml"
    path.write_text(
        "room: {time_zone: Europe/London}\n"
        "tanks:\n  q: {use: ward, volume: {measured: 60 L}, salinity: 35 g/kg, temperature: 25 degC,\n"
        "      holds: [{treatment: copper-chelated, level: 2.2 mg/L}]}\n",
        "utf-8",
    )
    words = ["water", "q", "--ammonia", "0.5 mg/L", "--ph", "8.2", "--room", str(path)]
    result = CliRunner().invoke(cli, words, env={"COLUMNS": "200", "NO_COLOR": "1"})
    page = " ".join(result.stdout.split())
    assert "first an ammonia badge: where it shows none, change nothing" in page
    assert "change now" not in page
    assert "do not act" not in result.stderr
    assert "`pratique dose q copper-chelated --change '" in page
    assert "to stay at 2.00–2.50 mg/L" in page
