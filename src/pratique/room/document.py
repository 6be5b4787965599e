"""A file as read: its lines, its tree of nodes, and where in the keeper's own text each thing stands."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import yaml

from pratique.problem import Place

Path_ = tuple[str | int, ...]
_COMMENT = re.compile(r"\s#.*$")
Pair = tuple[yaml.Node, yaml.Node]
"""The node that names a value (the value itself, for an entry of a list) and the value."""


@dataclass(slots=True)
class Document:
    """One file: its lines, its node tree, and the plain data (dicts, lists, strings) in it.

    Parts that were refused can be cut out of `data`, so that the rest is judged too; `was_cut` tells which.
    """

    name: str
    lines: list[str] = field(default_factory=list)
    root: yaml.Node | None = None
    data: Any = None
    _children: dict[int, dict[str, Pair]] = field(default_factory=dict)
    _cut: dict[int, set[str]] = field(default_factory=dict)

    def place(self, path: Path_, *, key: bool = False, word: str = "", label: str = "") -> Place:
        """Where `path` stands; the nearest ancestor in the file where it does not.

        `key`: the key, not its value. `word`: only this part of it, where it stands on one line.
        """
        node, key_node = self.root, None
        for step in path:
            child = self.child(node, step)
            if child is None:
                if isinstance(node, yaml.ScalarNode) and isinstance(step, int):
                    word = _piece(node.value, step)  # a list written as `a, b`
                else:
                    key = True  # what is missing is shown at its parent's own name
                break
            key_node, node = child
        shown = key_node if (key or _is_empty(node)) and key_node is not None else node
        return self._place_of_word(shown, word, label) or self.place_of(shown, label)

    def place_of(self, node: yaml.Node | None, label: str = "") -> Place:
        """Where `node` begins: all of it on one line, else its first key or dash, or its first line."""
        if node is None:
            return self.spot(1, 1, 1, label)
        start, end = node.start_mark, node.end_mark
        if end.line == start.line:
            return self.spot(start.line + 1, start.column + 1, end.column - start.column, label)
        if isinstance(node, yaml.MappingNode) and not node.flow_style and node.value:
            return self.place_of(node.value[0][0], label)
        if isinstance(node, yaml.SequenceNode) and not node.flow_style:
            return self.spot(start.line + 1, start.column + 1, 1, label)
        written = _COMMENT.sub("", self.line(start.line + 1)).rstrip()
        return self.spot(start.line + 1, start.column + 1, len(written) - start.column, label)

    def _place_of_word(self, node: yaml.Node | None, word: str, label: str) -> Place | None:
        if not word or not isinstance(node, yaml.ScalarNode) or node.start_mark.line != node.end_mark.line:
            return None
        start, end = node.start_mark, node.end_mark
        column = self.line(start.line + 1).rfind(word, start.column, end.column)
        return self.spot(start.line + 1, column + 1, len(word), label) if column >= 0 else None

    def spot(self, line: int, column: int, width: int = 1, label: str = "") -> Place:
        """A place by line and column; what the parser saw after the end of the file is at its end."""
        if line > len(self.lines) > 0:
            line, column = len(self.lines), len(self.lines[-1]) + 1
        text = self.line(line)
        return Place(file=self.name, line=line, column=column, width=max(width, 1), text=text, label=label)

    def line(self, number: int) -> str:
        return self.lines[number - 1] if 0 < number <= len(self.lines) else ""

    def child(self, node: yaml.Node | None, step: str | int) -> Pair | None:
        """The child of `node` at a key or an index."""
        if isinstance(node, yaml.MappingNode):
            return self._names(node).get(step) if isinstance(step, str) else None
        if isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
            item = node.value[step]
            return item, item
        return None

    def _names(self, node: yaml.MappingNode) -> dict[str, Pair]:
        names = self._children.get(id(node))
        if names is None:
            names = self._children[id(node)] = {key.value: (key, value) for key, value in node.value}
        return names

    def cut(self, doomed: Iterable[tuple[yaml.Node, yaml.Node, str]]) -> None:
        """Take out values, each given as its parent, itself and its name in the parent; renew `data`."""
        by_parent: dict[int, tuple[yaml.Node, dict[int, str]]] = {}
        for parent, value, name in doomed:
            by_parent.setdefault(id(parent), (parent, {}))[1][id(value)] = name
        for key, (parent, values) in by_parent.items():
            self._cut.setdefault(key, set()).update(values.values())
            if isinstance(parent, yaml.MappingNode):
                self._names(parent)  # what is cut can still be pointed at
                parent.value = [pair for pair in parent.value if id(pair[1]) not in values]
            else:
                parent.value = [item for item in parent.value if id(item) not in values]
        self.data = plain_data(self.root)

    def was_cut(self, path: Path_, name: str) -> bool:
        """True where `name` under `path`, or a part of it, was taken out."""
        if not self._cut:
            return False
        node = self.root
        for step in path:
            child = self.child(node, step)
            if child is None or step in self._cut.get(id(node), ()):
                return True
            node = child[1]
        if name in self._cut.get(id(node), ()):
            return True
        below = self.child(node, name)
        return below is not None and id(below[1]) in self._cut


def plain_data(node: yaml.Node | None) -> Any:
    """Dicts, lists and strings."""
    if isinstance(node, yaml.MappingNode):
        return {key.value: plain_data(value) for key, value in node.value}
    if isinstance(node, yaml.SequenceNode):
        return [plain_data(item) for item in node.value]
    return node.value if node is not None else None


def _is_empty(node: yaml.Node | None) -> bool:
    return isinstance(node, yaml.ScalarNode) and node.start_mark.index == node.end_mark.index


def _piece(text: str, index: int) -> str:
    pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
    return pieces[index] if index < len(pieces) else ""
