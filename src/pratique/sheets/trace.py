"""Who has been exposed, to what, since when and how strongly; what follows; where it may have come from."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.contacts.model import HeldItem, Level, Reached, Source, ToClean, Trace, Unexposed
from pratique.history.events import Stay
from pratique.knowledge import store
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.contact_tree import MEANINGS, backward_tree, forward_tree
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Meaning, Part, Sheet, Table

STRENGTH: dict[Level, str] = {"direct": "same water", "wet": "something wet", "possible": "possible"}


def trace_sheet(room: Room, trace: Trace) -> Sheet:
    """The whole answer."""
    notes = Footnotes()
    parts: list[Part] = [_head(trace)]
    parts.append(Lines(title="Who may have it now", lines=tuple(forward_tree(trace)), drawn=True))
    if trace.reached:
        parts.append(_exposed(trace))
    follows = tuple(_follows(trace))
    if follows:
        parts.append(Lines(title="What follows", lines=follows, bullet="·"))
    if trace.held:
        parts.append(_held(trace, notes))
    if trace.to_clean:
        parts += _clean(trace.to_clean, trace)
    parts.append(Lines(title="Where it may have come from", lines=tuple(backward_tree(trace)), drawn=True))
    if trace.sources:
        parts.append(_sources(trace))
    parts.append(_unexposed(trace))
    order = _order(trace)
    if order is not None:
        parts.append(order)
    parts.append(Lines(title="What this rests on", lines=tuple(Cell(note) for note in trace.notes), bullet="·"))
    title = f"Contacts · {room.name} · {trace.origin.name} · {words.moment(trace.at, at=trace.at)}"
    return Sheet(title=title, parts=tuple(parts), footnotes=notes.lines(), next="pratique day")


def _head(trace: Trace) -> Facts:
    agent = store.pathogen(trace.agent).short if trace.agent else "not named: the strictest figures hold"
    counted = {level: sum(r.level == level and not r.is_origin for r in trace.exposed) for level in STRENGTH}
    parts = [f"{count} {STRENGTH[level]}" for level, count in counted.items() if count]
    others = sum(counted.values())
    answer = f"{words.plural(others, 'water')} besides: {', '.join(parts)}" if others else "no other water"
    pairs = [
        ("asked about", Cell(trace.origin.title)),
        ("exposed now", Cell(answer, "warning" if others else "done")),
        ("not exposed", Cell(words.plural(len(trace.unexposed), "water"))),
        ("counted from", Cell(f"{words.moment(trace.since, at=trace.at)}, {trace.since_why}")),
        ("traced back from", Cell(f"{words.moment(trace.seen, at=trace.at)}, {trace.seen_why}")),
        ("agent", Cell(agent)),
    ]
    if not trace.from_log:
        pairs.insert(0, ("no log", Cell("nothing is on record: this follows the room file and its plan", "warning")))
    return Facts(pairs=tuple(pairs))


def _exposed(trace: Trace) -> Table:
    columns = (
        Column("Water", "id", lead=True),
        Column("How", "id", lead=True),
        Column("Since", "id"),
        Column("By", "prose"),
        Column("Animals in it", "prose"),
    )
    rows = tuple(
        (
            Cell(found.water),
            Cell("asked about" if found.is_origin else _strength(found), MEANINGS[found.level]),
            Cell(words.moment(found.since, at=trace.at)),
            Cell(_by(found, trace)),
            _animals(found.here),
        )
        for found in trace.reached
    )
    return Table(title="Exposed, and how strongly", columns=columns, rows=rows)


def _strength(found: Reached) -> str:
    return STRENGTH[found.level] if found.until is None else f"{STRENGTH[found.level]}, over"


def _by(found: Reached, trace: Trace) -> str:
    steps = [f"{hop.from_} → {hop.to}: {hop.text}" for hop in found.path]
    if found.until is not None:
        steps.append(f"over on {words.moment(found.until, at=trace.at)}: {found.ended}")
    elif found.goes_on:
        steps.append("goes on as long as they stand so")
    elif found.latest is not None and not found.is_origin and found.latest.at != found.since:
        steps.append(f"last on {words.moment(found.latest.at, at=trace.at)}: {found.latest.text}")
    for near in found.drops:
        other = near.other if found.water == near.one else near.one
        steps.append(f"drops from {other}, {near.what}, go on")
    return "; ".join(steps) or "where it was seen, or is thought to be"


def _animals(stays: tuple[Stay, ...]) -> Cell:
    counts: dict[str, int] = {}
    for stay in stays:
        counts[stay.animal] = counts.get(stay.animal, 0) + stay.count
    text = ", ".join(f"{count} {name}" if count > 1 else name for name, count in counts.items())
    return Cell(text) if text else EMPTY


def _follows(trace: Trace) -> Iterator[Cell]:
    exposed = [found for found in trace.exposed if found.here]
    if exposed:
        names = ", ".join(found.water for found in exposed)
        yield Cell(f"treat every animal in {names} as exposed, not the sick ones alone; none goes in, none comes out")
    for found in trace.reached:
        for effect in found.clocks:
            who = f"{effect.batch} in {found.water}" if effect.batch else found.water
            meaning: Meaning = "warning" if effect.cost or not effect.counted else ""
            yield Cell(f"{who}, {effect.clock}: {effect.says}", meaning)


def _held(trace: Trace, notes: Footnotes) -> Table:
    columns = (
        Column("What", "text", lead=True),
        Column("In", "id", lead=True),
        Column("Not before", "id"),
        Column("Warm, not before", "id"),
        Column("Why", "prose"),
    )
    rows = tuple(
        (
            Cell(item.what),
            Cell(item.water),
            Cell(_until(item, trace), "due" if item.until is not None else "warning"),
            Cell(words.day(item.until_warm.date(), at=trace.at)) if item.until_warm is not None else EMPTY,
            Cell(item.says + notes.mark(item.source)),
        )
        for item in trace.held
    )
    return Table(title="To be held: into no other water before", columns=columns, rows=rows)


def _until(item: HeldItem, trace: Trace) -> str:
    if item.until is None:
        return "no date"
    day = words.day(item.until.date(), at=trace.at)
    return f"{day}, from today" if item.waits else day


def _clean(items: tuple[ToClean, ...], trace: Trace) -> Iterator[Part]:
    columns = (
        Column("What", "id", lead=True),
        Column("Exposed", "id", lead=True),
        Column("Since", "id"),
        Column("In use again", "id"),
        Column("Amounts and hours", "prose"),
    )
    rows = tuple(
        (
            Cell(item.what),
            Cell(STRENGTH[item.level], MEANINGS[item.level]),
            Cell(words.moment(item.since, at=trace.at)),
            Cell(words.moment(item.ready, at=trace.at)),
            Cell("; ".join(item.commands)),
        )
        for item in items
    )
    yield Table(title="To disinfect, if hung up now", columns=columns, rows=rows)
    people = [Cell(said.text, "warning") for said in store.treatment("chlorine-disinfection").people]
    yield Lines(title="How", lines=(Cell(items[0].says), *people), bullet="·")


def _sources(trace: Trace) -> Table:
    columns = (
        Column("From", "id", lead=True),
        Column("How", "id", lead=True),
        Column("Last chance", "id"),
        Column("By", "prose"),
        Column("Known of it", "prose"),
    )
    rows = tuple(
        (
            Cell(source.name),
            Cell(STRENGTH[source.level], MEANINGS[source.level]),
            Cell(words.moment(source.latest, at=trace.at)),
            Cell("; ".join(f"{hop.from_} → {hop.to}: {hop.text}" for hop in source.path)),
            _known(source),
        )
        for source in trace.sources
    )
    return Table(title="Its sources, the strongest first", columns=columns, rows=rows)


def _known(source: Source) -> Cell:
    said = [source.says] if source.says else []
    if source.signs:
        said.append(f"signs on record: {words.sign_names(source.signs)}")
    return Cell("; ".join(said), "warning" if source.signs else "") if said else EMPTY


def _unexposed(trace: Trace) -> Part:
    if not trace.unexposed:
        return Lines(title="Not exposed", lines=(Cell("no water: each of them was reached", "warning"),))
    columns = (Column("Water", "id", lead=True), Column("Animals in it", "prose"), Column("Why not", "prose"))
    rows = tuple((Cell(_named(entry)), _animals(entry.here), Cell("; ".join(entry.why))) for entry in trace.unexposed)
    return Table(title="Not exposed, by the record", columns=columns, rows=rows)


def _named(entry: Unexposed) -> str:
    return entry.water


def _order(trace: Trace) -> Lines | None:
    """From clean to dirty, until this is settled."""
    ranks: list[tuple[int, str]] = [(0, entry.water) for entry in trace.unexposed if entry.here]
    levels = {"possible": 1, "wet": 2, "direct": 3}
    ranks += [(4 if found.is_origin else levels[found.level], found.water) for found in trace.exposed if found.here]
    if len(ranks) < 2:
        return None
    line = " → ".join(name for _, name in sorted(ranks, key=lambda entry: entry[0]))
    washed = Cell("wash hands and arms between waters, and never go back")
    return Lines(title="Order of work from now", lines=(Cell(line), washed))
