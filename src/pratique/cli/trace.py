"""`pratique trace`: who has been exposed, and to what?"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import click

from pratique.cli.session import Session, choose, shared_options

if TYPE_CHECKING:
    from pratique.contacts.origin import Kind
    from pratique.export.paper.page import Picture


@click.command("trace")
@click.argument("what", metavar="TANK")
@click.option("--from", "since", metavar="DAY", help="From when on contacts count, such as 2027-02-20. Else 30 days "
              "before the first sign on record, or before now.")  # fmt: skip
@click.option("--of", "agent", metavar="PATHOGEN", help="Which agent; else the strictest figures of all.")
@click.option(
    "--as",
    "kind",
    type=click.Choice(("tank", "water", "batch", "animal", "gear")),
    help="What TANK is, where the name stands for two things.",
)
@shared_options
def command(
    what: str,
    since: str | None,
    agent: str | None,
    kind: Kind | None,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    """Who has been exposed to what is in TANK, and where could it have come from?

    TANK may also be a batch, an animal or a set of gear. It is no diagnosis.
    """
    session = Session("trace", room_path, at_text, as_json, log_path)
    room = session.need_room("nothing was traced")

    from pratique.contacts.trace import Request, make_trace
    from pratique.problem import Refusal

    meant, name = _meant(session, what, kind)
    request = Request(kind=meant, name=name, since=_day(session, since), agent=_agent(agent))
    trace = make_trace(room, session.history, request)
    if isinstance(trace, Refusal):
        session.refuse(trace, "nothing was traced")
    session.problems += trace.problems

    from pratique.export.trace_json import trace_json
    from pratique.sheets.trace import trace_sheet

    def pictures() -> tuple[Picture, ...]:
        from pratique.export.pictures.contacts import contacts_pictures

        return contacts_pictures(trace)

    session.answer(lambda: trace_sheet(room, trace), lambda: trace_json(trace), pictures=pictures)


def _meant(session: Session, what: str, kind: Kind | None) -> tuple[Kind, str]:
    """The one thing that has this name; a refusal (X610) where it is several and nobody said which."""
    from pratique.contacts.origin import names_of
    from pratique.problem import Problem, Refusal, quoted

    names = names_of(session.room, session.history)
    if kind is not None:
        return kind, choose(what, names[kind], kind, "TANK")
    name = choose(what, dict.fromkeys(name for group in names.values() for name in group), "tank or animal", "TANK")
    kinds = [group for group, known in names.items() if name in known]
    if len(kinds) > 1:
        both = " and ".join(f"a {kind}" if kind != "gear" else "a set of gear" for kind in kinds)
        problem = Problem(
            code="X610", message=f"{quoted(name)} is the name of {both}", hint=f"say which: `--as {kinds[0]}`"
        )
        session.refuse(Refusal(problems=(problem,)), "nothing was traced")
    return kinds[0], name


def _day(session: Session, text: str | None) -> dt.datetime | None:
    from pratique.room.times import LocalTimeError, absolute, read_when
    from pratique.room.wrong import Wrong

    if text is None:
        return None
    try:
        since = absolute(read_when(text), session.room.zone)
    except (Wrong, LocalTimeError) as error:
        raise click.BadParameter(f"{error.message}; {error.hint}", param_hint="--from") from None
    if since.timestamp() > session.at.timestamp():
        raise click.BadParameter("it lies after the moment asked about; `--at` sets that", param_hint="--from")
    return since


def _agent(text: str | None) -> str:
    if text is None:
        return ""
    from pratique.knowledge import store

    named = {name: id_ for id_ in store.pathogen_ids() for name in (id_, *store.pathogen(id_).names)}
    return named[choose(text, named, "agent", "--of")]
