"""What a tank asks for before and after fish are in it: made ready the evening before, cleared up behind them."""

from __future__ import annotations

import datetime as dt

from pratique.knowledge.model import Statement, Treatment, cite
from pratique.room.resolve import Tank
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import instant, plus_hours, shown
from pratique.schedule.ledger import can_dry
from pratique.schedule.tasks import TaskList

SWITCHED_OFF = {
    "carbon": "take the carbon out",
    "uv": "switch the UV lamp off",
    "ozone": "switch the ozone off",
    "skimmer": "switch the skimmer off",
}


def copper_removal(basis: Basis) -> Statement:
    """How copper is taken out of a water again; the one sentence on file is with the amine form."""
    return next(step for step in basis.treatment("copper-amine").steps if step.text.startswith("remove it"))


def make_ready(work: TaskList, stage: str, tank: Tank, at: dt.datetime, treatment: Treatment) -> None:
    """The evening before a tank is needed: matched water in the amount it takes, and the tank set up."""
    eve = work.eve_of(at)
    if work.basis.room.waters[tank.water].conditions.cycled:
        wanted = _wanted(work, tank)
        text = "the water that stands in it: ammonia, pH, salinity, temperature"
        text += f" (on file: {wanted})" if wanted else ""
        reason = "a tank with a living filter keeps its water; it is tested a day before"
        work.add(stage, "test", eve, tank.name, text, until=at, reason=reason)
    else:
        mix_water(work, stage, tank, at)
    reason = "a tank is made ready before the animal comes, not after"
    work.add(stage, "set-up", eve, tank.name, _set_up(work, tank, treatment), until=at, reason=reason)
    if treatment.id == "fishless-hold" and tank.use in ("ward", "reserve"):
        text = "copper, if this tank ever held any: nothing may be left of it"
        reason = "animals without a backbone go only into water that reads zero"
        sources = (cite(copper_removal(work.basis)),)
        work.add(stage, "test", eve, tank.name, text, until=at, sources=sources, reason=reason)


def _set_up(work: TaskList, tank: Tank, treatment: Treatment) -> str:
    conditions = work.basis.room.waters[tank.water].conditions
    text = ["clean, dry tank: heater, air, hiding places of plain pipe"]
    if not can_dry(tank):
        text = ["check heater, air and flow, sand and rock"]
    elif conditions.cycled:  # its water stands in it, and is tested
        text = ["check heater, air and flow; hiding places of plain pipe"]
    if not conditions.cycled:
        text.append("fill it and let it run overnight")
    if not tank.written.lid:
        text.append("cover it: there is no lid on file")
    if treatment.kind in ("immersion", "bath"):
        text += [words for name, words in SWITCHED_OFF.items() if getattr(conditions, name)]
    return "; ".join(text)


def mix_water(work: TaskList, stage: str, tank: Tank, at: dt.datetime, *, apart: bool = False) -> None:
    """New water for the whole tank, mixed the evening before; `apart`: not in the tank, which is still drying."""
    wanted = _wanted(work, tank)
    text = "mix salt water" + (f", {wanted}" if wanted else "") + "; heat it and aerate it overnight"
    if apart:
        text += f", in a clean container: {tank.name} stays dry until the move"
    reason = f"the tank is needed on {shown(at)}; new water is mixed a day before"
    volume = work.basis.volume(tank)
    work.add(stage, "prepare-water", work.eve_of(at), tank.name, text, amount=volume, until=at, reason=reason)


def _wanted(work: TaskList, tank: Tank) -> str:
    conditions = work.basis.room.waters[tank.water].conditions
    measures = (conditions.salinity, conditions.temperature)
    return ", ".join(measure.text for measure in measures if measure is not None)


def clear_up(work: TaskList, stage: str, tank: Tank, at: dt.datetime, *, again: dt.datetime | None = None) -> None:
    """The tank the fish have left: emptied, cleaned, dried. `again` is when it is needed next, where known."""
    dry = work.basis.treatment("tank-transfer").needed("dry")
    if not can_dry(tank):
        fallow = work.basis.treatment("fishless-hold").needed("minimum")
        text = f"leave it without fish for {fallow.value / 24:g} d at the least, or take all out, disinfect and dry it"
        work.add(
            stage,
            "strip",
            at,
            tank.name,
            text,
            sources=(cite(fallow),),
            reason="sand and rock keep what the fish left in them",
        )
        return
    latest = plus_hours(again, -dry.value) if again is not None else plus_hours(at, 24)
    text = "empty it down the drain local rules allow, scrub, disinfect, rinse tank and gear"
    reason = "cysts stay behind on glass and gear"
    until = max(latest, at, key=instant)
    work.add(stage, "strip", at, tank.name, text, until=until, sources=(cite(dry),), reason=reason)
    text = f"tank, net, heater and hoses: until no drop is left, and {dry.value:g} h dry before they are used again"
    text += f" on {shown(again)}" if again is not None else ""
    work.add(
        stage,
        "dry",
        at,
        tank.name,
        text,
        until=again or plus_hours(at, 2 * dry.value),
        sources=(cite(dry),),
        reason="a wet net carries more than a fish does",
    )
