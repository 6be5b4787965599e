"""Names that mean something to what reads them next: a page, a table, a calendar, JSON, a screen. They stay names.

Signs that do not show are no names at all (F121, L7xx): `tests/cases/bad`, `tests/unit/test_read.py`.
"""

from __future__ import annotations

import csv
import io
import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import icalendar
import pytest
import yaml

from fuzz.commands import called

TOP = Path(__file__).parents[2]
HOSTILE = (
    "=1+1",
    "@SUM(A1:A9)",
    "-2+3",
    "+cmd|' /C calc'!A1",
    "＝1+1",
    "<script>alert(1)</script>",
    "</style><img src=x onerror=a()>",
    "'\"><b onmouseover=a()>",
    "&lt;i&gt;",
    "{{7*7}}{% raw %}",
    "END:VEVENT",
    "a;b,c:d\\n\\, e",
    "[red]x[/red]",
    ":fish: %s %n {0}",
    "../../x",
    "$(touch pwned) `touch pwned`",
)
_SECTIONS = ("waters", "tanks", "batches", "shelf", "kits", "gear", "vessels", "syringes")
_ENDS = "abcdefghjkmnpqrtuvwxy"
AT = ["--at", "2027-03-08T06:30"]
TABLES = {
    "plan": ["plan", *AT],
    "day": ["day", "2027-03-08", *AT],
    "log": ["log", *AT],
}
PAGES = {
    **TABLES,
    "labels": ["plan", "--labels", *AT],
    "check": ["check", *AT],
    "shelf": ["shelf", *AT],
    "trace": ["trace", "{blue tub}", *AT],
    "dose": ["dose", "{ward}", "copper-chelated", "--off", "uv", *AT],
    "release": ["release", "{spring tangs}", *AT],
    "signs": ["signs", "{blue tub}", "white-spots", *AT],
}


def other_names() -> dict[str, str]:
    """Each name of the example to a hostile one."""
    room = yaml.load((TOP / "examples/harbour-lane/fishroom.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
    names = [room["room"]["name"], "Lemon", *(name for section in _SECTIONS for name in room.get(section, ()))]
    return {
        name: f"{HOSTILE[number % len(HOSTILE)]} {_ENDS[number // len(HOSTILE)]}" for number, name in enumerate(names)
    }


NAMES = other_names()


def renamed(data: Any) -> Any:
    if isinstance(data, dict):
        kept = {key: data[key] for key in ("use", "active") if key in data}
        return {NAMES.get(key, key): renamed(value) for key, value in data.items()} | kept
    if isinstance(data, list):
        return [renamed(value) for value in data]
    return NAMES.get(data, data)


@pytest.fixture
def room(tmp_path: Path) -> Path:
    """The example room with its log, each name a hostile one."""
    data = yaml.load((TOP / "examples/harbour-lane/fishroom.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
    path = tmp_path / "fishroom.yaml"
    path.write_text(json.dumps(renamed(data), ensure_ascii=False, indent=1), "utf-8")
    lines = (TOP / "tests/terminal/logs/harbour-lane.jsonl").read_text("utf-8").splitlines()
    entries = [json.dumps(renamed(json.loads(line)), separators=(",", ":"), ensure_ascii=False) for line in lines]
    path.with_suffix(".log.jsonl").write_text("\n".join(entries) + "\n", "utf-8")
    return path


def asked(words: list[str], room: Path, *more: str) -> str:
    given = [NAMES[word[1:-1]] if word.startswith("{") else word for word in words]
    if given[1:2] and given[1].startswith("-") and words[1].startswith("{"):
        given = [given[0], *given[2:], "--", given[1]]
    result = called([*given[:1], *more, *given[1:]], room)
    assert result.exit_code in (0, 1), (words, result.stderr)
    text: str = result.stdout
    return text


class _Read(HTMLParser):
    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.text = ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_data(self, data: str) -> None:
        self.text += data


def test_every_sort_of_harm_stands_in_the_room(room: Path) -> None:
    """Else the tests below would ask about names that nothing shows."""
    assert len(NAMES) > len(HOSTILE)
    assert called(["check"], room).exit_code == 0
    shown = asked(PAGES["plan"], room) + asked(PAGES["labels"], room) + asked(PAGES["shelf"], room)
    assert sum(name in shown for name in NAMES.values()) > len(HOSTILE) // 2


@pytest.mark.parametrize("what", PAGES)
def test_on_the_screen_and_in_json(what: str, room: Path) -> None:
    for more in ((), ("--plain",), ("--json",)):
        asked(PAGES[what], room, *more)


@pytest.mark.parametrize("what", [name for name in PAGES if name not in ("log", "check")])
def test_on_a_page_nothing_is_a_tag_or_an_attribute(what: str, room: Path) -> None:
    page = _Read(asked(PAGES[what], room, "--paper", "-"))
    assert not page.tags & {"script", "img", "b", "i", "iframe", "object"}
    assert not {name for name in page.attributes if name.startswith("on")}
    screen, text = asked(PAGES[what], room, "--plain"), " ".join(page.text.split())
    shown = {name for name in NAMES.values() if name in screen}
    assert shown
    assert not {name for name in shown if name not in text}


@pytest.mark.parametrize("what", TABLES)
def test_in_a_table_no_cell_is_a_formula(what: str, room: Path) -> None:
    heads, *rows = csv.reader(io.StringIO(asked(TABLES[what], room, "--csv", "-")))
    assert rows
    for row in rows:
        assert len(row) == len(heads)
        for head, cell in zip(heads, row, strict=True):
            is_number = head in ("amount", "low", "high", "value")
            assert is_number or not cell.lstrip().startswith(("=", "+", "-", "@", "＝")), (head, cell)


def test_in_a_calendar_no_name_ends_an_entry(room: Path) -> None:
    found = icalendar.Calendar.from_ical(asked(PAGES["plan"], room, "--calendar", "-"))
    assert isinstance(found, icalendar.Calendar)
    tasks = json.loads(asked(PAGES["plan"], room, "--json"))["result"]
    ids = {task["id"] for batch in tasks["batches"] for task in batch["tasks"]} | {one["id"] for one in tasks["urgent"]}
    events = found.walk("VEVENT")
    written = {icalendar.vText(name).to_ical() for name in ids}
    assert {event["x-pratique-task"].to_ical() for event in events} == written
    assert {str(event["location"]) for event in events} <= set(NAMES.values())
    assert not found.errors and not any(event.errors for event in events)
