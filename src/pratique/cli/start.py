"""`pratique start`: a commented room file to begin from, asked for at a terminal. Never overwrites."""

from __future__ import annotations

import datetime as dt
import os
import re
import sys
from importlib import resources
from pathlib import Path
from typing import NoReturn

import click

from pratique.problem import Problem, system_says

ANCHOR = {"demo": dt.date(2027, 3, 8), "first": dt.date(2027, 3, 5)}
"""The day each template is written around: of the demo the fourth day, with its first transfer."""


@click.command("start")
@click.argument("file", default="fishroom.yaml", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--demo", is_flag=True, help="A whole invented room instead, its first batch has just arrived.")
@click.option("--example", is_flag=True, help="One invented tank and one fish, and no questions.")
@click.option(
    "--schema",
    metavar="FILE",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write a JSON Schema too, and a first line by which editors find it: they complete and check keys.",
)
def command(file: Path, demo: bool, example: bool, schema: Path | None) -> None:
    """Write a commented room file to begin from.

    At a terminal it asks what it must know, each with its reason; without one, or with an option, it asks nothing and
    writes an example: one tank and one fish, or with --demo a whole room.
    """
    if demo and example:
        raise click.UsageError("--demo and --example are two files: name one of them")
    text = _answered(file) if not (demo or example or schema) else ""
    text = text or _example(demo=demo)
    if schema is not None:
        text = _modeline(file, schema) + text
        _check_schema(file, schema)
    try:
        with file.open("x", encoding="utf-8") as out:
            out.write(text)
    except FileExistsError:
        _already(file)
    except OSError as error:
        _stop(f"`{file}` cannot be written: {system_says(error)}", "name a file in a folder that is yours")
    if schema is not None:
        _write_schema(schema, file)
    room = "" if str(file) == "fishroom.yaml" else f" --room {file}"
    click.echo(f"wrote {file}: a file to read and change. Then:\n  pratique check{room}\n  pratique plan{room}")


def _answered(file: Path) -> str:
    """The text from the answers of whoever sits at the terminal; empty where nobody does."""
    from pratique.cli.start_ask import ask_all, can_ask

    if not can_ask():
        return ""
    if file.exists():
        _already(file)
    return ask_all(dt.datetime.now(dt.UTC).astimezone())


def _example(*, demo: bool) -> str:
    """The template, its days moved: the first batch of the whole room arrives today, the one fish in a week."""
    today = dt.datetime.now(dt.UTC).astimezone().date()
    if demo:
        return moved(template("demo"), ANCHOR["demo"], today)
    return moved(template("first"), ANCHOR["first"], today + dt.timedelta(days=7))


def _already(file: Path) -> NoReturn:
    _stop(f"`{file}` is already there, and nothing was written", "name another file: `pratique start other.yaml`")


def _modeline(file: Path, schema: Path) -> str:
    """The comment by which editors of YAML find a schema, by its way from the room file."""
    from urllib.parse import quote

    way = Path(os.path.relpath(schema.absolute(), file.absolute().parent)).as_posix()
    return f"# yaml-language-server: $schema={quote(way if way.startswith('.') else './' + way)}\n"


def _check_schema(file: Path, schema: Path) -> None:
    """The end where the schema would be written over something, before anything is written."""
    if schema.absolute() == file.absolute():
        _stop("the room file and its schema cannot be one file", "name the schema such as `room.schema.json`")
    try:
        if schema.exists() and (not schema.is_file() or not _is_schema(schema)):
            hint = "name another file: `pratique start --schema room.schema.json`"
            _stop(f"`{schema}` is already there, and nothing was written", hint)
    except OSError as error:
        _stop(f"`{schema}` cannot be written: {system_says(error)}", "name another file")


def _is_schema(path: Path) -> bool:
    from pratique.export.schemas import published

    wanted = published("room-file.json").encode()
    with path.open("rb") as file:
        return file.read(len(wanted) + 1) == wanted


def _write_schema(schema: Path, file: Path) -> None:
    from pratique.export.schemas import published

    try:
        schema.write_text(published("room-file.json"), "utf-8", newline="\n")
    except OSError as error:
        file.unlink()  # made a moment ago; its first line names a schema that is not there
        _stop(f"`{schema}` cannot be written: {system_says(error)}", "nothing was written")


def _stop(message: str, hint: str) -> NoReturn:
    from pratique.render.problems import render_problems
    from pratique.render.screen import look_at

    screen = look_at(sys.stderr)
    problem = Problem(code="F127", message=message, hint=hint)
    click.echo(render_problems([problem], unicode=screen.unicode, width=screen.width), err=True)
    sys.exit(1)


def template(name: str) -> str:
    return (resources.files("pratique.room") / "templates" / f"{name}.yaml").read_text("utf-8")


def moved(text: str, anchor: dt.date, to: dt.date) -> str:
    """Every date of the template, moved so that `anchor` falls on `to`."""
    shift = to - anchor

    def move(found: re.Match[str]) -> str:
        return (dt.date.fromisoformat(found[0]) + shift).isoformat()

    return re.sub(r"\b20\d\d-\d\d-\d\d(?!\d)", move, text)
