"""Writers that are killed, starved and crowded, and the count of what they were told was saved."""

from __future__ import annotations

import datetime as dt
import os
import random
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

from pratique.logbook import disk
from pratique.logbook.entry import Common, Note
from pratique.logbook.file import LogError, append, read_log
from pratique.logbook.ids import Ids

AT = dt.datetime(2027, 3, 8, 18, 30, tzinfo=dt.UTC)


def note(text: str, number: int = 0) -> Note:
    """All of one second: writers side by side then take each other's ids."""
    return Note(id=Ids().new(AT), at=AT + dt.timedelta(minutes=number), written=AT, note=text)


@dataclass
class Tally:
    """What was acknowledged (id to its text), and what a reader found wrong."""

    acknowledged: dict[str, str] = field(default_factory=dict)
    kills: int = 0
    torn: int = 0
    unacknowledged: int = 0
    lost: list[str] = field(default_factory=list)
    garbled: list[str] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        return not self.lost and not self.garbled


def write_on(path: Path, name: str, acks: int, seed: int, *, cuts: bool = False, most: int = 1_000_000) -> NoReturn:
    """In a process of its own: append and acknowledge until killed; with `cuts` by itself, inside of a line."""
    status = 1
    try:
        chance = random.Random(seed)
        if cuts:
            _cut_some_write(chance, acks)
        for number in range(most):
            texts = [
                f"{name} {number} {part} {'ü' * chance.randrange(40)}." for part in range(chance.choice((1, 1, 3)))
            ]
            ids = append(path, [note(text, number) for text in texts])
            lines = "".join(f"{id_} {text}\n" for id_, text in zip(ids, texts, strict=True))
            os.write(acks, lines.encode())
        status = 0
    finally:
        os._exit(status)


def _cut_some_write(chance: random.Random, acks: int) -> None:
    real = os.write

    def write(descriptor: int, data: bytes) -> int:
        if descriptor != acks and chance.random() < 0.3:
            real(descriptor, data[: chance.randrange(len(data) + 1)])
            os.kill(os.getpid(), signal.SIGKILL)
        return real(descriptor, data)

    disk.os.write = write  # type: ignore[assignment]


def start(act: Callable[[int], NoReturn]) -> tuple[int, int]:
    """A child that runs `act` with the end of a pipe for its acknowledgements; its number and the other end."""
    here, there = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(here)
        act(there)
    os.close(there)
    return child, here


def gather(acks: int, tally: Tally) -> None:
    """What a writer was told was saved, up to its last whole line."""
    told = b""
    while piece := os.read(acks, 1 << 16):
        told += piece
    os.close(acks)
    for line in told.decode(errors="replace").split("\n")[:-1]:
        id_, text = line.split(" ", 1)
        tally.acknowledged[id_] = text


def inspect(path: Path, tally: Tally) -> list[Common]:
    """Read the log and hold it against what was acknowledged."""
    log, problems = read_log(path)
    tally.garbled += [f"{problem.code} {problem.places}" for problem in problems if problem.code != "L701"]
    tally.torn += sum(problem.code == "L701" for problem in problems)
    found = {entry.id: entry.note for entry in log.entries}
    tally.lost += [id_ for id_, text in tally.acknowledged.items() if found.get(id_) != text]
    tally.garbled += [str(text) for text in found.values() if not str(text).endswith(".")]
    tally.unacknowledged += len(found.keys() - tally.acknowledged.keys())
    return list(log.written)


def kill_one(path: Path, tally: Tally, seed: int, *, cuts: bool) -> None:
    """A writer killed at a random moment, then one more entry by a writer that lives."""
    chance = random.Random(seed)
    child, acks = start(lambda there: write_on(path, f"w{seed}", there, seed, cuts=cuts))
    if not cuts:
        time.sleep(chance.random() * 0.012)
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    gather(acks, tally)
    tally.kills += 1
    text = f"after {seed}."
    tally.acknowledged[append(path, [note(text)])[0]] = text


def side_by_side(path: Path, tally: Tally, seed: int, *, writers: int, kill: int, seconds: float) -> None:
    """Several at once, some of them killed while the others go on."""
    children = [
        start(lambda there, name=name: write_on(path, f"s{seed}-{name}", there, seed * 100 + name))  # type: ignore[misc]
        for name in range(writers)
    ]
    chance = random.Random(seed)
    for child, _ in children[:kill]:
        time.sleep(seconds * chance.random() / max(kill, 1))
        os.kill(child, signal.SIGKILL)
    time.sleep(seconds)
    for child, acks in children:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        gather(acks, tally)
        tally.kills += 1


def fill(path: Path, tally: Tally, most: int = 10_000) -> LogError | None:
    """Append until there is no room; the error that said so."""
    for number in range(most):
        text = f"full {number} {'x' * (number * 37 % 400)}."
        try:
            tally.acknowledged[append(path, [note(text, number)])[0]] = text
        except LogError as error:
            return error
    return None
