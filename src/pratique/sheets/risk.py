"""How likely it is that something gets through: the range with its limits, the curve, what it hangs on."""

from __future__ import annotations

from collections.abc import Iterable

from pratique.knowledge import store
from pratique.knowledge.model import Statement
from pratique.risk.answers import LEAST_SHOWN, Point, Risk
from pratique.risk.chances import Chance, Weight
from pratique.risk.fallow import FallowRisk
from pratique.risk.regimens import Tried
from pratique.risk.simulate import Simulated
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table

BAR = 10
NEVER = "a model, not a guarantee: it knows only what its limits leave (below)"


def risk_sheet(room: Room, risk: Risk, simulated: tuple[tuple[str, Simulated], ...] = ()) -> Sheet:
    """The page about one batch."""
    notes = Footnotes()
    name = store.pathogen(risk.agent).short
    parts: list[Part] = [
        _head(risk, name),
        _limits(risk.limits, risk.notes, notes),
        _strains(risk.chance),
        _curve("If they were released on that day", "Day", risk.curve, places=1),
    ]
    if risk.late:
        title = f"If the second transfer (out of {risk.late[0].what}) came late, and all after it"
        parts.append(_late(title, risk.late))
    parts.append(_weights(risk.weights))
    parts.append(_tried("One change by itself, and its price", risk.changes, risk))
    parts.append(_cheapest(risk))
    if risk.compared:
        parts.append(_tried("Regimens side by side, at the temperature of this room", risk.compared, None))
        parts.append(_choice())
    if simulated:
        parts.append(_simulated(simulated, risk))
    return Sheet(
        title=f"Risk · {room.name} · {risk.batch} · {name}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next=f"pratique plan {words.quoted(risk.batch)}",
    )


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


def ends(chance: Chance) -> str:
    """`<0.1 % to 12 %`, over all strains."""
    low, high = percent(chance.low), percent(chance.high)
    return low if low == high else f"{low} to {high}"


def span(low: float, high: float) -> str:
    """`<0.1–12 %`, for one strain."""
    first, last = percent(low), percent(high)
    return last if first == last else f"{first.removesuffix(' %')}–{last}"


def bar(chance: Chance) -> str:
    """`#` up to the low end, `-` from there to the high end; it says no more than the figures beside it.

    >>> from pratique.risk.chances import StrainChance
    >>> bar(Chance(strains=(StrainChance(strain="a", title="a", low=0.2, middle=0.4, high=0.55),)))
    '[##----....]'
    """
    low = round(chance.low * BAR)
    high = max(round(chance.high * BAR), low, 1 if chance.high >= LEAST_SHOWN else 0)
    return "[" + "#" * low + "-" * (high - low) + "." * (BAR - high) + "]"


def _head(risk: Risk, name: str) -> Facts:
    course = risk.course
    carried = "as many as nobody knows (1 to 100)" if risk.parasites is None else f"{risk.parasites:g}"
    return Facts(
        title=risk.batch,
        pairs=(
            ("the question", Cell(f"if they carried {name} on arrival, is it on one of them at release?")),
            ("chance", Cell(f"{ends(risk.chance)}, by strain and by what was never measured", "due")),
            ("what it is", Cell(NEVER, "warning")),
            ("carried", Cell(f"{carried} on arrival")),
            ("the price", Cell(_price(course.moves, course.days_held, course.days))),
        ),
    )


def _price(moves: int, held: float, days: float) -> str:
    return f"{words.plural(moves, 'move')}, {held:.0f} days under a drug, {days:.0f} days until release"


def _limits(limits: Iterable[Statement], more: Iterable[str], notes: Footnotes) -> Lines:
    lines = [Cell(limit.text + notes.mark(words.stated(limit))) for limit in limits]
    return Lines(title="What it does not know", lines=(*lines, *(Cell(text) for text in more)), bullet="·")


def _strains(chance: Chance) -> Table:
    columns = (
        Column("Strain", "prose", lead=True), Column("Low", "number"), Column("Middle", "number"),
        Column("High", "number"),
    )  # fmt: skip
    rows = tuple(
        (Cell(s.title), Cell(percent(s.low)), Cell(percent(s.middle)), Cell(percent(s.high))) for s in chance.strains
    )
    return Table(title="By strain: nobody knows which is yours, and they are not averaged", columns=columns, rows=rows)


def _curve(title: str, head: str, points: Iterable[Point], places: int) -> Table:
    points = tuple(points)
    labelled = any(point.what for point in points) and head == "Day"
    columns = (
        Column(head, "number", lead=True),
        *((Column("Out of", "id", lead=True),) if labelled else ()),
        *_by_strain(points[0].chance),
        Column("0 to 100 %", "id"),
    )
    rows = tuple(
        (
            Cell(f"{p.at:.{places}f}"),
            *((Cell(p.what),) if labelled else ()),
            *(Cell(span(s.low, s.high)) for s in p.chance.strains),
            Cell(bar(p.chance)),
        )
        for p in points
    )
    return Table(title=title, columns=columns, rows=rows)


def _weights(weights: Iterable[Weight]) -> Table:
    columns = (
        Column("What", "prose", lead=True), Column("From", "text"), Column("Chance", "number"), Column("To", "text"),
        Column("Chance then", "number"),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(w.what), Cell(w.low), Cell(percent(w.chance_low)), Cell(w.high), Cell(percent(w.chance_high)),
        )
        for w in weights
    )  # fmt: skip
    return Table(title="What it hangs on, the most first (mean chances)", columns=columns, rows=rows)


def _by_strain(chance: Chance) -> tuple[Column, ...]:
    return tuple(Column(strain.strain, "number") for strain in chance.strains)


def _late(title: str, points: tuple[Point, ...]) -> Table:
    columns = (Column("Hours late", "number", lead=True), *_by_strain(points[0].chance))
    rows = tuple(
        (Cell(f"{p.at:.0f}"), *(Cell(span(s.low, s.high)) for s in p.chance.strains)) for p in points
    )
    return Table(title=title, columns=columns, rows=rows)


def _tried(title: str, found: tuple[Tried, ...], risk: Risk | None) -> Table:
    """By strain, so that what helps against one and not against another shows."""
    columns = (
        Column("What", "prose", lead=True), *_by_strain(found[0].chance),
        Column("Moves", "number"), Column("Drug d", "number"), Column("Days", "number"),
    )  # fmt: skip

    def row(what: str, chance: Chance, moves: int, held: float, days: float) -> tuple[Cell, ...]:
        return (
            Cell(what), *(Cell(span(s.low, s.high)) for s in chance.strains), Cell(str(moves)), Cell(f"{held:.0f}"),
            Cell(f"{days:.0f}"),
        )  # fmt: skip

    rows = [row(t.what, t.chance, t.moves, t.days_held, t.days) for t in found]
    if risk is not None:
        course = risk.course
        rows.insert(0, row("as planned", risk.chance, course.moves, course.days_held, course.days))
    return Table(title=title, columns=columns, rows=tuple(rows))


def _cheapest(risk: Risk) -> Lines:
    cheapest = risk.cheapest
    if risk.is_out_of_sight:
        text = "the chance is below what this model can tell apart: no change can be shown to lower it"
    elif cheapest is None:
        text = "none of these lowers it by every strain: what one strain gains, another loses"
    else:
        text = f"{cheapest.what}: {ends(risk.chance)} becomes {ends(cheapest.chance)}, in the model"
    return Lines(title="The change that lowers it most for the least", lines=(Cell(text),))


def _choice() -> Lines:
    lines = (
        "copper harms some fish, and each move is a chase with a net: what they cost a fish is not in the chances",
        "how many get past copper that is held nobody has published: none is taken, as the trade does, and one in a "
        "hundred beside it",
        "what watching adds is that somebody may see it: how likely that is, is not known",
        "this informs the choice between treating and watching; it does not make it",
    )
    return Lines(lines=tuple(Cell(text, "warning") for text in lines), bullet="·")


def _simulated(found: Iterable[tuple[str, Simulated]], risk: Risk) -> Table:
    """Mean chances of both engines: they have to agree within the error of the simulation."""
    from pratique.risk.chances import means

    whole = means(risk.agent, risk.course, risk.parasites)
    columns = (
        Column("Strain", "prose", lead=True), Column("Integrated", "number"), Column("Simulated", "number"),
        Column("Error", "number"), Column("Histories", "number"), Column("Cut", "number"),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(title), Cell(f"{whole[title]:.2%}".replace("%", " %")), Cell(f"{s.low:.2%}".replace("%", " %")),
            Cell(f"± {2 * s.error:.2%}".replace("%", " %")), Cell(str(s.histories)), Cell(str(s.cut)),
        )
        for title, s in found
    )  # fmt: skip
    title = "Both engines, mean chances (± two standard errors; where histories were cut, the truth lies higher)"
    return Table(title=title, columns=columns, rows=rows)


def fallow_risk_sheet(room: Room, risk: FallowRisk) -> Sheet:
    """The page about a water without fish."""
    notes = Footnotes()
    name = store.pathogen(risk.agent).short
    parts: list[Part] = [
        _fallow_head(room, risk, name),
        _limits(risk.limits, risk.notes, notes),
        _strains(risk.chance),
        _curve("Days without fish", "Days", risk.curve, places=0),
        _enough(risk),
        _weights(risk.weights),
    ]
    if risk.warmer is not None:
        text = f"two degrees warmer from now on: {ends(risk.chance)} becomes {ends(risk.warmer.chance)}"
        parts.append(Lines(title="What would lower it", lines=(Cell(text),)))
    return Sheet(
        title=f"Risk · {room.name} · {risk.tank} without fish · {name}",
        parts=tuple(parts),
        footnotes=notes.lines(),
        next="pratique plan",
    )


def _fallow_head(room: Room, risk: FallowRisk, name: str) -> Facts:
    last = risk.warmth[-1]
    warm = words.temperature(last.low, room)
    if last.high != last.low:
        warm += f" to {words.temperature(last.high, room)}"
    began = f"if the last fish left {words.moment(risk.since)}" if risk.still else words.moment(risk.since)
    still = (("still in it", Cell(", ".join(risk.still), "warning")),) if risk.still else ()
    return Facts(
        title=f"{risk.tank}: {risk.days:g} days",
        pairs=(
            ("the question", Cell(f"can anything of {name} in it still infect a fish?")),
            ("chance", Cell(f"{ends(risk.chance)}, by strain and by what was never measured", "due")),
            ("what it is", Cell(NEVER, "warning")),
            ("day one", Cell(began)),
            *still,
            ("as warm as", Cell(warm)),
        ),
    )


def _enough(risk: FallowRisk) -> Lines:
    lines = tuple(
        Cell(f"{title}: " + ("not within a year" if day is None else f"day {day:.0f}")) for title, day in risk.enough
    )
    return Lines(title="From when even the high end is below 5 %, by strain", lines=lines, bullet="·")


def fallow_curve(risk: FallowRisk) -> tuple[Part, ...]:
    """The curve for the page of a water without fish: what a day more buys, and in the same breath what it is not."""
    name = store.pathogen(risk.agent).short
    title = f"What a day more buys against {name}: the chance that something can still infect"
    more = f"more: `pratique risk --fallow {words.quoted(risk.tank)}`"
    lines = (*_unknown(risk.limits, risk.notes, 2), Cell(more))
    return (
        _curve(title, "Days", risk.curve, 0),
        Lines(title="What this curve does not know", lines=lines, bullet="·"),
    )


def plan_chance(risk: Risk) -> Lines:
    """What the dates of a plan buy, for `plan --working`, with its limits."""
    name = store.pathogen(risk.agent).short
    lines = (
        Cell(f"that {name} gets through: {ends(risk.chance)}, by strain and by what was never measured", "due"),
        *_unknown(risk.limits, risk.notes, 3),
        Cell(f"more, and what would lower it: `pratique risk {words.quoted(risk.batch)}`"),
    )
    return Lines(title=f"{risk.batch} · what these dates buy", lines=lines, bullet="·")


def _unknown(limits: Iterable[Statement], more: Iterable[str], most: int) -> tuple[Cell, ...]:
    """What the model is and is not, each with its source in the line itself, for a page with notes of its own."""
    said = [f"{limit.text} ({words.stated(limit)})" for limit in limits]
    return (Cell(NEVER, "warning"), *(Cell(text) for text in [*said, *more][:most]))
