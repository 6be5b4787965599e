"""Command lines of every command with every option, and what must hold of each answer."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click
from click.testing import CliRunner
from hypothesis import strategies as st

from fuzz.laws import steering
from fuzz.strategies import NAMES, NONSENSE, SAID, SIGNS, log_words, moments, quantities
from pratique.cli.main import COMMANDS, cli

TREATMENTS = (
    "copper-chelated",
    "copper-ionic",
    "praziquantel-bath",
    "freshwater-dip",
    "formalin-bath",
    "tank-transfer",
    "coper",
)
_WORDS = st.one_of(
    st.sampled_from(NAMES),
    st.sampled_from(NAMES[:6]),
    st.sampled_from(TREATMENTS),
    st.sampled_from(["dust", "white spots", "D412", "velvet", "cryptocaryon", "copper-ionic.target", "shrimp", "uv"]),
    st.text(max_size=12),
)
_PHRASES = st.sampled_from(
    [
        "1 g in 250 mL",
        "1:10",
        "10 mL of copper bottle at 2027-03-05T08:00",
        "1 mL per 10 gal_us gives 0.15 mg/L",
        "2027-03-05T08:00 2.1 mg/L, 2027-03-07T08:00 1.9 mg/L",
        "20 L at 30 g/kg",
        "60 L at 35 g/kg",
        "1.019 sg at 24 degC",
        "25 %",
        "20 L",
        "D412: the lamp is behind a shut valve",
        "D401: because",
        "moved spring tangs ward",
        "2.1 mg/L",
        "8.1",
        "25 degC",
        "34 g/kg",
        "N",
        "NH4",
        "carbon,uv",
        "tank",
        "water",
        "2 g",
        "100",
        "7",
        "1",
        "0.5",
        "1e9",
        "99999999999999999999",
    ]
)
_VALUES = st.one_of(
    _PHRASES, _WORDS, moments, quantities, st.sampled_from([*NONSENSE, *SIGNS]), st.sampled_from(SAID), log_words()
)
_FIT = {
    "--reading": ["0.5 mg/L", "2.1 mg/L"],
    "--oxygen": ["6.5 mg/L"],
    "--temperature": ["25 degC", "77 degF"],
    "--ph": ["8.1"],
    "--ammonia": ["0.5 mg/L"],
    "--nitrite": ["1 mg/L"],
    "--to": ["12 g/kg", "1.020 sg at 25 degC"],
    "--as": ["N", "tank"],
    "--mix": ["20 L at 30 g/kg"],
    "--salt": ["60 L at 35 g/kg"],
    "--bag": ["1.019 sg at 24 degC"],
    "--off": ["uv", "carbon,uv"],
    "--change": ["20 L", "25 %"],
    "--stock": ["1 g in 250 mL", "1:10"],
    "--food": ["2 g"],
    "--days": ["3", "30"],
    "--tail": ["5"],
    "--claim": ["1 mL per 10 gal_us gives 0.15 mg/L"],
    "--minutes": ["4", "2.5"],
    "--of": ["velvet", "cryptocaryon"],
    "--readings": ["2027-03-05T08:00 2.1 mg/L, 2027-03-07T08:00 1.9 mg/L"],
    "--from": ["2027-02-20"],
    "--not": ["dust"],
    "--volume": ["12 L"],
    "--vessel": ["dip bucket"],
    "--product": ["copper bottle"],
    "--with": ["40 g/kg"],
    "--tank": ["ward"],
    "--kind": ["reading"],
    "--by": ["Ann"],
    "--fallow": ["reef"],
    "--simulate": ["100"],
    "--parasites": ["10"],
    "--seed": ["2"],
}
"""Values that their options take, so that the answers are reached too."""

_NO_FILES = {"--room", "--log", "--paper", "--csv", "--calendar", "--schema", "--file", "--run", "--ask", "--help"}
"""Options that name files are given by `called`, and have tests of their own; the others wait for a person."""


@dataclass(frozen=True, slots=True)
class Command:
    """What a command takes: options with a value, flags, and whether words without an option."""

    valued: tuple[str, ...]
    flags: tuple[str, ...]
    arguments: int


def shape(name: str) -> Command:
    """As the command itself says."""
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    options = [
        option for option in command.params if isinstance(option, click.Option) and option.opts[0] not in _NO_FILES
    ]
    return Command(
        valued=tuple(option.opts[0] for option in options if not option.is_flag),
        flags=tuple(option.opts[0] for option in options if option.is_flag),
        arguments=sum(isinstance(argument, click.Argument) for argument in command.params),
    )


SHAPES = {name: shape(name) for name in COMMANDS}


@st.composite
def command_lines(draw: st.DrawFn) -> list[str]:
    """The words after `pratique`: a command, mostly its own options, mostly with values that fit some option."""
    name = draw(st.sampled_from(sorted(set(COMMANDS) - {"start"})))
    own = SHAPES[name]
    words = [name]
    usual = {
        "dose": [NAMES[0], "copper-chelated"],
        "dip": ["freshwater-dip", "--for", "kole tang"],
        "water": [NAMES[0]],
    }
    if draw(st.booleans()) and name in usual:
        words += usual[name]
    elif name == "log" and draw(st.integers(0, 2)):
        words.append(draw(log_words()))
    else:
        words += draw(st.lists(_WORDS, max_size=max(own.arguments, 1) + 1))
    for option in draw(st.lists(st.sampled_from(own.valued or own.flags), max_size=draw(st.integers(0, 3)))):
        fit = _FIT.get(option, []) if draw(st.booleans()) else []
        value = draw(st.sampled_from(fit) if fit else _VALUES)
        words += [option, value] if option in own.valued else [option]
    words += draw(st.lists(st.sampled_from(own.flags), max_size=2, unique=True))
    if "--at" not in words and name != "why":
        words += ["--at", "2027-03-08T18:00"]
    if draw(st.integers(0, 15)) == 0:
        words.insert(
            draw(st.integers(0, len(words))), draw(st.sampled_from([*SIGNS, "--", "-", "--nonsense", "-x", ""]))
        )
    return words


def called(words: Sequence[str], room: Path, *, env: dict[str, str] | None = None) -> Any:
    """The command run in this process on `room`, beside which it may write its log and nothing else."""
    before = {path.name for path in room.parent.iterdir()}
    result = CliRunner().invoke(cli, list(words), env={"PRATIQUE_ROOM": str(room), "COLUMNS": "100", **(env or {})})
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    after = {path.name for path in room.parent.iterdir()}
    log = {room.with_suffix(".log.jsonl").name}
    assert after - before <= log, words
    answer_is_fit(words, result)
    return result


def answer_is_fit(words: Sequence[str], result: Any) -> None:
    """A status of the contract, no sign that steers, and one object where JSON was asked for."""
    assert result.exit_code in (0, 1, 2), (words, result.exit_code)
    for text in (result.stdout, result.stderr):
        assert not steering(text), (words, steering(text))
        assert "Traceback" not in text, words
    if result.exit_code:
        assert result.stderr or "--json" in words, words
    if "--json" in words and result.exit_code < 2 and not {"-h", "--help", "--version"} & set(words):
        found = json.loads(result.stdout, parse_constant=_no_number)
        assert found["command"] == words[0] or words[0] not in COMMANDS, words
    assert not re.search(r"(?<![\w-])(?:nan|inf|Infinity)(?![\w-])", _own_words(result.stdout, words)), (
        words,
        result.stdout,
    )


def _own_words(text: str, words: Sequence[str]) -> str:
    """The answer without what was typed."""
    for word in words:
        for part in word.split():
            text = text.replace(part, "")
    return text


def _no_number(word: str) -> float:
    raise AssertionError(f"{word} in JSON")
