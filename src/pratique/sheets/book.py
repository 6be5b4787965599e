"""The bookings of a room on a page: who can come when and into which tanks, who cannot and what would help."""

from __future__ import annotations

from collections.abc import Mapping

from pratique.booking.book import Answer, Booked, Broken
from pratique.booking.clashing import Clashing
from pratique.booking.grid import Grid, grid_of
from pratique.booking.instead import Instead
from pratique.booking.solve import Solved
from pratique.room.elsewhere import yaml_name
from pratique.sheets import words
from pratique.sheets.rows import Cell, Column, Facts, Lines, Part, Sheet, Table

MARKS = 26
"""Marks across the picture: as many as a screen of 40 columns holds beside the name of a tank."""


def book_sheet(
    answer: Answer, instead: Mapping[str, tuple[Instead, ...]], clashes: Mapping[str, Clashing]
) -> Sheet:
    """The whole answer; `instead` and `clashes` by the name of the wish that cannot come as it is."""
    parts: list[Part] = [_head(answer)]
    if answer.booked:
        parts.append(_booked(answer))
    for broken in answer.broken:
        parts.append(_broken(answer, broken, instead.get(broken.wish.name, ()), clashes.get(broken.wish.name)))
    grid = grid_of(answer, MARKS)
    if grid is not None:
        parts += _picture(grid)
    if answer.booked:
        parts += _to_keep(answer)
    if answer.supplies.unknown:
        parts.append(_not_held(answer))
    title = f"Bookings · {answer.room.name} · {words.day(answer.at.date(), at=answer.at)}"
    return Sheet(title=title, parts=tuple(parts), next="pratique plan")


def _head(answer: Answer) -> Facts:
    wished = len(answer.booked) + len(answer.broken)
    pairs = [("can come", Cell(f"{len(answer.booked)} of {words.plural(wished, 'wish', 'wishes')}"))]
    waits = sum(booked.waits for booked in answer.booked)
    pairs.append(("waiting in all", Cell(words.plural(waits, "day"))))
    if answer.solved.is_best:
        pairs.append(("how good", Cell("proven: no answer breaks fewer wishes, waits less or moves animals less")))
    else:
        pairs.append(("how good", Cell(_not_proven(answer.solved), "warning")))
    taken = [batch.batch.name for batch in answer.plan.batches if batch.stages and not batch.over]
    if taken:
        pairs.append(("came first", Cell(f"{', '.join(taken)}: planned already, and moved for no wish")))
    return Facts(pairs=tuple(pairs))


def _not_proven(solved: Solved) -> str:
    """What is known of an answer whose search was given up."""
    most = words.plural(solved.broken, "wish", "wishes")
    if solved.least_broken < solved.broken:
        return f"not proven: this leaves out {most}, and a better answer might leave out only {solved.least_broken}"
    days = words.plural(solved.score[1], "day")
    return f"no answer leaves out fewer; not proven: this waits {days}, a better one might wait {solved.least_wait}"


def _booked(answer: Answer) -> Table:
    columns = (
        Column("Wish", "text", lead=True),
        Column("Comes", "id", lead=True),
        Column("Waits", "number"),
        Column("Regimen", "text"),
        Column("Into", "prose"),
        Column("Until", "id"),
    )
    rows = tuple(
        (
            Cell(booked.wish.name),
            Cell(words.moment(booked.batch.arrives, at=answer.at), "due"),
            Cell(f"{booked.waits} d"),
            Cell(booked.regimen.id),
            Cell(_into(booked)),
            Cell(words.day(booked.end.date(), at=answer.at)),
        )
        for booked in answer.booked
    )
    return Table(title="When each can come", columns=columns, rows=rows)


def _into(booked: Booked) -> str:
    said = "; then ".join(f"{' and '.join(stay.tanks)} ({stay.stage})" for stay in booked.stays)
    if booked.wish.companion and not booked.left_behind:
        said += f"; with its companions: {', '.join(animal.label for animal in booked.wish.companion)}"
    if booked.mixed_with:
        said += f"; with {booked.mixed_with} in one water: a sign or an arrival begins the count again for both"
    if booked.left_behind:
        said += f"; without its companion: {booked.left_behind}"
    return said


def _broken(answer: Answer, broken: Broken, instead: tuple[Instead, ...], clash: Clashing | None) -> Lines:
    wish = broken.wish
    days = f"{words.day(wish.earliest.date(), at=answer.at)} to {words.day(wish.latest.date(), at=answer.at)}"
    lines = [Cell(_why(broken, clash, days), "error")]
    if broken.problem is not None and broken.problem.hint:
        lines.append(Cell(f"to mend it: {broken.problem.hint}"))
    for other in instead:
        when = words.moment(other.booked.batch.arrives, at=answer.at)
        text = f"possible with: {other.what}; it could come {when}"
        moved = f", and {', '.join(other.others)} on another day than above" if other.others else ""
        lines.append(Cell(text + moved))
    if not instead:
        lines.append(Cell("no later day within four months, no other regimen and no one more tank helps by itself"))
    return Lines(title=f"{wish.name} cannot come", lines=tuple(lines), bullet="·")


def _why(broken: Broken, clash: Clashing | None, days: str) -> str:
    if broken.problem is not None:
        return f"{broken.problem.message} ({broken.problem.code})"
    said = f"nothing is free for it from {days} by {broken.regimen.id}"
    return f"{said}; what clashes: {_clashing(clash)}" if clash is not None else said


def _clashing(clash: Clashing) -> str:
    """The smallest set of wishes, limits and waters that cannot be had together."""
    heads = ("the wishes ", "the limits ", "the waters ")
    groups = zip(heads, (clash.wishes, clash.limits, clash.waters), strict=True)
    said = " with ".join(head + ", ".join(names) for head, names in groups if names)
    if clash.taken_by:
        said += f" (planned there already: {', '.join(clash.taken_by)})"
    least = "no smaller set clashes" if clash.is_smallest else "a smaller set may clash too"
    return f"{said}; {least}"


def _picture(grid: Grid) -> list[Part]:
    columns = (Column("Tank", "id", lead=True), Column(grid.head, "id"))
    rows = tuple((Cell(name), Cell(marks)) for name, marks in grid.rows)
    title = f"Tanks and days: each mark is {words.plural(grid.days, 'day')}, from {words.day(grid.start)}"
    legend = tuple(Cell(f"{letter}  {name}") for letter, name in grid.letters)
    free = Cell("·  free    ╎  today    =  two that share    !  two at once")
    return [Table(title=title, columns=columns, rows=rows, drawn=True), Lines(lines=(*legend, free), drawn=True)]


def entry_of(booked: Booked) -> tuple[str, ...]:
    """The lines that take the place of `earliest`, `latest` and the rest of a wish once it is a batch."""
    tanks = ", ".join(f"{stay.stage}: [{', '.join(map(yaml_name, stay.tanks))}]" for stay in booked.stays)
    return (
        f"arrives: {booked.batch.arrives:%Y-%m-%dT%H:%M}",
        f"regimen: {booked.regimen.id}",
        f"booked: {{{tanks}}}",
    )


def _to_keep(answer: Answer) -> list[Part]:
    how = "move the wish to `batches:`; in place of earliest, latest, priority, mixing and companion write"
    parts: list[Part] = [Lines(title="To keep a booking", lines=(Cell(how),))]
    for booked in answer.booked:
        lines = [Cell(line) for line in entry_of(booked)]
        if booked.wish.companion and not booked.left_behind:
            lines.append(Cell("and its companions below `animals:`"))
        parts.append(Lines(title=f"{booked.wish.name}:", lines=tuple(lines)))
    return parts


def _not_held(answer: Answer) -> Lines:
    names = ", ".join(answer.supplies.unknown)
    text = f"{names}: the room file does not say how much there is, so no booking was held against it"
    return Lines(title="Not looked at", lines=(Cell(text, "warning"),), bullet="·")


