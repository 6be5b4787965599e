"""`pratique book`: when can the next arrivals come, and into which tanks?"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from pratique.cli.session import Session, shared_options

if TYPE_CHECKING:
    from pratique.booking.book import Answer, Desk
    from pratique.booking.clashing import Clashing
    from pratique.booking.instead import Instead
    from pratique.problem import Problem

MOST_EXPLAINED = 12
"""Wishes that cannot come for which alternatives are tried; each costs some bookings more."""


@click.command("book")
@click.option(
    "--animals", metavar="ANIMALS", help="A wish besides those of the room file: '2 ocellaris clownfish, kole tang'."
)
@click.option("--source", metavar="WORDS", default="asked for", help="Where it would come from, in your words.")
@click.option("--trust", type=click.Choice(["trusted", "unsure", "untrusted"]), default="untrusted", show_default=True)
@click.option("--earliest", metavar="DAY", help="The first day on which it could come; else today.")
@click.option("--latest", metavar="DAY", help="The last day; else two months after the earliest.")
@click.option("--priority", type=click.IntRange(1, 9), default=5, show_default=True, help="1 comes first.")
@click.option("--regimen", metavar="ID", help="By which regimen; else the program proposes one.")
@shared_options
def command(
    animals: str | None,
    source: str,
    trust: str,
    earliest: str | None,
    latest: str | None,
    priority: int,
    regimen: str | None,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    """When can the wished arrivals come, into which tanks, or why not, and what would make it possible?"""
    session = Session("book", room_path, at_text, as_json, log_path)
    session.need_room("nothing was booked")
    if animals is not None:
        from pratique.cli.book_wish import Typed, with_wish

        typed = Typed(
            animals=animals, source=source, trust=trust, earliest=earliest, latest=latest, priority=priority,
            regimen=regimen,
        )  # fmt: skip
        with_wish(session, typed)
    room = session.need_room("nothing was booked")
    if not room.wishes:
        raise click.UsageError(
            "there is no wish to book: write `wishes:` into the room file (`pratique why wishes`), or give --animals, "
            "such as --animals '2 ocellaris clownfish'"
        )
    from pratique.booking.book import book
    from pratique.export.book_json import book_json
    from pratique.export.paper.page import Picture
    from pratique.sheets.book import book_sheet

    answer, desk = book(room, session.history, session.at)
    instead, clashes = _explained(answer, desk)
    session.problems += dict.fromkeys(problem for batch in answer.plan.batches for problem in _stopping(batch.problems))

    def pictures() -> tuple[Picture, ...]:
        from pratique.export.pictures.bookings import bookings_svg

        return (Picture(svg=bookings_svg(answer), caption="tanks down, days across"),)

    session.answer(
        lambda: book_sheet(answer, instead, clashes), lambda: book_json(answer, instead, clashes), pictures=pictures
    )


def _stopping(problems: tuple[Problem, ...]) -> list[Problem]:
    """Only what stops a batch that was planned already: the bookings stand beside it, with `plan` for the rest."""
    return [replace(problem, severity="warning") for problem in problems if problem.is_error]


def _explained(answer: Answer, desk: Desk) -> tuple[dict[str, tuple[Instead, ...]], dict[str, Clashing]]:
    """What would help each wish that cannot come, and what it clashes with."""
    from pratique.booking.clash import clash_of
    from pratique.booking.clashing import named
    from pratique.booking.instead import alternatives

    case = answer.case
    numbers = {want.name: number for number, want in enumerate(case.wants)}
    met = [numbers[booked.wish.name] for booked in answer.booked]
    instead: dict[str, tuple[Instead, ...]] = {}
    clashes: dict[str, Clashing] = {}
    for broken in answer.broken[:MOST_EXPLAINED]:
        name = broken.wish.name
        if broken.problem is None:
            clash = clash_of(case, numbers[name], met)
            if clash is not None:
                clashes[name] = named(case, clash)
        if broken.problem is None or broken.problem.code != "S533":
            instead[name] = tuple(alternatives(answer, desk, broken.wish))
    return instead, clashes
