"""Texts as keepers, editors, phones and ill will make them, for hypothesis."""

from __future__ import annotations

import json
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import yaml
from hypothesis import strategies as st

from fuzz.readers import FACTORS
from logbook.strategies import events
from pratique.logbook.line import to_line

GOOD = sorted((Path(__file__).parents[1] / "cases" / "good").glob("*.yaml"))
TEMPLATES = sorted((Path(__file__).parents[2] / "src/pratique/room/templates").glob("*.yaml"))

NONSENSE = (
    "nan",
    "NaN",
    "inf",
    "-inf",
    "Infinity",
    "1e400",
    "1e-400",
    "1_000",
    "1,5",
    "1.000,5",
    "６２",
    "٣",
    "½",
    "²",
    "0x1F",
    "1e3",
    "007",
    "-0",
    "+5",
    "−5",
    "1 000",
    "1'000",
    ".5",
    "5.",
    "--5",
    "1..2",
    "0/0",
    "NULL",
    "~",
    "true",
    "9" * 40,
    "9" * 400,
    "0." + "0" * 60 + "1",
    "O.5",
    "l0",
    "1O",
    "١٢",
    "௧",
    "𝟙𝟚",
    "Ⅻ",
    "①",
    "〇",
    "one",
    "",
)
"""What is no number here, or is one that no tank can have."""

SIGNS = (
    "\x00",
    "\x07",
    "\x1b[31m",
    "\x1b]0;x\x07",
    "\x9b2J",
    "\r",
    "\n",
    "\t",
    "\x0b",
    "\x0c",
    "\x1c",
    "\x85",
    "\xa0",
    "\xad",
    "\u061c",
    "\u200b",
    "\u200d",
    "\u200e",
    "\u202e",
    "\u2028",
    "\u2066",
    "\ufeff",
    "\uffff",
    "\U000e0041",
    "\ud800",
    "а",
    "е",
    "ο",
    "Ι",
    "ı",
    "ﬁ",
    "é",
    "e\u0301",
    "🐠",
    "<script>",
    "&lt;",
    "\"'",
    "`",
    "{{",
    "%s",
    "{0}",
    "=1+1",
    "$(x)",
    "../",
    "\\",
    "[bold]",
    "[/]",
    ":fish:",
)
"""What steers, hides, looks like something else, or means something to what comes after."""

_units = st.sampled_from(sorted({unit for units in FACTORS.values() for unit in units if unit}))
_figures = st.one_of(
    st.integers(0, 10**6).map(str),
    st.decimals(0, 10**4, places=3).map(lambda number: f"{number:f}"),
    st.sampled_from(NONSENSE),
)
_joints = st.sampled_from(["", " ", "  ", "\xa0", " ± ", "+/-", " % ", "-", " to ", " per ", " at ", ", ", " gives "])
_words = st.one_of(_units, st.sampled_from(["sg", "copper", "tablets", "w/v", "as formaldehyde", "every", "C", "ppm"]))


quantities = st.one_of(
    st.builds(lambda figure, joint, unit: figure + joint + unit, _figures, st.sampled_from(["", " "]), _words),
    st.builds(
        lambda figure, unit, sign, size, other: f"{figure} {unit}{sign}{size} {other}",
        _figures,
        _words,
        st.sampled_from([" ± ", "±", " +/- ", "+-", " ± -"]),
        _figures,
        st.one_of(_words, st.just("%")),
    ),
    st.lists(st.one_of(_figures, _joints, _words, st.sampled_from(SIGNS)), max_size=8).map("".join),
    st.text(max_size=30),
)
"""Texts where a quantity belongs."""

moments = st.sampled_from(
    [
        "2027-03-05",
        "2027-03-05T08:30",
        "2027-03-28T01:30",
        "2027-10-31T01:30",
        "2027-02-30",
        "0001-01-01",
        "9999-12-31",
        "2149-12-31T23:59",
        "2150-01-01",
        "1990-01-01T00:00+14:00",
        "2027-03-05T08:30-23:59",
        "08:30",
        "24:00",
        "25:61",
        "yesterday",
        "yesterday 20:00",
        "tomorrow",
        "today at 8:30",
        "2027-3-5 8.30",
        "5/3/2027",
        "8:30 pm",
        "now",
        "２０２７-03-05",
        "2027-W10",
        "20270305",
        "2027-03-05T08:30Z",
        "2027-03-05T08:30:61",
        "1e400",
        "-1",
        "",
    ]
)
"""Moments, and what is none."""

NAMES = (
    "ward",
    "reef",
    "blue tub",
    "spring tangs",
    "kole tang",
    "copper bottle",
    "copper meter",
    "rеef",
    "REEF",
    "reef ",
    "nobody",
    "-",
    "*",
    "a" * 300,
)

_log_scraps = st.one_of(
    st.sampled_from(
        [
            "reading",
            "dose",
            "change",
            "top-off",
            "move",
            "moved",
            "arrived",
            "death",
            "found",
            "sign",
            "fed",
            "look",
            "dip",
            "out",
            "done",
            "skipped",
            "gear",
            "cleaned",
            "dried",
            "opened",
            "bought",
            "spoiled",
            "note",
            "correct",
            "withdraw",
            "copper",
            "ammonia",
            "ph",
            "salinity",
            "temperature",
            "in",
            "to",
            "from",
            "of",
            "with",
            "at",
            "because",
            "for",
            "after",
            ";",
            ",",
            "3",
            "4",
            "0",
            "eating",
            "heads",
            "whole",
            "early",
            "dust",
            "microscope",
            "rock",
            "red set",
        ]
    ),
    st.sampled_from(NAMES),
    quantities,
    moments,
    st.sampled_from(SIGNS),
)

SAID = (
    "reading ward copper 2.1 mg/L with copper meter",
    "reading ward ph 8.1, ammonia 0.1 mg/L, temperature 25 degC",
    "dose ward copper-chelated 5 mL of copper bottle",
    "change ward 25 % with 2 mL of copper bottle",
    "top-off ward 3 L",
    "move spring tangs from ward to blue tub",
    "arrived spring tangs in ward",
    "death ward 1 kole tang because unknown",
    "sign ward kole tang dust fast-breathing",
    "fed ward with pellets",
    "look ward kole tang 3 heads not eating 80 breaths dust",
    "dip kole tang freshwater-dip for 5 min",
    "done 3",
    "skipped 4 because no time",
    "gear red set in ward",
    "cleaned ward",
    "bought copper bottle 250 mL",
    "note ward they hide; note all quiet",
    "08:30 reading ward salinity 1.025 sg at 25 degC",
    "change ward 20 L at yesterday 20:00",
)
"""Short forms that are understood."""


@st.composite
def log_words(draw: st.DrawFn) -> str:
    """A line after `pratique log`: a good one with words put in, taken out and changed, or a heap of words."""
    if draw(st.integers(0, 3)) == 0:
        return " ".join(draw(st.lists(_log_scraps, max_size=9)))
    words = draw(st.sampled_from(SAID)).split(" ")
    for _ in range(draw(st.integers(0, 3))):
        at = draw(st.integers(0, len(words)))
        words[at : at + draw(st.integers(0, 2))] = draw(st.lists(_log_scraps, max_size=2))
    return " ".join(words)


_json_values = st.one_of(
    st.sampled_from([*NONSENSE, *SIGNS, *NAMES]),
    st.sampled_from(
        [None, True, False, 0, -1, 2.5, 10**30, 1e308, [], {}, [[]], {"text": "1 L"}, float("nan"), float("inf")]
    ),
    moments,
    st.integers(),
    st.floats(),
)


@st.composite
def log_lines(draw: st.DrawFn) -> bytes:
    """A line of the log file: a good one whose keys, values or bytes were changed."""
    entry = to_line(draw(events()))
    if draw(st.booleans()):
        data = json.loads(entry)
        for _ in range(draw(st.integers(1, 3))):
            where = data
            key = draw(st.sampled_from([*sorted(data), "x", "text", "value", "unit", "kind", "of"]))
            if isinstance(data.get(key), dict) and draw(st.booleans()):
                where, key = data[key], draw(st.sampled_from(["text", "value", "unit", "low", "high", "y"]))
            if draw(st.integers(0, 3)) == 0:
                where.pop(key, None)
            else:
                where[key] = draw(_json_values)
        return json.dumps(data, ensure_ascii=draw(st.booleans())).encode("utf-8", "surrogatepass")
    at, gone = draw(st.integers(0, len(entry))), draw(st.integers(0, 8))
    return entry[:at] + draw(st.binary(max_size=6)) + entry[at + gone :]


@cache
def good_trees() -> tuple[dict[str, Any], ...]:
    """The good files as keys and texts."""
    return tuple(yaml.load(path.read_text("utf-8"), Loader=yaml.BaseLoader) for path in [*GOOD, *TEMPLATES])


@cache
def _all_values() -> tuple[list[str], list[str]]:
    """Every key and every text of the good files, which may stand where they do not belong."""
    keys, texts = set(), set()
    stack: list[Any] = list(good_trees())
    while stack:
        node = stack.pop()
        if isinstance(node, dict):
            keys |= set(node)
            stack += node.values()
        elif isinstance(node, list):
            stack += node
        else:
            texts.add(node)
    return sorted(keys), sorted(texts)


def _spots(tree: Any) -> list[tuple[Any, Any]]:
    """Every place of the tree, as what holds it and its key there."""
    found, stack = [], [tree]
    while stack:
        node = stack.pop()
        inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
        for key, value in list(inner):
            found.append((node, key))
            stack.append(value)
    return found


@st.composite
def room_trees(draw: st.DrawFn, most: int = 3) -> dict[str, Any]:
    """A good room file with `most` things at most taken out, put elsewhere, doubled or given another value."""
    trees = good_trees()
    tree = deepcopy(draw(st.sampled_from(trees)))
    keys, texts = _all_values()
    values = st.one_of(
        st.sampled_from(texts),
        st.sampled_from(texts),
        quantities,
        moments,
        st.sampled_from(SIGNS),
        st.sampled_from([[], {}, ["x"], {"a": "b"}, [{}], [[]]]).map(deepcopy),  # else one could come to hold itself
    )
    for _ in range(draw(st.integers(1, most))):
        spots = _spots(tree)
        if not spots:
            break
        node, key = spots[draw(st.integers(0, len(spots) - 1))]
        what = draw(st.sampled_from(["value", "value", "value", "drop", "key", "swap", "add", "scraps"]))
        if what == "drop":
            del node[key]
        elif what == "swap":
            other, at = spots[draw(st.integers(0, len(spots) - 1))]
            node[key] = deepcopy(other[at])
        elif what in ("key", "add") and isinstance(node, dict):
            name = draw(st.one_of(st.sampled_from(keys), st.sampled_from(SIGNS), st.sampled_from(NAMES)))
            node[name] = node.pop(key) if what == "key" else draw(values)
        elif what == "scraps" and isinstance(node[key], str):
            at = draw(st.integers(0, len(node[key])))
            node[key] = node[key][:at] + draw(st.sampled_from([*SIGNS, *NONSENSE])) + node[key][at:]
        else:
            node[key] = draw(values)
    return tree


def room_text(tree: dict[str, Any], *, as_json: bool) -> str:
    """The tree as a file: JSON is YAML too, and keeps every sign; block YAML is what people write."""
    if as_json:
        return json.dumps(tree, ensure_ascii=False, indent=1)
    return yaml.dump(tree, allow_unicode=True, sort_keys=False, Dumper=yaml.SafeDumper)


room_texts = st.builds(lambda tree, as_json: room_text(tree, as_json=as_json), room_trees(), st.booleans())
