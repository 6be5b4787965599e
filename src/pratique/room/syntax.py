"""What a room file may not have although YAML allows it, and YAML's own complaints in our words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import yaml

from pratique.problem import Place, Problem, quoted
from pratique.room.document import Document

LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
DEEPEST = 12
_PLAIN_TAGS = {f"tag:yaml.org,2002:{kind}" for kind in ("str", "map", "seq")}
_OPENS = re.compile(r"[\[{]")
_BLOCK_OPENS = re.compile(r"[-?:](?=\s|$)")


def syntax_problem(document: Document, error: yaml.MarkedYAMLError) -> Problem:
    """The parser's complaint, with the common ones known by name."""
    mark = error.problem_mark or error.context_mark
    line, column = _counted(mark)
    if line > len(document.lines) or not document.line(line).strip():
        line, column = _last_written(document, min(line, len(document.lines)))
    place = document.spot(line, column)
    what = (error.problem or "cannot be read").replace("`", "'")
    if "expected a single document" in f"{what} {error.context}":
        message = "a second document begins here (`---`)"
        hint = "a room file is one document; delete the line `---`"
        return Problem(code="F122", message=message, places=(place,), hint=hint)
    if "tag handle" in f"{what} {error.context}" or "parsing a tag" in str(error.context):
        return _tag(place)
    hint = "look at this line and the one above: a missing colon, quote, bracket, or another indentation"
    return Problem(
        code="F104",
        message="the file cannot be read past this point",
        places=(place,),
        note=f"YAML says: {what}",
        hint=hint,
    )


def _counted(mark: yaml.error.Mark | Any) -> tuple[int, int]:
    """Line and column from 1; the start of the file where the parser gave no mark."""
    return (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)


def _last_written(document: Document, line: int) -> tuple[int, int]:
    while line > 1 and not document.line(line).strip():
        line -= 1
    return line, max(len(document.line(line).rstrip()), 1)


def _too_deep(place: Place) -> Problem:
    hint = "no key of a room file lies that deep; check the indentation"
    message = f"the nesting is deeper than {DEEPEST} steps"
    return Problem(code="F109", message=message, places=(place,), hint=hint)


def too_deep_spot(document: Document, text: str) -> Problem | None:
    """Guards the recursive composer: only text that could nest deeply is walked event by event first."""
    brackets = sum(1 for _ in _OPENS.finditer(text))
    indent = max((len(line) - len(line.lstrip(" ")) for line in document.lines), default=0)
    dashes = max((sum(1 for _ in _BLOCK_OPENS.finditer(line)) for line in document.lines), default=0)
    if brackets <= DEEPEST and dashes <= DEEPEST and indent <= 4 * DEEPEST:
        return None
    depth = 0
    for event in yaml.parse(text, Loader=LOADER):
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > DEEPEST:
                line, column = _counted(event.start_mark)
                return _too_deep(document.spot(line, column))
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
    return None


def first_anchor(document: Document, text: str) -> Problem | None:
    """The first anchor or alias, found before anything is composed from it."""
    if "&" not in text and "*" not in text:
        return None
    for token in yaml.scan(text, Loader=LOADER):
        if isinstance(token, yaml.AnchorToken | yaml.AliasToken):
            start, width = token.start_mark, token.end_mark.column - token.start_mark.column
            return Problem(
                code="F108",
                message="anchors and aliases (`&name`, `*name`) are not read",
                places=(document.spot(start.line + 1, start.column + 1, width),),
                note="a few nested ones can grow into millions of lines",
                hint="write the value out in each place; a text that begins with `&` or `*` goes in quotes",
            )
    return None


def structure_problems(document: Document, root: yaml.Node, hidden: re.Pattern[str]) -> Iterator[Problem]:
    """Duplicate keys, tags, hidden characters written as escapes, keys that are not words, deep nesting."""
    stack: list[tuple[yaml.Node, int]] = [(root, 1)]
    while stack:
        node, depth = stack.pop()
        if depth > DEEPEST:
            yield _too_deep(document.place_of(node))
            return
        if node.tag not in _PLAIN_TAGS:
            yield _tag(document.place_of(node))
        if isinstance(node, yaml.MappingNode):
            yield from _key_problems(document, node)
            for key, value in node.value:
                stack += ((key, depth + 1), (value, depth + 1))
        elif isinstance(node, yaml.SequenceNode):
            stack.extend((item, depth + 1) for item in node.value)
        elif found := hidden.search(node.value):
            yield Problem(
                code="F121",
                message=f"a character that does not show (U+{ord(found[0]):04X}) is written here",
                places=(document.place_of(node),),
                hint="leave it out; such characters can change what a screen shows",
            )


def _tag(place: Place) -> Problem:
    hint = "delete the tag; every value is read as it stands (a text that begins with `!` goes in quotes)"
    return Problem(code="F123", message="tags (`!name`) are not read", places=(place,), hint=hint)


def _key_problems(document: Document, node: yaml.MappingNode) -> Iterator[Problem]:
    seen: dict[str, yaml.Node] = {}
    for key, _ in node.value:
        place = document.place_of(key)
        if not isinstance(key, yaml.ScalarNode):
            hint = "write `name: value`"
            yield Problem(code="F104", message="a key must be a plain word", places=(place,), hint=hint)
        elif key.value == "<<":
            hint = "write the keys out in each place"
            yield Problem(code="F108", message="merge keys (`<<`) are not read", places=(place,), hint=hint)
        elif key.value in seen:
            first = document.place_of(seen[key.value], "first here")
            yield Problem(
                code="F107",
                message=f"the key {quoted(key.value)} stands twice in one place",
                places=(document.place_of(key, "again here"), first),
                note="the later would silently replace the earlier, so nothing else was judged",
                hint="keep one, or give the second another name",
            )
        else:
            seen[key.value] = key
