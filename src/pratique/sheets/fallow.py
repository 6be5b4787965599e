"""When a water without fish is safe again: by agent, with the range in print, what restarts it and how to use it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.history.events import Stay
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.logbook.quotes import shell_word
from pratique.response.fallow import AgentFallow, Fallow, Published
from pratique.response.fallow_entry import ComesIn
from pratique.room.resolve import Room
from pratique.room.shown import shown_warmth
from pratique.schedule.calendar import plus_hours
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table

WHITE_SPOT = "cryptocaryon"


def fallow_sheet(room: Room, fallow: Fallow, risk: tuple[Part, ...] = ()) -> Sheet:
    """The whole answer. `risk` are the parts of a curve of the chance that is left, put after the dates."""
    notes = Footnotes()
    parts: list[Part] = [_head(room, fallow, notes), _by_agent(fallow, notes)]
    parts += _in_print(fallow, notes)
    parts += risk
    parts += _undated(fallow)
    parts += _breaks(fallow)
    if fallow.entries:
        parts += _entries(room, fallow, notes)
    parts.append(_said("meanwhile", "Meanwhile", notes, tuple(_living(fallow))))
    parts.append(_restarts(fallow, notes))
    parts.append(_said("found", "If a fish is found", notes, (Cell(_found(fallow)),)))
    title = f"Fallow · {room.name} · {fallow.water} · {words.moment(fallow.at, at=fallow.at)}"
    word = shell_word(fallow.tank)
    following = f"pratique trace {word}" if fallow.fish else f"pratique log reading {word} temperature '27 degC'"
    return Sheet(title=title, parts=tuple(parts), footnotes=notes.lines(), next=following)


def _head(room: Room, fallow: Fallow, notes: Footnotes) -> Facts:
    pairs = [("safe again", _safe(fallow))]
    if len(fallow.tanks) > 1:
        pairs.append(("one water", Cell(f"{', '.join(fallow.tanks)}: a fish in any of them is in all")))
    if fallow.fish:
        names = ", ".join(fallow.fish)
        pairs.append(("fish in it", Cell(f"{names}: the clock stands at 0", "error")))
    else:
        pairs.append(("fish in it", Cell("none by the record; look, before you count on it")))
    pairs.append(("counted from", Cell(_counted_from(fallow))))
    if fallow.basis != "if" and not fallow.fish:
        pairs.append(("stands at", Cell(f"{words.plain(round(fallow.days, 1))} days without fish")))
    least = store.fallow_care().needed("least_in_practice")
    least_end = words.day(plus_hours(fallow.began, least.value).date(), at=fallow.at)
    pairs.append(
        ("least in use", Cell(f"{least.value / 24:g} days, {least_end}{notes.mark(words.citation(least))}"))
    )
    pairs.append(("temperature", _temperature(room, fallow)))
    if fallow.bare:
        said = store.fallow_care().said("bare")[0]
        word = shell_word(fallow.tank)
        text = f"{said.text}: `pratique dose {word} chlorine-disinfection`{notes.mark(words.citation(said))}"
        pairs.append(("bare tank", Cell(text)))
    return Facts(pairs=tuple(pairs))


def _safe(fallow: Fallow) -> Cell:
    last = fallow.last
    if fallow.waits:
        names = ", ".join(agent.pathogen.short for agent in fallow.waits)
        return Cell(f"no date: too cold for {names}, see below", "error")
    if last is None or last.end is None:
        return Cell("no date: no time without fish ends it", "error")
    when = words.moment(last.end, at=fallow.at)
    by = f"by the longest, {last.pathogen.short}" if len(fallow.agents) > 1 else f"for {last.pathogen.short}"
    if fallow.fish or fallow.basis == "if":
        return Cell(f"not before {when}, {by}, and only if {_only_if(fallow)}", "warning")
    if last.is_over:
        return Cell(f"since {when}, {by}, if no fish and nothing wet came in", "done")
    return Cell(f"{when}, {by}", "due")


def _only_if(fallow: Fallow) -> str:
    when = "now" if fallow.began == fallow.at else f"by {words.moment(fallow.began, at=fallow.at)}"
    if fallow.basis == "said":
        return f"every fish has been out since {words.moment(fallow.began, at=fallow.at)}"
    return f"the last fish is out {when}"


def _counted_from(fallow: Fallow) -> str:
    when = words.moment(fallow.began, at=fallow.at)
    if fallow.basis == "log":
        return f"{when}: " + ("the last restart, below" if fallow.breaks else "the last fish out, by the record")
    if fallow.basis == "said":
        return f"{when}: " + ("the last restart, below" if fallow.breaks else "as you say")
    return f"{when}, as if the last fish came out then"


def _temperature(room: Room, fallow: Fallow) -> Cell:
    written = room.waters[fallow.water].conditions.temperature
    states = [agent.state for agent in fallow.agents if agent.used is not None]
    read = any(state.due for state in states)
    if written is None:
        return Cell("none on file" if not read else "read, see the days", "warning" if not read else "")
    text = words.temperature(written.value, room) + " by the room file"
    return Cell(text + ("" if read else "; the warm figure needs one reading a day on record"))


def _by_agent(fallow: Fallow, notes: Footnotes) -> Table:
    columns = (
        Column("Agent", "id", lead=True),
        Column("Days", "number"),
        Column("Safe from", "id"),
        Column("If warm", "id"),
        Column("In print", "id"),
        Column("Why", "prose"),
    )
    dated = [agent for agent in fallow.agents if agent.used is not None]
    rows = tuple(_agent_row(agent, fallow, notes) for agent in dated)
    return Table(title="By agent, if it was there", columns=columns, rows=rows)


def _agent_row(agent: AgentFallow, fallow: Fallow, notes: Footnotes) -> tuple[Cell, ...]:
    assert agent.used is not None
    short = agent.pathogen.short
    days = f"{words.plain(agent.used.value / 24)}{notes.mark(words.citation(agent.used))}"
    low = min((one.figure.low for one in agent.published), default=agent.used.low)
    high = max((one.figure.high for one in agent.published), default=agent.used.high)
    printed = f"{low / 24:g}–{high / 24:g} d" if low < high else f"{high / 24:g} d"
    if agent.end is None:
        return (Cell(short), Cell(days), Cell("no date", "error"), EMPTY, Cell(printed), Cell(agent.why_not, "error"))
    end = words.day(agent.end.date(), at=fallow.at)
    over = agent.is_over and fallow.basis != "if"
    warm = Cell(words.day(agent.warm_end.date(), at=fallow.at)) if agent.warm_end is not None else EMPTY
    return (
        Cell(short),
        Cell(days),
        Cell(f"{end}, over" if over else end, "done" if over else "due"),
        warm,
        Cell(printed),
        Cell(agent.used.note or "the figure in use"),
    )


def _in_print(fallow: Fallow, notes: Footnotes) -> Iterator[Part]:
    """Where sources disagree: every figure, what it ends on, and what becomes of it here."""
    for agent in fallow.agents:
        if len(agent.published) < 2:
            continue
        columns = (
            Column("Days", "id", lead=True),
            Column("Ends", "id"),
            Column("Here", "id"),
            Column("Why", "prose"),
        )
        rows = tuple(_print_row(one, fallow, notes) for one in agent.published)
        title = f"What is in print for {agent.pathogen.short}, the range"
        yield Table(title=title, columns=columns, rows=rows)
    if any(agent.pathogen.id == WHITE_SPOT for agent in fallow.agents):
        yield _said("longer", "Why the longer figures", notes)


HERE = {"used": "counted on", "warm": "only if warm", "shorter": "too short", "longer": "not counted on"}


def _print_row(one: Published, fallow: Fallow, notes: Footnotes) -> tuple[Cell, ...]:
    figure = one.figure
    days = f"{figure.low / 24:g}–{figure.high / 24:g}" if figure.low < figure.high else f"{figure.value / 24:g}"
    first, last = (words.day(moment.date(), at=fallow.at) for moment in (one.first, one.last))
    return (
        Cell(days + notes.mark(words.citation(figure))),
        Cell(first if first == last else f"{first} – {last}"),
        Cell(HERE[one.part], "due" if one.part == "used" else "" if one.part == "warm" else "muted"),
        Cell(figure.note or figure.where),
    )


def _undated(fallow: Fallow) -> Iterator[Part]:
    lines = tuple(
        Cell(f"{agent.pathogen.short}: {agent.why_not}") for agent in fallow.agents if agent.used is None
    )
    if lines:
        yield Lines(title="No time without fish ends these", lines=lines, bullet="·")


def _breaks(fallow: Fallow) -> Iterator[Part]:
    if not fallow.breaks:
        return
    columns = (Column("When", "id", lead=True), Column("What", "prose"), Column("Lost", "number"))
    rows = tuple(
        (
            Cell(words.moment(found.at, at=fallow.at)),
            Cell(found.why, "warning"),
            Cell(f"{found.cost_hours / 24:.1f} d"),
        )
        for found in fallow.breaks
    )
    yield Table(title="What began it again", columns=columns, rows=rows)


def _entries(room: Room, fallow: Fallow, notes: Footnotes) -> Iterator[Part]:
    columns = (
        Column("Held", "id", lead=True),
        Column("In by", "id"),
        Column("If it came in now", "id"),
        Column("Which figure", "prose"),
    )
    yield _said("comes-in", "How to use the time", notes)
    rows = tuple(_entry_row(room, entry, fallow, notes) for entry in fallow.entries)
    yield Table(title="Corals, snails and rock: in by when, for this end to stay", columns=columns, rows=rows)


def _entry_row(room: Room, entry: ComesIn, fallow: Fallow, notes: Footnotes) -> tuple[Cell, ...]:
    figure = entry.figure
    held = f"{_days_of(entry)} d{notes.mark(words.citation(figure))}"
    if not entry.usable:
        return (Cell(held), EMPTY, EMPTY, Cell(f"in print, not counted on: {_of(figure)}", "muted"))
    past = entry.by.timestamp() < fallow.at.timestamp()
    by = words.day(entry.by.date(), at=fallow.at) + (", past" if past else "")
    end = words.day(entry.end_if_now.date(), at=fallow.at)
    later = (entry.end_if_now - _end_of(fallow, entry)).total_seconds() / 86400
    more = f"safe from {end}" + (f", {words.plain(round(later))} d later" if later >= 1 else "")
    why = "any warmth"
    if entry.warm is not None:
        why = f"{shown_warmth(entry.warm, room, places=0)} or more, on record every day from then on"
    return (Cell(held), Cell(by, "warning" if past else "due"), Cell(more), Cell(why))


def _end_of(fallow: Fallow, entry: ComesIn) -> dt.datetime:
    last = fallow.last
    return last.end if last is not None and last.end is not None else entry.end_if_now


def _days_of(entry: ComesIn) -> str:
    figure = entry.figure
    return f"{(figure.high if entry.warm is not None else figure.value) / 24:g}"


def _of(figure: Sourced) -> str:
    return figure.note or figure.where.split(", ", 1)[-1]


def _living(fallow: Fallow) -> Iterator[Cell]:
    if fallow.here:
        yield Cell(f"in it now: {_animals(fallow.here)}; they stay, and go into no other water before that day")


def _animals(stays: tuple[Stay, ...]) -> str:
    counts: dict[str, int] = {}
    for stay in stays:
        counts[stay.animal] = counts.get(stay.animal, 0) + stay.count
    return ", ".join(f"{count} {name}" if count > 1 else name for name, count in counts.items())


def _restarts(fallow: Fallow, notes: Footnotes) -> Lines:
    agents = {agent.pathogen.id for agent in fallow.agents}
    events = store.clocks()["fallow"].events
    lines = tuple(
        Cell(event.text + notes.mark(words.citation(event)))
        for event in events
        if event.effect == "restarts" and (not event.only or agents & set(event.only))
    )
    return Lines(title="Day one again with", lines=lines, bullet="·")


def _found(fallow: Fallow) -> str:
    end = fallow.found.end
    if end is None:
        return "no date hangs on it"
    when = words.moment(end, at=fallow.at)
    if fallow.found.lost <= 0:
        return f"found and out now: not before {when}"
    return f"found and out now: {fallow.found.lost / 24:.1f} days are lost, and it is not safe before {when}"


def _said(id_: str, title: str, notes: Footnotes, first: tuple[Cell, ...] = ()) -> Lines:
    said = store.fallow_care().said(id_)
    lines = tuple(Cell(statement.text + notes.mark(words.citation(statement))) for statement in said)
    return Lines(title=title, lines=(*first, *lines), bullet="·")
