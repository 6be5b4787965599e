"""The timer at the tank: what keys and time do, how it looks, and what it leaves in the log however it ends.

The clock rules are the program's own; minutes, looks and limits come from the dip's sheet, which is checked elsewhere.
"""

from __future__ import annotations

import datetime as dt
import json
import os
import signal
import struct
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.cli.main import cli
from pratique.cli.run_dip import KEYS, Timer
from pratique.dosing.bath import work_out_dip
from pratique.dosing.dip import Dip, DipRequest
from pratique.dosing.dip_run import REMIND, DipRun, begin_run, next_look, press, resume_run, ring
from pratique.knowledge import store
from pratique.render.lines import write_line
from pratique.render.timer import bar, big_figure, frame, longest
from pratique.room.load import load_room
from pratique.sheets.timer import TimerPage, clock, timer_page
from pratique.sheets.timer_end import end_sheet

TOP = Path(__file__).parents[2]
HARBOUR = TOP / "examples/harbour-lane/fishroom.yaml"
pty = pytest.importorskip("pty", reason="no pseudo-terminals on this system")
SIZES = [(120, 40), (80, 24), (40, 24), (40, 10), (30, 16), (12, 6), (8, 2), (8, 1)]


def dip(treatment: str = "freshwater-dip") -> Dip:
    room, _ = load_room(HARBOUR)
    assert room is not None
    found = work_out_dip(
        DipRequest(
            room=room,
            treatment=store.treatment(treatment),
            animals=tuple(animal for animal in room.residents if animal.label == "Lemon"),
            label="Lemon",
            at=dt.datetime(2027, 3, 8, 6, 30, tzinfo=room.zone),
            source_water=room.water_of("reef"),
            oxygen=7.0,
        )
    )
    assert isinstance(found, Dip), found
    return found


FRESH = dip()
LONG = dip("formalin-bath")


def fish_in(found: Dip = FRESH, at: float = 0.0) -> DipRun:
    run = replace(begin_run(found), ticked=(at - 3600.0,) * len(begin_run(found).before))
    return press(run, "in", at)


class TestKeys:
    def test_the_fish_goes_in_only_when_everything_before_is_ticked_off(self) -> None:
        run = begin_run(FRESH)
        for left in range(len(run.before), 0, -1):
            refused = press(run, "in", 0.0)
            assert refused.began is None
            assert refused.said == f"not yet: {left} to tick off first"
            run = press(run, "tick", 0.0)
        assert press(run, "in", 40 * 60.0).began == 40 * 60.0
        assert press(press(run, "untick", 1.0), "in", 40 * 60.0).began is None

    def test_only_the_last_tick_is_taken_back(self) -> None:
        run = press(press(begin_run(FRESH), "tick", 1.0), "tick", 2.0)
        assert press(run, "untick", 3.0).ticked == (1.0,)

    def test_too_short_an_aeration_is_asked_about_once(self) -> None:
        run = begin_run(FRESH)
        for _ in run.before:
            run = press(run, "tick", 0.0)
        asked = press(run, "in", 12 * 60.0)
        assert asked.began is None
        assert asked.said.startswith("aerated 12 of 30 min")
        assert press(asked, "in", 12 * 60.0 + 1).began == 12 * 60.0 + 1
        assert press(press(asked, "tick", 721.0), "in", 722.0).began is None, "another key takes the question back"

    def test_distress_ends_it_at_once(self) -> None:
        run = press(fish_in(), "distress", 47.0)
        assert (run.ended, run.how) == (47.0, "distress")

    def test_out_before_the_time_is_asked_about_once_and_then_early(self) -> None:
        asked = press(fish_in(), "out", 100.0)
        assert asked.ended is None
        assert press(asked, "out", 101.0).how == "early"
        assert press(fish_in(), "out", 300.0).how == "whole"

    def test_longer_never_passes_the_limit(self) -> None:
        run = fish_in()
        for _ in range(50):
            run = press(run, "longer", 10.0)
        assert run.goal == FRESH.ceiling == 10
        assert run.said == "10 min is the limit"

    def test_shorter_never_lies_in_the_past(self) -> None:
        run = fish_in()
        for _ in range(9):
            run = press(run, "shorter", 150.0)
        assert run.goal == 2.5
        assert press(replace(run, goal=1.0), "shorter", 150.0).goal == 1.0

    def test_longer_and_shorter_are_a_minute_each(self) -> None:
        run = fish_in()
        assert press(run, "longer", 10.0).goal == run.goal + 1
        assert press(run, "shorter", 10.0).goal == run.goal - 1
        assert press(run, "shorter", 10.0).said == f"now {run.goal - 1:g} min"

    def test_the_next_look_is_no_later_than_the_end(self) -> None:
        run = replace(fish_in(), goal=3.5)
        every = run.dip.look_every * 60
        assert next_look(run, 10.0) == min(every - 10, 200)
        assert next_look(run, 205.0) == min(every - 205 % every, 5)
        assert next_look(run, 210.0) is None
        assert next_look(begin_run(run.dip), 10.0) is None

    def test_q_asks_once(self) -> None:
        for run in (begin_run(FRESH), fish_in()):
            asked = press(run, "quit", 5.0)
            assert not asked.left
            assert "q once more" in asked.said
            assert asked.said.startswith("the fish is still in!" if run.began is not None else "nothing has begun")
            assert press(asked, "quit", 6.0).left
            assert not press(press(asked, "longer", 6.0), "quit", 7.0).left

    def test_the_clock_stands_still_once_the_fish_is_out(self) -> None:
        out = press(fish_in(), "out", 300.0)
        assert (out.how, out.is_over, out.seconds_in(400.0)) == ("whole", True, 300.0)
        assert press(out, "longer", 400.0) == out
        assert next_look(out, 310.0) is None
        assert begin_run(FRESH).seconds_in(400.0) == 0.0
        assert fish_in(at=50.0).seconds_in(40.0) == 0.0, "a clock that went back"

    @pytest.mark.parametrize(("seconds", "how"), [(299.9, "early"), (300.0, "whole")])
    def test_out_before_the_time_is_asked_about(self, seconds: float, how: str) -> None:
        run = press(fish_in(), "out", seconds)
        if how == "early":
            assert run.ended is None
            assert run.said == "5 min are not over; o once more: it is out"
            run = press(run, "out", seconds)
        assert (run.ended, run.how) == (seconds, how)

    @pytest.mark.parametrize(("minutes", "asked"), [(29.9, "in"), (30.0, "")])
    def test_the_water_is_aerated_for_as_long_as_the_sheet_says(self, minutes: float, asked: str) -> None:
        run = replace(begin_run(FRESH), ticked=(0.0,) * len(begin_run(FRESH).before))
        run = press(run, "in", minutes * 60)
        assert run.asked == asked
        assert not asked or run.said == "aerated 30 of 30 min by this clock; i once more: fish in"
        assert press(run, "in", minutes * 60 + 1).began == minutes * 60 + (1 if asked else 0)

    def test_where_nothing_is_aerated_nothing_is_waited_for(self) -> None:
        plain = replace(FRESH, steps=tuple(step for step in FRESH.steps if step.minute is None))
        run = replace(begin_run(plain), ticked=(0.0,) * len(begin_run(plain).before))
        assert press(run, "in", 1.0).began == 1.0

    def test_what_is_ticked_off_is_ticked_off_in_order_and_taken_back_the_other_way(self) -> None:
        run = press(press(press(begin_run(FRESH), "tick", 1.0), "tick", 2.0), "tick", 3.0)
        assert press(run, "untick", 4.0).ticked == (1.0, 2.0)
        assert press(begin_run(FRESH), "untick", 1.0).said == "nothing is ticked off yet"
        assert press(replace(run, ticked=(0.0,) * len(run.before)), "tick", 9.0).said.startswith("all is ticked off")
        assert press(run, "distress", 4.0).said == "the fish is not in yet"
        assert press(fish_in(), "in", 4.0).said == "it is in: the clock runs"

    def test_there_is_no_pause(self) -> None:
        keys = set(KEYS.values())
        assert keys == {"tick", "untick", "in", "out", "distress", "longer", "shorter", "quit"}

    @settings(deadline=None)
    @given(st.lists(st.tuples(st.sampled_from(sorted(set(KEYS.values()))), st.floats(0.0, 400.0)), max_size=60))
    def test_whatever_is_pressed(self, presses: list[tuple[str, float]]) -> None:
        run, now = begin_run(FRESH), 0.0
        for key, wait in presses:
            now += wait
            run, _ = ring(run, now)
            after = press(run, key, now)  # type: ignore[arg-type]
            assert 0 < after.goal <= FRESH.ceiling
            assert run.began in (None, after.began)
            assert run.ended in (None, after.ended)
            assert (after.ended is None) == (after.how is None)
            if after.began is not None:
                assert len(after.ticked) == len(after.before)
                assert after.ended is None or after.ended >= after.began
            run = after


class TestBells:
    def rung(self, run: DipRun, until: float, step: float = 0.5) -> list[tuple[float, str]]:
        found = []
        for tick in range(int(until / step) + 1):
            run, texts = ring(run, tick * step)
            found += [(tick * step, text) for text in texts]
        return found

    def test_at_each_look_at_the_end_and_at_the_limit(self) -> None:
        found = self.rung(fish_in(), 660.0)
        looks = [at for at, text in found if text.startswith("look now")]
        assert looks == [60.0, 120.0, 180.0, 240.0]
        assert "look now: breathing" in [text for _, text in found]
        assert [at for at, text in found if "net it out, even if all looks well" in text] == [300.0]
        assert [at for at, text in found if text == "10 min is the limit: out at once"] == [600.0]
        assert [at for at, text in found if text.startswith("many fish")] == [180.0]

    def test_it_goes_on_reminding_until_the_fish_is_out(self) -> None:
        found = [at for at, text in self.rung(fish_in(), 400.0) if text == "net it out now"]
        assert found == [300 + REMIND * count for count in range(1, 7)]
        out = press(fish_in(), "out", 300.0)
        assert ring(out, 400.0)[1] == ()

    def test_looks_of_a_bath_are_as_far_apart_as_its_sheet_says(self) -> None:
        found = self.rung(fish_in(LONG), LONG.minutes.value * 60 - 1, step=1.0)
        assert [at for at, _ in found] == [300.0 * count for count in range(1, len(found) + 1)]
        assert len(found) == int((LONG.minutes.value - 0.1) // 5)

    def test_after_a_sleep_each_sort_rings_once(self) -> None:
        _, texts = ring(fish_in(), 900.0)
        assert [text.split(":")[0] for text in texts] == ["many fish grow uneasy from 3 to 5 minutes",
                                                          "5 min are over", "10 min is the limit"]  # fmt: skip

    def test_a_bell_rings_once_however_often_it_is_looked_at(self) -> None:
        run, first = ring(fish_in(), 60.0)
        assert len(first) == 1
        assert ring(run, 60.0)[1] == ()
        assert ring(run, 59.0)[0].rung == 60.0, "a clock that went back"

    def test_a_dip_of_three_minutes_is_over_and_nothing_else_then(self) -> None:
        found = self.rung(replace(fish_in(), goal=3.0), 190.0)
        assert [(at, text.split(":")[0]) for at, text in found] == [
            (60.0, "look now"),
            (120.0, "look now"),
            (180.0, "3 min are over"),
        ]

    def test_without_a_list_of_what_to_watch_it_is_the_fish(self) -> None:
        run = fish_in(replace(FRESH, watch=()))
        assert ring(run, 60.0)[1] == ("look now: at the fish",)

    def test_after_a_sleep_past_the_end_only_the_end_is_said(self) -> None:
        _, texts = ring(ring(fish_in(), 240.0)[0], 400.0)
        assert [text.split(":")[0] for text in texts] == ["5 min are over"]

    def test_a_longer_time_rings_at_its_own_end(self) -> None:
        run = press(fish_in(), "longer", 10.0)
        assert [at for at, text in self.rung(run, 370.0) if "are over" in text] == [360.0]

    def test_a_resumed_dip_keeps_silent_about_what_is_past(self) -> None:
        run = resume_run(FRESH, 5.0, 130.0, 1000.0)
        assert run.seconds_in(1000.0) == 130.0
        assert ring(run, 1000.0)[1] == ()
        assert ring(run, 1051.0)[1] != ()


class TestPages:
    def pages(self) -> Iterator[TimerPage]:
        run = begin_run(FRESH)
        yield timer_page(run, 0.0)
        for _ in run.before:
            run = press(run, "tick", 0.0)
            yield timer_page(run, 90.0)
        for seconds in (0.0, 12.5, 200.0, 299.9, 300.0, 430.0, 600.0, 7400.0):
            yield timer_page(fish_in(), seconds, "look now: breathing")
            yield timer_page(fish_in(LONG), seconds)

    @pytest.mark.parametrize(("width", "height"), SIZES)
    @pytest.mark.parametrize("unicode", [True, False])
    def test_every_page_fits_every_window(self, width: int, height: int, unicode: bool) -> None:
        for page in self.pages():
            lines = frame(page, width=width, height=height, unicode=unicode)
            assert len(lines) <= height
            assert width < 30 or longest(lines) <= width
            text = "\n".join(map(write_line, lines))
            assert unicode or text.isascii()

    @pytest.mark.parametrize(("width", "height"), [(120, 40), (80, 24), (40, 24), (40, 12), (30, 16)])
    def test_figure_and_keys_are_on_every_usual_window(self, width: int, height: int) -> None:
        for page in self.pages():
            text = "\n".join(map(write_line, frame(page, width=width, height=height)))
            shown = big_figure(page.figure, width - 2)
            assert page.figure in text or all(row.rstrip() in text for row in shown)
            assert all(f"[{key}]" in text for key, _ in page.keys)

    def test_figures_are_told_apart_and_large(self) -> None:
        shapes = {text: tuple(big_figure(text, 80)) for text in "0123456789"}
        assert len(set(shapes.values())) == 10
        assert {len(rows) for rows in shapes.values()} == {5}
        assert max(map(len, big_figure("59:59", 40))) <= 40
        assert set("".join(big_figure("4:07", 40, "#"))) == {"#", " "}
        assert big_figure("12:34", 5) == []

    def test_the_bar_shows_the_goal_within_the_limit(self) -> None:
        assert bar(0.0, 0.5, 10, unicode=False) == ".....|...."
        assert bar(0.5, 0.5, 10) == "█████│░░░░"
        assert bar(1.0, 1.0, 4) == "████"

    def test_seconds_are_rounded_so_that_nought_means_over(self) -> None:
        assert [clock(seconds) for seconds in (300.0, 299.2, 0.3, 0.0, 3599.0)] == [
            "5:00", "5:00", "0:01", "0:00", "59:59",
        ]  # fmt: skip

    def test_what_stands_on_it_at_each_time(self) -> None:
        early, over, beyond = (timer_page(fish_in(), seconds) for seconds in (10.0, 310.0, 601.0))
        assert (early.figure, early.look) == ("4:50", "next look in 0:50")
        assert early.parts[0].title == "Watch now"
        assert [cell.text for cell in early.parts[1].lines] == [stop.text for stop in FRESH.stop]
        assert (over.figure, over.meaning, over.look) == ("+0:10", "due", "")
        assert "NET IT OUT" in over.under
        assert "OUT AT ONCE" in beyond.under

    def test_distress_says_what_to_do(self) -> None:
        sheet = end_sheet(FRESH, press(fish_in(), "distress", 47.0), 47 / 60, ())
        assert [cell.text for cell in sheet.parts[0].lines] == [step.text for step in FRESH.at_stop]
        assert sheet.title.startswith("Stopped for distress after 0:47 min")


class Tank:
    """A clock and a keyboard in the hands of a test: keys at their second, pages and bells kept."""

    def __init__(self, presses: dict[float, str], step: float = 0.5) -> None:
        self.now, self.step, self.presses = 0.0, step, dict(presses)
        self.pages: list[TimerPage] = []
        self.bells: list[tuple[float, str]] = []
        self.written: list[str] = []

    def keys(self, _seconds: float) -> str:
        self.now += self.step
        due = [at for at in self.presses if at <= self.now]
        return "".join(self.presses.pop(at) for at in sorted(due))

    def note(self, what: str) -> Callable[[DipRun], str]:
        def write(run: DipRun) -> str:
            self.written.append(f"{what} {run.how or ''}".strip())
            return "" if what == "out" else "not in the log yet"

        return write

    def drive(self, run: DipRun) -> DipRun:
        bell = lambda text: self.bells.append((self.now, text))  # noqa: E731
        return Timer(
            run=run, clock=lambda: self.now, keys=self.keys, show=self.pages.append, bell=bell,
            began=self.note("in"), ended=self.note("out"),
        ).drive()  # fmt: skip


def test_a_whole_dip_with_a_clock_of_its_own() -> None:
    tank = Tank({1.0: "\n" * 6, 2000.0: "i", 2100.0: "+", 2150.0: "x", 2400.0: "O"})
    run = tank.drive(begin_run(FRESH))
    assert (run.began, run.ended, run.how) == (2000.0, 2400.0, "whole")
    assert tank.written == ["in", "out whole"]
    assert any(page.notice == "not in the log yet" for page in tank.pages)
    ends = [at for at, text in tank.bells if "6 min are over" in text]
    assert ends == [2360.0]


def test_a_key_that_does_nothing_is_answered_with_those_that_do() -> None:
    tank = Tank({1.0: "x", 2.0: "\n" * 6, 2000.0: "i", 2010.0: "z", 2020.0: "\x01", 2400.0: "o"})
    tank.drive(begin_run(FRESH))
    said = {page.notice for page in tank.pages}
    assert "x is no key here: Enter tick off, u untick, i fish in, q leave" in said
    assert "z is no key here: d DISTRESS, o fish out, + 1 min more, - 1 min less, q leave" in said
    assert not any("\x01" in notice for notice in said)


def test_keys_after_the_end_write_nothing_more() -> None:
    tank = Tank({1.0: "      i", 2.0: "id", 3.0: "oodq"})
    tank.drive(begin_run(FRESH))
    assert tank.written == ["in", "out distress"]


# In a pseudo-terminal: the program as it is, in a process of its own.

Act = Callable[[int, int], None]


class Terminal:
    """Runs the timer in a pseudo-terminal; each step waits for words on the screen, then types or acts."""

    def __init__(self, folder: Path) -> None:
        (folder / "fishroom.yaml").write_text(HARBOUR.read_text("utf-8"), "utf-8")
        self.folder, self.log = folder, folder / "fishroom.log.jsonl"

    def run(
        self, *steps: tuple[str, str | Act], words: tuple[str, ...] = ("--minutes", "0.02"), term: str = "xterm",
        size: tuple[int, int] = (24, 80), whom: str = "Lemon",
    ) -> tuple[str, int]:  # fmt: skip
        import fcntl
        import select
        import termios

        leader, follower = pty.openpty()
        fcntl.ioctl(leader, termios.TIOCSWINSZ, struct.pack("HHHH", *size, 0, 0))
        before = termios.tcgetattr(follower)
        env = {**os.environ, "TERM": term, "NO_COLOR": "1", "PYTHONIOENCODING": "utf-8"}
        env.pop("COLUMNS", None)
        code = "from pratique.cli.main import run; run()"
        command = [sys.executable, "-c", code, "dip", "freshwater-dip", "--for", whom, "--run", *words]

        def take_terminal() -> None:
            """So that Ctrl-C and a hang-up reach it as they do at a tank."""
            fcntl.ioctl(0, termios.TIOCSCTTY, 0)

        started = subprocess.Popen(
            command, stdin=follower, stdout=follower, stderr=follower, cwd=self.folder, env=env,
            start_new_session=True, preexec_fn=take_terminal,
        )  # fmt: skip
        shown, at, left, end = b"", 0, list(steps), time.monotonic() + 60
        while started.poll() is None or select.select([leader], [], [], 0)[0]:
            assert time.monotonic() < end, shown[-2000:].decode("utf-8", "replace")
            if select.select([leader], [], [], 0.05)[0]:
                shown += os.read(leader, 65536)
            if left and (found := shown.find(left[0][0].encode(), at)) >= 0:
                at = found + len(left[0][0].encode())
                act = left.pop(0)[1]
                if callable(act):
                    act(started.pid, leader)
                else:
                    os.write(leader, act.encode())
        assert termios.tcgetattr(follower) == before or started.returncode == -signal.SIGKILL, "modes stayed changed"
        os.close(leader)
        os.close(follower)
        assert not left, f"never seen: {left[0][0]}\n" + shown.decode("utf-8", "replace")[-2000:]
        return shown.decode("utf-8"), started.returncode

    def entries(self) -> list[dict[str, object]]:
        return [json.loads(line) for line in self.log.read_text("utf-8").splitlines()] if self.log.exists() else []


@pytest.fixture
def terminal(tmp_path: Path) -> Terminal:
    return Terminal(tmp_path)


READY: list[tuple[str, str | Act]] = [("6 to tick off", "\n\n\n\n\n\ni"), ("aerated 0 of 30", "i")]


def kill(number: int) -> Act:
    return lambda pid, _: os.kill(pid, number)


def test_at_the_tank_from_the_first_tick_to_the_log(terminal: Terminal) -> None:
    shown, status = terminal.run(*READY, ("NET IT OUT", "o"))
    assert status == 0
    begun, ended = terminal.entries()
    assert (begun["kind"], begun["animals"], begun["treatment"], begun["minutes"]) == (
        "dip", ["Lemon"], "freshwater-dip", 0.02,
    )  # fmt: skip
    assert (ended["kind"], ended["dip"], ended["how"]) == ("out", begun["id"], "whole")
    assert "\a" in shown
    assert "█" in shown
    last = shown.split("\x1b[?1049l")[1]
    assert "straight into full salinity" in last
    assert str(begun["id"]) in last


def test_distress_is_written_and_answered(terminal: Terminal) -> None:
    shown, status = terminal.run(*READY, ("left of 5 min", "d"), words=())
    assert status == 0
    assert terminal.entries()[1]["how"] == "distress"
    last = shown.split("\x1b[?1049l")[1]
    assert "Stopped for distress" in last
    assert "net it out at once" in last


@pytest.mark.parametrize(
    ("whom", "wanted"),
    [
        ("spring tangs", {"batch": "spring tangs"}),
        ("kole tang", {"batch": "spring tangs", "animals": ["kole tang"]}),
        ("ocellaris clownfish", {"animals": ["ocellaris clownfish"], "count": 2, "tank": "reef"}),
    ],
)
def test_who_was_dipped_is_written_as_the_log_knows_them(
    whom: str, wanted: dict[str, object], terminal: Terminal
) -> None:
    _, status = terminal.run(*READY, ("left of 5 min", "d"), words=(), whom=whom, size=(24, 40))
    assert status == 0
    entry = terminal.entries()[0]
    assert {key: entry.get(key) or None for key in ("batch", "animals", "count", "tank")} == {
        "batch": None, "animals": None, "count": None, "tank": None, **wanted,
    }  # fmt: skip


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGKILL])
def test_interrupted_it_loses_nothing_and_goes_on(number: int, terminal: Terminal) -> None:
    shown, status = terminal.run(*READY, ("left of 5 min", kill(number)), words=())
    assert status == (-number if number == signal.SIGKILL else 1)
    (begun,) = terminal.entries()
    assert begun["kind"] == "dip"
    if number in (signal.SIGINT, signal.SIGTERM):
        assert "The fish is still in" in shown.split("\x1b[?1049l")[1]
    shown, status = terminal.run(("this dip was running already", "oo"), words=())
    assert status == 0
    assert [entry["kind"] for entry in terminal.entries()] == ["dip", "out"]
    assert terminal.entries()[1]["dip"] == begun["id"]


def test_ctrl_c_and_q_before_the_fish_is_in_write_nothing(terminal: Terminal) -> None:
    assert terminal.run(("6 to tick off", "\x03"))[1] == 1
    assert terminal.run(("6 to tick off", "q"), ("q once more", "q"))[1] == 0
    assert terminal.entries() == []


def test_without_a_screen_to_draw_on_it_writes_lines(terminal: Terminal) -> None:
    shown, status = terminal.run(*READY, ("NET IT OUT", "o"), term="dumb")
    assert status == 0
    assert "\x1b" not in shown
    assert "0:02 · left of 0.02 min" in shown
    assert "☐ ready beside it" in shown
    plain, status = terminal.run(*READY, ("NET IT OUT", "o"), words=("--minutes", "0.02", "--plain"))
    assert status == 0
    assert "\x1b" not in plain


def test_a_window_that_changes_its_size_is_drawn_anew(terminal: Terminal) -> None:
    def resize(pid: int, leader: int) -> None:
        import fcntl
        import termios

        fcntl.ioctl(leader, termios.TIOCSWINSZ, struct.pack("HHHH", 10, 40, 0, 0))
        os.kill(pid, signal.SIGWINCH)

    shown, _ = terminal.run(("6 to tick off", resize), ("[i] fish in\x1b[K\r\n  [q] leave", "q"), ("once more", "q"))
    last = shown.split("\x1b[?1049l")[0].split("\x1b[H")[-1]
    assert max(len(line.replace("\x1b[K", "").replace("\x1b[J", "")) for line in last.split("\r\n")) <= 40


def test_a_log_that_cannot_be_written_does_not_stop_the_clock(terminal: Terminal) -> None:
    def spoil(_pid: int, _leader: int) -> None:
        terminal.log.mkdir()

    steps = [("6 to tick off", spoil), ("6 to tick off", "      i"), ("aerated", "i"), ("not in the log yet", "d")]
    shown, status = terminal.run(steps[0], *[("", step[1]) if n == 0 else step for n, step in enumerate(steps[1:])])
    assert status == 1
    assert "L720" in shown
    assert "type it: pratique log" in shown


def test_refused_dips_have_no_timer(terminal: Terminal) -> None:
    shown, status = terminal.run(words=("--minutes", "11"))
    assert status == 1
    assert "D459" in shown
    assert "\x1b[?1049h" not in shown


@pytest.mark.parametrize("more", [[], ["--json"], ["--at", "2027-03-08T06:30"]])
def test_without_a_terminal_it_says_how(more: list[str]) -> None:
    words = ["dip", "freshwater-dip", "--for", "Lemon", "--run", "--room", str(HARBOUR), *more]
    result = CliRunner().invoke(cli, words)
    assert result.exit_code == 2
    assert ("leave out" if more else "ssh -t") in result.stderr


def test_gear_has_no_timer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("pratique.cli.run_dip.check_terminal", lambda: None)
    result = CliRunner().invoke(cli, ["dip", "drying", "--for", "red set", "--run", "--room", str(HARBOUR)])
    assert result.exit_code == 2
    assert "for animals" in result.stderr


def log_line(began: dt.datetime, **more: object) -> str:
    moment = began.isoformat(timespec="seconds")
    fields = {"id": "k7m2q9x", "kind": "dip", "at": moment, "written": moment, "treatment": "freshwater-dip"}
    return json.dumps({**fields, "animals": ["Lemon"], "tank": "reef", "minutes": 5.0, **more}) + "\n"


def move_line(at: dt.datetime, **more: object) -> str:
    moment = at.isoformat(timespec="seconds")
    fields = {"id": "k7m2q9y", "kind": "move", "at": moment, "written": moment, "from": "reef", "to": "ward"}
    return json.dumps({**fields, "animals": ["Lemon"], **more}) + "\n"


def test_a_dip_from_yesterday_without_an_end_stops_a_new_one(terminal: Terminal) -> None:
    yesterday = dt.datetime.now(dt.UTC).replace(microsecond=0) - dt.timedelta(days=1)
    terminal.log.write_text(log_line(yesterday), "utf-8")
    shown, status = terminal.run()
    assert status == 1
    assert "L762" in shown
    assert "pratique log out k7m2q9x after MINUTES min" in " ".join(shown.split())


def test_an_end_that_was_written_elsewhere_is_not_written_twice(terminal: Terminal) -> None:
    def write_end(_pid: int, _leader: int) -> None:
        (begun,) = terminal.entries()
        room = str(terminal.folder / "fishroom.yaml")
        words = ["log", "out", str(begun["id"]), "after", "0.5", "min", "--room", room]
        assert CliRunner().invoke(cli, words).exit_code == 0

    shown, status = terminal.run(*READY, ("left of 5 min", write_end), ("next look", "oo"), words=())
    assert status == 0
    assert [entry["kind"] for entry in terminal.entries()] == ["dip", "out"]
    assert "after 0.5 min" in " ".join(shown.split("\x1b[?1049l")[1].split())


def test_a_dip_that_still_runs_is_not_told_to_end(tmp_path: Path) -> None:
    log = tmp_path / "log.jsonl"
    log.write_text(log_line(dt.datetime(2027, 3, 8, 6, 31, tzinfo=dt.UTC)), "utf-8")
    options = ["--room", str(HARBOUR), "--log", str(log), "--at", "2027-03-08T06:34", "--json"]
    found = json.loads(CliRunner().invoke(cli, ["day", *options]).stdout)["problems"]
    (said,) = [problem for problem in found if problem["code"] == "L760"]
    assert "meant to be out at 06:36" in said["hint"]


def test_every_page_tells_of_a_dip_without_an_end(tmp_path: Path) -> None:
    log = tmp_path / "log.jsonl"
    log.write_text(log_line(dt.datetime(2027, 3, 8, 6, 0, tzinfo=dt.UTC)), "utf-8")
    options = ["--room", str(HARBOUR), "--log", str(log), "--at", "2027-03-08T06:34", "--json"]
    for words in (["day"], ["dip", "freshwater-dip", "--for", "Lemon"]):
        found = json.loads(CliRunner().invoke(cli, [*words, *options]).stdout)["problems"]
        (said,) = [problem for problem in found if problem["code"] == "L760"]
        assert "began Mon 8 Mar 06:00, 34 min ago" in said["message"]
        assert "pratique log out k7m2q9x" in said["hint"]


SIX = dt.datetime(2027, 3, 8, 6, 0, tzinfo=dt.UTC)
ENDED = {
    "written down when its minutes were over": (log_line(SIX, written="2027-03-08T06:20:00+00:00"), ""),
    "moved after it": (log_line(SIX), move_line(SIX + dt.timedelta(minutes=6))),
    "long ago": (log_line(SIX - dt.timedelta(days=2)), ""),
}


@pytest.mark.parametrize("lines", ENDED.values(), ids=ENDED)
def test_a_dip_that_is_plainly_over_raises_no_alarm(lines: tuple[str, str], tmp_path: Path) -> None:
    log = tmp_path / "log.jsonl"
    log.write_text("".join(lines), "utf-8")
    options = ["--room", str(HARBOUR), "--log", str(log), "--at", "2027-03-08T06:34", "--json"]
    found = json.loads(CliRunner().invoke(cli, ["day", *options]).stdout)["problems"]
    assert [problem for problem in found if problem["code"] == "L760"] == []


def test_a_move_of_another_ends_no_dip(tmp_path: Path) -> None:
    log = tmp_path / "log.jsonl"
    log.write_text(log_line(SIX) + move_line(SIX + dt.timedelta(minutes=6), animals=["Bea"]), "utf-8")
    options = ["--room", str(HARBOUR), "--log", str(log), "--at", "2027-03-08T06:34", "--json"]
    found = json.loads(CliRunner().invoke(cli, ["day", *options]).stdout)["problems"]
    assert [problem["code"] for problem in found if problem["code"] == "L760"] == ["L760"]


class TestTypedByHand:
    """`pratique log dip` and `pratique log out`, for a dip without the timer."""

    def log(self, folder: Path, *words: str, at: str = "2027-03-08T06:36") -> dict[str, object]:
        options = ["--room", str(HARBOUR), "--log", str(folder / "log.jsonl"), "--at", at, "--json"]
        result = CliRunner().invoke(cli, ["log", *words, *options])
        return {"status": result.exit_code, **json.loads(result.stdout or "{}")}

    @pytest.fixture(autouse=True)
    def _later(self, monkeypatch: pytest.MonkeyPatch) -> None:
        from pratique.cli import log_write

        moment = dt.datetime(2027, 3, 8, 9, 0, tzinfo=dt.UTC)
        monkeypatch.setattr(log_write, "now", lambda zone: moment.astimezone(zone))

    def test_out_finds_the_dip_by_name_and_counts_the_minutes(self, tmp_path: Path) -> None:
        self.log(tmp_path, "dip Lemon freshwater-dip for 5 min", at="2027-03-08T06:31")
        saved = self.log(tmp_path, "out Lemon distress")["result"]["entries"][0]  # type: ignore[index]
        assert (saved["minutes"], saved["how"]) == (5.0, "distress")
        assert self.log(tmp_path, "out Lemon")["refusal"]["code"] == "L761"  # type: ignore[index]

    def test_a_dip_has_one_end_that_can_be_set_right(self, tmp_path: Path) -> None:
        dip = self.log(tmp_path, "dip Lemon freshwater-dip for 5 min", at="2027-03-08T06:31")["result"]["entries"][0]  # type: ignore[index]
        out = self.log(tmp_path, f"out {dip['id']} after 5 min")["result"]["entries"][0]  # type: ignore[index]
        again = self.log(tmp_path, f"out {dip['id']} after 4 min")["refusal"]
        assert (again["code"], again["message"]) == (  # type: ignore[index]
            "L761", f"the dip of `Lemon` has its end already, after 5 min (`{out['id']}`)"
        )  # fmt: skip
        mended = self.log(tmp_path, f"correct {out['id']} out {dip['id']} after 4 min")
        assert (mended["status"], mended["result"]["entries"][0]["instead"]["minutes"]) == (0, 4.0)  # type: ignore[index]

    def test_who_was_never_dipped_is_named_alone(self, tmp_path: Path) -> None:
        found = self.log(tmp_path, "out Lime after 4 min distress")["refusal"]
        assert found["message"] == "no dip of `Lime` is without an end"  # type: ignore[index]

    def test_dip_and_end_can_be_typed_at_once(self, tmp_path: Path) -> None:
        saved = self.log(tmp_path, "06:31 dip Lemon freshwater-dip; 06:35 out Lemon; 06:36 out Lemon")
        assert saved["refusal"]["code"] == "L761"  # type: ignore[index]
        saved = self.log(tmp_path, "06:31 dip Lemon freshwater-dip; 06:35 out Lemon")
        assert [entry["kind"] for entry in saved["result"]["entries"]] == ["dip", "out"]  # type: ignore[index]

    def test_an_end_before_the_beginning_is_refused(self, tmp_path: Path) -> None:
        self.log(tmp_path, "dip Lemon freshwater-dip", at="2027-03-08T06:40")
        assert self.log(tmp_path, "out Lemon")["refusal"]["code"] == "L761"  # type: ignore[index]

    def test_what_a_bath_took_is_taken_from_the_bottle(self, tmp_path: Path) -> None:
        found = self.log(tmp_path, "dip Lemon peroxide-bath with 500 mL of peroxide")
        assert [problem["code"] for problem in found["problems"]] == ["L740"]  # type: ignore[index,union-attr]
