"""May this batch go? The answer, each condition with its evidence, what is not proven; and the page to keep."""

from __future__ import annotations

import datetime as dt

from pratique import VERSION
from pratique.checks.release.model import Condition, Match, Verdict
from pratique.logbook.quotes import shell_word
from pratique.room.resolve import Room
from pratique.room.shown import shown_degrees, shown_warmth
from pratique.schedule.model import Stage
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Lines, Meaning, Part, Sheet, Table

MEANINGS: dict[str, Meaning] = {"yes": "done", "not yet": "due", "no": "error"}
LINE = "______________________"


def release_sheet(room: Room, verdict: Verdict) -> Sheet:
    """The whole answer."""
    parts: list[Part] = [_answer(verdict)]
    if verdict.reasons:
        reasons = tuple(Cell(text, MEANINGS[verdict.answer]) for text in verdict.reasons)
        parts.append(Lines(title="What stands in the way", lines=reasons, bullet="·"))
    if not verdict.plan.begun:
        parts.append(_how_to_write(verdict))
    parts += [_condition(entry) for entry in verdict.conditions]
    parts += _dips(verdict)
    parts.append(_not_proven(verdict))
    if verdict.matches:
        parts.append(_matches(room, verdict))
    if verdict.last_steps:
        steps = tuple(Cell(text) for text in verdict.last_steps)
        parts.append(Lines(title="Last steps, if you decide that they go", lines=steps, bullet="1."))
    name = shell_word(verdict.plan.batch.name)
    next_ = f"pratique release {name} --certificate" if verdict.answer == "yes" else "pratique day"
    title = f"Release · {room.name} · {verdict.plan.batch.name} · {words.moment(verdict.at)}"
    return Sheet(title=title, parts=tuple(parts), next=next_)


def says(verdict: Verdict) -> str:
    """The answer in one line."""
    if verdict.answer == "yes":
        return "yes: every clock is full and every condition has its evidence on record; the decision is yours"
    if verdict.answer == "not yet" and not verdict.plan.begun:
        return f"not yet: {verdict.reasons[0].partition(';')[0]}"
    if verdict.answer == "not yet":
        date = f"{_dated(verdict)} at the earliest" if verdict.earliest is not None else "no date yet"
        if verdict.earliest is not None and verdict.earliest <= verdict.at:
            date = "the days are over, and evidence is missing"
        return f"not yet: {date}"
    again = f"; {_dated(verdict)} at the earliest, by the plan" if _is_ahead(verdict) else ""
    return f"no: something speaks against it{again}"


def _is_ahead(verdict: Verdict) -> bool:
    return verdict.earliest is not None and verdict.earliest > verdict.at


def _dated(verdict: Verdict) -> str:
    return words.moment(verdict.earliest, at=verdict.at) if verdict.earliest is not None else "—"


def _answer(verdict: Verdict) -> Facts:
    batch = verdict.plan.batch
    pairs = [
        ("may it go", Cell(says(verdict), MEANINGS[verdict.answer])),
        ("animals", Cell(_animals(verdict))),
        ("into", Cell(verdict.into or "—")),
        ("in now", Cell(verdict.tank or "not arrived, by the record")),
        ("regimen", Cell(f"{verdict.plan.regimen.title} ({verdict.plan.regimen.id})")),
    ]
    if verdict.left:
        pairs.insert(1, ("since then", Cell(f"{verdict.left}; this is how it stood before", "muted")))
    return Facts(title=batch.name, pairs=tuple(pairs))


def _animals(verdict: Verdict) -> str:
    return ", ".join(f"{animal.count} {animal.label}" for animal in verdict.plan.batch.animals) or "none alive"


def _how_to_write(verdict: Verdict) -> Lines:
    name = shell_word(verdict.plan.batch.name)
    tank = shell_word(verdict.plan.stages[0].tank)
    batch, at = verdict.plan.batch, verdict.at
    came = f" at {batch.arrives:%Y-%m-%dT%H:%M}" if batch.arrives <= at else ", once it is in the water"
    lines = (
        f"pratique log arrived {name} in {tank}{came}",
        "pratique log done 1, for line 1 of the day's sheet (looks, feeds, moves, doses)",
        "pratique log --file paper.txt, for what stands on paper already",
    )
    return Lines(title="To write it down", lines=tuple(Cell(text) for text in lines), bullet="·")


def _condition(entry: Condition) -> Lines:
    mark = {True: "☑ met", False: "☐ not met", None: "☐ not shown"}[entry.met]
    meaning: Meaning = "" if entry.met else "error" if entry.against else "warning"
    return Lines(
        title=f"{mark} · {entry.text}", lines=tuple(Cell(text, meaning) for text in entry.evidence), bullet="·"
    )


def _dips(verdict: Verdict) -> list[Part]:
    lines = tuple(Cell(text) for text in verdict.dips)
    return [Lines(title="Dips and baths on record", lines=lines, bullet="·")] if lines else []


def _not_proven(verdict: Verdict) -> Lines:
    lines = tuple(Cell(text) for text in verdict.not_proven)
    return Lines(title="What is not proven", lines=lines or (EMPTY,), bullet="·")


def _matches(room: Room, verdict: Verdict) -> Table:
    columns = (
        Column("Water", "id", lead=True),
        Column(verdict.tank, "number"),
        Column(verdict.into, "number"),
        Column("Difference", "number"),
        Column("From", "prose"),
    )
    rows = tuple(
        (Cell(m.what), _figure(m.here, m, room), _figure(m.there, m, room), _difference(m, room), Cell(m.says))
        for m in verdict.matches
    )
    return Table(title="The two waters, the display against theirs", columns=columns, rows=rows)


def _figure(number: float | None, match: Match, room: Room) -> Cell:
    if number is None:
        return EMPTY
    if match.unit == "degC":
        return Cell(shown_warmth(number, room))
    return Cell(f"{number:.1f} {match.unit}")


def _difference(match: Match, room: Room) -> Cell:
    """A difference of degrees is not a temperature: 0 °C apart is 0 °F apart, not 32."""
    if match.difference is None:
        return EMPTY
    number = round(match.difference, 1) + 0.0
    sign = "+" if number > 0 else ""
    return Cell(sign + (shown_degrees(number, room) if match.unit == "degC" else f"{number:.1f} {match.unit}"))


def certificate_sheet(room: Room, verdict: Verdict) -> Sheet:
    """The record to keep: what was done, by what it is shown, what is not proven, two lines to sign."""
    batch = verdict.plan.batch
    out = verdict.left or ("not yet gone" if verdict.answer == "yes" else f"NOT RELEASED: {says(verdict)}")
    head = Facts(
        title=batch.name,
        pairs=(
            ("animals", Cell(_animals(verdict))),
            ("source", Cell(f"{batch.written.source}, {batch.written.trust}")),
            ("in", Cell(words.full_moment(batch.arrives))),
            ("out", Cell(out, "" if verdict.answer == "yes" else "error")),
            ("regimen", Cell(f"{verdict.plan.regimen.title} ({verdict.plan.regimen.id})")),
            ("answer", Cell(says(verdict), MEANINGS[verdict.answer])),
        ),
    )
    stages = tuple(
        Cell(f"{s.name} in {', '.join(dict.fromkeys(s.tanks))}: {_day(s.start)} to {_day(_end(s, verdict.at))}")
        for s in verdict.plan.stages
    )
    shown = tuple(
        Cell(f"{'met' if c.met else 'NOT SHOWN'} · {c.text}: {'; '.join(c.evidence[:2])}") for c in verdict.conditions
    )
    signed = (Cell(f"released by {LINE}  on {LINE}"), Cell(f"received by {LINE}  on {LINE}"))
    made = f"{words.full_day(verdict.at)}, pratique {VERSION}: what is on record, and no proof that they carry nothing"
    parts: tuple[Part, ...] = (
        head,
        Lines(title="Stages", lines=stages, bullet="·"),
        Lines(title="By what it is shown", lines=shown, bullet="·"),
        *_dips(verdict),
        _not_proven(verdict),
        Lines(title="Signed", lines=signed),
        Lines(title="Made", lines=(Cell(made, "muted"),)),
    )
    return Sheet(title=f"Quarantine record · {room.name} · {batch.name}", parts=parts)


def _end(stage: Stage, at: dt.datetime) -> dt.datetime:
    """When it ended; of one that runs on after its clock was full, when that was."""
    full = stage.state.finished if stage.state is not None else None
    return full if full is not None and stage.end > at else stage.end


def _day(moment: dt.datetime) -> str:
    return words.full_day(moment)
