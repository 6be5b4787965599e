"""`pratique dose`: how much of what, in which steps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from pratique.cli.session import Session, because_option, choose, shared_options

if TYPE_CHECKING:
    from pratique.room.resolve import Animal, Room


@click.command("dose")
@click.argument("tank")
@click.argument("treatment")
@click.option("--product", help="Which bottle of the shelf; else the one that expires first.")
@click.option("--reading", metavar="LEVEL", help="What a test just read, such as '2.1 mg/L'.")
@click.option("--target", metavar="LEVEL", help="Another level than the default, inside the band.")
@click.option("--change", metavar="AMOUNT", help="A water change, '20 L' or '25 %': what the new water gets.")
@click.option("--off", metavar="THINGS", help="Equipment you have switched off or taken out: carbon,uv,ozone,skimmer.")
@click.option("--oxygen", metavar="LEVEL", help="A measured oxygen level, such as '6.5 mg/L'.")
@click.option(
    "--readings",
    metavar="LIST",
    help="What tests read when, '2027-03-05T08:00 2.1 mg/L, …', or a file with one a line: what is left, and its loss.",
)
@click.option(
    "--added",
    metavar="WHAT",
    help="With --readings from before and after it, '10 mL of copper bottle at 2027-03-05T08:00': the volume it shows.",
)
@click.option("--claim", metavar="SENTENCE", help="Is it true, '1 mL per 10 gal_us gives 0.15 mg/L'?")
@click.option("--prescription", metavar="NAME", help="Which prescription of the file; else the only one that fits.")
@click.option("--food", metavar="MASS", help="What the fish eat in a day, '2 g', where the drug is in their food.")
@because_option
@click.option("--working", is_flag=True, help="The sum, step by step, with its sources.")
@shared_options
def command(
    tank: str,
    treatment: str,
    product: str | None,
    reading: str | None,
    target: str | None,
    change: str | None,
    off: str | None,
    oxygen: str | None,
    readings: str | None,
    added: str | None,
    claim: str | None,
    prescription: str | None,
    food: str | None,
    because: tuple[str, ...],
    working: bool,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
) -> None:
    """How much of TREATMENT goes into the water of TANK, in which steps?"""
    from pratique.cli.values import read_change_option, read_dose_level, read_level, read_off, value_of
    from pratique.dosing.dose import Request
    from pratique.dosing.work import work_out
    from pratique.problem import Refusal
    from pratique.room.values import treatment_for

    session = Session("dose", room_path, at_text, as_json)
    room = session.need_room("no dose was worked out")
    tank = choose(tank, room.tanks, "tank", "TANK")
    treated = treatment_for(room, choose_treatment(treatment))
    if treated.kind == "salinity":
        from pratique.cli.salinity import answer_course

        unused = {"--product": product, "--change": change, "--oxygen": oxygen}
        unused |= {"--readings": readings, "--added": added, "--claim": claim}
        unused |= {"--prescription": prescription, "--food": food}
        answer_course(
            session,
            tank,
            treated,
            reading=reading,
            target=target,
            working=working,
            because=because,
            unused=unused,
        )
    litres, share = read_change_option(change)
    request = Request(
        room=room,
        tank=tank,
        treatment=treated,
        at=session.at,
        animals=animals_in(room, tank, session.at),
        product=product,
        reading=read_dose_level(reading, treated.unit, "--reading"),
        target=read_dose_level(target, treated.unit, "--target"),
        change_litres=litres,
        change_share=share,
        off=read_off(off),
        oxygen=value_of(read_level(oxygen, "level", "--oxygen")),
        because=because,
    )
    if readings is not None or added is not None or claim is not None:
        from pratique.cli.evidence import answer_evidence

        if prescription is not None or food is not None:
            raise click.UsageError("--prescription and --food have no part in --readings, --added or --claim")
        answer_evidence(session, request, readings=readings, added=added, claim=claim, working=working)
    if treated.decided_by or prescription is not None:
        from pratique.cli.prescribed import answer_prescribed

        answer_prescribed(session, request, name=prescription, food=food, working=working)
    if food is not None:
        raise click.UsageError(f"--food has no part in `{treated.id}`")
    answer = work_out(request)
    if isinstance(answer, Refusal):
        session.refuse(answer, "no dose was worked out")
    session.problems += answer.problems
    session.cautions += answer.cautions

    from pratique.export.json import dose_json
    from pratique.sheets.dose import dose_sheet

    session.answer(lambda: dose_sheet(room, answer, session.at, working=working), lambda: dose_json(answer, room))


def choose_treatment(name: str) -> str:
    """A treatment's id, or one of its trade names where only one has it."""
    from pratique.knowledge import store

    if name in store.treatment_ids():
        return name
    named = [id_ for id_ in store.treatment_ids() if name.lower() in (n.lower() for n in store.treatment(id_).names)]
    return named[0] if len(named) == 1 else choose(name, store.treatment_ids(), "treatment", "TREATMENT")


def animals_in(room: Room, tank: str, at: object) -> tuple[Animal, ...]:
    """Residents of the tank's water, and the animals of every batch planned to be in it at `at`."""
    import datetime as dt

    found = list(room.residents_by_water.get(room.tanks[tank].water, ()))
    if room.batches:
        from pratique.schedule.day import whereabouts
        from pratique.schedule.plan import make_plan

        assert isinstance(at, dt.datetime)
        water = room.tanks[tank].water
        for batch, (where, _) in whereabouts(make_plan(room), at).items():
            if room.tanks[where].water == water:
                found += room.batches[batch].animals
    return tuple(found)
