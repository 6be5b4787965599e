"""A trace as a tree of text: what is joined, by what, and how strongly, in lines short enough for 40 columns.

    |== same water or a fish      |-- something wet      |.. possible: hands, drops
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from pratique.contacts.model import Hop, Level, Trace
from pratique.sheets import words
from pratique.sheets.rows import Cell, Meaning

STROKES: dict[Level, str] = {"direct": "==", "wet": "--", "possible": ".."}
MEANINGS: dict[Level, Meaning] = {"direct": "error", "wet": "warning", "possible": "due"}
WIDTH = 38
"""Columns of a line, its indent included."""

KEY = "== same water, -- wet, .. possible"


@dataclass(slots=True)
class Branch:
    """One name of the tree with what stands under it."""

    name: str
    says: str
    level: Level = "direct"
    below: list[Branch] = field(default_factory=list)


def forward_tree(trace: Trace) -> Iterator[Cell]:
    """From what was asked about to all it reached."""
    yield from _rows(forward_branch(trace), "nobody else was reached, by the record")


def backward_tree(trace: Trace) -> Iterator[Cell]:
    """From what was asked about back to all from which it could have come."""
    yield from _rows(backward_branch(trace), "no contact on record could have brought it")


def forward_branch(trace: Trace) -> Branch:
    """The root is what was asked about; each water hangs on the one it was reached from."""
    root = Branch(trace.origin.name, "asked about")
    reached = {found.water: found for found in trace.reached if not found.is_origin}
    branches = {
        name: Branch(name, _said(found.path[-1], trace) if found.path else "was there too", found.level)
        for name, found in reached.items()
    }
    parents = {name: found.path[-1].from_ if found.path else "" for name, found in reached.items()}
    _hang(root, branches, parents)
    return root


def backward_branch(trace: Trace) -> Branch:
    """The root is what was asked about; each source hangs on the water it would have passed through."""
    root = Branch(trace.origin.name, "asked about")
    branches = {s.name: Branch(s.name, _said(s.path[0], trace) if s.path else "", s.level) for s in trace.sources}
    parents = {source.name: source.path[0].to if source.path else "" for source in trace.sources}
    _hang(root, branches, parents)
    return root


def _hang(root: Branch, branches: dict[str, Branch], parents: dict[str, str]) -> None:
    """Whatever hangs on a name that is no branch, or on itself in the end, hangs on the root."""
    for name, branch in branches.items():
        above, seen = parents[name], {name}
        while above in branches and above not in seen:
            seen.add(above)
            above = parents[above]
        parent = branches.get(parents[name], root) if above not in branches else root
        parent.below.append(branch)


def _said(hop: Hop, trace: Trace) -> str:
    return f"{words.moment(hop.at, at=trace.at)}: {hop.text}"


def _rows(root: Branch, otherwise: str) -> Iterator[Cell]:
    yield Cell(root.name, "error")
    if not root.below:
        yield Cell(f"`-- {otherwise}", "muted")
        return
    yield from _below(root, "", _cell)
    yield Cell(KEY, "muted")


def _cell(text: str, level: Level) -> Cell:
    return Cell(text, MEANINGS[level])


def _below(branch: Branch, lead: str, cell: Callable[[str, Level], Cell]) -> Iterator[Cell]:
    for number, child in enumerate(branch.below):
        last = number + 1 == len(branch.below)
        yield cell(f"{lead}{'`' if last else '|'}{STROKES[child.level]} {child.name}", child.level)
        under = f"{lead}{' ' if last else '|'}   "
        bar = f"{under}{'|' if child.below else ' '}  "
        for line in textwrap.wrap(child.says, max(WIDTH - 2 - len(bar), 14)):
            yield Cell(f"{bar}{line}", "muted")
        yield from _below(child, under, cell)
