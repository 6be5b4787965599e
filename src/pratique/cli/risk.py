"""`pratique risk`: how likely is it that something gets through?"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, NoReturn

import click

from pratique.cli.session import Session, choose, shared_options
from pratique.cli.typed import Figure, Whole

if TYPE_CHECKING:
    from pratique.problem import Problem
    from pratique.risk.answers import Risk
    from pratique.risk.simulate import Simulated

MOST_HISTORIES = 1_000_000
MOST_SEED = 2**32 - 1


@click.command("risk")
@click.argument("batch", required=False)
@click.option("--fallow", "tank", metavar="TANK", help="Of a water without fish: can anything in it still infect?")
@click.option("--days", type=Figure(), metavar="N", help="With --fallow: after so many days. Else those in use.")
@click.option("--temperature", metavar="T", help="With --fallow: as warm as this from now on, such as '27 degC'.")
@click.option("--agent", default="cryptocaryon", show_default=True, help="Which parasite, by its id or name.")
@click.option("--parasites", type=Whole(), metavar="N", help="How many are on the fish on arrival. Else 1 to 100.")
@click.option("--compare", is_flag=True, help="Regimens side by side at the temperature of the first tank.")
@click.option("--simulate", "histories", type=Whole(), metavar="N", help="Check it by drawing N histories.")
@click.option("--seed", type=Whole(), default=1, show_default=True, help="Of --simulate: the same, the same answer.")
@shared_options
def command(
    batch: str | None,
    tank: str | None,
    days: float | None,
    temperature: str | None,
    agent: str,
    parasites: int | None,
    compare: bool,
    histories: int | None,
    seed: int,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    """How likely is it that something gets through this plan, or lives on in a water without fish?

    A chance by a model of the parasite's life, with its limits beside it. It is never a guarantee.
    """
    if (batch is None) == (tank is None):
        raise click.UsageError("name a batch, or a water without fish with --fallow TANK; not both")
    if tank is None and (days is not None or temperature is not None):
        raise click.UsageError("--days and --temperature go with --fallow TANK")
    if tank is not None and (parasites is not None or compare or histories is not None):
        raise click.UsageError("--parasites, --compare and --simulate are about a batch and go without --fallow")
    _check(days, "--days", 0, 3650)
    _check(parasites, "--parasites", 1, 100_000)
    _check(histories, "--simulate", 100, MOST_HISTORIES)
    _check(seed, "--seed", 0, MOST_SEED)
    session = Session("risk", room_path, at_text, as_json, log_path)
    session.need_room("no chance was worked out")
    agent = _agent(agent)
    if tank is not None:
        _fallow(session, tank, agent, days, _degrees(temperature))
    assert batch is not None
    _batch(session, batch, agent, parasites, compare, histories, seed)


def _check(value: float | None, option: str, least: float, most: float) -> None:
    if value is not None and not least <= value <= most:  # nan is never within
        raise click.BadParameter(f"write a number from {least:.0f} to {most:.0f}", param_hint=option)


def _degrees(text: str | None) -> float | None:
    from pratique.quantity import QuantityError, parse_measure

    if text is None:
        return None
    try:
        return parse_measure(text, "temperature").value
    except QuantityError as error:
        hint = error.hint or "write such as `27 degC`"
        raise click.BadParameter(f"`{text[:40]}` {error.detail}; {hint}", param_hint="--temperature") from None


def _agent(name: str) -> str:
    from pratique.knowledge import store

    wanted = name.strip().lower()
    for id_ in store.pathogen_ids():
        if wanted == id_ or wanted in store.pathogen(id_).names:
            return id_
    return choose(wanted, store.pathogen_ids(), "agent", "--agent")


def _fallow(session: Session, tank: str, agent: str, days: float | None, temperature: float | None) -> NoReturn:
    from pratique.problem import Problem, Refusal
    from pratique.risk.fallow import for_fallow

    room = session.room
    name = choose(tank, room.tanks, "tank", "--fallow")
    found = for_fallow(room, session.history, name, session.at, agent=agent, days=days, temperature=temperature)
    if isinstance(found, Problem):
        session.refuse(Refusal(problems=(found,)), "no chance was worked out")
    if found.still:
        session.problems.append(_still(name, found.still))

    from pratique.export.pictures.risk import fallow_pictures
    from pratique.export.risk_json import fallow_risk_json
    from pratique.sheets.risk_fallow import fallow_risk_sheet

    session.answer(
        lambda: fallow_risk_sheet(room, found),
        lambda: fallow_risk_json(found),
        pictures=lambda: fallow_pictures(found),
    )


def _still(tank: str, names: tuple[str, ...]) -> Problem:
    from pratique.problem import Problem

    shown = ", ".join(names[:3]) + (" and more" if len(names) > 3 else "")
    return Problem(
        code="X765",
        severity="warning",
        message=f"there are fish in the water of `{tank}` ({shown}), so no day without fish has begun",
        note="the curve is what it would be if the last of them left now",
        hint="`pratique log moved` writes down who left, and when",
    )


def _batch(
    session: Session, batch: str, agent: str, parasites: float | None, compare: bool, histories: int | None, seed: int
) -> NoReturn:
    from pratique.problem import Problem, Refusal
    from pratique.risk.answers import for_plan, worked_out
    from pratique.schedule.plan import make_plan

    room = session.room
    name = choose(batch, room.batches, "batch", "BATCH")
    plan = next(p for p in make_plan(room, session.history).batches if p.batch.name == name)
    bar = _Bar("working out")
    found = for_plan(room, session.history, plan, agent, parasites)
    if isinstance(found, Problem):
        session.refuse(Refusal(problems=(found,)), "no chance was worked out")
    first = found.course.spans[0]
    whole = worked_out(found, (first.low + first.high) / 2 if compare else None, progress=bar.at)
    bar.gone()
    simulated = _simulated(whole, histories, seed) if histories is not None else ()

    from pratique.export.pictures.risk import risk_pictures
    from pratique.export.risk_json import risk_json
    from pratique.sheets.risk import risk_sheet

    session.answer(
        lambda: risk_sheet(room, whole, simulated),
        lambda: risk_json(whole, simulated),
        pictures=lambda: risk_pictures(whole),
    )


def _simulated(risk: Risk, histories: int, seed: int) -> tuple[tuple[str, Simulated], ...]:
    from pratique.risk.draws import draws_of
    from pratique.risk.simulate import simulate

    found = []
    for draws in draws_of(risk.agent):
        bar = _Bar(draws.strain.title)
        drawn = draws.with_burden(risk.parasites)
        found.append((draws.strain.title, simulate(drawn, risk.course, histories, seed=seed, progress=bar.at)))
        bar.gone()
    return tuple(found)


class _Bar:
    """One line on standard error that is written over and taken away; nothing where that is no terminal."""

    def __init__(self, what: str) -> None:
        self._what, self._shows = what[:24], sys.stderr.isatty()

    def at(self, done: int, whole: int) -> None:
        """So much of the whole is done."""
        if self._shows:
            share = done / max(whole, 1)
            filled = round(share * 10)
            line = f"\r{self._what:<24} [{'#' * filled}{'.' * (10 - filled)}]"
            click.echo(line, nl=False, err=True)

    def gone(self) -> None:
        if self._shows:
            click.echo("\r" + " " * 38 + "\r", nl=False, err=True)
