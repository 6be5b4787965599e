"""From bytes to a tree of strings that knows where each one stood. Nothing is converted here.

Every scalar stays the text the keeper typed: YAML's own readings (`8:30` as 510, `no` as false) never
happen. Duplicate keys, anchors, tags and tabs stop the reading before any later line is judged.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from pratique.problem import Place, Problem

MOST_BYTES = 4 * 1024 * 1024
DEEPEST = 12
_LOADER: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufeff]")
_PLAIN_TAGS = {f"tag:yaml.org,2002:{kind}" for kind in ("str", "map", "seq")}

Path_ = tuple[str | int, ...]


@dataclass(slots=True)
class Document:
    """One file as read: its lines, its node tree, and the plain data (dicts, lists, strings) in it."""

    name: str
    lines: list[str] = field(default_factory=list)
    root: yaml.Node | None = None
    data: Any = None

    def place(self, path: Path_, *, key: bool = False, label: str = "") -> Place:
        """Where `path` stands; the nearest ancestor in the file where it does not. `key`: the key, not its value."""
        node, key_node = self.root, None
        for step in path:
            child = _child(node, step)
            if child is None:
                key = True  # what is missing is shown at its parent's own name
                break
            key_node, node = child
        shown = key_node if key and key_node is not None else node
        return self._place_of(shown, label)

    def _place_of(self, node: yaml.Node | None, label: str) -> Place:
        if node is None:
            return self.spot(1, 1, 1, label)
        start, end = node.start_mark, node.end_mark
        width = end.column - start.column if end.line == start.line else 0
        if width <= 0:
            width = max(len(self.line(start.line + 1).rstrip()) - start.column, 1)
        return self.spot(start.line + 1, start.column + 1, width, label)

    def spot(self, line: int, column: int, width: int = 1, label: str = "") -> Place:
        return Place(file=self.name, line=line, column=column, width=max(width, 1), text=self.line(line), label=label)

    def line(self, number: int) -> str:
        return self.lines[number - 1] if 0 < number <= len(self.lines) else ""


def _child(node: yaml.Node | None, step: str | int) -> tuple[yaml.Node, yaml.Node] | None:
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value == step:
                return key, value
    elif isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
        item = node.value[step]
        return item, item
    return None


def read_document(path: Path) -> tuple[Document, list[Problem]]:
    """The document at `path`, with everything that stopped it from being read whole."""
    document = Document(name=str(path))
    try:
        if path.exists() and not path.is_file():
            return document, [_file_problem("F101", f"`{path}` is not a file", "name the room file itself")]
        size = path.stat().st_size
        if size > MOST_BYTES:
            return document, [_too_large(path, size)]
        raw = path.read_bytes()
    except FileNotFoundError:
        hint = "`pratique start` writes one; or name yours with `--room FILE`"
        return document, [_file_problem("F101", f"there is no room file `{path}`", hint)]
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        return document, [_file_problem("F101", f"`{path}` cannot be read: {reason.lower()}", "check its name and permissions")]
    return read_bytes(str(path), raw)


def read_bytes(name: str, raw: bytes) -> tuple[Document, list[Problem]]:
    """As `read_document`, from bytes already at hand."""
    document = Document(name=name)
    if len(raw) > MOST_BYTES:
        return document, [_too_large(Path(name), len(raw))]
    text, problems = _decode(document, raw)
    if problems:
        return document, problems
    document.lines = text.splitlines()
    problems = list(_characters(document))
    if problems:
        return document, problems
    try:
        too_deep = _deep_spot(document, text)
        if too_deep:
            return document, [too_deep]
        document.root = yaml.compose(text, Loader=_LOADER)
    except yaml.MarkedYAMLError as error:
        return document, [_syntax(document, error)]
    except (yaml.YAMLError, RecursionError) as error:
        return document, [Problem(code="F104", message="the file is not readable as YAML", places=(document.spot(1, 1),), note=str(error).split("\n")[0])]
    if document.root is None or (isinstance(document.root, yaml.ScalarNode) and not document.root.value.strip()):
        hint = "`pratique start` writes a commented room file to begin from"
        return document, [Problem(code="F105", message="the room file is empty", places=(document.spot(1, 1),), hint=hint)]
    problems = list(_structure(document, text))
    if not problems:
        document.data = _plain(document.root)
    return document, problems


def _file_problem(code: str, message: str, hint: str) -> Problem:
    return Problem(code=code, message=message, hint=hint)


def _too_large(path: Path, size: int) -> Problem:
    return _file_problem(
        "F106",
        f"`{path}` is {size / 1e6:.1f} MB; a room file is read up to {MOST_BYTES / 1e6:.1f} MB",
        "a room file of 500 tanks and 5,000 animals is under 1 MB; is it the right file?",
    )


def _decode(document: Document, raw: bytes) -> tuple[str, list[Problem]]:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")) or raw[:4].count(0) >= 2:
        return "", [_encoding(document, 1, 1, "looks like UTF-16")]
    try:
        return raw.decode("utf-8-sig"), []
    except UnicodeDecodeError as error:
        before = raw[: error.start]
        document.lines = raw.decode("utf-8", "replace").splitlines()
        line = before.count(b"\n") + 1
        column = len(before.rsplit(b"\n", 1)[-1].decode("utf-8", "replace")) + 1
        return "", [_encoding(document, line, column, "has a byte here that is not UTF-8")]


def _encoding(document: Document, line: int, column: int, what: str) -> Problem:
    return Problem(
        code="F102",
        message=f"the file {what}",
        places=(document.spot(line, column),),
        hint="save it as UTF-8; in older editors ± and ° are the usual culprits",
    )


def _characters(document: Document) -> Iterator[Problem]:
    for number, line in enumerate(document.lines, 1):
        indent = len(line) - len(line.lstrip(" \t"))
        tab = line.find("\t", 0, indent)
        if tab >= 0 and line.strip():
            hint = "indent with spaces, two for each step"
            yield Problem(code="F103", message="a tab stands in the indentation", places=(document.spot(number, tab + 1),), hint=hint)
        control = _CONTROL.search(line)
        if control:
            yield Problem(
                code="F121",
                message=f"a control character (U+{ord(control[0]):04X}) stands in the file",
                places=(document.spot(number, control.start() + 1),),
                hint="delete it; it does not show, and can change what a screen shows",
            )


def _syntax(document: Document, error: yaml.MarkedYAMLError) -> Problem:
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (1, 1)
    line = min(line, max(len(document.lines), 1))
    what = (error.problem or "cannot be read").replace("`", "'")
    hint = "look at this line and the one above: a missing colon, quote, bracket or a different indentation"
    if "expected a single document" in what or "single document" in str(error.context):
        return Problem(code="F122", message="a second document begins here (`---`)", places=(document.spot(line, column),), hint="a room file is one document; delete the line `---`")
    if "undefined alias" in what:
        return _alias(document.spot(line, column))
    return Problem(code="F104", message="the file cannot be read past this point", places=(document.spot(line, column),), note=f"YAML says: {what}", hint=hint)


def _too_deep(place: Place) -> Problem:
    hint = "no key of a room file lies that deep; check the indentation"
    return Problem(code="F109", message=f"the nesting is deeper than {DEEPEST} steps", places=(place,), hint=hint)


def _deep_spot(document: Document, text: str) -> Problem | None:
    """Guards the recursive composer: only text that could nest deeply is walked event by event first."""
    brackets = text.count("[") + text.count("{")
    dashes = max((line.count("- ") + line.count("? ") + line.count(": ") for line in document.lines), default=0)
    indent = max((len(line) - len(line.lstrip(" ")) for line in document.lines), default=0)
    if brackets <= DEEPEST and dashes <= DEEPEST and indent <= 4 * DEEPEST:
        return None
    depth = 0
    for event in yaml.parse(text, Loader=_LOADER):
        if isinstance(event, yaml.CollectionStartEvent):
            depth += 1
            if depth > DEEPEST:
                mark = event.start_mark
                return _too_deep(document.spot(mark.line + 1, mark.column + 1))
        elif isinstance(event, yaml.CollectionEndEvent):
            depth -= 1
    return None


def _alias(place: Place) -> Problem:
    return Problem(
        code="F108",
        message="anchors and aliases (`&name`, `*name`) are not read",
        places=(place,),
        note="a few nested ones can grow into millions of lines",
        hint="write the value out in each place",
    )


def _structure(document: Document, text: str) -> Iterator[Problem]:
    """Duplicate keys, aliases, tags, keys that are not words, and too deep a nesting."""
    if "&" in text or "*" in text:
        problem = _first_anchor(document, text)
        if problem:
            yield problem
            return
    assert document.root is not None
    stack: list[tuple[yaml.Node, int]] = [(document.root, 1)]
    while stack:
        node, depth = stack.pop()
        if depth > DEEPEST:
            yield _too_deep(document._place_of(node, ""))
            return
        if node.tag not in _PLAIN_TAGS:
            yield Problem(code="F123", message="tags (`!name`) are not read", places=(document._place_of(node, ""),), hint="delete the tag; every value is read as it stands")
        if isinstance(node, yaml.MappingNode):
            yield from _keys(document, node)
            stack.extend((value, depth + 1) for _, value in node.value)
        elif isinstance(node, yaml.SequenceNode):
            stack.extend((item, depth + 1) for item in node.value)


def _keys(document: Document, node: yaml.MappingNode) -> Iterator[Problem]:
    seen: dict[str, yaml.Node] = {}
    for key, _ in node.value:
        if not isinstance(key, yaml.ScalarNode):
            yield Problem(code="F104", message="a key must be a plain word", places=(document._place_of(key, ""),), hint="write `name: value`")
        elif key.value in seen:
            first = document._place_of(seen[key.value], "first here")
            yield Problem(
                code="F107",
                message=f"the key `{key.value}` stands twice in one place",
                places=(document._place_of(key, "again here"), first),
                note="the later would silently replace the earlier, so nothing below was judged",
                hint="keep one, or give the second another name",
            )
        elif key.value == "<<":
            yield Problem(code="F108", message="merge keys (`<<`) are not read", places=(document._place_of(key, ""),), hint="write the keys out in each place")
        else:
            seen[key.value] = key


def _first_anchor(document: Document, text: str) -> Problem | None:
    for token in yaml.scan(text, Loader=_LOADER):
        if isinstance(token, yaml.AnchorToken | yaml.AliasToken):
            mark = token.start_mark
            return _alias(document.spot(mark.line + 1, mark.column + 1, token.end_mark.column - mark.column))
    return None


def _plain(node: yaml.Node) -> Any:
    if isinstance(node, yaml.MappingNode):
        return {key.value: _plain(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [_plain(item) for item in node.value]
    return node.value
