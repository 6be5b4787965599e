"""`pratique signs` as its user meets it: words, the record, readings, refusals, JSON, the log line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from pratique.knowledge import store
from schedule_rooms import as_yaml, batch, room_data, tank

AT = "2025-03-08T18:00"
BEFORE = "2025-03-05T18:30"


class Keeper:
    """A room of a reef and a ward with a clownfish that came three days ago, its log, and the commands typed in it."""

    def __init__(self, folder: Path, **keys: Any) -> None:
        self.file = folder / "fishroom.yaml"
        home = [{"species": "yellow tang", "name": "Lemon", "tank": "reef"}]
        tanks = {"reef": tank("display", cycled="yes"), "ward": tank("ward", **keys)}
        self.file.write_text(as_yaml(room_data(tanks=tanks, animals=home, batches={"pair": batch(BEFORE)})), "utf-8")
        self.log("arrived pair in ward", BEFORE)

    def call(self, *words: str) -> Result:
        return CliRunner().invoke(cli, [*words, "--room", str(self.file)], catch_exceptions=False)

    def log(self, entry: str, at: str) -> None:
        done = self.call("log", entry, "--at", at)
        assert done.exit_code == 0, done.output

    def signs(self, *words: str, at: str = AT) -> dict[str, Any]:
        """The JSON of an answer."""
        done = self.call("signs", "ward", *words, "--json", "--at", at)
        assert done.exit_code == 0, done.output
        found: dict[str, Any] = json.loads(done.stdout)
        return found

    def codes(self, *words: str, tank: str = "ward") -> list[str]:
        done = self.call("signs", tank, *words, "--json", "--at", AT)
        return [problem["code"] for problem in json.loads(done.stdout)["problems"]]


@pytest.fixture
def keeper(tmp_path: Path) -> Keeper:
    return Keeper(tmp_path)


def test_signs_are_known_by_id_title_and_plain_words(keeper: Keeper) -> None:
    for words in (("dust",), ("velvety",), ("fine", "coat", "like", "dust"), ("Dust,",), ("like dust",)):
        assert keeper.signs(*words)["result"]["seen"] == ["dust"], words


def test_not_can_be_said_in_three_ways(keeper: Keeper) -> None:
    for words in (("gasping", "no", "dust"), ("gasping, without dust",), ("gasping", "--not", "dust")):
        result = keeper.signs(*words)["result"]
        assert (result["seen"], result["not_there"]) == (["gasping"], ["dust"])
    assert keeper.signs("not eating")["result"]["seen"] == ["not-eating"]
    assert keeper.signs("eating, gasping")["result"]["not_there"] == ["not-eating"]
    assert keeper.signs("no slime or dust, gasping")["result"]["not_there"] == ["dust", "slime"]


def test_every_word_of_every_sign_and_circumstance_means_it(keeper: Keeper) -> None:
    from pratique.response.vocabulary import parts_of, vocabulary

    known = vocabulary()
    for sign in store.signs().values():
        for word in (sign.id, sign.title, *sign.words):
            match = known.match([parts_of(part) for part in word.split()])
            assert match is not None
            assert (match[0], match[1].id) == (len(word.split()), sign.id), word
    for circumstance in store.circumstances().values():
        for choice in circumstance.choices:
            for word in choice.words:
                match = known.match([parts_of(part) for part in word.split()])
                assert match is not None
                assert (match[1].id, match[1].value) == (circumstance.id, choice.id), word


@pytest.mark.parametrize(
    ("typed", "circumstance"),
    [
        ("since 2 h", ("came", "hours")), ("since 2 hours", ("came", "hours")), ("overnight", ("came", "hours")),
        ("since 2 d", ("came", "days")), ("for 3 weeks", ("came", "weeks")), ("all at once", ("who", "all")),
        ("one fish", ("who", "one")), ("size 0.1 mm", ("size", "fine")), ("size 0.5mm", ("size", "grain")),
        ("size 4 mm", ("size", "large")), ("count 12", ("number", "countable")), ("pump off", ("pump", "stopped")),
        ("on the fins", ("where", "fins")), ("after a water change", ("done", "changed")),
    ],
)  # fmt: skip
def test_what_surrounds_a_sign_is_understood(keeper: Keeper, typed: str, circumstance: tuple[str, str]) -> None:
    found = keeper.signs("gasping,", typed)["result"]["circumstances"]
    assert circumstance in [(entry["id"], entry["choice"]) for entry in found]


def test_breaths_are_fast_beside_the_usual_count(keeper: Keeper) -> None:
    assert keeper.signs("breaths 100/min usual 70")["result"]["seen"] == ["fast-breathing"]
    assert keeper.signs("breaths 80/min usual 70, dust")["result"]["not_there"] == ["fast-breathing"]
    assert keeper.signs("breaths 130/min")["result"]["seen"] == ["fast-breathing"]
    between = keeper.signs("breaths 100/min, dust")["result"]
    assert (between["seen"], between["not_there"]) == (["dust"], [])


# --- what is refused ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "code", "column"),
    [
        (("dsut",), "X650", 1), (("dust", "flurb"), "X650", 6), (("dust", "no", "dust"), "X651", None),
        (("dust", "since", "2", "foo"), "X652", 12), (("dust", "breaths", "900/min"), "X652", 14),
        (("dust", "size", "3 mmm"), "X652", 11), (("dust", "overnight", "since", "3 d"), "X653", None),
        (("velvet",), "X658", 1), (("gasping", "marine", "ich"), "X658", 9), (("ich",), "X658", 1),
        (("dust", "dying", "whale"), "X652", 6), (("dust", "oxygen", "5 g"), "U209", 13),
    ],
)  # fmt: skip
def test_what_cannot_be_understood_ranks_nothing(
    keeper: Keeper, words: tuple[str, ...], code: str, column: int | None
) -> None:
    done = keeper.call("signs", "ward", *words, "--json", "--at", AT)
    answer = json.loads(done.stdout)
    assert done.exit_code == 1
    assert answer["result"] is None
    assert answer["refusal"]["code"] == code
    assert answer["refusal"]["hint"]
    first = next(problem for problem in answer["problems"] if problem["code"] == code)
    assert first["column"] == column


def test_a_near_name_is_offered_and_not_taken(keeper: Keeper) -> None:
    done = keeper.call("signs", "ward", "gaspng", "--at", AT)
    assert done.exit_code == 1
    assert "did you mean `gasping`" in done.stderr


def test_without_signs_and_without_a_terminal_it_says_what_to_type(keeper: Keeper) -> None:
    done = keeper.call("signs", "ward", "--at", AT)
    assert done.exit_code == 2
    assert "no sign was given" in done.stderr
    assert "pratique signs ward dust gasping" in done.stderr
    assert keeper.call("signs", "ward", "dust", "--ask").exit_code == 2


def test_an_unknown_tank_offers_a_near_one(keeper: Keeper) -> None:
    done = keeper.call("signs", "wardd", "dust")
    assert done.exit_code == 2
    assert "`ward`" in done.stderr


# --- the record and readings --------------------------------------------------------------------------


def test_what_came_in_is_found_in_the_log(keeper: Keeper) -> None:
    found = {entry["id"]: entry for entry in keeper.signs("dust")["result"]["circumstances"]}
    assert found["new"]["choice"] == "week"
    assert "ocellaris clownfish arrived" in found["new"]["found"]
    later = keeper.signs("dust", at="2025-03-20T18:00")["result"]["circumstances"]
    assert ("new", "weeks") in [(entry["id"], entry["choice"]) for entry in later]


def test_without_a_log_the_room_file_says_when_a_batch_came(keeper: Keeper) -> None:
    keeper.file.with_suffix(".log.jsonl").unlink()
    found = {entry["id"]: entry for entry in keeper.signs("dust")["result"]["circumstances"]}
    assert found["new"]["found"].startswith("pair came, by the room file")


def test_signs_on_record_count_for_two_days_and_what_is_said_now_stands_before_them(keeper: Keeper) -> None:
    keeper.log("sign ward dust", "2025-03-07T20:00")
    assert keeper.signs("gasping")["result"]["seen"] == ["dust", "gasping"]
    assert keeper.signs("gasping, no dust")["result"]["seen"] == ["gasping"]
    assert keeper.signs("gasping", at="2025-03-10T20:00")["result"]["seen"] == ["gasping"]
    assert keeper.signs()["result"]["seen"] == ["dust"], "signs on record are enough to answer"


def test_deaths_on_record_are_told_to_the_response(keeper: Keeper) -> None:
    keeper.log("death ward ocellaris clownfish", "2025-03-08T08:00")
    assert keeper.signs("dust")["result"]["dead"] == ["ocellaris clownfish"]


@pytest.mark.parametrize(
    ("reading", "cause"),
    [
        ("oxygen 3.5 mg/L", "low-oxygen"), ("ammonia 3 mg/L", "ammonia"), ("temperature 29 degC", "temperature-swing"),
        ("salinity 28 g/kg", "salinity-swing"),
    ],
)  # fmt: skip
def test_a_reading_that_shows_a_cause_puts_it_first(keeper: Keeper, reading: str, cause: str) -> None:
    typed = keeper.signs("dust", reading)["result"]
    assert typed["first_causes"][0] == cause
    assert typed["water"] == [cause]
    assert typed["cover"] == ["amyloodinium"], "dust stays covered beside it"
    keeper.log(f"reading ward {reading}", "2025-03-08T17:30")
    assert keeper.signs("dust")["result"]["first_causes"][0] == cause
    assert keeper.signs("dust", at="2025-03-10T17:00")["result"]["first_causes"] == []


def test_a_fine_reading_clears_a_cause_for_two_hours(keeper: Keeper) -> None:
    plain = keeper.signs("gasping, all at once, suddenly")["result"]
    assert plain["first_causes"][0] == "low-oxygen"
    keeper.log("reading ward oxygen 6.6 mg/L", "2025-03-08T17:30")
    assert "low-oxygen" not in keeper.signs("gasping, all at once, suddenly")["result"]["first_causes"]
    stale = keeper.signs("gasping, all at once, suddenly", at="2025-03-08T20:00")["result"]
    assert stale["first_causes"][0] == "low-oxygen"


def test_copper_over_its_ceiling_is_found_in_the_log_alone(keeper: Keeper) -> None:
    """60 L and 30 mL of 10 mg/mL are 5 mg/L, over the 2.5 of chelated copper."""
    keeper.log("dose ward copper-chelated 30 mL of copper bottle", "2025-03-08T12:00")
    result = keeper.signs("gasping, lethargic")["result"]
    assert result["first_causes"][0] == "copper-overdose"
    finding = next(entry for entry in result["readings"] if entry["cause"] == "copper-overdose")
    assert "5.00 mg/L" in finding["text"]
    keeper.log("reading ward copper 2.2 mg/L with copper meter", "2025-03-08T17:00")


def test_formalin_in_the_last_hours_points_to_oxygen(tmp_path: Path) -> None:
    """PIPER82 p 276: formalin takes up oxygen over 30 to 36 hours."""
    keeper = Keeper(tmp_path)
    before = keeper.signs("gasping")["result"]
    after = keeper.signs("gasping, after formalin")["result"]
    points = [{fit["id"]: fit["points"] for fit in result["causes"]}["low-oxygen"] for result in (before, after)]
    assert points[1] - points[0] == 3


def test_a_bare_water_points_to_ammonia(tmp_path: Path) -> None:
    bare = Keeper(tmp_path, cycled="no").signs("fast breathing")["result"]
    assert bare["first_causes"][0] == "ammonia"


# --- warnings, the log line, the page -----------------------------------------------------------------


def test_what_was_not_read_is_asked_for(keeper: Keeper) -> None:
    assert "X654" in keeper.codes("gasping")
    assert "X654" not in keeper.codes("dust")
    assert "X654" not in keeper.codes("gasping", "oxygen 6.6 mg/L, ammonia 0 mg/L")


def test_an_animal_that_is_elsewhere_and_an_empty_water_are_said(keeper: Keeper) -> None:
    assert "X655" in keeper.codes("dust on Lemon")
    assert "X655" not in keeper.codes("dust on clownfish")
    keeper.log("move pair to reef", "2025-03-08T09:00")
    assert "X657" in keeper.codes("dust")


def test_the_log_line_writes_what_was_seen(keeper: Keeper) -> None:
    line = keeper.signs("dust, gasping on clownfish")["result"]["log"]
    assert line == "pratique log sign ward ocellaris clownfish dust gasping"
    keeper.log(line.removeprefix("pratique log "), "2025-03-08T17:59")
    assert keeper.signs("dust")["result"]["log"] is None


def test_write_puts_the_signs_into_the_log_once(keeper: Keeper) -> None:
    log = keeper.file.with_suffix(".log.jsonl")
    done = keeper.call("signs", "ward", "dust", "gasping", "--write", "--at", AT)
    assert done.exit_code == 0
    entry = json.loads(log.read_text("utf-8").splitlines()[-1])
    assert (entry["kind"], entry["tank"], entry["signs"]) == ("sign", "ward", ["dust", "gasping"])
    assert entry["at"].startswith("2025-03-08T18:00")
    assert "X656" in keeper.codes("no dust", "gasping", "--write")
    assert len(log.read_text("utf-8").splitlines()) == 2


def test_every_reason_has_a_source_and_a_confidence(keeper: Keeper) -> None:
    result = keeper.signs("dust, gasping, white spots, red sores, all at once, since 2 h")["result"]
    reasons = [reason for fit in (*result["fits"], *result["causes"]) for reason in (*fit["for"], *fit["against"])]
    assert len(reasons) > 20
    for reason in reasons:
        assert reason["source"]["key"] in store.sources()
        assert reason["source"]["confidence"] in tuple("VQCMD")
        assert reason["points"] != 0


def test_it_is_never_called_a_diagnosis(keeper: Keeper) -> None:
    for words in (("dust",), ("gasping, all at once",), ("not eating",), ("white spots, breathing fast",)):
        page = keeper.call("signs", "ward", *words, "--at", AT).stdout
        assert "may be" in page
        assert page.count("diagnosis") == page.count("never a diagnosis") + page.count("no diagnosis")
        for word in ("probab", " is infected", "suffers from", "has velvet", "has white spot"):
            assert word not in page
