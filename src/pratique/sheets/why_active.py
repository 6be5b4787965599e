"""The page of an active, such as copper: words a label has for it, what is done with it, what it may not meet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pratique.dosing.facts import concerns
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.logbook.words import folded
from pratique.sheets import words
from pratique.sheets.figures import shown_number
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Lines, Part, Sheet, Table


def actives() -> tuple[str, ...]:
    """Every active that a bottle can hold."""
    found = [*(one.active for one in store.substances().values()), *map(store.active_of, store.treatment_ids())]
    return tuple(dict.fromkeys(name for name in found if name))


def active_words() -> Iterator[str]:
    """What these pages are found by: the actives, and the words that a label has for them."""
    yield from actives()
    for one in store.substances().values():
        yield from (one.id, *one.names)


def active_sheet(word: str, *, several: bool) -> Sheet | None:
    """The page of the active that `word` says; with `several`, only of one that more than one treatment has."""
    meant = {folded(name): name for name in actives()}
    for one in store.substances().values():
        meant |= {folded(name): one.active for name in (one.id, *one.names) if folded(name) not in meant}
    active = meant.get(folded(word))
    if active is None:
        return None
    treatments = [store.treatment(id_) for id_ in store.treatments_with(active)]
    if several and len(treatments) < 2:
        return None
    parts: list[Part] = [_labels(active)]
    if treatments:
        parts.append(_treatments(treatments))
    parts += may_not_meet(treatments)
    return Sheet(
        title=f"{active} · an active",
        parts=tuple(parts),
        next=f"pratique why {treatments[0].id}" if treatments else "",
    )


def _labels(active: str) -> Facts:
    """How a label may state its strength: the mass of the active in one gram of what it names."""
    pairs = tuple(
        (
            one.names[0] if one.names else one.id,
            Cell(f"{one.fraction:g} g of {active} in 1 g [{words.source_line(one.source, one.where, one.confidence)}]"),
        )
        for one in store.substances().values()
        if one.active == active
    )
    return Facts(title="Words a label counts it in", pairs=pairs or (("none on file", EMPTY),))


def _treatments(treatments: list[Treatment]) -> Table:
    columns = (
        Column("Treatment", "id", lead=True),
        Column("Form", "id"),
        Column("Kind", "text"),
        Column("Level", "id"),
        Column("Who says so", "prose"),
    )
    rows = []
    for treatment in treatments:
        target = treatment.number("target")
        said = (EMPTY, Cell(treatment.title))
        if target is not None:
            said = (Cell(shown_number(target)), Cell(words.source_line(target.source, target.where, target.confidence)))
        form = Cell(treatment.form) if treatment.form else EMPTY
        rows.append((Cell(treatment.id), form, Cell(treatment.kind), *said))
    return Table(title="What is done with it", columns=columns, rows=tuple(rows))


def may_not_meet(treatments: Iterable[Treatment]) -> list[Part]:
    """The interlocks of any of them; each has a page of its own."""
    known = tuple(treatments)
    rules = [rule for rule in store.interlocks() if any(concerns(rule, treatment) for treatment in known)]
    lines = tuple(Cell(f"{rule.code}: {rule.message.replace(' ({subject})', '')}") for rule in rules)
    return [Lines(title="What it may not meet", lines=lines, bullet="·")] if lines else []
