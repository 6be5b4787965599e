"""In a room that counts in gallons and degrees F no screen and no paper leaves litres or degrees C to be converted."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner
from test_screens import HARBOUR, SCREENS, TOP

from metamorphic.changed import in_fahrenheit, in_gravity, in_unit
from paper.sheets import COMMANDS
from pratique.cli.main import cli
from pratique.room.load import load_room_text
from pratique.room.resolve import Room
from pratique.room.shown import in_own_units

ROOM = TOP / HARBOUR
PAGES = {name: [*words, "--plain"] for name, words in SCREENS.items() if HARBOUR in words}
PAPERS = {f"paper: {name}": [*words, "--paper", "-"] for name, words in COMMANDS.items()}

METRIC = re.compile(r"(?<![\w.])([0-9.]+) ?(L|degC|°C)(?![\w/])")
BESIDE = re.compile(r"(?:US gal|°F|degF) \([0-9.-]*(?:–| to | and )?$")
CITED = re.compile(r"(?:^|\t)[^\t\n]*\([VQCMD]\)(?=\t|$)|= source: .*", re.MULTILINE)
"""Where in a source a figure stands: a cell of its own, or the line of a problem."""
MARKUP = re.compile(r'<style>.*?</style>|<svg.*?</svg>|<div class="notes">.*?</body>|<[^>]*>', re.DOTALL)
AS_IT_STANDS = re.compile(
    r"`[^`]*`|(?<!\w)'[^']*'|\bsg at [0-9.]+ degC|\brow [0-9.]+ degC|\b25/25 °C"  # as typed, or a scale
    r"|[×÷/−+=] \(?[0-9.]+ L\b|[0-9.]+ L(?= [×÷/−])"  # a sum, done in litres
)


@pytest.fixture(scope="module")
def gallons(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The example room as a keeper with gallons, degrees F and a refractometer writes it."""
    head, mark, tail = ROOM.read_text(encoding="utf-8").partition("\nwaters:")
    head = head.replace("volume: L, temperature: degC", "volume: gal_us, temperature: degF")
    lines = [line if " sg at " in line else _rewritten(line) for line in tail.split("\n")]
    path = tmp_path_factory.mktemp("gallons") / "fishroom.yaml"
    path.write_text(head + mark + "\n".join(lines), encoding="utf-8")
    return str(path)


def _rewritten(line: str) -> str:
    return in_gravity(in_fahrenheit(in_unit("gal_us")(line)))


def left_metric(text: str) -> Iterator[str]:
    """Each litre and degree C with nothing of the keeper's before it; a cupful is left in litres."""
    told = html.unescape(MARKUP.sub(" ", text)) if text.startswith("<!doctype") else CITED.sub("", text)
    flat = AS_IT_STANDS.sub("…", " ".join(told.split()))
    for found in METRIC.finditer(flat):
        cupful = found[2] == "L" and float(found[1].strip(".") or 0) < 1
        if not cupful and BESIDE.search(flat[max(found.start() - 30, 0) : found.start()]) is None:
            yield flat[max(found.start() - 50, 0) : found.end() + 20]


@pytest.mark.parametrize("name", [*PAGES, *PAPERS])
def test_nothing_is_left_to_convert(name: str, gallons: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(TOP)
    words = [gallons if word in (HARBOUR, str(ROOM)) else word for word in (PAGES | PAPERS)[name]]
    words += [] if "--at" in words else ["--at", "2027-03-08T06:30"]
    result = CliRunner().invoke(cli, words, env={"COLUMNS": "", "NO_COLOR": "1"})
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert [*left_metric(result.stdout), *left_metric(result.stderr)] == []


def test_the_calendar_too(gallons: str) -> None:
    words = ["plan", "--calendar", "-", "--room", gallons, "--at", "2027-03-08T06:30"]
    said = CliRunner().invoke(cli, words).stdout.replace("\r\n ", "").replace("\\n", " ")
    assert "amount: 10.0 US gal (38.0 L)" in said
    assert list(left_metric(said)) == []


@pytest.mark.parametrize(
    ("said", "own"),
    [
        ("change 25.4 L, 2 times, with", "change 6.71 US gal (25.4 L), 2 times, with"),
        ("net, 73.6–76.9 L at the worst", "net, 19.4–20.3 US gal (73.6–76.9 L) at the worst"),
        ("at 22 to 28 degC for the course", "at 71.6 to 82.4 °F (22 to 28 degC) for the course"),
        ("near 10 and 30 degC", "near 50.0 and 86.0 °F (10 and 30 degC)"),
        ("through 72 h at -20 degC", "through 72 h at -4.0 °F (-20 degC)"),
        ("within 1.8 °F (1 °C) of it", "within 1.8 °F (1 °C) of it"),
        ("19.9 US gal (75.2 L) net", "19.9 US gal (75.2 L) net"),
        ("10.0 US gal (38.0 L) (37.5–38.5 L)", "10.0 US gal (38.0 L) (9.91–10.2 US gal (37.5–38.5 L))"),
        ("write `temperature: 25 degC` at 25 degC", "write `temperature: 25 degC` at 77.0 °F (25 degC)"),
        ("1.0264 sg at 25 degC, reference 25 degC", "1.0264 sg at 25 degC, reference 77.0 °F (25 degC)"),
        ("75.2 L × (2.00 − 1.60) mg/L", "75.2 L × (2.00 − 1.60) mg/L"),
        ("0.142 L of 13 g/kg, 25/25 °C, 2 mL/L", "0.142 L of 13 g/kg, 25/25 °C, 2 mL/L"),
    ],
)
def test_a_sentence_in_own_units(said: str, own: str, gallons: str) -> None:
    """By hand: a US gallon is 3.785411784 L; °F = 1.8 × °C + 32."""
    room, problems = load_room_text(Path(gallons).read_text(encoding="utf-8"))
    assert room is not None, problems
    assert in_own_units(said, room) == own
    assert in_own_units(said, _metric()) == said


def _metric() -> Room:
    room, problems = load_room_text(ROOM.read_text(encoding="utf-8"))
    assert room is not None, problems
    return room


@pytest.mark.parametrize(
    ("text", "left"),
    [
        ("change 25.4 L with water", 1),
        ("at 22 to 28 degC", 1),
        ("net volume 38 L, 10.0 US gal (38.0 L)", 1),
        ("6.71 US gal (25.4 L), 71.6 to 82.4 °F (22 to 28 degC)", 0),
        ("75.2 L × 2.00 mg/L; 0.142 L; 2 mL/L", 0),
    ],
)
def test_the_search_finds_what_it_is_for(text: str, left: int) -> None:
    assert len(list(left_metric(text))) == left


def test_the_size_on_a_label_too(tmp_path: Path) -> None:
    """`213–290 nominal L` in a room of gallons: the word stood between figure and unit."""
    path = tmp_path / "fishroom.yaml"
    path.write_text(
        "room: {time_zone: Europe/Lisbon, units: {volume: gal_us}}\n"
        "tanks: {reef: {use: display, volume: {nominal: 75 gal_us}}}\n",
        encoding="utf-8",
    )
    page = CliRunner().invoke(cli, ["check", "--room", str(path), "--plain"]).stdout
    assert "\t75.0 US gal (283.9 L)\t56.3–76.6 US gal (213–290 L), nominal\t" in page
