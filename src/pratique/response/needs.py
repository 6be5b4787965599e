"""What a first response for a water would need now, and what of it is there: for `shelf`, `check` and the run sheet."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

from pratique.dosing.dip import Dip
from pratique.dosing.dose import Dose
from pratique.dosing.kits import is_past
from pratique.dosing.product import products_for
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.problem import Refusal
from pratique.response.chosen import Chosen, comes_out
from pratique.response.medicine import dip_for, dose_for, is_missing, role_of
from pratique.response.model import Option
from pratique.response.need import Need, Needs
from pratique.response.scene import Case
from pratique.room import model
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.water.mixing import salt_for
from pratique.water.state import look_at, matching_litres
from pratique.water.volume import net_volume

STAND_IN = "a usual bottle"
"""The name under which a bottle that is not on the shelf is reckoned with."""

FIRST_CHANGE = 0.5
"""The part of the water kept ready for a first change (treatments 1, after the course: half; read for all: D)."""

GEAR_FOR = ("ward", "all")


def needs_of(case: Case, chosen: Chosen, pathogen: str) -> Needs:
    """What the first night against `pathogen` would take, by the place and the treatments that were chosen.

    Amounts in mL, g or tablets of the product, L of water, g of salt. Sources: those of the doses; TEOS-10 for salt.
    """
    items = [*_products(case, chosen), *_place(case, chosen), *_water(case, chosen), *_tools(case, chosen)]
    place = chosen.place
    tank = place.tank if place.kind in ("tank", "here") else ""
    return Needs(water=case.water.name, pathogen=pathogen, at=case.at, tank=tank, items=tuple(items))


def _products(case: Case, chosen: Chosen) -> Iterator[Need]:
    """For each sort of treatment the one taken, else the first that could be, by the usual bottle."""
    for role in ("held", "bath"):
        found = [option for option in chosen.options if option.role == role]
        taken = next((option for option in found if option.chosen), None)
        if taken is not None:
            yield _on_shelf(case, taken)
        elif found and (role == "held" or chosen.uncovered):
            yield from _not_there(case, chosen, found)


def _on_shelf(case: Case, option: Option) -> Need:
    name, add, active = _amounts(option.answer)
    left = case.room.written.shelf[name].left
    have = Figure.exact(left.value, left.unit) if left is not None else None
    return Need(
        kind="product",
        what=option.title,
        why=option.does,
        enough=have is None or have.value >= add.value,
        need=add,
        have=have,
        name=name,
        treatment=option.treatment,
        active=active,
        buy=what_to_buy(case, option.treatment, name),
    )


def _amounts(answer: Dose | Dip | None) -> tuple[str, Figure, Figure]:
    dose = answer.dose if isinstance(answer, Dip) else answer
    assert dose is not None
    return dose.product, dose.add, dose.active


def _not_there(case: Case, chosen: Chosen, found: list[Option]) -> Iterator[Need]:
    """The first of `found` that has a dose at all, by the usual bottle, for this place."""
    for option in found:
        treatment = treatment_for(case.room, option.treatment)
        if treatment.decided_by:
            continue
        own = _own_bottle(case, option, treatment)
        answer = _by_usual_bottle(case, chosen, treatment, own)
        _, add, active = ("", None, None) if isinstance(answer, Refusal) else _amounts(answer)
        left = case.room.written.shelf[own].left if own else None
        is_read = option.refused is None or option.refused.code != NO_KIT
        yield Need(
            kind="product",
            what=option.title,
            why=option.does,
            enough=False,
            need=add,
            have=Figure.exact(left.value, left.unit) if left is not None else None,
            name=own,
            treatment=option.treatment,
            active=active,
            buy=what_to_buy(case, option.treatment, own, has_kit=is_read),
        )
        return


NO_KIT, TOO_LITTLE = "D409", "D457"


def _own_bottle(case: Case, option: Option, treatment: Treatment) -> str:
    """The bottle on the shelf that was refused for want of a kit, or for what is left in it; empty where none is."""
    if option.refused is None or option.refused.code not in (NO_KIT, TOO_LITTLE):
        return ""
    return next(iter(products_for(case.room, treatment)), "")


def _by_usual_bottle(case: Case, chosen: Chosen, treatment: Treatment, own: str) -> Dose | Dip | Refusal:
    """By a bottle such as is sold, or by the keeper's `own` as if it were full; with a kit that reads its copper."""
    bottle = store.response().bottle_for(treatment.id)
    if bottle is None:
        return dose_for(case, chosen.place, treatment)
    written = {"active": bottle.active, "strength": bottle.strength}
    kit = None
    if bottle.form is not None:
        written["form"] = bottle.form
        kit = {"measures": "copper", "forms": bottle.form, "resolution": "0.005 mg/L"}
    product = model.Product.model_validate(written)
    if own:
        product = case.room.written.shelf[own].model_copy(update={"left": None})
    place = replace(chosen.place, room=_with_bottle(chosen.place.room, product, kit))
    stocked = replace(case, scene=replace(case.scene, room=_with_bottle(case.room, product, kit)))
    if role_of(treatment) in ("dip", "bath"):
        return dip_for(stocked, treatment)
    return dose_for(stocked, place, treatment)


def is_given_once_bought(case: Case, chosen: Chosen, option: Option) -> bool:
    """True where nothing but the bottle or its kit stands in the way: no animal, no rock, no word of the keeper's."""
    treatment = treatment_for(case.room, option.treatment)
    if not is_missing(option.refused) or treatment.decided_by:
        return False
    own = _own_bottle(case, option, treatment)
    return not isinstance(_by_usual_bottle(case, chosen, treatment, own), Refusal)


def _with_bottle(room: Room, product: model.Product, kit: dict[str, str] | None) -> Room:
    kits = dict(room.written.kits)
    if kit is not None:
        kits[STAND_IN] = model.Kit.model_validate(kit)
    shelf = {STAND_IN: product}
    return replace(room, written=room.written.model_copy(update={"shelf": shelf, "kits": kits}))


def what_to_buy(case: Case, treatment: str, own: str = "", *, has_kit: bool = True) -> str:
    """The usual bottle in words, with a kit for it where none on file reads that form; or what an `own` one lacks."""
    bottle = store.response().bottle_for(treatment)
    if bottle is None:
        return ""
    if own:
        return f"more of `{own}`" if has_kit else f"{bottle.kit}, for `{own}`"
    kits = (kit for kit in case.room.written.kits.values() if not is_past(kit, case.at))
    reads = any(kit.measures == "copper" and bottle.form in kit.forms for kit in kits)
    return f"{bottle.says}, and {bottle.kit}" if bottle.kit and not reads else bottle.says


def _place(case: Case, chosen: Chosen) -> Iterator[Need]:
    place = chosen.place
    if not comes_out(case.cover) or not (case.movers or case.rays):
        return
    there = place.kind in ("tank", "here")
    yield Need(
        kind="tank",
        what="a bare tank with nobody in it",
        why="the fish leave the water they fell ill in",
        enough=there,
        name=place.tank if there else "",
        buy="a bare tank or a food-grade tub with a lid, an air pump, a heater",
    )
    if any(option.role in ("dip", "bath") and option.refused is None for option in chosen.options):
        vessels = case.room.written.vessels
        yield Need(
            kind="vessel",
            what="a vessel for a dip",
            why="dips and baths are done apart from every tank",
            enough=bool(vessels),
            name=min(vessels, key=lambda name: (vessels[name].value, name)) if vessels else "",
            buy="a clean food-grade bucket, filled by a measuring jug",
        )


def _water(case: Case, chosen: Chosen) -> Iterator[Need]:
    """To fill the place, and half of it again for a first change."""
    fill, state = chosen.place.fill, look_at(case.room, case.suspicion.tank)
    litres = fill.litres if fill is not None else net_volume(case.water).figure.value
    need = litres * FIRST_CHANGE + (litres if fill is not None else 0.0)
    have = matching_litres(state)
    what = "salt water, mixed, like that of the tank"
    why = "to fill the place, and half of it for a first change" if fill is not None else "half of it for a change"
    yield Need(
        kind="mixed water",
        what=what,
        why=why,
        enough=have >= need,
        need=Figure.exact(need, "L"),
        have=Figure.exact(have, "L"),
        buy="mix it the day it is used up",
    )
    short = max(need - have, 0.0)
    left = case.room.written.salt.left
    salt = salt_for(short, state.salinity, state.warmth).salt if short and state.salinity is not None else None
    held = Figure.exact(left.value, "g") if left is not None else None
    enough = short == 0 or (salt is not None and held is not None and held.value >= salt.high)
    yield Need(
        kind="salt",
        what="dry salt for the water that is not mixed",
        why="what is mixed and waits is not enough" if short else "the mixed water is enough",
        enough=enough,
        need=salt or (Figure.exact(0.0, "g") if not short else None),
        have=held,
        buy="sea salt for aquaria",
    )


def _tools(case: Case, chosen: Chosen) -> Iterator[Need]:
    written = case.room.written
    gear = [name for name, entry in written.gear.items() if entry.for_ in GEAR_FOR]
    yield Need(
        kind="gear",
        what="a net, cup and hose that stay with the sick fish",
        why="a net is the commonest carrier",
        enough=bool(gear),
        name=next(iter(gear), ""),
        buy="a second net, cup and hose",
    )
    for measure, why in _tests(chosen):
        kits = [name for name, kit in written.kits.items() if _reads(chosen, kit, measure, case.at)]
        yield Need(
            kind="test",
            measure=measure,
            what=f"a test for {measure if measure != 'ph' else 'pH'}",
            why=why,
            enough=bool(kits),
            name=next(iter(kits), ""),
            buy=f"a test for {measure if measure != 'ph' else 'pH'} in sea water",
        )
    if any(option.chosen and _is_liquid(option) for option in chosen.options):
        yield Need(
            kind="syringe",
            what="a syringe with marks",
            why="a liquid is measured, never poured from the bottle",
            enough=bool(written.syringes),
            name=next(iter(written.syringes), ""),
            buy="syringes of 1, 10 and 60 mL",
        )


def _is_liquid(option: Option) -> bool:
    answer = option.answer
    dose = answer.dose if isinstance(answer, Dip) else answer
    return dose is not None and dose.add.unit == "mL"


def _tests(chosen: Chosen) -> Iterator[tuple[str, str]]:
    treatments = {option.treatment for option in chosen.options if option.chosen or is_missing(option.refused)}
    yield "ammonia", "a bare tank fouls within hours to two days"
    yield "ph", "pH decides how much of the ammonia harms"
    yield "salinity", "new water has to match"
    if any(id_.startswith("copper-") for id_ in treatments):
        yield "copper", "copper is dosed by readings, never by the calendar"
    if "formalin-bath" in treatments:
        yield "oxygen", "formalin takes oxygen away"


def _reads(chosen: Chosen, kit: model.Kit, measure: str, at: dt.datetime) -> bool:
    if kit.measures != measure or is_past(kit, at):
        return False
    if measure != "copper":
        return True
    forms = {store.treatment(o.treatment).form for o in chosen.options if o.treatment.startswith("copper-")}
    taken = {store.treatment(o.treatment).form for o in chosen.options if o.chosen} & forms
    return bool((taken or forms) & set(kit.forms))
