"""`plan --calendar`, read back by a small parser of our own after RFC 5545, which shares nothing with what writes."""

from __future__ import annotations

import datetime as dt
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli

TOP = Path(__file__).parents[2]
ROOM = TOP / "examples/harbour-lane/fishroom.yaml"
LOG = TOP / "tests/terminal/logs/harbour-lane.jsonl"
ZONE = ZoneInfo("Europe/Lisbon")


@dataclass
class Component:
    """A component of RFC 5545, 3.6: its properties in order, and the components in it."""

    name: str
    properties: list[tuple[str, dict[str, str], str]] = field(default_factory=list)
    parts: list[Component] = field(default_factory=list)

    def one(self, name: str) -> str:
        (found,) = [value for known, _, value in self.properties if known == name]
        return found

    def parameters(self, name: str) -> dict[str, str]:
        (found,) = [parameters for known, parameters, _ in self.properties if known == name]
        return found

    def named(self, name: str) -> list[Component]:
        return [part for part in self.parts if part.name == name]

    def text(self, name: str) -> str:
        """3.3.11: escaped commas, semicolons, backslashes and line breaks."""
        return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], self.one(name))

    def moment(self, name: str) -> dt.datetime:
        value, zone = self.one(name), self.parameters(name).get("TZID")
        if value.endswith("Z"):
            return dt.datetime.strptime(value, "%Y%m%dT%H%M%SZ").replace(tzinfo=dt.UTC)
        assert zone is not None, f"{name} floats"
        return dt.datetime.strptime(value, "%Y%m%dT%H%M%S").replace(tzinfo=ZoneInfo(zone))


def lines_of(data: bytes) -> Iterator[str]:
    """3.1: lines end with CRLF, have at most 75 octets, and are folded before a space."""
    assert data.endswith(b"\r\n")
    assert data.count(b"\n") == data.count(b"\r\n") == data.count(b"\r")
    physical = data.split(b"\r\n")[:-1]
    assert max(map(len, physical)) <= 75
    unfolded: list[bytes] = []
    for line in physical:
        if line[:1] in (b" ", b"\t"):
            unfolded[-1] += line[1:]
        else:
            unfolded.append(line)
    return (line.decode("utf-8") for line in unfolded)


LINE = re.compile(r'(?P<name>[A-Za-z0-9-]+)(?P<parameters>(?:;[A-Za-z0-9-]+=(?:"[^"]*"|[^";:,]*))*):(?P<value>.*)')


def parse(data: bytes) -> Component:
    open_: list[Component] = [Component("")]
    for line in lines_of(data):
        found = LINE.fullmatch(line)
        assert found is not None, line
        name, value = found["name"].upper(), found["value"]
        if name == "BEGIN":
            open_.append(Component(value))
        elif name == "END":
            closed = open_.pop()
            assert closed.name == value
            open_[-1].parts.append(closed)
        else:
            pairs = (part.split("=", 1) for part in found["parameters"].split(";")[1:])
            open_[-1].properties.append((name, {key.upper(): text.strip('"') for key, text in pairs}, value))
    (calendar,) = open_.pop().parts
    assert not open_
    assert calendar.name == "VCALENDAR"
    return calendar


def call(*words: str, room: Path = ROOM, at: str = "2027-03-08T06:30") -> Result:
    result = CliRunner().invoke(cli, [*words, "--room", str(room), "--at", at])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def write(file: Path, *more: str, room: Path = ROOM, at: str = "2027-03-08T06:30") -> tuple[str, Component]:
    result = call("plan", "--calendar", str(file), *more, room=room, at=at)
    assert result.exit_code == 0, result.stderr
    return result.stdout, parse(file.read_bytes())


def events(calendar: Component) -> dict[str, Component]:
    found = {event.one("UID"): event for event in calendar.named("VEVENT")}
    assert len(found) == len(calendar.named("VEVENT"))
    return found


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Component:
    return write(tmp_path_factory.mktemp("calendar") / "plan.ics")[1]


def test_what_a_calendar_must_have(fresh: Component) -> None:
    assert fresh.one("VERSION") == "2.0"
    assert fresh.one("PRODID")
    for event in fresh.named("VEVENT"):
        names = {name for name, _, _ in event.properties}
        assert {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "SEQUENCE"} <= names
        assert event.one("DTSTAMP").endswith("Z")
        assert event.moment("DTEND") > event.moment("DTSTART")
        (alarm, *_) = event.named("VALARM")
        assert alarm.one("ACTION") == "DISPLAY"
        assert alarm.one("TRIGGER") == "-PT10M"


def test_one_entry_for_each_task_of_the_plan_with_its_time_and_words(fresh: Component) -> None:
    plan = json.loads(call("plan", "--json").stdout)["result"]
    tasks = {task["id"]: task for batch in plan["batches"] for task in batch["tasks"]}
    tasks |= {task["id"]: task for task in plan["urgent"]}
    found = {event.one("X-PRATIQUE-TASK"): event for event in fresh.named("VEVENT")}
    assert set(found) == set(tasks)
    for id_, task in tasks.items():
        event = found[id_]
        assert event.moment("DTSTART") == dt.datetime.fromisoformat(task["at"]), id_
        assert event.moment("DTEND") == max(
            dt.datetime.fromisoformat(task["until"]), dt.datetime.fromisoformat(task["at"]) + dt.timedelta(minutes=15)
        )
        assert task["text"] in event.text("DESCRIPTION")
        assert event.text("LOCATION") == task["tank"]


def test_the_time_zone_is_defined_and_agrees_with_the_zone_database(fresh: Component) -> None:
    (zone,) = fresh.named("VTIMEZONE")
    assert zone.one("TZID") == "Europe/Lisbon"
    changes: list[tuple[dt.datetime, dt.timedelta]] = []
    for part in zone.parts:
        sign, hours, minutes = re.fullmatch(r"([+-])(\d\d)(\d\d)", part.one("TZOFFSETTO")).groups()  # type: ignore[union-attr]
        offset = dt.timedelta(hours=int(hours), minutes=int(minutes)) * (-1 if sign == "-" else 1)
        starts = [part.one("DTSTART")] + [
            value for name, _, values in part.properties if name == "RDATE" for value in values.split(",")
        ]
        changes += [(dt.datetime.strptime(start, "%Y%m%dT%H%M%S"), offset) for start in starts]  # noqa: DTZ007
    changes.sort()
    for event in fresh.named("VEVENT"):
        local = dt.datetime.strptime(event.one("DTSTART"), "%Y%m%dT%H%M%S")  # noqa: DTZ007
        said = [offset for start, offset in changes if start <= local][-1]
        assert said == local.replace(tzinfo=ZONE).utcoffset()


def test_written_again_nothing_changes(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    write(file)
    before = file.read_bytes()
    said, _ = write(file)
    assert file.read_bytes() == before
    assert "as before" in said
    assert "new" not in said


def moved_room(folder: Path, old: str, new: str) -> Path:
    file = folder / "fishroom.yaml"
    text = ROOM.read_text("utf-8")
    assert old in text
    file.write_text(text.replace(old, new), "utf-8")
    return file


def test_a_later_arrival_moves_its_entries_and_doubles_none(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    before = events(write(file, "pair from the club")[1])
    room = moved_room(tmp_path, "arrives: 2027-07-10T18:30", "arrives: 2027-07-12T18:30")
    after = events(write(file, "pair from the club", room=room, at="2027-03-09T06:30")[1])
    task = "pair-from-the-club/observation/arrive/1"
    (uid,) = [uid for uid, event in before.items() if event.one("X-PRATIQUE-TASK") == task]
    assert after[uid].moment("DTSTART") - before[uid].moment("DTSTART") == dt.timedelta(days=2)
    assert (before[uid].one("SEQUENCE"), after[uid].one("SEQUENCE")) == ("0", "1")
    assert after[uid].one("DTSTAMP") == "20270309T063000Z"
    assert [event.one("X-PRATIQUE-TASK") for event in after.values()].count(task) == 1
    early = [uid for uid, event in before.items() if re.search(r"look/0/2027-07-11$", event.one("X-PRATIQUE-TASK"))]
    assert early
    for uid in early:
        assert after[uid].one("STATUS") == "CANCELLED"
        assert after[uid].one("SEQUENCE") == "1"
        assert after[uid].moment("DTSTART") == before[uid].moment("DTSTART")


def test_a_batch_that_no_longer_comes_is_cancelled_once_and_may_come_back(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    write(file)
    text = ROOM.read_text("utf-8")
    start, end = text.index("  pair from the club:\n    source"), text.index("  late angel:\n    source")
    room = tmp_path / "fishroom.yaml"
    room.write_text(text[:start] + text[end:], "utf-8")
    said, calendar = write(file, room=room)
    of_pair = [event for event in calendar.named("VEVENT") if event.one("X-PRATIQUE-TASK").startswith("pair-from")]
    assert of_pair
    assert all(event.one("STATUS") == "CANCELLED" for event in of_pair)
    assert f"{len(of_pair)} cancelled" in said
    kept = file.read_bytes()
    assert "cancelled" not in write(file, room=room)[0]
    assert file.read_bytes() == kept
    _, back = write(file)
    of_pair = [event for event in back.named("VEVENT") if event.one("X-PRATIQUE-TASK").startswith("pair-from")]
    assert all(event.one("STATUS") == "CONFIRMED" and event.one("SEQUENCE") == "2" for event in of_pair)


def test_what_is_over_is_left_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    before = events(write(file)[1])
    text = ROOM.read_text("utf-8")
    start, end = text.index("  pair from the club:\n    source"), text.index("  late angel:\n    source")
    room = tmp_path / "fishroom.yaml"
    room.write_text(text[:start] + text[end:], "utf-8")
    after = events(write(file, room=room, at="2027-08-01T12:00")[1])
    noon = dt.datetime(2027, 8, 1, 12, tzinfo=ZONE)
    for uid, event in before.items():
        if event.one("X-PRATIQUE-TASK").startswith("pair-from"):
            wanted = "CONFIRMED" if event.moment("DTEND") <= noon else "CANCELLED"
            assert after[uid].one("STATUS") == wanted


def test_one_batch_leaves_the_entries_of_the_others_alone(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    everything = events(write(file)[1])
    one = events(write(file, "late angel")[1])
    assert set(one) == set(everything)
    assert all(event.one("STATUS") == "CONFIRMED" for event in one.values())


def test_a_batch_with_a_comma_in_its_name_is_known_again(tmp_path: Path) -> None:
    room = tmp_path / "fishroom.yaml"
    room.write_text(ROOM.read_text("utf-8").replace("  pair from the club:", '  "pair; club, 2":'), "utf-8")
    file = tmp_path / "plan.ics"
    everything = events(write(file, room=room)[1])
    events(write(file, "pair; club, 2", room=room)[1])
    said, _ = write(file, "pair; club, 2", room=room, at="2027-12-24T06:30")
    assert "cancelled" not in said
    assert {event.text("X-PRATIQUE-BATCH") for event in everything.values()} >= {"pair; club, 2"}


@pytest.mark.parametrize("name", ["pair from the club", "pair; club, 2"])
def test_entries_of_one_batch_that_are_gone_are_cancelled_whatever_its_name(name: str, tmp_path: Path) -> None:
    room, file = tmp_path / "fishroom.yaml", tmp_path / "plan.ics"
    text = ROOM.read_text("utf-8").replace("  pair from the club:", f'  "{name}":')
    room.write_text(text, "utf-8")
    before = events(write(file, name, room=room)[1])
    room.write_text(text.replace("2027-07-10T18:30", "2027-08-20T18:30"), "utf-8")
    after = events(write(file, name, room=room)[1])
    gone = {uid for uid, event in after.items() if event.one("STATUS") == "CANCELLED"}
    assert gone
    assert gone <= set(before) <= set(after)


def test_what_the_log_shows_as_done_rings_no_more(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    result = call("plan", "spring tangs", "--calendar", str(file), "--log", str(LOG))
    assert result.exit_code == 0, result.stderr
    done = [event for event in parse(file.read_bytes()).named("VEVENT") if event.text("SUMMARY").startswith("done: ")]
    assert done
    assert all(not event.named("VALARM") for event in done)


def test_ids_differ_from_room_to_room_and_not_from_file_to_file(tmp_path: Path, fresh: Component) -> None:
    other = moved_room(tmp_path, "name: Harbour Lane", "name: Another room")
    assert set(events(write(tmp_path / "one.ics")[1])) == set(events(fresh))
    assert not set(events(write(tmp_path / "two.ics", room=other)[1])) & set(events(fresh))


def test_words_of_a_keeper_cannot_break_out_of_their_line(tmp_path: Path) -> None:
    room = moved_room(tmp_path, "name: Harbour Lane", r'name: "A, b; c\\n d: END:VEVENT 水"')
    _, calendar = write(tmp_path / "plan.ics", room=room)
    assert calendar.text("X-WR-CALNAME") == r"A, b; c\n d: END:VEVENT 水"


@pytest.mark.parametrize("content", ["my own notes\n", "BEGIN:VCALENDAR\r\nPRODID:-//another//EN\r\nEND:VCALENDAR\r\n"])
def test_a_file_that_is_not_ours_is_never_overwritten(content: str, tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    file.write_bytes(content.encode())
    result = call("plan", "--calendar", str(file))
    assert result.exit_code == 1
    assert "F140" in result.stderr
    assert file.read_bytes() == content.encode()
    assert list(tmp_path.iterdir()) == [file]


def test_a_broken_calendar_of_ours_is_not_guessed_at(tmp_path: Path) -> None:
    file = tmp_path / "plan.ics"
    write(file, "late angel")
    broken = file.read_bytes()[:-700]
    file.write_bytes(broken)
    result = call("plan", "--calendar", str(file))
    assert result.exit_code == 1
    assert "F131" in result.stderr
    assert file.read_bytes() == broken


def test_to_standard_output_and_not_with_another_answer(tmp_path: Path) -> None:
    result = call("plan", "late angel", "--calendar", "-")
    assert parse(result.stdout_bytes).named("VEVENT")
    assert call("plan", "--calendar", "-", "--json").exit_code == 2
    assert call("plan", "--calendar", "-", "--csv", "-").exit_code == 2
    assert call("plan", "--calendar", str(tmp_path / "no" / "plan.ics")).exit_code == 1
    tried = call("plan", "--calendar", str(tmp_path / "plan.ics"), "--if", "fed reef")
    assert tried.exit_code == 2
    assert list(tmp_path.iterdir()) == []
