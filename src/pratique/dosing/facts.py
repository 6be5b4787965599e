"""The facts about a water that an interlock can meet: who is in it, what it is like, what runs in it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from pratique.dates import full_day, shown_day
from pratique.dosing.kits import is_past
from pratique.knowledge import store
from pratique.knowledge.interlock import Interlock
from pratique.knowledge.model import Treatment, cite
from pratique.problem import Place, Problem
from pratique.room.model import Kit, Product
from pratique.room.resolve import Animal, Room, Water
from pratique.water.salinity import grams_per_kg

SLACK = 1e-9
"""Share by which rounding may lift a kit's step over the width of a band."""

HYPOSALINE_BELOW = 20.0
"""g/kg. Between the 16 at which cysts begin to rupture (CHE79) and the 25 below which none emerge (COL85): D."""

GUARDED_IN_COPPER = {"dwarf-angelfish", "puffer", "lionfish", "seahorse", "dragonet", "eel"}
"""Groups with a narrow margin in copper (treatments 1 and 4); eels as scaleless animals."""

WOUNDS = {"open-wounds", "red-sores"}
FAILING = {"gasping", "lethargy"}
"""Signs by which a fish may be too far gone for a dip (treatments 10, excluded: moribund fish; the signs: D)."""

VELVET_SIGNS = {"dust", "gasping", "in-flow", "fast-breathing"}
"""Signs that velvet cannot be ruled out by (agents 3: dust, and breathing before any dust; the signs: D).

Transfers do nothing for it (agents 12; the faster agent is acted on).
"""

EQUIPMENT = ("carbon", "uv", "ozone", "skimmer")

UNFIT = {
    "calcareous-substrate", "calcareous-rock", "hyposalinity", "other-copper-form", "other-medicine", "never-here",
}  # fmt: skip
"""What no switch and no other bottle mends: a tank with it is unfit for the treatment."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing an interlock can meet, what it is called on the screen, and where the keeper wrote it."""

    meets: str
    subject: str
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Planned:
    """A medicine that the plan has put into the water by now, and since when."""

    treatment: str
    since: dt.datetime
    batch: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What a treatment would be given into: a water of the room, or (water None) clean water in a vessel.

    `oxygen` in mg/L; `temperature` in degC, the warm end of its error; `reckoned_warmth` says how it was come by where
    nobody measured it. `by_mouth`: in food, which no lamp, skimmer or carbon takes out of the water.
    """

    room: Room
    treatment: Treatment
    water: Water | None
    animals: tuple[Animal, ...]
    at: dt.datetime
    product: tuple[str, Product] | None = None
    off: frozenset[str] = frozenset()
    oxygen: float | None = None
    temperature: float | None = None
    reckoned_warmth: str = ""
    by_mouth: bool = False
    planned: tuple[Planned, ...] = ()


def interlocks_met(setting: Setting) -> list[Problem]:
    """Every interlock that applies, blocks first, each naming all it was met by."""
    rules = [rule for rule in store.interlocks() if concerns(rule, setting.treatment)]
    wanted = {rule.meets for rule in rules}
    met: dict[str, list[Fact]] = {}
    for fact in find_facts(setting, wanted):
        met.setdefault(fact.meets, []).append(fact)
    found = [_problem(rule, met[rule.meets]) for rule in rules if rule.meets in met]
    return sorted(found, key=lambda problem: not problem.is_error)


def concerns(rule: Interlock, treatment: Treatment) -> bool:
    """True where the rule names the treatment, all coppers, or (`*`) every drug."""
    return any(
        entry == treatment.id
        or (entry == "copper-*" and treatment.id.startswith("copper-"))
        or (entry == "*" and is_drug(treatment))
        for entry in rule.treatments
    )


def is_drug(treatment: Treatment) -> bool:
    """True for what is given to a fish: not for fresh water, low salinity, or what disinfects an empty tank."""
    return treatment.active != "" and treatment.kind != "disinfection"


@cache
def unfit_codes() -> frozenset[str]:
    """The blocks that say a tank can never serve a treatment, whoever is in it."""
    return frozenset(rule.code for rule in store.interlocks() if rule.verdict == "block" and rule.meets in UNFIT)


def _problem(rule: Interlock, facts: list[Fact]) -> Problem:
    names = list(dict.fromkeys(fact.subject for fact in facts))
    subject = ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
    places = tuple(fact.place for fact in facts[:3] if fact.place is not None)
    return Problem(
        code=rule.code,
        message=rule.message.format(subject=subject),
        severity="error" if rule.verdict == "block" else "warning",
        places=places,
        note=rule.reason,
        source=cite(rule),
        hint=rule.instead,
    )


def find_facts(setting: Setting, wanted: set[str]) -> Iterator[Fact]:
    """Every fact of the setting, in the order animals, product, conditions, water, kits."""
    yield from _animal_facts(setting)
    yield from _product_facts(setting)
    yield from _condition_facts(setting)
    if setting.water is not None:
        yield from _water_facts(setting, setting.water)
    if wanted & {"kit-unsuited", "kit-too-coarse"}:
        yield from _kit_facts(setting)


def _animal_facts(setting: Setting) -> Iterator[Fact]:
    for animal in setting.animals:
        place = setting.room.place((*animal.path, "species"))
        kind = animal.group.kind
        if kind in ("coral", "invertebrate"):
            yield Fact(kind, animal.label, place)
        if kind == "cartilaginous fish":
            yield Fact("cartilaginous", animal.label, place)
        if animal.group.id in GUARDED_IN_COPPER or animal.scaleless:
            yield Fact("guarded-copper", animal.label, place)
        if animal.group.id in ("wrasse", "surgeonfish"):
            yield Fact(animal.group.id, animal.label, place)
        yield Fact("animal", animal.label, place)
    yield from _sign_facts(setting)


def _sign_facts(setting: Setting) -> Iterator[Fact]:
    """What was seen on an animal, or on the batch it came with, each once."""
    for who, sign, place in dict.fromkeys(_signs_seen(setting)):
        shown = f"{who}: {store.signs()[sign].title}"
        for meets, signs in (("open-wounds", WOUNDS), ("failing", FAILING), ("velvet-signs", VELVET_SIGNS)):
            if sign in signs:
                yield Fact(meets, shown, place)


def _signs_seen(setting: Setting) -> Iterator[tuple[str, str, Place]]:
    room = setting.room
    for animal in setting.animals:
        for sign in animal.signs:
            yield animal.label, sign, room.place((*animal.path, "species"))
        batch = room.batches.get(str(animal.path[1])) if animal.path[:1] == ("batches",) else None
        for sign in batch.written.signs if batch is not None else ():
            yield str(animal.path[1]), sign, room.place(("batches", animal.path[1], "signs"))


def _product_facts(setting: Setting) -> Iterator[Fact]:
    if setting.product is None:
        return
    name, product = setting.product
    if product.expires is not None and product.expires.date < setting.at.date():
        place = setting.room.place(("shelf", name, "expires"))
        yield Fact("product-expired", f"{name}, on {full_day(product.expires.date)}", place)


def _condition_facts(setting: Setting) -> Iterator[Fact]:
    if setting.treatment.id != "formalin-bath":
        return
    name = setting.water.name if setting.water else "the bath"
    temperature, oxygen = setting.temperature, setting.oxygen
    if temperature is not None:
        said = f"{temperature:.1f} °C{setting.reckoned_warmth}"
        most = setting.treatment.needed("temperature_ceiling").value
        warm = setting.treatment.needed("temperature_warn").value
        if temperature > most:
            yield Fact("too-warm", f"{name}: {said}, limit {most:g} °C")
        elif temperature > warm:
            yield Fact("rather-warm", f"{name}: {said}")
    least = setting.treatment.needed("oxygen_floor").value
    if oxygen is None:
        yield Fact("oxygen-unknown", name)
    elif oxygen < least:
        yield Fact("oxygen-low", f"{name}: {oxygen:g} mg/L, at least {least:g} mg/L")


def _water_facts(setting: Setting, water: Water) -> Iterator[Fact]:
    room, conditions = setting.room, water.conditions
    for tank in water.tanks:
        if tank.written.substrate == "calcareous":
            yield Fact("calcareous-substrate", tank.name, room.place((*tank.path, "substrate")))
        if tank.written.rock == "calcareous":
            yield Fact("calcareous-rock", tank.name, room.place((*tank.path, "rock")))
        if setting.treatment.active and setting.treatment.active in tank.written.never:
            yield Fact("never-here", f"{setting.treatment.active}, {tank.name}", room.place((*tank.path, "never")))
        if tank.use == "display" and not {"substrate", "rock"} <= tank.written.model_fields_set:
            yield Fact("display-unsaid", tank.name, room.place(tank.path, key=True))
        if tank.use == "observation":
            yield Fact("observation-tank", tank.name, room.place((*tank.path, "use")))
    for name in EQUIPMENT:
        if getattr(conditions, name) and name not in setting.off and not setting.by_mouth:
            yield Fact(name, water.name, room.place((*water.path, name), key=True))
    if conditions.cycled:
        yield Fact("biofilter", water.name, room.place((*water.path, "cycled"), key=True))
    if conditions.salinity is not None:
        salinity = grams_per_kg(conditions.salinity)
        if salinity < HYPOSALINE_BELOW:
            yield Fact("hyposalinity", f"{water.name}: {salinity:.1f} g/kg", room.place((*water.path, "salinity")))
    for index, holds in enumerate(conditions.holds):
        place = room.place((*water.path, "holds", index, "treatment"))
        if holds.treatment == setting.treatment.id or not _is_medicine(holds.treatment):
            continue
        yield Fact(_clash_of(holds.treatment, setting), f"{holds.treatment} in {water.name}", place)
    for planned in setting.planned:
        if planned.treatment != setting.treatment.id:
            place = room.place((*room.batches[planned.batch].path,), key=True)
            yield Fact(
                _clash_of(planned.treatment, setting),
                f"{planned.treatment} in {water.name} since {shown_day(planned.since)} by the plan",
                place,
            )


def _clash_of(other: str, setting: Setting) -> str:
    both = other.startswith("copper-") and setting.treatment.id.startswith("copper-")
    return "other-copper-form" if both else "other-medicine"


def _is_medicine(id_: str) -> bool:
    """True for what a water can hold: a substance, or too little salt."""
    treatment = store.treatment(id_)
    return treatment.active != "" or treatment.kind == "salinity"


def _kit_facts(setting: Setting) -> Iterator[Fact]:
    """No kit that reads this form, or none that is fine enough for its band."""
    room, form = setting.room, setting.treatment.form
    kits = [(name, kit) for name, kit in room.written.kits.items() if kit.measures == "copper"]
    usable = [(name, kit) for name, kit in kits if form in kit.forms and not is_past(kit, setting.at)]
    if not kits:
        yield Fact("kit-unsuited", "there is no copper kit under `kits:`")
    elif not usable:
        for name, kit in kits:
            key = "expires" if form in kit.forms else "forms"
            what = "is past its date" if form in kit.forms else f"reads {', '.join(kit.forms)}"
            yield Fact("kit-unsuited", f"{name} {what}", room.place(("kits", name, key)))
    floor, ceiling = setting.treatment.needed("floor").value, setting.treatment.needed("ceiling").value
    if all(is_too_coarse(kit, floor, ceiling) for _, kit in usable):
        for name, _ in usable:
            yield Fact("kit-too-coarse", name, room.place(("kits", name), key=True))


def is_too_coarse(kit: Kit, floor: float, ceiling: float) -> bool:
    """True where the kit's limit lies above the band's floor, or its step or error fills the band (mg/L)."""
    width = ceiling - floor
    spread = 0.0
    if kit.error is not None:
        low, high = kit.error.around(floor)
        spread = high - low
    limit = kit.limit.value if kit.limit is not None else 0.0
    step = kit.resolution.value if kit.resolution is not None else 0.0
    return limit > floor or step >= width * (1 - SLACK) or spread > width * (1 + SLACK)
