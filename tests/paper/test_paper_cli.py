"""`--paper` at the command line: what is written, what is never written over, and that it says what the screen says."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli

TOP = Path(__file__).parents[2]
ROOM = ["--room", str(TOP / "examples/harbour-lane/fishroom.yaml"), "--at", "2027-03-08T06:30"]
KEPT = [*ROOM, "--log", str(TOP / "tests/terminal/logs/harbour-lane.jsonl")]


def call(*words: str) -> Result:
    result = CliRunner().invoke(cli, list(words), env={"COLUMNS": "100", "NO_COLOR": "1"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def text_of(page: str) -> str:
    body = page.partition("<body>")[2]
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


SHEETS = {
    "plan": ["plan", "spring tangs", *ROOM],
    "labels": ["plan", "--labels", *ROOM],
    "day": ["day", "2027-03-08", *ROOM],
    "deputy": ["day", "2027-04-17", "--deputy", *ROOM],
    "dose": ["dose", "ward", "copper-chelated", "--off", "uv", *ROOM],
    "dip": ["dip", "freshwater-dip", "--for", "Lemon", *ROOM],
    "release": ["release", "spring tangs", *ROOM],
    "certificate": ["release", "spring tangs", "--certificate", *ROOM],
}


@pytest.mark.parametrize("name", SHEETS)
def test_every_record_of_the_screen_is_on_paper(name: str) -> None:
    """The plain form and the page come from the same rows: each of its cells stands on the page."""
    paper = text_of(call(*SHEETS[name], "--paper", "-").stdout)
    plain = call(*SHEETS[name], "--plain").stdout
    cells = [cell for line in plain.splitlines() for cell in line.split("\t")]
    assert len(cells) > 8
    missing = [cell for cell in cells if " ".join(re.sub(r"_{3,}", "", cell).split()) not in _unmarked(paper)]
    sources = {note for cell in missing for note in cell.split("; ")}
    assert all(note in _unmarked(paper) for note in sources), missing


def _unmarked(text: str) -> str:
    return " ".join(re.sub(r" ?[⁰¹²³⁴⁵⁶⁷⁸⁹]+", "", re.sub(r"_{3,}", "", text)).split())


def test_a_page_may_be_made_anew_and_nothing_else_is_written_over(tmp_path: Path) -> None:
    page = tmp_path / "day.html"
    assert call("day", *ROOM, "--paper", str(page)).exit_code == 0
    before = page.read_text("utf-8")
    assert call("day", "2027-03-09", *ROOM, "--paper", str(page)).exit_code == 0
    assert page.read_text("utf-8") != before
    page.write_text("my own notes")
    result = call("day", *ROOM, "--paper", str(page))
    assert result.exit_code == 1 and "F140" in result.stderr
    assert page.read_text() == "my own notes"
    assert [found.name for found in tmp_path.iterdir()] == ["day.html"]


@pytest.mark.parametrize("where", ["nowhere/day.html", "."])
def test_a_place_that_cannot_be_written_is_said(tmp_path: Path, where: str) -> None:
    result = call("day", *ROOM, "--paper", str(tmp_path / where))
    assert result.exit_code == 1 and "F141" in result.stderr
    assert list(tmp_path.iterdir()) == []


def test_json_and_paper_together(tmp_path: Path) -> None:
    page = tmp_path / "day.html"
    result = call("day", *ROOM, "--json", "--paper", str(page))
    assert json.loads(result.stdout)["command"] == "day"
    assert page.exists()
    assert call("day", *ROOM, "--json", "--paper", "-").exit_code == 2


def test_what_the_screen_warns_of_hangs_with_the_page() -> None:
    result = call("day", *KEPT, "--paper", "-")
    assert "warning[S522]" in result.stderr
    assert "warning S522" in text_of(result.stdout)


def test_a_week_has_its_days_side_by_side() -> None:
    page = call("day", "2027-03-08", "--days", "7", *ROOM, "--paper", "-").stdout
    heads = re.findall(r"<th[^>]*>([^<]*)</th>", page.partition("At a glance")[2].partition("</thead>")[0])
    assert heads == ["Tank", *(f"{day} {number} Mar" for day, number in zip(
        ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"], range(8, 15), strict=True))]  # fmt: skip
    assert "TRANSFER by 18:30" in page


def test_a_label_has_what_a_dose_needs() -> None:
    """By hand: 75.2 L × 0.1 mg/L = 7.52 mg; at 10 mg/mL that is 0.75 mL."""
    shown = call("plan", "--labels", *ROOM[:2], "--at", "2027-11-05T12:00").stdout
    ward = shown.partition("\nward\n")[2].partition("\n\n")[0]
    assert re.search(r"net volume +75\.2 L", ward)
    assert re.search(r"band +2(\.0+)? to 2\.5(0)? mg/L|band +2\.0+–2\.50 mg/L", ward), ward
    assert re.search(r"0\.1 mg/L more +is 0\.752? mL", ward), ward
    assert "begins the count again for all 1" in ward


PICTURES = {
    "how far each may have passed it on": ["trace", "blue tub", *KEPT],
    "how far each clock has come": ["release", "spring tangs", *KEPT],
    "chance that white spot": ["fallow", "reef", *ROOM],
    "tanks down, days across": ["book", "--animals", "sixline wrasse", "--trust", "untrusted", "--earliest",
                                "2027-06-01", "--latest", "2027-09-30", *ROOM],
}  # fmt: skip


@pytest.mark.parametrize("caption", PICTURES)
def test_what_can_be_seen_is_drawn(caption: str) -> None:
    page = call(*PICTURES[caption], "--paper", "-").stdout
    drawn, captions = page.count("<svg"), re.findall(r"<figcaption>([^<]*)", page)
    assert drawn == len(captions) > 0
    assert any(caption in unescape(said) for said in captions), captions
    assert not re.search(r"[`|](--|==|\.\.) ", text_of(page))


def test_cards_to_cut_out_carry_no_warnings() -> None:
    result = call("plan", "--labels", *ROOM, "--paper", "-")
    assert "warning[" in result.stderr
    assert "warning" not in text_of(result.stdout)


def test_each_batch_has_its_pictures_beside_its_own_stages() -> None:
    page = call("plan", *KEPT, "--paper", "-").stdout
    marks = re.findall(r"<h2>(.+?) · which tank|<figcaption>(.+?): how far each clock", page)
    batches = [head for head, _ in marks if head]
    assert batches == ["spring tangs", "pair from the club", "late angel"]
    assert [head or drawn for head, drawn in marks] == [name for name in batches for _ in range(2)]


def test_a_dose_has_the_level_as_it_was_read(tmp_path: Path) -> None:
    """Two readings and the dose before them, and no picture of a medicine or a tank that was not read."""
    log = tmp_path / "kept.jsonl"
    log.write_text("\n".join(json.dumps(entry) for entry in READ) + "\n", encoding="utf-8")
    dose = ["dose", "ward", "copper-chelated", "--off", "uv", *ROOM, "--log", str(log)]
    page = call(*dose, "--paper", "-").stdout
    assert re.findall(r"<figcaption>([^<]*)", page) == ["copper, chelated in ward, as it was read"]
    assert page.count("<circle") == 2 and page.count("▲") == 2, "one in the picture, one in its key"
    other = ["dose", "green tub", "copper-chelated", *ROOM, "--log", str(log)]
    assert "<svg" not in call(*other, "--paper", "-").stdout


def test_a_level_from_before_the_tank_was_emptied_is_not_drawn(tmp_path: Path) -> None:
    emptied = _noted("6vb234e", "dried", "2027-03-07T12:00:00+00:00")
    log = tmp_path / "kept.jsonl"
    log.write_text("\n".join(json.dumps(entry) for entry in (*READ[:2], emptied)) + "\n", encoding="utf-8")
    dose = ["dose", "ward", "copper-chelated", "--off", "uv", *ROOM, "--log", str(log)]
    assert "<svg" not in call(*dose, "--paper", "-").stdout


def _noted(id_: str, kind: str, at: str, **more: object) -> dict[str, object]:
    return {"id": id_, "kind": kind, "at": at, "written": at, "tank": "ward", **more}


def _read(id_: str, at: str, level: float) -> dict[str, object]:
    value = {"text": f"{level} mg/L", "value": level, "unit": "mg/L"}
    return _noted(id_, "reading", at, what="copper", value=value, kit="copper meter")


READ = (
    _noted(
        "6vb234b", "dose", "2027-03-05T08:00:00+00:00", treatment="copper-chelated", product="copper bottle",
        amount={"text": "15 mL", "value": 15.0, "unit": "mL"}, into="tank",
    ),
    _read("6vb234c", "2027-03-06T20:00:00+00:00", 1.9),
    _read("6vb234d", "2027-03-08T05:00:00+00:00", 2.0),
)  # fmt: skip
