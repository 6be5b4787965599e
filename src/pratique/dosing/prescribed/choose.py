"""Which prescription of the room file is meant, and who in the tank it is for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from pratique.dosing.asking import not_ours
from pratique.dosing.prescribed.course import Given, PrescribedRequest
from pratique.dosing.product import find_substance
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem, near_hint, near_names, quoted
from pratique.room.prescribed import Prescription
from pratique.room.prescriptions import IN, treatments_of
from pratique.room.resolve import Animal, Room


def choose_prescription(request: PrescribedRequest) -> Given | Problem:
    """The prescription named, or the only one that fits treatment and tank; else why there is none."""
    room, treatment = request.asked.room, request.asked.treatment
    if not treatment.decided_by:
        return Problem(
            code="D530",
            message=f"`{treatment.id}` is not by prescription",
            hint=f"leave `--prescription` out; by prescription are: {', '.join(_by_prescription())}",
        )
    if request.name is not None:
        return _named(request, request.name)
    fitting, here = list(_fitting(room, treatment)), prescriptions_for(request)
    if len(here) == 1:
        return here[0]
    if here:
        names = ", ".join(f"`{given.name}`" for given in here)
        message = f"several prescriptions fit `{treatment.id}` in `{request.asked.tank}`: {names}"
        return Problem(
            code="D533", message=message, hint=f"name one, such as `--prescription {shell_word(here[0].name)}`"
        )
    if fitting:
        return _nobody_here(request, fitting)
    return not_ours(treatment)


def prescriptions_for(request: PrescribedRequest) -> tuple[Given, ...]:
    """Every prescription that this treatment works out, for somebody who is here."""
    names = _fitting(request.asked.room, request.asked.treatment)
    return tuple(given for name in names if (given := _given(request, name)) is not None)


def _named(request: PrescribedRequest, name: str) -> Given | Problem:
    room, treatment = request.asked.room, request.asked.treatment
    written = room.written.prescriptions.get(name)
    if written is None:
        known = room.written.prescriptions
        on_file = ", ".join(f"`{entry}`" for entry in known) or "none"
        hint = near_hint(near_names(name, known)) or f"on file: {on_file}"
        return Problem(code="D530", message=f"there is no prescription {quoted(name)} in the room file", hint=hint)
    if name not in _fitting(room, treatment):
        active = room.written.shelf[written.product].active
        id_ = next(treatments_of(active, written.way)).id
        return Problem(
            code="D531",
            message=f"the prescription `{name}` is {active} {IN[written.way]}, not `{treatment.id}`",
            places=(room.place(("prescriptions", name), key=True),),
            hint=f"`pratique dose {shell_word(request.asked.tank)} {id_} --prescription {shell_word(name)}`",
        )
    return _given(request, name) or _nobody_here(request, [name])


def _fitting(room: Room, treatment: Treatment) -> Iterator[str]:
    """The prescriptions that this treatment works out: by the active of the product and the way it is given."""
    for name, written in room.written.prescriptions.items():
        active = room.written.shelf[written.product].active
        if treatment.id in (known.id for known in treatments_of(active, written.way)):
            yield name


def _given(request: PrescribedRequest, name: str) -> Given | None:
    """None where nobody it is for is here. A bath reaches the whole water, food the one tank."""
    written = request.asked.room.written.prescriptions[name]
    present = (request.asked.animals or ()) if written.way == "bath" else request.in_tank
    patients = tuple(animal for animal in present if _is_for(request, written, animal))
    if not any(animal.group.is_fish for animal in patients):
        return None
    return Given(
        name=name,
        written=written,
        patients=patients,
        others=tuple(animal for animal in present if animal not in patients),
        factor=_factor(request.asked.room, written),
    )


def _is_for(request: PrescribedRequest, written: Prescription, animal: Animal) -> bool:
    room, tank = request.asked.room, request.asked.tank
    for who in written.for_:
        if who in room.tanks and (who == tank or (written.way == "bath" and room.water_of(who) is room.water_of(tank))):
            return True
        if animal.path[:2] == ("batches", who) or who in (animal.label, animal.name):
            return True
        if who not in room.tanks and store.species_index().get(who.lower(), who) == animal.scientific:
            return True
    return False


def _factor(room: Room, written: Prescription) -> float:
    """mg of the active in a mg of the drug as prescribed; 1 where both count the same words."""
    active = room.written.shelf[written.product].active
    if any(record.active == active for record in store.substances().values()):
        return find_substance(written.drug).fraction
    return 1.0


def _nobody_here(request: PrescribedRequest, names: Iterable[str]) -> Problem:
    room, name = request.asked.room, next(iter(names))
    written = room.written.prescriptions[name]
    return Problem(
        code="D532",
        message=f"the prescription `{name}` is for {', '.join(written.for_)}, and no fish of that is in "
        f"`{request.asked.tank}` now",
        places=(room.place(("prescriptions", name, "for")),),
        hint="name the tank they are in; a batch is where the plan has it at `--at`",
    )


def _by_prescription() -> Iterator[str]:
    return (id_ for id_ in store.treatment_ids() if store.treatment(id_).decided_by)
