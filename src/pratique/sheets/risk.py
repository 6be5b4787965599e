"""How likely it is that something gets through a plan: the range with its limits, the curve, what it hangs on."""

from __future__ import annotations

from collections.abc import Iterable

from pratique.knowledge import store
from pratique.logbook.quotes import shell_word
from pratique.risk.answers import Risk
from pratique.risk.chances import Chance
from pratique.risk.regimens import Tried
from pratique.risk.simulate import Simulated
from pratique.risk.watching import SEEN, Rounds
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.risk_parts import (
    NEVER,
    by_strain,
    curve_table,
    limit_lines,
    span,
    strain_cells,
    strain_columns,
    strain_table,
    unknown,
    weight_table,
)
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table


def risk_sheet(room: Room, risk: Risk, simulated: tuple[tuple[str, Simulated], ...] = ()) -> Sheet:
    """The page about one batch."""
    notes = Footnotes()
    name = store.pathogen(risk.agent).short
    parts: list[Part] = [
        _head(risk, name),
        limit_lines(risk.limits, risk.notes, notes),
        strain_table(risk.agent, risk.chance, notes),
        curve_table("If they were released on that day", "Day", risk.curve, places=1, place="Out of"),
    ]
    if risk.late:
        title = f"If the second transfer (out of {risk.late[0].what}) came late, and those after it as much"
        parts.append(curve_table(title, "Hours late", risk.late, places=0))
    parts.append(weight_table(risk.weights))
    parts.append(_tried("One change by itself, and its price", risk.changes, risk))
    parts.append(_cheapest(risk))
    if risk.watched:
        parts += _watching(risk)
    if risk.compared:
        parts.append(_tried("Regimens side by side, at the temperature of this room", risk.compared, risk))
        parts.append(_choice())
    if simulated:
        parts.append(_simulated(simulated, risk))
    return Sheet(
        title=f"Risk · {room.name} · {risk.batch} · {name}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next=f"pratique plan {shell_word(risk.batch)}",
    )


def _head(risk: Risk, name: str) -> Facts:
    course = risk.course
    carried = "as many as nobody knows (1 to 100)" if risk.parasites is None else f"{risk.parasites:g}"
    return Facts(
        title=risk.batch,
        pairs=(
            ("the question", Cell(f"if they came with {name}, is it on one of them at release?")),
            ("chance", Cell(by_strain(risk.chance), "due")),
            ("what it is", Cell(NEVER, "warning")),
            ("not counted", Cell(_uncounted(risk))),
            ("carried", Cell(f"{carried} on arrival")),
            ("the price", Cell(_price(course.moves, course.days_held, course.days))),
        ),
    )


def _uncounted(risk: Risk) -> str:
    if risk.course.acts:
        return "that somebody sees a sign in the watch and acts"
    return "that somebody sees a sign and acts; this plan does nothing else against it"


def _price(moves: int, held: float, days: float) -> str:
    return (
        f"{words.plural(moves, 'move')}, {words.plural(round(held), 'day')} under a drug, "
        f"{words.plural(round(days), 'day')} until release"
    )


def _tried(title: str, found: tuple[Tried, ...], risk: Risk) -> Table:
    """By strain, so that what helps against one and not against another shows; the plan itself comes first."""
    course = risk.course
    columns = (
        Column("What", "prose", lead=True), *strain_columns(risk.chance),
        Column("Moves", "number"), Column("Drug d", "number"), Column("Days", "number"),
    )  # fmt: skip

    def row(what: str, chance: Chance, moves: int, held: float, days: float) -> tuple[Cell, ...]:
        return (Cell(what), *strain_cells(chance), Cell(str(moves)), Cell(f"{held:.0f}"), Cell(f"{days:.0f}"))

    rows = [row("as planned", risk.chance, course.moves, course.days_held, course.days)]
    rows += [row(t.what, t.chance, t.moves, t.days_held, t.days) for t in found]
    return Table(title=title, columns=columns, rows=tuple(rows))


def _cheapest(risk: Risk) -> Lines:
    cheapest = risk.cheapest
    if risk.is_out_of_sight:
        text = "the chance is below what this model can tell apart: no change can be shown to lower it"
    elif cheapest is None:
        text = "none of these lowers it by every strain: what one strain gains, another loses"
    else:
        text = f"{cheapest.what}: in the model it becomes {by_strain(cheapest.chance)}"
    return Lines(title="The change that lowers it most for the least", lines=(Cell(text),))


def _watching(risk: Risk) -> tuple[Table, Lines]:
    """What follows from a share of rounds that somebody sees, for a keeper who believes in one."""
    columns = (Column("Of its rounds", "text", lead=True), *strain_columns(risk.chance))
    fits = (Cell("rounds that fit in"), *(Cell(_rounds(found)) for found in risk.watched))
    rows = [
        (Cell(f"1 in {1 / share:.0f} is seen"), *(Cell(span(*found.unseen(share))) for found in risk.watched))
        for share in SEEN
    ]
    days = words.plural(round(risk.course.watched), "day")
    lines = (
        "how many of its rounds on the fish are seen by somebody who looks nobody has published: no chance above "
        "counts one, and which row is yours is not known",
        "what is seen has to be acted on: a sign starts a treatment, and the watch begins again after it",
    )
    return (
        Table(
            title=f"What {days} of watching add: if it lives on, the chance that nobody sees it",
            columns=columns,
            rows=(fits, *rows),
        ),
        Lines(lines=tuple(Cell(text, "warning") for text in lines), bullet="·"),
    )


def _rounds(found: Rounds) -> str:
    low, high = f"{found.low:.0f}", f"{found.high:.0f}"
    return low if low == high else f"{low}–{high}"


def _choice() -> Lines:
    lines = (
        "copper harms some fish, and each move is a chase with a net: what they cost a fish is not in the chances",
        "how many get past copper that is held nobody has published: none is taken, as the trade does, and one in a "
        "hundred beside it",
        "this informs the choice between treating and watching; it does not make it",
    )
    return Lines(lines=tuple(Cell(text, "warning") for text in lines), bullet="·")


def _simulated(found: Iterable[tuple[str, Simulated]], risk: Risk) -> Table:
    """Mean chances of both engines: they have to agree within the error of the simulation."""
    from pratique.risk.chances import means

    whole = means(risk.agent, risk.course, risk.parasites)
    columns = (
        Column("Strain", "text", lead=True), Column("Integrated", "number"), Column("Simulated", "number"),
        Column("Error", "number"), Column("Histories", "number"), Column("Cut", "number"),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(title), Cell(f"{whole[title]:.2%}".replace("%", " %")), Cell(f"{s.low:.2%}".replace("%", " %")),
            Cell(f"± {2 * s.error:.2%}".replace("%", " %")), Cell(str(s.histories)), Cell(str(s.cut)),
        )
        for title, s in found
    )  # fmt: skip
    title = (
        "Both engines, mean chances (± two standard errors; the sum takes moves at the full hour; where histories were "
        "cut, the truth lies higher)"
    )
    return Table(title=title, columns=columns, rows=rows)


def plan_chance(risk: Risk) -> Lines:
    """What the dates of a plan buy, for `plan --working`, with its limits."""
    name = store.pathogen(risk.agent).short
    chance = by_strain(risk.chance)
    if risk.course.acts:
        text = (
            f"if they came with {name}, the chance that one of them still has it at release is {chance}; that somebody "
            "sees a sign in the watch is not counted"
        )
    else:
        text = (
            f"if they came with {name}, the chance that one of them still has it at release is {chance}: nothing in "
            "this plan acts on it, and that somebody sees a sign in the watch is not counted"
        )
    lines = (
        Cell(text, "due"),
        *unknown(risk.limits, risk.notes, 3),
        Cell(f"more, and what would lower it: `pratique risk {shell_word(risk.batch)}`"),
    )
    return Lines(title=f"{risk.batch} · what these dates buy", lines=lines, bullet="·")
