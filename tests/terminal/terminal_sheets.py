"""Invented sheets that hold every kind of part; no treatment, species or source in them exists."""

from __future__ import annotations

from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Sheet, Table


def doses() -> Sheet:
    """Numbers of one unit, a refusal, a total that reaches over three columns, a source."""
    notes = Footnotes()
    mark = notes.mark("EX24 table 3 p. 118")
    table = Table(
        columns=(
            Column("Tank", "id", lead=True),
            Column("Treatment", "id", lead=True),
            Column("Water", "number"),
            Column("Target", "number"),
            Column("Add", "number"),
            Column("Working", "prose"),
        ),
        rows=(
            _dose("q1", "620.0 L", "12.4 g", f"620.0 L × 2.0 mg/L ÷ 10 %{mark}"),
            _dose("q2", "240.0 L", "4.8 g", f"240.0 L × 2.0 mg/L ÷ 10 %{mark}"),
            (
                Cell("q3"),
                Cell("Verdine 10 %"),
                EMPTY,
                Cell("2.0 mg/L"),
                Cell("—", "error"),
                Cell("no volume, see F102", "error"),
            ),
        ),
        total=(Cell("3 tanks, 2 doses, 1 refused"), EMPTY, EMPTY, EMPTY, Cell("17.2 g"), EMPTY),
    )
    return Sheet(
        title="Doses · north room · Wed 25 Nov 09:00",
        parts=(table,),
        footnotes=notes.lines(),
        next="pratique day",
    )


def _dose(tank: str, water: str, add: str, working: str) -> tuple[Cell, ...]:
    return tuple(Cell(text) for text in (tank, "Verdine 10 %", water, "2.0 mg/L", add, working))


def plan() -> Sheet:
    """Facts, the stages of a plan with text that may wrap, conditions as a list."""
    facts = Facts(
        pairs=(
            ("Batch", Cell("b7 · 3 lantern gobies, 1 reed wrasse")),
            ("Arrived", Cell("Mon 2 Nov 14:30 from a shop 40 km away, in two bags at 24.1 °C")),
            ("Regimen", Cell("verdine hold, then observation")),
            ("Earliest release", Cell("Sat 19 Dec 10:00, if each condition below holds", "due")),
        )
    )
    stages = Table(
        title="Stages",
        columns=(
            Column("Stage", "text", lead=True),
            Column("Tank", "id", lead=True),
            Column("From", "id"),
            Column("To", "id"),
            Column("Days", "number"),
            Column("Level", "number"),
            Column("State", "prose"),
        ),
        rows=(
            _stage("transfers", "t1, t2", "Mon 2 Nov", "Sat 14 Nov", "12", "—", Cell("done", "done")),
            _stage(
                "verdine hold",
                "q1",
                "Sat 14 Nov",
                "Mon 30 Nov",
                "16",
                "1.5–2.5 mg/L",
                Cell("warning: reading of Mon 23 Nov was 1.32 mg/L, below the band; 2 days added", "warning"),
            ),
            _stage("rest, carbon", "q1", "Mon 30 Nov", "Thu 3 Dec", "3", "≤ 0.20 mg/L", Cell("next", "due")),
            _stage("observation", "o2", "Thu 3 Dec", "Sat 19 Dec", "16.5", "—", EMPTY),
        ),
    )
    conditions = Lines(
        title="The batch may go when",
        bullet="1.",
        lines=(
            Cell("the verdine was in its band for 14 days without a gap", "done"),
            Cell("no sign was seen for 16 days in tank o2, with a look at the fish on each of them"),
            Cell("overdue: a gill look-over of the reed wrasse, asked for since Fri 20 Nov", "error"),
        ),
    )
    return Sheet(title="Plan · batch b7 · today Wed 25 Nov", parts=(facts, stages, conditions), next="pratique day")


def _stage(name: str, tank: str, start: str, end: str, days: str, level: str, state: Cell) -> tuple[Cell, ...]:
    shown = EMPTY if level == "—" else Cell(level)
    return (Cell(name), Cell(tank), Cell(start), Cell(end), Cell(days), shown, state)


def day() -> Sheet:
    """Check boxes, amounts with a unit in each cell, a line to write on, two sources."""
    notes = Footnotes()
    band, oxygen = notes.mark("EX24 table 3 p. 118"), notes.mark("EX31 p. 9")
    tasks = Table(
        columns=(
            Column("", "id", lead=True),
            Column("At", "id", lead=True),
            Column("Tank", "id", lead=True),
            Column("Do", "prose"),
            Column("Amount", "number"),
            Column("Result", "text"),
        ),
        rows=(
            _task("☑", "08:30", "q1", "look at each fish before the lights are on", EMPTY, Cell("done", "done")),
            _task(
                "☐",
                "09:00",
                "q1",
                f"read verdine; the band is 1.5–2.5 mg/L{band}",
                EMPTY,
                Cell("______ mg/L"),
            ),
            _task("☐", "09:10", "q1", "change water, same heat and salinity", Cell("62.0 L"), Cell("____ °C")),
            _task("☐", "09:20", "q1", "add verdine for the water that was changed", Cell("1.24 g"), EMPTY),
            _task("☐", "21:00", "q2 [upper]", f"bath for 45 min, air stone on{oxygen}", Cell("0.8 mL"), EMPTY),
            _task("☐", "21:45", "o2", "move the reed wrasse, wet hands and gear last", Cell("1 fish"), EMPTY),
        ),
    )
    warnings = Lines(
        bullet="!",
        lines=(
            Cell("warning: the test kit for verdine ran out of date on Sun 1 Nov (S207)", "warning"),
            Cell("nets and hoses of q1 stay at q1", "muted"),
        ),
    )
    write = Lines(title="Seen today", lines=(Cell("_" * 30), Cell("_" * 30)))
    return Sheet(
        title="Day · north room · today Wed 25 Nov",
        parts=(tasks, warnings, write),
        footnotes=notes.lines(),
        next="pratique log reading q1 verdine 1.9mg/L",
    )


def _task(box: str, at: str, tank: str, act: str, amount: Cell, result: Cell) -> tuple[Cell, ...]:
    return (Cell(box), Cell(at), Cell(tank), Cell(act), amount, result)


SHEETS = {"doses": doses, "plan": plan, "day": day}
