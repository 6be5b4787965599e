"""The order of a sheet: from clean water to sick, moves that cannot wait before both, and morning before evening."""

from __future__ import annotations

import datetime as dt

from history.kept import batch, build, history, moment, one_of_each, plan, tank, tanks
from pratique.room.resolve import Room
from pratique.schedule.day import tasks_on
from pratique.schedule.model import Task
from pratique.schedule.working_order import BEFORE_OTHERS
from pratique.sheets.day import day_sheet
from pratique.sheets.rows import Lines

FISH = {"species": "ocellaris clownfish"}
CORAL = {"species": "acropora"}
SHRIMP = {"species": "cleaner shrimp", "count": 2}


def sheet(room: Room, lines: str, at: str, date: dt.date | None = None) -> tuple[Task, ...]:
    found = history(room, lines, at) if lines else None
    made = plan(room, lines, at)
    return tasks_on(room, made, date or moment(at).date(), found)


def two_reefs(**more: object) -> Room:
    rooms = {**tanks(), "lagoon": tank("display", cycled="yes")}
    return build(
        tanks=rooms, animals=[{**FISH, "tank": "reef"}, {**FISH, "tank": "lagoon"}], batches={"first": batch()}, **more
    )


def order_of(found: tuple[Task, ...]) -> list[str]:
    """Each tank by its first line of the morning's looks."""
    return list(dict.fromkeys(task.tank for task in found if task.act == "look" and task.at.hour < 12))


CAME = "2027-03-05T19:00 arrived first in tub a\n"


def test_a_water_in_which_a_sign_was_seen_comes_last() -> None:
    """Found on a walk: after velvet in the reef the sheet led from the reef to the clean lagoon."""
    before = order_of(sheet(two_reefs(), CAME, "2027-03-07T07:30"))
    assert before == ["lagoon", "reef", "tub a"]
    sick = CAME + "2027-03-06T18:00 sign reef dust"
    assert order_of(sheet(two_reefs(), sick, "2027-03-07T07:30")) == ["lagoon", "tub a", "reef"]
    long_ago = "2027-01-20T18:00 sign lagoon dust\n" + CAME
    assert order_of(sheet(two_reefs(), long_ago, "2027-03-07T07:30")) == before


OPENING = {"hours": "08:00-19:00"}


def at_opening() -> Room:
    """A batch that came at opening, so that every move falls on its limit as the day begins; and a clean reef."""
    return two_reefs(room=OPENING, gear={})


def test_a_move_on_its_limit_goes_first_and_says_what_comes_between() -> None:
    lines = "2027-03-05T08:00 arrived first in tub a"
    found = [task for task in sheet(at_opening(), lines, "2027-03-08T07:00") if task.at.hour < 12]
    (move,) = [task for task in found if task.act == "transfer"]
    assert move.until == moment("2027-03-08T08:00")
    assert move.text.endswith(BEFORE_OTHERS)
    reef = next(number for number, task in enumerate(found) if task.tank in ("reef", "lagoon"))
    assert found.index(move) < reef
    assert all(found.index(task) > reef for task in found if task.act in ("strip", "dry"))


def test_a_move_with_hours_to_spare_keeps_the_order_of_clean_to_suspect() -> None:
    lines = "2027-03-05T19:00 arrived first in tub a"
    found = sheet(two_reefs(), lines, "2027-03-08T07:00")
    (move,) = [task for task in found if task.act == "transfer"]
    assert BEFORE_OTHERS not in move.text
    reef = [number for number, task in enumerate(found) if task.tank == "reef" and task.at.hour < 12]
    assert found.index(move) > max(reef)


def test_fish_are_looked_at_where_they_are_before_the_move_of_the_same_hour() -> None:
    """Found on a walk: `look: T03` stood before the line that moved the fish into T03."""
    lines = "2027-03-05T08:00 arrived first in tub a"
    found = sheet(at_opening(), lines, "2027-03-08T07:00")
    mine = [task for task in found if task.batch == "first" and task.routine]
    assert {task.tank for task in mine if task.at.hour == 8} == {"tub a"}
    assert {task.tank for task in mine if task.at.hour > 12} == {"tub b"}


def test_the_evening_of_one_long_day_comes_after_its_morning() -> None:
    found = sheet(at_opening(), "2027-03-05T08:00 arrived first in tub a", "2027-03-07T07:00")
    rounds = [task.at.hour >= 16 for task in found if not task.urgent]
    assert rounds == sorted(rounds)
    assert True in rounds
    assert False in rounds


def test_heads_are_those_of_fish() -> None:
    """Found on a walk: in a reef with two shrimps and a coral three fish were to be counted, and fed."""
    reef = build(animals=[{**CORAL, "tank": "reef"}, {**SHRIMP, "tank": "reef"}], batches={})
    look, feed = (next(t for t in sheet(reef, "", "2027-03-06T07:00") if t.act == act) for act in ("look", "feed"))
    assert look.text == "every animal (3), none of them a fish; a dead one out at once"
    assert feed.text == "feed what eats; leftovers out"
    mixed = build(animals=[{**CORAL, "tank": "reef"}, {**SHRIMP, "tank": "reef"}, {**FISH, "tank": "reef"}], batches={})
    look = next(task for task in sheet(mixed, "", "2027-03-06T07:00") if task.act == "look")
    assert look.text.startswith("count heads (1, without the 3 that are no fish);")


def test_the_words_are_those_of_one_of_each() -> None:
    look = [task for task in sheet(one_of_each(), CAME, "2027-03-06T07:30") if task.act == "look"]
    assert [task.text.partition(";")[0] for task in look] == ["count heads (2)"]


def cautions(room: Room, lines: str, at: str) -> list[str]:
    found, made = history(room, lines, at), plan(room, lines, at)
    date = moment(at).date()
    parts = day_sheet(room, made, ((date, tasks_on(room, made, date, found)),), moment(at)).parts
    return [cell.text for part in parts if isinstance(part, Lines) for cell in part.lines]


def test_a_change_that_is_only_usual_says_so_and_the_keepers_own_does_not() -> None:
    """Found on a walk: 15 L every third day on the sheet, and 20 L a day from `pratique water`."""
    lines = "2027-03-05T19:00 arrived first in ward"
    for more, said in (({}, True), ({"change": "20 % every 3 d"}, False)):
        room = build(tanks={"ward": tank("ward", **more)}, batches={"first": batch()})
        found = cautions(room, lines, "2027-03-08T07:00")
        assert any("the changes of ward are a usual share" in text for text in found) is said
