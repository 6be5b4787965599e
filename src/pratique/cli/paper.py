"""`--paper FILE`: the sheet as a page to print."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from pratique.cli.session import Session
    from pratique.export.paper.page import Picture
    from pratique.problem import Problem
    from pratique.sheets.rows import Sheet


def write_page(session: Session, sheet: Sheet, pictures: tuple[Picture, ...]) -> None:
    """The page into the file that was named, and a line that says so; to standard output where it is `-`.

    Cards to cut out carry no warnings: nobody hangs up what is left of the page.
    """
    from pratique.export.own_file import write_own
    from pratique.export.paper.page import is_ours, paper_page
    from pratique.sheets.own_units import sheet_in_own_units

    wanted = session.output.paper or "-"
    beside = [problem for problem in session.problems if problem.is_error or not sheet.cards]
    sheet = sheet_in_own_units(with_problems(sheet, beside), session.room)
    page = paper_page(sheet, made=session.at, pictures=pictures)
    if wanted == "-":
        if session.as_json:
            raise click.UsageError("--json and --paper - both go to standard output; name a file for the page")
        click.echo(page, nl=False)
        return
    problem = write_own(Path(wanted), page, is_ours=is_ours, what="a page")
    if problem is not None:
        session.stop_writing(problem)
    click.echo(f"wrote {wanted}: open it in a browser and print it", err=session.as_json)


def with_problems(sheet: Sheet, problems: Iterable[Problem]) -> Sheet:
    """The sheet with its errors and warnings on top: what the screen says beside a page must hang with it."""
    from pratique.sheets.rows import Cell, Lines

    lines = tuple(
        Cell(f"{problem.severity} {problem.code}: {problem.message}" + (f"; {problem.hint}" if problem.hint else ""))
        for problem in dict.fromkeys(problems)
    )
    if not lines:
        return sheet
    return replace(sheet, parts=(Lines(title="Take heed", lines=lines, bullet="·"), *sheet.parts))
