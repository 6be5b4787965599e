"""A long search by hand: `python tests/fuzz/long.py KIND [--tries N] [--seconds S]`, from the top of the tree.

KIND is values, words, lines, rooms (guided by coverage where atheris is installed, `pip install atheris`), or commands,
changed-values, changed-words, changed-lines, changed-rooms, whole-rooms (from the strategies of the tests; hypothesis).
Prints how many were tried and understood, the slowest, the peak of memory, and each failure with its input; ends with 1
where there was one. What is found becomes a case or a test.
"""

from __future__ import annotations

import argparse
import random
import resource
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

_TESTS = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(_TESTS), str(_TESTS.parent / "src")]
_HANGS_AFTER = {signal.ITIMER_PROF: 20.0, signal.ITIMER_REAL: 300.0}
"""Seconds of work, and seconds by the clock for one that waits: a busy machine is no hang."""
_MOST_FAILURES = 10


class Hang(BaseException):
    """One input took longer than any may."""


class Tally:
    """What happened, and the end after so many tries or seconds."""

    def __init__(self, law: Callable[[Any], bool], tries: int, seconds: float) -> None:
        self.law, self.most, self.until = law, tries, time.monotonic() + seconds
        self.tried = self.understood = 0
        self.slowest, self.slowest_input = 0.0, ""
        self.failures: dict[str, str] = {}

    @property
    def over(self) -> bool:
        return self.tried >= self.most or time.monotonic() > self.until or len(self.failures) >= _MOST_FAILURES

    def __call__(self, given: Any) -> None:
        self.tried += 1
        start = time.process_time()
        for timer, seconds in _HANGS_AFTER.items():
            signal.setitimer(timer, seconds)
        try:
            self.understood += bool(self.law(given))
        except (Exception, Hang) as error:
            self._failed(given, error)
        finally:
            for timer in _HANGS_AFTER:
                signal.setitimer(timer, 0)
        took = time.process_time() - start
        if took > self.slowest:
            self.slowest, self.slowest_input = took, repr(given)[:200]

    def _failed(self, given: Any, error: BaseException) -> None:
        where = error.__traceback__
        while where is not None and where.tb_next is not None:
            where = where.tb_next
        spot = f"{Path(where.tb_frame.f_code.co_filename).name}:{where.tb_lineno}" if where is not None else "?"
        key = f"{type(error).__name__} at {spot}"
        if key not in self.failures:
            self.failures[key] = f"{str(error)[:600]}\n    input: {given!r:.3000}"
            print(f"  {key}: {self.failures[key]}", flush=True)

    def report(self, kind: str) -> int:
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        print(
            f"{kind}: {self.tried:,} tried, {self.understood:,} understood, {len(self.failures)} failures; "
            f"slowest {self.slowest * 1000:.0f} ms, {self.slowest_input}; peak memory {peak} MB",
            flush=True,
        )
        return 1 if self.failures else 0


def _laws() -> dict[str, tuple[Callable[[bytes], bool], list[bytes]]]:
    """Kind to its law over bytes, and the inputs from which a guided search begins."""
    from fuzz import laws, strategies
    from fuzz.readers import READERS
    from logbook.typed import scope
    from pratique.logbook.line import to_line
    from pratique.logbook.phrase import parse_entry

    readers = sorted(READERS)

    def values(raw: bytes) -> bool:
        text = raw[1:].decode("utf-8", "replace")
        if raw[:1] < b"\x80":
            return laws.quantity_is_read_twice_alike(
                text, laws.DIMENSIONS[raw[0] % len(laws.DIMENSIONS)] if raw else "volume"
            )
        return laws.value_is_what_stands_there(text, readers[raw[0] % len(readers)])

    good = [
        "62 L ± 2 %",
        "77 degF ± 1 degF",
        "1.025 sg at 77 degF, reference 60 degF",
        "10 mg/mL as CuSO4.5H2O",
        "37 % w/w density 1.08 g/mL as formaldehyde",
        "2027-03-05T08:30-05:00",
        "07:00-09:00, 18:00-22:00",
        "1 mL per 40 L gives 0.15 mg/L",
        "25 % every 3 d",
        "1 g in 250 mL",
        "12 tablets",
        "20 drops/mL",
        "18.50 euro per 500 mL",
    ]
    lines = [to_line(entry) for words in strategies.SAID for entry in parse_entry([words], scope()).entries]
    return {
        "values": (values, [bytes([n]) + text.encode() for text in good for n in range(0, 256, 16)]),
        "words": (
            lambda raw: laws.typed_words_are_an_entry_or_refused(raw.decode("utf-8", "replace")),
            [words.encode() for words in strategies.SAID],
        ),
        "lines": (laws.line_is_an_entry_or_faults, lines),
        "rooms": (
            lambda raw: laws.room_text_is_a_room_or_refused(raw.decode("utf-8", "replace")),
            [path.read_bytes() for path in [*strategies.GOOD, *strategies.TEMPLATES]]
            + [path.read_bytes() for path in sorted((_TESTS / "cases/bad").glob("*.yaml"))],
        ),
    }


def _drawn() -> dict[str, tuple[Any, Callable[[Any], bool]]]:
    """Kind to the strategy of the tests and its law."""
    from hypothesis import strategies as st

    from fuzz import commands, laws, readers, strategies
    from logbook.typed import demo

    def in_a_folder(use: Callable[[Path], bool], text: str) -> bool:
        with TemporaryDirectory() as folder:
            room = Path(folder) / "fishroom.yaml"
            room.write_text(text, "utf-8", errors="surrogatepass")
            return use(room)

    def command(words: list[str]) -> bool:
        return in_a_folder(lambda room: commands.called(words, room).exit_code == 0, demo())

    def whole(given: tuple[Any, list[str]]) -> bool:
        def use(room: Path) -> bool:
            if commands.called(["check"], room).exit_code:
                return False
            for words in (["plan", "--at", "2027-03-08T18:00"], ["day", "2027-03-08", "--json"], given[1]):
                commands.called(words, room)
            return True

        return in_a_folder(use, strategies.room_text(given[0], as_json=True))

    typed = st.one_of(strategies.quantities, strategies.moments)
    return {
        "commands": (commands.command_lines(), command),
        "whole-rooms": (st.tuples(strategies.room_trees(most=2), commands.command_lines()), whole),
        "changed-values": (
            st.tuples(typed, st.sampled_from(laws.DIMENSIONS), st.sampled_from(sorted(readers.READERS))),
            lambda given: (
                laws.quantity_is_read_twice_alike(*given[:2]) | laws.value_is_what_stands_there(given[0], given[2])
            ),
        ),
        "changed-words": (strategies.log_words(), laws.typed_words_are_an_entry_or_refused),
        "changed-lines": (strategies.log_lines(), laws.line_is_an_entry_or_faults),
        "changed-rooms": (strategies.room_texts, laws.room_text_is_a_room_or_refused),
    }


def _instrumented() -> Any:
    """The laws, with the program made to tell which of its code an input reaches, where atheris is there."""
    try:
        import atheris
    except ImportError:
        return _laws()
    with atheris.instrument_imports(include=["pratique"], enable_loader_override=False):
        return _laws()


def _guided(corpus: list[bytes], tally: Tally, kind: str) -> None:
    """Inputs that reach new code are kept and changed further, by atheris; without it, changed at random."""
    try:
        import atheris
    except ImportError:
        return _random(corpus, tally)
    with TemporaryDirectory() as folder:
        for number, raw in enumerate(corpus):
            (Path(folder) / str(number)).write_bytes(raw)

        def one(raw: bytes) -> None:
            tally(raw)
            if tally.over:
                code = tally.report(kind)
                sys.stdout.flush()
                import os

                os._exit(code)

        most = 20_000 if kind == "rooms" else 300
        atheris.Setup(
            [sys.argv[0], folder, f"-max_len={most}", "-timeout=0", "-verbosity=0", "-rss_limit_mb=4000"], one
        )
        atheris.Fuzz()
    return None


def _random(corpus: list[bytes], tally: Tally) -> None:
    chance = random.Random(1)
    while not tally.over:
        raw = bytearray(chance.choice(corpus))
        for _ in range(chance.randint(1, 6)):
            at, what = chance.randint(0, len(raw)), chance.randint(0, 3)
            if what == 0:
                del raw[at : at + chance.randint(1, 8)]
            elif what == 1:
                raw[at:at] = bytes(chance.randbytes(chance.randint(1, 4)))
            elif what == 2:
                other = chance.choice(corpus)
                start = chance.randint(0, len(other))
                raw[at:at] = other[start : start + chance.randint(1, 20)]
            else:
                raw[at : at + 1] = bytes([chance.randint(32, 126)])
        tally(bytes(raw))


def _draw(strategy: Any, tally: Tally) -> None:
    """Batches of examples, each with another seed, until it is over."""
    from hypothesis import HealthCheck, Phase, given, seed, settings

    number = int(time.time())
    while not tally.over:
        number += 1

        @seed(number)
        @settings(
            max_examples=2000,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(strategy)
        def batch(drawn: Any) -> None:
            if not tally.over:
                tally(drawn)

        batch()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kind")
    parser.add_argument("--tries", type=int, default=1_000_000)
    parser.add_argument("--seconds", type=float, default=600.0)
    wanted = parser.parse_args()

    def hang(*_: Any) -> None:
        raise Hang

    signal.signal(signal.SIGPROF, hang)
    signal.signal(signal.SIGALRM, hang)
    if wanted.kind in ("values", "words", "lines", "rooms"):
        law, corpus = _instrumented()[wanted.kind]
        tally = Tally(law, wanted.tries, wanted.seconds)
        _guided(corpus, tally, wanted.kind)
    else:
        strategy, law = _drawn()[wanted.kind]
        tally = Tally(law, wanted.tries, wanted.seconds)
        _draw(strategy, tally)
    return tally.report(wanted.kind)


if __name__ == "__main__":
    sys.exit(main())
