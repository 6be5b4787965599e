"""What the pages about a chance have in common: how one is written, and never without what the model leaves out."""

from __future__ import annotations

from collections.abc import Iterable

from pratique.knowledge import store
from pratique.knowledge.lifecycle import Strain
from pratique.knowledge.model import Statement
from pratique.risk.answers import LEAST_SHOWN, Point
from pratique.risk.chances import Chance, Weight
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Footnotes, Lines, Table

NEVER = "a model, not a guarantee; what it leaves out stands below"


def percent(chance: float) -> str:
    """`12 %`; never finer than the model, and never none or certain.

    >>> percent(0.1234), percent(0.0), percent(1.0), percent(0.0044)
    ('12 %', '<0.1 %', '>99.9 %', '0.4 %')
    """
    if chance < LEAST_SHOWN:
        return "<0.1 %"
    if chance > 1 - LEAST_SHOWN:
        return ">99.9 %"
    return f"{chance:.1%}".replace("%", " %") if chance < 0.1 or chance > 0.9 else f"{chance:.0%}".replace("%", " %")


def ends(low: float, high: float) -> str:
    """`<0.1 % to 12 %`, in a sentence."""
    first, last = percent(low), percent(high)
    return last if first == last else f"{first} to {last}"


def span(low: float, high: float) -> str:
    """`<0.1–12 %`, in a table."""
    first, last = percent(low), percent(high)
    return last if first == last else f"{first.removesuffix(' %')}–{last}"


def by_strain(chance: Chance) -> str:
    """The ends of the strain that lets most through, and of the others: they are not averaged.

    >>> from pratique.risk.chances import StrainChance
    >>> slow, late = (StrainChance(strain=s, title=s, low=l, middle=l, high=h)
    ...               for s, l, h in (("slow", 0.0, 0.05), ("late", 0.12, 1.0)))
    >>> by_strain(Chance(strains=(slow, late)))
    '12 % to >99.9 % if it is the late strain, <0.1 % to 5.0 % if it is another'
    >>> by_strain(Chance(strains=(late,)))
    '12 % to >99.9 %, whichever strain it is'
    """
    worst = chance.worst
    others = chance.without(worst.strain)
    if others is None or percent(others.high) == percent(worst.high):
        return f"{ends(chance.low, chance.high)}, whichever strain it is"
    rest = ends(others.low, others.high)
    return f"{ends(worst.low, worst.high)} if it is the {worst.title} strain, {rest} if it is another"


def limit_lines(limits: Iterable[Statement], more: Iterable[str], notes: Footnotes) -> Lines:
    lines = [Cell(limit.text + notes.mark(words.citation(limit))) for limit in limits]
    title = "What it does not know, and what it takes as so"
    return Lines(title=title, lines=(*lines, *(Cell(text) for text in more)), bullet="·")


def unknown(limits: Iterable[Statement], more: Iterable[str], most: int) -> tuple[Cell, ...]:
    """What the model leaves out, each with its source in the line itself, for a page with notes of its own."""
    said = [f"{limit.text} ({words.citation(limit)})" for limit in limits]
    return (Cell(NEVER, "warning"), *(Cell(text) for text in [*said, *more][:most]))


def strain_of(agent: str, id_: str) -> Strain:
    return next(strain for strain in store.life_cycles()[agent].strains if strain.id == id_)


def strain_table(agent: str, chance: Chance, notes: Footnotes) -> Table:
    """Each strain with what sets it apart, and its ends."""
    columns = (
        Column("Strain", "text", lead=True), Column("What was published", "prose"), Column("Low", "number"),
        Column("Middle", "number"), Column("High", "number"),
    )  # fmt: skip
    rows = []
    for found in chance.strains:
        seen = strain_of(agent, found.strain).seen
        figures = (Cell(percent(share)) for share in (found.low, found.middle, found.high))
        rows.append((Cell(found.title), Cell(seen.text + notes.mark(words.citation(seen))), *figures))
    title = "By strain: nobody knows which is yours, and they are not averaged"
    return Table(title=title, columns=columns, rows=tuple(rows))


def strain_columns(chance: Chance) -> tuple[Column, ...]:
    return tuple(Column(strain.title, "number") for strain in chance.strains)


def strain_cells(chance: Chance) -> tuple[Cell, ...]:
    return tuple(Cell(span(strain.low, strain.high)) for strain in chance.strains)


def curve_table(title: str, head: str, points: tuple[Point, ...], *, places: int, place: str = "") -> Table:
    """A curve by strain; `place` heads the column of what each point is about, where it has one."""
    columns = (
        Column(head, "number", lead=True), *((Column(place, "id", lead=True),) if place else ()),
        *strain_columns(points[0].chance),
    )  # fmt: skip
    rows = tuple(
        (Cell(f"{p.at:.{places}f}"), *((Cell(p.what),) if place else ()), *strain_cells(p.chance)) for p in points
    )
    return Table(title=title, columns=columns, rows=rows)


def weight_table(weights: Iterable[Weight]) -> Table:
    columns = (
        Column("What", "prose", lead=True), Column("Strain", "text"), Column("If it is", "text"),
        Column("Chance", "number"), Column("If it is …", "text"), Column("Chance then", "number"),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(w.what), Cell(w.strain) if w.strain else EMPTY, Cell(w.low), Cell(percent(w.chance_low)),
            Cell(w.high), Cell(percent(w.chance_high)),
        )
        for w in weights
    )  # fmt: skip
    title = "What it hangs on, the most first, each by the strain it moves most"
    return Table(title=title, columns=columns, rows=rows)
