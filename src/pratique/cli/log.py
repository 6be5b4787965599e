"""`pratique log`: write down what happened, or list what was written last."""

from __future__ import annotations

import datetime as dt
import sys
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.output import csv_option
from pratique.cli.session import Session, choose, shared_options
from pratique.cli.typed import WholeRange
from pratique.problem import system_says

if TYPE_CHECKING:
    from pratique.logbook.entry import Common

FORMS = """\b
reading TANK WHAT VALUE [with KIT]       dose TANK [TREATMENT] AMOUNT of PRODUCT
change TANK 20 L|25 % [with AMOUNT of PRODUCT]               top-off TANK 3 L
move BATCH|ANIMAL|THING [from TANK] to TANK                  arrived BATCH in TANK
death TANK [COUNT] ANIMAL   found TANK [COUNT] ANIMAL        sign TANK [ANIMAL] SIGN…
fed TANK [TREATMENT] [with FOOD]         done LINE…          skipped LINE because …
look TANK|BATCH [ANIMAL] [3 heads] [eating|not eating] [80 breaths] [SIGN…] [microscope|necropsy WORDS]
dip BATCH|ANIMAL TREATMENT [for 5 min] [with AMOUNT of PRODUCT]
out ID|ANIMAL [after 5 min] [early|distress]
gear GEAR in TANK           cleaned TANK|GEAR                dried TANK|GEAR
opened PRODUCT              bought PRODUCT AMOUNT            spoiled PRODUCT [AMOUNT]
note [TANK] WORDS           correct ID ENTRY                 withdraw ID because …
"""
_TAIL = 10
_MOST_TYPED = 4_000_000
"""Bytes: more than ten years of a day's entries typed up."""


@click.command(
    "log",
    help="Write down what happened; without WORDS, list the last entries.\n\nSeveral on one line are parted by `;` "
    "(in quotes) or a comma. `at 08:30` or `at yesterday 20:00` says when; a time before an entry holds for those "
    "after it, one at the end of several measures for all of them. `because …` says why. LINE is a line of the "
    f"day's sheet. The forms:\n\n{FORMS}",
)
@click.argument("words", nargs=-1)
@click.option("--file", "file", metavar="FILE", help="Entries from a text, one or more a line; `-`: standard input.")
@click.option("--by", metavar="NAME", help="Who did it.")
@click.option("--try", "only_try", is_flag=True, help="Show what it would change, and write nothing.")
@click.option("--tail", type=WholeRange(1, 100_000), help=f"List so many of the last entries.  [default: {_TAIL}]")
@click.option("--kind", metavar="KIND", help="List entries of one kind, such as reading or correction.")
@click.option("--tank", metavar="TANK", help="List entries about one tank.")
@csv_option("the entries (all, unless --tail says how many)")
@shared_options
def command(
    words: tuple[str, ...],
    file: str | None,
    by: str | None,
    only_try: bool,
    tail: int | None,
    kind: str | None,
    tank: str | None,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    if words == ("-",):
        words, file = (), file or "-"
    if words and file is not None:
        raise click.UsageError("entries come from WORDS or from --file, not from both")
    writes = bool(words) or file is not None
    if writes and (tail, kind, tank) != (None, None, None):
        raise click.UsageError("--tail, --kind and --tank choose what is listed: leave them out when writing")
    if not writes and (only_try or by is not None):
        raise click.UsageError("no entry was typed: `pratique log --help` shows the forms")
    session = Session("log", room_path, at_text, as_json, log_path)
    if not writes:
        _list(session, tail=tail, kind=kind, tank=tank, up_to=at_text is not None)
    from pratique.cli.log_write import Typed, write

    text = _text(file) if file is not None else None
    write(session, session.log_path, Typed(words=words, text=text, file=file or "", by=by, only_try=only_try))


def _text(file: str) -> str:
    try:
        if file == "-":
            data = sys.stdin.buffer.read(_MOST_TYPED + 1)
        elif Path(file).exists() and not Path(file).is_file():  # a pipe or a device would wait or go on for ever
            kind = "a folder" if Path(file).is_dir() else "a pipe or a device"
            raise click.BadParameter(f"`{file}` is {kind}, not a file of entries", param_hint="--file")
        else:
            with Path(file).open("rb") as typed:
                data = typed.read(_MOST_TYPED + 1)
        if len(data) > _MOST_TYPED:
            size = f"more than {_MOST_TYPED // 1_000_000} MB"
            raise click.BadParameter(f"`{file}` has {size}: that is no list of entries", param_hint="--file")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise click.BadParameter(f"`{file}` is not UTF-8 text", param_hint="--file") from None
    except FileNotFoundError:
        raise click.BadParameter(f"there is no file `{file}`", param_hint="--file") from None
    except (OSError, ValueError) as error:
        raise click.BadParameter(f"`{file}` cannot be read: {system_says(error)}", param_hint="--file") from None


def _list(session: Session, *, tail: int | None, kind: str | None, tank: str | None, up_to: bool) -> NoReturn:
    """The entries in effect, the latest last; corrections are listed when they are asked for by kind."""
    room = session.need_room("nothing was listed")
    log = session.entries()
    entries, of_what = log.written, ""
    if kind is not None:
        kind = _kind(kind)
        of_what = f" of {kind}"
    if kind != "correction":
        entries = log.entries
    if tank is not None:
        tank = choose(tank, dict.fromkeys((*room.tanks, *log.by_tank)), "tank", "--tank")
        entries = log.by_tank.get(tank, ())
        of_what += f" about {tank}"
    found = [entry for entry in entries if _asked(entry, kind, session.at if up_to else None)]

    from pratique.export.log import list_json
    from pratique.sheets.log import list_sheet

    last = found[-tail:] if tail is not None else found if session.output.csv is not None else found[-_TAIL:]

    def csv() -> str:
        from pratique.export.csv import log_csv

        return log_csv(last)

    session.answer(
        lambda: list_sheet(room, log, last, len(found), session.at, of_what=of_what),
        lambda: list_json(last, len(found)),
        csv=csv,
    )


def _kind(word: str) -> str:
    """A kind by its own name or by the first word of its short form."""
    from pratique.logbook.entry import KINDS
    from pratique.logbook.kinds import GRAMMAR

    others = {other: name for name, (_, words) in GRAMMAR.items() for other in words}
    return others.get(word.lower()) or choose(word, KINDS, "kind", "--kind")


def _asked(entry: Common, kind: str | None, at: dt.datetime | None) -> bool:
    return (kind is None or entry.kind == kind) and (at is None or entry.at <= at)
