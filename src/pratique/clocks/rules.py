"""The rules of each clock, from what is known: figures of the treatment or the agent, limits of `clocks.yaml`.

A treatment is passed in as the room uses it, so a keeper's own value for a course or an interval holds here too.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from pratique.clocks.dryness import DryRule
from pratique.clocks.fallow import FallowRule
from pratique.clocks.hold import Below, HoldRule, Start
from pratique.clocks.levels import Band
from pratique.clocks.transfers import Grace, TransferRule
from pratique.clocks.warmth import WarmthRule
from pratique.clocks.watch import WatchRule
from pratique.knowledge import store
from pratique.knowledge.clockrule import ClockRule
from pratique.knowledge.model import Pathogen, Treatment, cite


def hold_rule(
    treatment: Treatment, *, stays: bool = False, start: Start | None = None, below: Below | None = None
) -> HoldRule | None:
    """How a hold of this treatment is counted; None where no limit is declared for it, so no level can be proven.

    `stays`: the fish stay in the treated tank, so the longer course holds where there is one. A choice left out
    is the default of `clocks.yaml`.
    """
    declared = store.clocks()["hold"]
    gap = declared.limit(treatment.id, "gap")
    salty = treatment.kind == "salinity"
    floor, ceiling = treatment.number("lowest_salinity" if salty else "floor"), treatment.number("ceiling")
    course = (treatment.number("course_same_tank") if stays else None) or treatment.number("course")
    if gap is None or floor is None or ceiling is None or course is None:
        return None
    every = treatment.number("test_interval")
    return HoldRule(
        band=Band(
            unit=floor.unit, floor=floor.value, ceiling=ceiling.value, gap=gap.value,
            side="ceiling" if salty else "floor",
        ),
        needed=course.value,
        every=min(every.value, gap.value) if every is not None else gap.value,
        start=start or _start(declared),
        below=below or _below(declared),
        source=cite(course),
    )  # fmt: skip


def _start(declared: ClockRule) -> Start:
    return "second" if declared.choice("start").default == "second" else "first"


def _below(declared: ClockRule) -> Below:
    return "stop" if declared.choice("below").default == "stop" else "restart"


def transfer_rule(treatment: Treatment, temperatures: Iterable[float | None]) -> TransferRule | None:
    """The strictest figures at all these temperatures (degC) of the tanks; None where one of them has none."""
    declared = store.clocks()["transfers"]
    names = ("interval", "moves", "minimum")
    found = [[treatment.number(name, degrees) for name in names] for degrees in dict.fromkeys(temperatures)]
    known = [[number for number in row if number is not None] for row in found]
    if not known or any(len(row) < len(names) for row in known):
        return None
    interval = min((row[0] for row in known), key=lambda number: number.value)
    alert = treatment.needed("alert").value
    late: Grace = "accept" if declared.choice("grace").default == "accept" else "one-more"
    return TransferRule(
        interval=interval.value,
        grace=treatment.needed("grace").value,
        moves=max(round(row[1].value) for row in known),
        days=max(round(row[2].value / 24) for row in known),
        alert=min(alert, interval.value - declared.needed("alert_before").value),
        early=min(declared.needed("early_interval").value, interval.value),
        dry=DryRule(dry=treatment.needed("dry").value, margin=treatment.needed("drying_margin").value),
        late=late,
        source=cite(interval),
    )


def watch_rule(treatment: Treatment) -> WatchRule:
    """An observation as long as this treatment says."""
    declared = store.clocks()["watch"]
    days = treatment.needed("days")
    return WatchRule(
        needed=days.value, needed_low=days.low, needed_high=days.high, effects=declared.effects(),
        titles=_titles(declared), source=cite(days),
    )  # fmt: skip


def fallow_rule(pathogen: Pathogen) -> FallowRule:
    """How long a water has to be without fish for this agent. Its `long` is None where it gets no date."""
    declared = store.clocks()["fallow"]
    long = pathogen.number("fallow")
    warm = next(iter(pathogen.numbers.get("fallow_warm", ())), None)
    coldest = declared.limit(pathogen.id, "coldest") or pathogen.number("active_temperature")
    warmth = WarmthRule(
        gap=declared.needed("temperature_gap").value,
        warm=warm.from_ if warm is not None else None,
        hot=warm.below if warm is not None else None,
        coldest=coldest.value if coldest is not None else None,
    )
    return FallowRule(
        subject=pathogen.id, long=long, warm=warm, warmth=warmth, effects=declared.effects(pathogen.id),
        titles=_titles(declared), no_date="" if long is not None else _no_date(pathogen),
    )  # fmt: skip


def _no_date(pathogen: Pathogen) -> str:
    """What the record says of a fallow; where it says nothing, that no figure was found."""
    said = next((fact for fact in pathogen.facts if "fallow" in fact.text), None)
    if said is None:
        return f"no time without fish was found for {pathogen.short}"
    return f"{said.text} ({said.source}, {said.where}; {said.confidence})"


def _titles(declared: ClockRule) -> Mapping[str, str]:
    return {event.id: event.text for event in declared.events}
