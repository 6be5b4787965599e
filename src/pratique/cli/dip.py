"""`pratique dip`: the sheet for a dip or bath in a vessel of its own."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NoReturn

import click

from pratique.cli.output import Output
from pratique.cli.session import Session, because_option, choose, shared_options
from pratique.cli.typed import FigureRange

if TYPE_CHECKING:

    from pratique.dosing.dip import DipRequest
    from pratique.knowledge.model import Treatment
    from pratique.room.resolve import Animal, Water


@click.command("dip")
@click.argument("treatment")
@click.option("--for", "whom", metavar="ANIMAL", required=True, help="A name, species or batch; to clean, a gear set.")
@click.option("--vessel", help="Which of the room file's vessels; else the only one.")
@click.option("--volume", metavar="AMOUNT", help="How far another vessel is filled, such as '12 L'.")
@click.option("--product", help="Which bottle of the shelf; else the one that expires first.")
@click.option("--reading", metavar="LEVEL", help="Chlorine that a test just read, for thiosulfate: '50 mg/L'.")
@click.option("--minutes", type=FigureRange(min=0, min_open=True), help="A shorter or longer time than the usual.")
@click.option("--temperature", metavar="DEGREES", help="Measured in the vessel, such as '25 degC'.")
@click.option("--oxygen", metavar="LEVEL", help="Measured in the vessel, such as '7 mg/L'.")
@because_option
@click.option("--working", is_flag=True, help="The sum, step by step, with its sources.")
@click.option("--run", "live", is_flag=True, help="The timer at the tank: figures, bells, keys; it writes the log.")
@shared_options
def command(
    treatment: str,
    whom: str,
    reading: str | None,
    working: bool,
    live: bool,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
    **options: Any,
) -> None:
    """The sheet of a dip or bath (freshwater-dip, formalin-bath, peroxide-bath) for one animal or a batch.

    For a gear set: chlorine-disinfection, thiosulfate-neutralising or drying.
    """
    from pratique.cli.dose import choose_treatment
    from pratique.room.values import treatment_for

    if live:
        _check_live(at_text, as_json)
    session = Session("dip", room_path, at_text, as_json, log_path)
    room = session.need_room("no dip was worked out")
    treated = treatment_for(room, choose_treatment(treatment, room))
    if treated.kind == "disinfection":
        if live:
            raise click.UsageError(f"--run is for animals: `{treated.id}` is for gear, and its sheet has the hours")
        from pratique.cli.cleaning import clean_gear

        request = _request(session, treated, (whom, (), None), **options)
        unused = {f"--{name}": options[name] for name in ("minutes", "temperature", "oxygen")}
        clean_gear(session, request, whom, reading=reading, working=working, unused=unused)
    if reading is not None:
        raise click.UsageError(f"--reading has no part in `{treated.id}`")
    _answer(session, _request(session, treated, find_animals(session, whom), **options), working=working, live=live)


def _check_live(at_text: str | None, as_json: bool) -> None:
    from pratique.cli.run_dip import check_terminal

    if at_text is not None or as_json:
        raise click.UsageError(f"--run is the clock of this moment: leave out {'--json' if as_json else '--at'}")
    if Output.wanted().files:
        raise click.UsageError(f"--run has no sheet to write: leave out {', '.join(Output.wanted().files)}")
    check_terminal()


def _request(
    session: Session,
    treated: Treatment,
    found: tuple[str, tuple[Animal, ...], Water | None],
    *,
    vessel: str | None,
    volume: str | None,
    product: str | None,
    minutes: float | None,
    temperature: str | None,
    oxygen: str | None,
    because: tuple[str, ...],
) -> DipRequest:
    from pratique.cli.values import read_level, value_of
    from pratique.dosing.dip import DipRequest

    room = session.room
    label, animals, water = found
    return DipRequest(
        room=room,
        treatment=treated,
        animals=animals,
        label=label,
        at=session.at,
        volume=read_level(volume, "volume", "--volume"),
        vessel=choose(vessel, room.written.vessels, "vessel", "--vessel") if vessel else None,
        source_water=water,
        product=product,
        minutes=minutes,
        temperature=value_of(read_level(temperature, "temperature", "--temperature")),
        oxygen=value_of(read_level(oxygen, "level", "--oxygen")),
        because=because,
    )


def _answer(session: Session, request: DipRequest, *, working: bool, live: bool) -> NoReturn:
    from pratique.dosing.bath import work_out_dip
    from pratique.problem import Refusal

    answer = work_out_dip(request)
    if isinstance(answer, Refusal):
        session.refuse(answer, "no dip was worked out")
    session.problems += answer.problems
    session.cautions += answer.cautions
    session.record_overrides(answer.overridden, None)
    if live:
        from pratique.cli.run_dip import run_dip

        run_dip(session, answer, plain=session.output.plain)

    from pratique.export.json import dip_json
    from pratique.sheets.dip import dip_sheet

    room, at = request.room, session.at
    session.answer(lambda: dip_sheet(room, answer, at, working=working), lambda: dip_json(answer))


def find_animals(session: Session, whom: str) -> tuple[str, tuple[Animal, ...], Water | None]:
    """The animals called `whom` and the water they are in: a batch, a name, a trade or scientific name."""
    from pratique.schedule.on_record import residents_by_record, whereabouts_of_batches

    room = session.room
    places, batches = whereabouts_of_batches(session.history, whom) if room.batches else ({}, {})
    if whom in room.batches:
        tank = places.get(whom)
        return whom, batches[whom], room.water_of(tank) if tank else None
    residents = residents_by_record(session.history)
    everyone: list[tuple[Animal, str | None]] = [(animal, animal.tank) for animal in residents]
    everyone += [(animal, places.get(name)) for name, animals in batches.items() for animal in animals]
    names = [*room.batches, *(name for animal, _ in everyone for name in (animal.label, animal.scientific))]
    wanted = choose(whom, dict.fromkeys(names), "animal", "--for")
    if wanted in room.batches:
        return find_animals(session, wanted)
    found = [(animal, tank) for animal, tank in everyone if wanted in (animal.label, animal.scientific)]
    tank = next((tank for _, tank in found if tank), None)
    return wanted, tuple(animal for animal, _ in found), room.water_of(tank) if tank else None
