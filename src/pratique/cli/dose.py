"""`pratique dose`: how much of what, in which steps."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, NoReturn

import click

from pratique.cli.session import Session, because_option, choose, shared_options
from pratique.logbook.quotes import shell_line

if TYPE_CHECKING:
    from pratique.dosing.dose import Request
    from pratique.export.paper.page import Picture
    from pratique.knowledge.model import Treatment
    from pratique.room.resolve import Room


@click.command("dose")
@click.argument("tank")
@click.argument("treatment")
@click.option("--product", help="Which bottle of the shelf; else the one that expires first.")
@click.option("--reading", metavar="LEVEL", help="What a test just read, such as '2.1 mg/L'.")
@click.option("--kit", metavar="NAME", help="The kit it was read with, where not every kit on file reads this form.")
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
@click.option("--stock", metavar="RECIPE", help="Dose from a stock: '1 g in 250 mL' of a powder, '1:10' of a liquid.")
@click.option("--prescription", metavar="NAME", help="Which prescription of the file; else the only one that fits.")
@click.option("--food", metavar="MASS", help="What the fish eat in a day, '2 g', where the drug is in their food.")
@because_option
@click.option("--working", is_flag=True, help="The sum, step by step, with its sources.")
@shared_options
def command(
    tank: str,
    treatment: str,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
    **options: Any,
) -> None:
    """How much of TREATMENT goes into the water of TANK, in which steps?"""
    from pratique.room.values import treatment_for

    session = Session("dose", room_path, at_text, as_json, log_path)
    room = session.need_room("no dose was worked out")
    tank = choose(tank, room.tanks, "tank", "TANK")
    treated = treatment_for(room, choose_treatment(treatment, room))
    typed = Typed(**options)
    if treated.kind == "salinity":
        _answer_salinity(session, tank, treated, typed)
    request = _request(session, tank, treated, typed)
    if typed.readings is not None or typed.added is not None or typed.claim is not None:
        _answer_evidence(session, request, typed)
    if treated.kind == "disinfection":
        from pratique.cli.cleaning import clean_tank

        unused = typed.given("target", "change", "oxygen", "off", "food", "prescription", "stock", "kit")
        clean_tank(session, request, working=typed.working, unused=unused)
    if treated.decided_by or typed.prescription is not None:
        from pratique.cli.prescribed import answer_prescribed

        answer_prescribed(session, request, typed)
    if typed.food is not None:
        raise click.UsageError(f"--food has no part in `{treated.id}`")
    _answer_dose(session, request, typed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Typed:
    """The options as they were typed."""

    product: str | None
    reading: str | None
    kit: str | None
    target: str | None
    change: str | None
    off: str | None
    oxygen: str | None
    readings: str | None
    added: str | None
    claim: str | None
    stock: str | None
    prescription: str | None
    food: str | None
    because: tuple[str, ...]
    working: bool

    def again(self, tank: str, treatment: str, **more: str) -> str:
        """The command that shows the working of the answer: what was typed, and `more` options."""
        names = [field.name for field in fields(self) if field.name not in ("because", "working")]
        said = {name: getattr(self, name) for name in names} | more
        typed = [word for name, text in said.items() if text is not None for word in (f"--{name}", text)]
        typed += [word for reason in self.because for word in ("--because", reason)]
        return shell_line(["pratique", "dose", tank, treatment, *typed, "--working"])

    def given(self, *names: str) -> dict[str, str | None]:
        """Options by the name they are typed with."""
        return {f"--{name}": getattr(self, name) for name in names}


def _request(session: Session, tank: str, treated: Treatment, typed: Typed) -> Request:
    from pratique.cli.values import (
        read_change_option,
        read_dose_level,
        read_level,
        read_off,
        read_stock_option,
        value_of,
    )
    from pratique.dosing.dose import Request
    from pratique.schedule.on_record import in_water, level_on_record, reckoned_on_record
    from pratique.schedule.recorded import room_as_recorded

    typed_in = typed.reading is not None or typed.readings is not None
    litres, share = read_change_option(typed.change)
    animals, planned = in_water(session.history, tank)
    reading = read_dose_level(typed.reading, treated.unit, "--reading")
    return Request(
        room=room_as_recorded(session.room, session.history),
        tank=tank,
        treatment=treated,
        at=session.at,
        animals=animals,
        planned=planned,
        product=typed.product,
        reading=reading if reading is not None else level_on_record(session.history, tank, treated).measure,
        target=read_dose_level(typed.target, treated.unit, "--target"),
        change_litres=litres,
        change_share=share,
        off=read_off(typed.off),
        oxygen=value_of(read_level(typed.oxygen, "level", "--oxygen")),
        because=typed.because,
        stock=read_stock_option(typed.stock),
        kit=_kit(session, treated, typed.kit, typed_in=typed_in) if typed_in or typed.kit else "",
        reckoned=reckoned_on_record(session.history, tank, treated) if typed_in else None,
    )


def _kit(session: Session, treated: Treatment, name: str | None, *, typed_in: bool) -> str | None:
    """The kit a typed reading was made with, None where nobody says."""
    if name is None:
        return None
    if not typed_in:
        raise click.UsageError("--kit says what a reading was made with: give --reading too")
    if not treated.form:
        raise click.UsageError(f"--kit says what copper was read with, and has no part in `{treated.id}`")
    kits = session.room.written.kits
    return choose(name, [known for known, kit in kits.items() if kit.measures == "copper"], "copper kit", "--kit")


def _answer_salinity(session: Session, tank: str, treated: Treatment, typed: Typed) -> NoReturn:
    from pratique.cli.salinity import answer_course

    answer_course(
        session,
        tank,
        treated,
        reading=typed.reading,
        target=typed.target,
        working=typed.working,
        because=typed.because,
        unused=typed.given(
            *("product", "change", "oxygen", "readings", "added", "claim", "prescription", "food", "stock", "kit")
        ),
    )


def _answer_evidence(session: Session, request: Request, typed: Typed) -> NoReturn:
    from pratique.cli.evidence import answer_evidence

    for option, text in typed.given("prescription", "food", "stock").items():
        if text is not None:
            raise click.UsageError(f"{option} has no part in --readings, --added or --claim")
    answer_evidence(
        session,
        request,
        readings=typed.readings,
        added=typed.added,
        claim=typed.claim,
        working=typed.working,
    )


def _answer_dose(session: Session, request: Request, typed: Typed) -> NoReturn:
    from pratique.dosing.work import work_out
    from pratique.problem import Refusal
    from pratique.schedule.on_record import level_on_record, not_whole, say_level

    if typed.reading is None:
        hole = not_whole(session.history)
        if hole is not None:
            session.refuse(Refusal(problems=(hole,)), "no dose was worked out")
    answer = work_out(request)
    if typed.reading is None:
        answer = say_level(answer, level_on_record(session.history, request.tank, request.treatment))
    if isinstance(answer, Refusal):
        session.refuse(answer, "no dose was worked out")
    session.problems += answer.problems
    session.cautions += answer.cautions
    session.record_overrides(answer.overridden, request.tank)

    from pratique.export.json import dose_json
    from pratique.sheets.dose import dose_sheet

    room, at, working = request.room, session.at, typed.working
    next_ = typed.again(request.tank, request.treatment.id)

    def pictures() -> tuple[Picture, ...]:
        from pratique.export.pictures.courses import water_pictures

        return water_pictures(session.history, request.treatment, request.tank)

    session.answer(
        lambda: dose_sheet(room, answer, at, working=working, next_=next_),
        lambda: dose_json(answer, room),
        pictures=pictures,
    )


def choose_treatment(name: str, room: Room) -> str:
    """A treatment's id, or one of its trade names where only one has it; cut short, those the shelf has are offered."""
    from pratique.dosing.product import products_for
    from pratique.knowledge import store
    from pratique.problem import longer_names

    if name in store.treatment_ids():
        return name
    named = [id_ for id_ in store.treatment_ids() if name.lower() in (n.lower() for n in store.treatment(id_).names)]
    if len(named) == 1:
        return named[0]
    known = [id_ for id_ in longer_names(name, store.treatment_ids()) if store.treatment(id_).active]
    there = [id_ for id_ in known if products_for(room, store.treatment(id_))]
    if there and len(there) < len(known):
        said = " or ".join(f"`{id_}`" for id_ in there)
        hint = f"for what stands on the shelf write {said}; other forms have other bands"
        raise click.BadParameter(f"unknown treatment `{name[:60]}`; {hint}", param_hint="TREATMENT")
    return choose(name, store.treatment_ids(), "treatment", "TREATMENT")
