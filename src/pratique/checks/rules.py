"""Rules over the whole room, one small function each. Each yields problems; none stops the others."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator

from pratique.dates import full_day
from pratique.dosing.asking import nominal_problem
from pratique.dosing.facts import Setting, interlocks_met, is_too_coarse
from pratique.dosing.kits import READS_ITS_FORM, best_kit
from pratique.dosing.product import active_of, claim_problems
from pratique.knowledge import store
from pratique.knowledge.model import cite
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.water.standing import find_standing
from pratique.water.state import look_at

A_DAY = 24.0
"""h within which a bare tank that fouls is warned of."""

Rule = Callable[[Room, dt.datetime], Iterator[Problem]]


def mixed_uses(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """Tanks of different uses on one water: what is in one is in all."""
    for water in room.waters.values():
        uses = sorted({tank.use for tank in water.tanks})
        if len(uses) > 1:
            places = tuple(room.place((*tank.path, "use"), label=tank.use) for tank in water.tanks[:3])
            yield Problem(
                code="X601",
                places=places,
                message=f"`{water.name}` is shared by tanks used as {' and '.join(uses)}",
                note="tanks on one sump share one water: a medicine, a parasite and a clock reach them all",
                hint="give the quarantine tanks waters of their own, or change their use",
            )


def open_tops(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """A jumper in a tank without a lid."""
    for animal in room.residents:
        tank = room.tanks[animal.tank]
        if animal.jumps and not tank.written.lid:
            yield Problem(
                code="X602",
                severity="warning",
                message=f"`{animal.label}` jumps, and `{tank.name}` has no lid on file",
                places=(room.place((*animal.path, "species")), room.place(tank.path, key=True, label="no lid")),
                source="COMMON, practice B42 (C)",
                hint="cover it, then write `lid: yes`",
            )


def nominal_volumes(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """Tanks whose size is only the label's: one problem for all of them."""
    tanks = [tank.name for tank in room.tanks.values() if tank.written.volume.nominal is not None]
    if tanks:
        yield nominal_problem(room, tanks)


def labels(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """Claims that their own strength contradicts, and bottles past their date."""
    for name, product in room.written.shelf.items():
        yield from claim_problems(room, active_of(room, name))
        if product.expires is not None and product.expires.date < at.date():
            yield Problem(
                code="D433",
                severity="warning",
                message=f"`{name}` expired on {full_day(product.expires.date)}",
                places=(room.place(("shelf", name, "expires")),),
                hint="replace it before it is needed; no dose is worked out from it",
            )


def blind_copper(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """Copper on the shelf that no kit on file can measure, or none finely enough to show that a level is held."""
    for name, product in room.written.shelf.items():
        if product.active == "copper" and product.form is not None:
            yield from _kit_for(room, name, product.form, at)


def _kit_for(room: Room, name: str, form: str, at: dt.datetime) -> Iterator[Problem]:
    treatment = treatment_for(room, f"copper-{form}")
    target, floor, ceiling = (treatment.needed(key).value for key in ("target", "floor", "ceiling"))
    found = best_kit(room, form, near=target, at=at)
    place = room.place(("shelf", name, "form"))
    if found is None:
        yield Problem(
            code="D409",
            severity="warning",
            message=f"no kit on file can measure the {form} copper of `{name}`",
            places=(place,),
            source=READS_ITS_FORM,
            hint="write the kit under `kits:` with `forms`; without one no copper is dosed",
        )
    elif is_too_coarse(found[1], floor, ceiling):
        yield Problem(
            code="D410",
            severity="warning",
            message=f"`{found[0]}` cannot show that {form} copper is held in its band, {floor:g} to {ceiling:g} mg/L",
            places=(room.place(("kits", found[0]), key=True), place),
            source=READS_ITS_FORM,
            hint="get a finer kit before beginning: a hold that cannot be read can be neither corrected nor proven",
        )


def blind_ammonia(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """Fish are to go through bare tanks, and no kit on file reads ammonia."""
    bare = [tank for tank in room.tanks.values() if tank.written.use != "display" and not _is_cycled(room, tank.water)]
    if not room.batches or not bare or any(kit.measures == "ammonia" for kit in room.written.kits.values()):
        return
    yield Problem(
        code="X604",
        severity="warning",
        message="no kit on file measures ammonia, and the plan has it tested every day",
        places=tuple(room.place(tank.path, key=True) for tank in bare[:3]),
        note="a tank without a living filter fouls within hours to two days",
        source="COMMON, practice A7 (C)",
        hint="write such as `ammonia kit: {measures: ammonia, resolution: 0.25 mg/L}` under `kits:`",
    )


def _is_cycled(room: Room, water: str) -> bool:
    return bool(room.waters[water].conditions.cycled)


def held_medicines(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """What is said to be in a water now, against who and what is in it."""
    for water in room.waters.values():
        for holds in water.conditions.holds:
            animals = room.residents_by_water.get(water.name, ())
            setting = Setting(
                room=room,
                treatment=treatment_for(room, holds.treatment),
                water=water,
                animals=animals,
                at=at,
                temperature=water.conditions.temperature.value if water.conditions.temperature else None,
                oxygen=water.conditions.oxygen.value if water.conditions.oxygen else None,
            )
            yield from interlocks_met(setting)


def nowhere_to_go(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """A display and nothing to quarantine in."""
    if not any(tank.use != "display" for tank in room.tanks.values()):
        place = room.place(("tanks",), key=True)
        yield Problem(
            code="S510",
            severity="warning",
            message="there is no tank but the display",
            places=(place,),
            note="the commonest way in for a parasite is a fish that had nowhere else to go",
            hint="add a tank with `use: ward`; a bare tub with a heater and an air stone serves",
        )


def own_values(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """Own values that leave what the sources call safe; the ordinary ones are only shown on the pages."""
    for name in room.overrides:
        record, _, number = name.partition(".")
        if number != "target" or not record.startswith("copper-"):
            continue
        treatment = treatment_for(room, record)
        target, floor, ceiling = (treatment.needed(key) for key in ("target", "floor", "ceiling"))
        if not floor.value <= target.value <= ceiling.value:
            yield Problem(
                code="K301",
                message=f"your own target {target.value:g} mg/L for {record} is outside "
                f"{floor.value:g} to {ceiling.value:g} mg/L",
                places=(room.place(("values", name)),),
                source=cite(ceiling),
                hint="choose a level inside the band, or another form of copper",
            )


def fouling_tanks(room: Room, at: dt.datetime) -> Iterator[Problem]:
    """Bare tanks without a living filter whose residents foul them within a day, by their usual ration."""
    limit = store.water_figures().needed("ammonia_correct")
    for water in room.waters.values():
        bare = all(tank.written.substrate == "bare" and tank.written.rock == "none" for tank in water.tanks)
        animals = room.residents_by_water.get(water.name, ())
        if not bare or water.conditions.cycled or not animals:
            continue
        outlook = find_standing(look_at(room, water.tanks[0].name), animals).outlook
        hours = outlook.forecast.to_correct if outlook is not None else None
        if outlook is None or hours is None or hours.value > A_DAY:
            continue
        yield Problem(
            code="X603",
            severity="warning",
            message=f"ammonia reaches {limit.value:g} mg/L un-ionised in `{water.name}` within "
            f"{hours.value:.1f} h of clean water, by the usual ration",
            places=(room.place(water.path, key=True),),
            note=f"{hours.low:.1f} to {hours.high:.1f} h by the mass of the animals, which is from memory",
            source=cite(limit),
            hint=f"one change a day does not hold it; {outlook.remedy} does; "
            f"`pratique water {shell_word(water.tanks[0].name)}` has the sum",
        )


RULES: tuple[Rule, ...] = (
    mixed_uses,
    open_tops,
    nominal_volumes,
    labels,
    blind_copper,
    blind_ammonia,
    held_medicines,
    nowhere_to_go,
    own_values,
    fouling_tanks,
)


def check_room(room: Room, at: dt.datetime) -> list[Problem]:
    """Every rule over the room."""
    return [problem for rule in RULES for problem in rule(room, at)]
