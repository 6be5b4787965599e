"""What a person has to know to move a salinity safely, and the sums behind the table."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.facts import HYPOSALINE_BELOW
from pratique.dosing.salinity_plan import PutIn, SalinityPlan
from pratique.figure import Step, digits
from pratique.knowledge import store
from pratique.logbook.quotes import shell_line
from pratique.water.hyposalinity import ph_series
from pratique.water.mixing import swap_to_reach

UNSURE = 0.05
"""The part by which a volume may be less before the least of each change is asked for first (D)."""


def salinity_notes(plan: SalinityPlan) -> Iterator[str]:
    """In the order they are needed: the whole water, the water to put in, the pace, pH, and what else is in it."""
    request, state = plan.request, plan.request.state
    if len(state.water.tanks) > 1 or state.water.sump is not None:
        names = ", ".join(tank.name for tank in state.water.tanks) + (" and the sump" if state.water.sump else "")
        yield f"this is for the whole water, {names}: once, not for each tank"
    if not plan.steps:
        yield f"nothing to do: the water is at {digits(request.start)} g/kg"
        return
    if not request.animals and not request.course:
        yield from _at_once(plan)
    yield from _volume_note(plan)
    yield from _water_notes(plan)
    yield from _pace_notes(plan)
    yield from _ph_notes(plan)
    for holds in state.water.conditions.holds:
        if store.treatment(holds.treatment).active:
            drug = holds.treatment
            yield f"each change takes out {drug}: `pratique dose` with `--change` says what the new water gets"
    unsafe = request.treatment.needed("not_safe_salinity").value
    if request.treatment.needed("ceiling").value < plan.low < HYPOSALINE_BELOW:
        yield f"this is no treatment: even {unsafe:g} g/kg is not safe against white spot"


def _volume_note(plan: SalinityPlan) -> Iterator[str]:
    """A tank that may be a good deal smaller moves further than the table says."""
    first = next((step for step in plan.steps if step.leg != "hold"), None)
    if first is not None and plan.water.low < plan.water.value * (1 - UNSURE):
        least = digits(first.litres.low)
        yield f"the volume is not known well: begin each change with the least ({least} L now), read, then the rest"


def _at_once(plan: SalinityPlan) -> Iterator[str]:
    """Nobody to spare: the litres that do it in one."""
    put_in = plan.down or plan.up
    assert put_in is not None
    start, end = plan.request.start, plan.end
    swap = swap_to_reach(plan.water.value, start, end, put_in.salinity, plan.request.state.warmth)
    yield f"no animals are on file in it: while that is so, one change of {digits(swap.out)} L does it at once"


def _water_notes(plan: SalinityPlan) -> Iterator[str]:
    if plan.down is not None:
        yield f"{_called(plan.down)} goes in as litres come out: as warm as the tank, and free of chlorine"
    if plan.up is not None:
        yield from _up_notes(plan, plan.up)
    for leg, water in (("down", plan.down), ("up", plan.up)):
        if water is not None and any(s.limited_by == "stored water" for s in plan.steps if s.leg == leg):
            yield f"there are {digits(water.per_day)} L of it: they set the pace {leg}, and are mixed anew for each day"


def _up_notes(plan: SalinityPlan, put_in: PutIn) -> Iterator[str]:
    total = digits(plan.litres("up").value)
    if put_in.origin == "to mix":
        yield (
            f"for the way up mix water at {digits(put_in.salinity)} g/kg, {total} L in all: no water on file is "
            f"saltier than {digits(plan.end)} g/kg, and water of that salinity itself only comes near it"
        )
        return
    yield f"the way up takes {total} L of {_called(put_in)}"


def _called(put_in: PutIn) -> str:
    if put_in.origin == "fresh":
        return "fresh water"
    where = " on file" if put_in.origin == "on file" else ""
    return f"the water at {digits(put_in.salinity)} g/kg{where}"


def _pace_notes(plan: SalinityPlan) -> Iterator[str]:
    down, up = plan.of_leg("down"), plan.of_leg("up")
    if len(down) > 1:
        hours = (down[1].at - down[0].at).total_seconds() / 3600
        yield (
            f"a change down comes {hours:g} h after the one before, or later, and only when a reading shows what the "
            "table says; where a fish lies down or stops eating, stop there"
        )
    if up:
        yield f"up by at most {plan.per_day:g} g/kg a day; slower is safe, faster is not"
    elif plan.low < plan.request.start:
        yield (
            f"the way back up takes {plan.raising_days:.1f} days at {plan.per_day:g} g/kg a day: "
            f"`{_raising(plan)}`"
        )


def _raising(plan: SalinityPlan) -> str:
    return shell_line(["pratique", "water", plan.request.state.tank, "--to", f"{plan.request.start:.3g} g/kg"])


def _ph_notes(plan: SalinityPlan) -> Iterator[str]:
    if not any(step.watch_ph for step in plan.steps):
        return
    step = plan.request.treatment.needed("ph_correction_per_day").value
    yield f"low water holds its pH badly: read it on each marked day, and correct a fall by at most {step:g} a day"
    written, now = plan.request.state.water.conditions.ph, plan.request.state.ph
    if written is None or now is None or now.value >= written.value:
        return
    aims = ", then ".join(f"{ph:.2f}" for ph in ph_series(now.value, written.value)[:4])
    yield f"pH is {now.value:.2f} and was {written.value:.2f}: aim at {aims}, a day apart"


def salinity_working(plan: SalinityPlan) -> Iterator[Step]:
    """The volume, then the first change of each leg, then the way back in days."""
    yield from plan.request.state.volume.working
    now = plan.request.start
    seen: set[str] = set()
    for step in plan.steps:
        put_in = plan.down if step.leg == "down" else plan.up
        if step.leg not in seen and step.leg != "hold" and put_in is not None:
            seen.add(step.leg)
            yield Step(
                label=f"first change {step.leg}",
                expression=f"{digits(plan.water.value)} L × ({digits(now)} − {digits(step.after)}) / "
                f"({digits(now)} − {digits(put_in.salinity)}), by mass",
                result=f"{digits(step.litres.value)} L",
                source="DERIVED",
            )
        now = step.after
    high = max(plan.request.start, plan.end)
    pace = plan.request.treatment.needed("raising_per_day_salinity")
    yield Step(
        label="the way up",
        expression=f"({digits(high)} − {digits(plan.low)}) g/kg / {pace.value:g} g/kg a day",
        result=f"{plan.raising_days:.1f} d",
        source=pace.source,
    )
