"""The first minutes and the first hours: air, the place and its water, out they come, dip, bath, the held medicine."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dates import shown_day
from pratique.figure import Figure, digits
from pratique.logbook.quotes import shell_word
from pratique.response.chosen import Chosen
from pratique.response.exits import leaves_no_fish, tank_for_rays
from pratique.response.giving import first_dose, hours_act, in_vessels, say
from pratique.response.medicine import presses
from pratique.response.model import Act
from pratique.response.moments import Moments
from pratique.response.places import Destination, Fill, lidless, running_in, taken_tanks
from pratique.response.scene import Case
from pratique.schedule.calendar import plus_hours
from pratique.water.mixing import weighed
from pratique.water.volume import net_volume

SWITCH_OFF = {"carbon": "carbon out", "uv": "UV off", "ozone": "ozone off", "skimmer": "skimmer off"}


def first_minutes(case: Case, chosen: Chosen, when: Moments) -> tuple[Act, Act, Act]:
    """The three steps that come before anything is looked up: air, quiet, and the place the fish will need."""
    tanks = " and ".join(tank.name for tank in case.water.tanks)
    air, air_source = say("air")
    if case.suspicion.unread:
        air += f"; then read {', '.join(case.suspicion.unread)} and temperature: bad water looks like this too"
    quiet, quiet_source = say("quiet")
    return (
        Act(phase="now", act="air", text=f"{tanks}: {air}", at=when.now, tank=case.suspicion.tank, source=air_source),
        Act(phase="now", act="quiet", text=quiet, at=plus_hours(when.now, 1 / 12), tank=case.suspicion.tank,
            source=quiet_source),
        _make_ready(case, chosen, when),
    )  # fmt: skip


def _make_ready(case: Case, chosen: Chosen, when: Moments) -> Act:
    place, at = chosen.place, plus_hours(when.now, 1 / 6)
    if not case.movers and not case.rays:
        text = f"count who is in {case.water.name}: by the record there is no fish, and a hidden one decides"
        return Act(phase="now", act="count", text=text, at=at, tank=case.suspicion.tank)
    if place.kind == "here":
        off = [SWITCH_OFF[name] for name in running_in(place.water)]
        if "display" in case.uses:
            off = []
        text = f"the fish stay in {place.tank}: " + (", ".join(off) if off else "count them, and who breathes how fast")
        return Act(phase="now", act="ready", text=text, at=at, tank=place.tank)
    fill = place.fill
    assert fill is not None
    text = f"get {place.tank} ready: bare, rinsed, air and heater in; "
    if place.each:
        text += f"fill it by a measured jug, and write down the litres: {_poured(fill)}"
    else:
        text += f"fill it, {digits(fill.litres)} L: {_from_where(fill)}"
    amount = None if place.each else Figure.exact(fill.litres, "L")
    return Act(phase="now", act="ready", text=text, at=at, tank=place.tank, amount=amount)


def _poured(fill: Fill) -> str:
    """What a tub of no known size is filled with, in order."""
    ready = fill.mixed + fill.left_over
    parts = [f"the mixed water ({digits(ready)} L match)"] if ready > 0 else []
    if fill.salt_left:
        parts.append("water mixed now")
    return ", then ".join([*parts, "their own water"])


def _from_where(fill: Fill) -> str:
    parts = []
    if fill.mixed > 0:
        parts.append(f"{digits(fill.mixed)} L of the mixed water")
    if fill.to_mix - fill.own > 1e-6:
        parts.append(f"{digits(fill.to_mix - fill.own)} L mixed now")
    if fill.own > 1e-6:
        parts.append(f"{digits(fill.own)} L of their own water")
    return ", ".join(parts)


def first_hours(case: Case, chosen: Chosen, when: Moments) -> Iterator[Act]:
    """Everything from the first quarter of an hour to the first dose, in the order of work."""
    if case.assumed:
        text = f"by the record nobody is in {case.water.name}; {case.assumed} is taken to be there: write it down"
        command = f"pratique log arrived {shell_word(case.assumed)} in {shell_word(case.suspicion.tank)}"
        yield hours_act("count", text, at=when.hours, tank=case.suspicion.tank, command=command)
    yield from _dead(case, when)
    yield from _filling(case, chosen, when)
    if not when.who:
        text, source = say("alone")
        yield hours_act("alone", text, source=source)
    yield from _the_weak(case)
    yield from in_vessels(case, chosen)
    yield from _moves(case, chosen)
    if presses(case):
        yield from first_dose(case, chosen)
    yield from _left_behind(case, chosen)
    text, source = say("hands")
    yield hours_act("hands", text, source=source)
    if "amyloodinium" in case.cover:
        text, source = say("velvet-gear")
        yield hours_act("hands", text, source=source)


def _dead(case: Case, when: Moments) -> Iterator[Act]:
    if not case.suspicion.dead:
        return
    names = ", ".join(dict.fromkeys(case.suspicion.dead))
    for number in range(2):
        text, source = say("dead", number)
        yield hours_act("dead", f"{names}: {text}" if not number else text, at=when.hours if not number else None,
                   tank=case.suspicion.tank, source=source)  # fmt: skip


def _filling(case: Case, chosen: Chosen, when: Moments) -> Iterator[Act]:
    place = chosen.place
    fill = place.fill
    if place.kind == "here" or fill is None:
        return
    match = _match(case)
    text = f"{place.tank}: {_poured(fill) if place.each else _from_where(fill)}; {match}"
    if not place.each:
        text += f"; {digits(fill.left_over)} L of mixed water remain for changes"
    yield hours_act("fill", text, at=when.hours, tank=place.tank, amount=Figure.exact(fill.litres, "L"))
    yield from _passed_over(case, chosen)
    yield from _mixing(case, place, fill)
    if place.kind == "tub":
        text, source = say("tub")
        yield hours_act("fill", text, tank=place.tank, source=source)
    if place.wanted is not None:
        batch, start = place.wanted
        text = f"{place.tank} was meant for {batch} from {shown_day(start)}: once this is in the log, ask"
        yield hours_act("plan", text, tank=place.tank, command=f"pratique plan {shell_word(batch)}")
    off = running_in(place.water)
    if off:
        text = f"{place.tank}: {', '.join(SWITCH_OFF[name] for name in off)} before any medicine"
        yield hours_act("switch-off", text, tank=place.tank, source="COMMON, practice B15 (C)")
    jumpers = [animal.label for animal in case.movers if animal.jumps]
    if lidless(place.room, place.tank):
        who = f"{', '.join(dict.fromkeys(jumpers))} will jump" if jumpers else "fish jump from a bare tank"
        yield hours_act("lid", f"cover {place.tank}: {who}", tank=place.tank, source="COMMON, practice B42 (C)")


def _passed_over(case: Case, chosen: Chosen) -> Iterator[Act]:
    """Why the fish do not go into another tank that one would think of."""
    reasons = [(tank.name, why) for tank, why in taken_tanks(case)]
    reasons += [(tank, f"the medicine is refused there, {code}") for tank, code in chosen.passed_over]
    for name, why in reasons:
        litres = f"{digits(net_volume(case.room.water_of(name)).figure.value)} L"
        own = case.room.tanks[name].water == case.water.name
        where = f"not in {name} itself" if own else f"not into {name}"
        yield hours_act("fill", f"{where} ({litres}): {why}", tank=name)


def _match(case: Case) -> str:
    said = case.water.conditions
    warm = "its temperature, measured"
    if said.temperature is not None:
        warm = f"{said.temperature.value:.1f} °C"
    salt = said.salinity.text if said.salinity is not None else "its salinity, measured"
    return f"like {case.water.name}: {warm}, {salt}"


def _mixing(case: Case, place: Destination, fill: Fill) -> Iterator[Act]:
    now = fill.to_mix - fill.own
    if now > 1e-6 and fill.salt is not None:
        share = now / fill.to_mix
        salt = fill.salt.times(share)
        text, source = say("fresh-mix")
        weigh = f"for {digits(now)} L weigh {weighed(salt)}"
        yield hours_act("mix", f"{weigh}; {text}", amount=Figure.around(salt.low, "g", salt.high), source=source)
    if fill.own > 1e-6:
        text, source = say("own-water")
        much = "what is missing comes" if place.each else f"{digits(fill.own)} L come"
        yield hours_act("own-water", f"{much} from {case.water.name}: {text}", source=source)


def _the_weak(case: Case) -> Iterator[Act]:
    if not case.dying:
        return
    names = ", ".join(animal.label for animal in case.dying)
    for number in range(2):
        text, source = say("dying", number)
        yield hours_act("dying", f"{names}: {text}" if not number else text, source=source)


def _moves(case: Case, chosen: Chosen) -> Iterator[Act]:
    place = chosen.place
    if place.kind != "here" and case.movers:
        whom = ", ".join(f"{animal.count} {animal.label}" for animal in case.movers)
        after = " straight from the vessel" if chosen.taken("dip") or chosen.taken("bath") else ""
        text = f"into {place.tank}{after}, no water of {case.water.name} with them: {whom}"
        if place.fill is not None and place.fill.own > 0:
            text = f"into {place.tank}{after}: {whom}"
        yield hours_act("move", text, tank=place.tank, source="COMMON, practice B36: all are exposed (C)")
    if case.rays:
        names = ", ".join(animal.label for animal in case.rays)
        tank = tank_for_rays(case, chosen)
        where = f"into {tank}, clean water, no medicine" if tank else "stay; there is no second clean tank"
        for number in range(2):
            text, source = say("cartilaginous", number)
            yield hours_act("rays", f"{names}: {where}; {text}" if not number else text, tank=tank, source=source)
        if "amyloodinium" in case.cover:
            text, source = say("velvet-rays")
            yield hours_act("rays", text, source=source)


def _left_behind(case: Case, chosen: Chosen) -> Iterator[Act]:
    if chosen.place.kind == "here":
        return
    tank = case.suspicion.tank
    if case.stays:
        names = ", ".join(animal.label for animal in case.stays)
        text = f"{names} stay in {case.water.name}: nothing of it goes to another tank, it may carry cysts"
        yield hours_act("stay", text, tank=tank, source="COMMON, practice B37 (C)")
    if leaves_no_fish(case, chosen):
        text = f"{case.water.name} is without fish once a census is zero: its fallow begins then"
        yield hours_act("fallow", text, tank=tank, source="COMMON, practice B34 and B35 (C)",
                   command=f"pratique fallow {shell_word(tank)}")  # fmt: skip
