"""What a room file may not have although YAML allows it, and YAML's own complaints in our words."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import yaml

from pratique.letters import HIDDEN, named
from pratique.problem import Place, Problem, quoted
from pratique.room.document import Document

LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
DEEPEST = 12
_PLAIN_TAGS = {f"tag:yaml.org,2002:{kind}" for kind in ("str", "map", "seq")}
_OPENS = re.compile(r"[\[{]")
_BLOCK_OPENS = re.compile(r"[-?:](?=\s|$)")


class _Slip(NamedTuple):
    """A common slip, by a piece of what the parser says; `opens`: shown where the thing began."""

    said: str
    message: str
    hint: str
    opens: bool = False


_SLIPS = (
    _Slip(
        "scanning a quoted scalar",
        "the quote that opens here is not closed",
        "add the same quote at its end",
        True,
    ),
    _Slip(
        "parsing a flow",
        "the bracket that opens here is not closed, or a comma is missing in it",
        "close it on the same line, with commas between its parts",
        True,
    ),
    _Slip(
        "mapping values are not allowed",
        "a colon stands where none is expected",
        "put a text with `: ` in it in quotes; or give the line the indentation of its neighbours",
    ),
    _Slip(
        "did not find expected",
        "this line does not fit the lines above it",
        "give it the indentation of its neighbours; look also for a quote or bracket in the line above",
    ),
    _Slip(
        "block sequence entries are not allowed",
        "a list begins on the line of its key",
        "put each `- ` on a line of its own below the key",
    ),
    _Slip("cannot start any token", "a text cannot begin with this sign", "put the text in quotes"),
    _Slip(
        "unknown escape character", "a backslash in double quotes begins a code", "use single quotes instead"
    ),
)


def syntax_problem(document: Document, error: yaml.MarkedYAMLError) -> Problem:
    """The parser's complaint, with the common slips known by name."""
    said = f"{error.problem or ''} {error.context or ''}".replace("`", "'").strip()
    place = _written_spot(document, error.problem_mark or error.context_mark)
    if "expected a single document" in said:
        message = "a second document begins here (`---`)"
        hint = "a room file is one document; delete the line `---`"
        return Problem(code="F122", message=message, places=(place,), hint=hint)
    if "tag handle" in said or "scanning a tag" in said:
        return _tag(place)
    if "maximum nesting depth" in said:
        return _too_deep(place)
    if "tab character" in said or r"'\t'" in said:
        return tab_problem(place)
    slip = next((slip for slip in _SLIPS if slip.said in said), None)
    if slip is None:
        message = "the file cannot be read past this point"
        hint = "look at this line and the one above: a missing colon, quote or bracket"
        return Problem(code="F104", message=message, places=(place,), note=f"YAML says: {said}", hint=hint)
    if slip.opens:
        place = _written_spot(document, error.context_mark)
    return Problem(code="F104", message=slip.message, places=(place,), hint=slip.hint)


def _written_spot(document: Document, mark: yaml.error.Mark | Any) -> Place:
    """The place of `mark`, or the end of the last line above it that holds anything."""
    line, column = _counted(mark)
    if document.line(line).strip():
        return document.spot(line, column)
    line = min(line, len(document.lines))
    while line > 1 and not document.line(line).strip():
        line -= 1
    return document.spot(line, max(len(document.line(line).rstrip()), 1))


def _counted(mark: yaml.error.Mark | Any) -> tuple[int, int]:
    """Line and column from 1; the start of the file where the parser gave no mark."""
    return (mark.line + 1, mark.column + 1) if mark is not None else (1, 1)


def tab_problem(place: Place) -> Problem:
    hint = "write spaces instead, two for each step of the indentation"
    return Problem(code="F103", message="a tab stands where spaces belong", places=(place,), hint=hint)


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


def structure_problems(document: Document, root: yaml.Node) -> Iterator[Problem]:
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
        elif found := HIDDEN.search(node.value):
            yield Problem(
                code="F121",
                message=f"{named(found[0])} is written here",
                places=(document.place_of(node),),
                hint="leave it out; such characters can change what a screen shows",
            )


def _tag(place: Place) -> Problem:
    hint = "delete the tag; every value is read as it stands (a text that begins with `!` goes in quotes)"
    return Problem(code="F123", message="tags (`!name`) are not read", places=(place,), hint=hint)


def _key_problems(document: Document, node: yaml.MappingNode) -> Iterator[Problem]:
    seen: dict[str, yaml.Node] = {}
    for key, _ in node.value:
        if not isinstance(key, yaml.ScalarNode):
            places, hint = (document.place_of(key),), "write `name: value`"
            yield Problem(code="F104", message="a key must be a plain word", places=places, hint=hint)
        elif key.value == "<<":
            places, hint = (document.place_of(key),), "write the keys out in each place"
            yield Problem(code="F108", message="merge keys (`<<`) are not read", places=places, hint=hint)
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
