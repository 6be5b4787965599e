"""A key that is not known where it stands, but is known at another place of the file: where it belongs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any, get_args, get_origin

from pratique.room.describe import example_of, owner_title
from pratique.room.document import Path_
from pratique.room.shape import ENTRY, NAME, Home, every_key, keys_of, model_within, pattern_of

_MOST_PLACES = 3
_LONGEST = 40
_PLAIN = re.compile(r"\w(?:[\w .'’-]*\w)?")

NAMES_FROM = {"tank": "tanks", "water": "waters", "product": "shelf", "for": "tanks"}
"""Keys whose value is a name, and the section of the file that has such names."""


def where_it_belongs(path: Path_, data: Any) -> str:
    """A hint for the unknown key at the end of `path`; empty where no place in the file has such a key."""
    word, here = str(path[-1]), pattern_of(path[:-1])
    homes = _homes().get(word, [])
    if not homes:
        return ""
    value = _at(data, path)
    homes = _fitting(homes, value)
    homes = sorted(homes, key=lambda home: (not _is_below(home, here), bool(home.steps)))
    first = homes[0]
    if not first.steps:
        return _at_the_top(first, path, data)
    titles = list(dict.fromkeys(owner_title(home.owner) for home in homes))[:_MOST_PLACES]
    said = " or ".join([", ".join(titles[:-1]), titles[-1]] if len(titles) > 1 else titles)
    parent = f" below `{first.steps[-1]}:`" if first.steps[-1] not in (NAME, ENTRY) else ""
    line = f"{word}: {value if _is_short(value) else example_of(first.field)}"
    return f"`{word}` belongs to {said}: write `{line}`{parent or ' there'}"


@cache
def _homes() -> dict[str, list[Home]]:
    """Key to every place where it may stand: gathered once, as a file may have unknown keys by the thousand."""
    found: dict[str, list[Home]] = {}
    for home in every_key():
        found.setdefault(home.key, []).append(home)
    return found


def _at_the_top(home: Home, path: Path_, data: Any) -> str:
    """Sections are maps of entries, lists of entries, or keys; an entry may name what it was written under."""
    word, entry = home.key, model_within(home.field.annotation)
    many = word.endswith("s")
    if get_origin(home.field.annotation) is not tuple or entry is None:
        return f"`{word}` {'stand' if many else 'stands'} at the top of the file: `{word}: {example_of(home.field)}`"
    keys = keys_of(entry)
    link = next((key for key, section in NAMES_FROM.items() if key in keys and section == path[0]), "")
    values = {link: yaml_name(str(path[1]))} if link and len(path) > 2 and _is_short(path[1]) else {}
    values |= {
        key: name_there(data, key) or example_of(field)
        for key, field in keys.items()
        if field.is_required() and key not in values
    }
    line = ", ".join(f"{key}: {value}" for key, value in values.items())
    each = f", each with its `{link}`" if link else ""
    listed = f"`{word}` {'are' if many else 'is'} listed at the top of the file{each}"
    return f"{listed}: below `{word}:` write `- {{{line}}}`"


def name_there(data: Any, key: str) -> str:
    """A name that exists in this file, for a key that takes one; empty where there is none."""
    section = data.get(NAMES_FROM.get(key, "")) if isinstance(data, Mapping) else None
    if not isinstance(section, Mapping):
        return ""
    names = [name for name in section if _is_short(name)]
    uses = {name: entry.get("use") for name, entry in section.items() if isinstance(entry, Mapping)}
    names.sort(key=lambda name: key == "tank" and uses.get(name) != "display")
    return yaml_name(names[0]) if names else ""


def yaml_name(name: str) -> str:
    """A name as a value that can be pasted.

    >>> yaml_name("blue tub"), yaml_name("q1: left")
    ('blue tub', '"q1: left"')
    """
    return name if _PLAIN.fullmatch(name) else '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _is_short(value: Any) -> bool:
    """True for the keeper's own words where a hint can repeat them."""
    return isinstance(value, str) and bool(value.strip()) and len(value) <= _LONGEST and value.isprintable()


def _is_below(home: Home, here: tuple[str, ...]) -> bool:
    """True where the key belongs to a part of what it was written into."""
    rest = home.steps[len(here) :]
    return home.steps[: len(here)] == here and bool(rest) and not {NAME, ENTRY} & set(rest)


def _fitting(homes: list[Home], value: Any) -> list[Home]:
    """The places whose few words hold what was written; else those that take other values than a few words."""
    choices = [get_args(home.field.annotation) for home in homes]
    worded = [bool(words) and all(isinstance(word, str) for word in words) for words in choices]
    exact = [home for home, words, few in zip(homes, choices, worded, strict=True) if few and value in words]
    return exact or [home for home, few in zip(homes, worded, strict=True) if not few] or homes


def _at(data: Any, path: Path_) -> Any:
    for step in path:
        if isinstance(data, Mapping):
            data = data.get(step)
        elif isinstance(data, list) and isinstance(step, int) and step < len(data):
            data = data[step]
        else:
            return None
    return data
