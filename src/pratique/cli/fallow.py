"""`pratique fallow`: when is this water safe again?"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

import click

from pratique.cli.session import Session, choose, shared_options

if TYPE_CHECKING:
    from pratique.export.paper.page import Picture
    from pratique.response.fallow import Fallow
    from pratique.risk.fallow import FallowRisk
    from pratique.sheets.rows import Part


@click.command("fallow")
@click.argument("tank")
@click.option("--from", "since", metavar="DAY", help="When the last fish came out or is to, such as 2027-02-20. "
              "Else by the log; where fish are in it still, as if they came out now.")  # fmt: skip
@click.option("--of", "agents", metavar="PATHOGEN", multiple=True, help="Only this agent; may be given again.")
@shared_options
def command(
    tank: str,
    since: str | None,
    agents: tuple[str, ...],
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    """When is the water of TANK safe again without fish?

    By agent, with the range in print; what would start it again, what may live and come in there meanwhile. It is the
    whole water that counts, all tanks that share it.
    """
    session = Session("fallow", room_path, at_text, as_json, log_path)
    room = session.need_room("no date was worked out")
    tank = _tank(session, tank)

    from pratique.response.fallow import Asked, make_fallow

    asked = Asked(tank=tank, since=_day(session, since), agents=_agents(agents))
    fallow = make_fallow(room, session.history, asked)
    session.problems += fallow.problems

    from pratique.export.fallow_json import fallow_json
    from pratique.sheets.fallow import fallow_sheet

    risk = _risk(session, fallow)

    def curve() -> tuple[Part, ...]:
        from pratique.sheets.risk_fallow import fallow_curve

        return fallow_curve(risk) if risk is not None else ()

    def chances() -> Any:
        from pratique.export.risk_json import fallow_risk_json

        return fallow_risk_json(risk) if risk is not None else None

    def pictures() -> tuple[Picture, ...]:
        from pratique.export.pictures.risk import fallow_pictures

        return fallow_pictures(risk) if risk is not None else ()

    session.answer(
        lambda: fallow_sheet(room, fallow, curve()), lambda: fallow_json(fallow, chances()), pictures=pictures
    )


MODELLED = "cryptocaryon"
"""The agent whose curve stands on the page: the one with a stage model that the reference bears out."""


def _risk(session: Session, fallow: Fallow) -> FallowRisk | None:
    """The curve; None where the agent is not asked about, or the model does not reach this water."""
    if MODELLED not in {agent.pathogen.id for agent in fallow.agents}:
        return None
    from pratique.problem import Problem
    from pratique.risk.fallow import for_fallow

    found = for_fallow(session.room, session.history, fallow.tank, session.at, agent=MODELLED, since=fallow.began)
    return None if isinstance(found, Problem) else found


def _tank(session: Session, name: str) -> str:
    """A tank; the name of a water serves too, and stands for its first tank."""
    room = session.room
    found = choose(name, dict.fromkeys([*room.tanks, *room.waters]), "tank or water", "TANK")
    return found if found in room.tanks else room.waters[found].tanks[0].name


def _day(session: Session, text: str | None) -> dt.datetime | None:
    if text is None:
        return None
    from pratique.room.resolve import LocalTimeError
    from pratique.room.times import absolute, read_when
    from pratique.room.wrong import Wrong

    try:
        return absolute(read_when(text), session.room.zone)
    except (Wrong, LocalTimeError) as error:
        raise click.BadParameter(f"{error.message}; {error.hint}", param_hint="--from") from None


def _agents(words: tuple[str, ...]) -> tuple[str, ...]:
    if not words:
        return ()
    from pratique.knowledge import store

    named = {
        name: id_
        for id_ in store.pathogen_ids()
        for name in (id_, store.pathogen(id_).short, *store.pathogen(id_).names)
    }
    return tuple(dict.fromkeys(named[choose(word, named, "agent", "--of")] for word in words))
