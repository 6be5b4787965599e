"""What may not go elsewhere yet, and what is to be disinfected: corals, snails, rock; nets, and tanks left empty."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pratique.clocks.rules import fallow_rule
from pratique.contacts.clocks import is_fish, last_fish_out
from pratique.contacts.gather import Basis
from pratique.contacts.model import HeldItem, Level, Node, Reached, ToClean
from pratique.contacts.spread import Exposure
from pratique.dates import shown_day
from pratique.dosing.cleaning.drying import drying, ready_after
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, cite
from pratique.logbook.quotes import shell_line
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant, plus_hours
from pratique.schedule.feeds import cut


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldFigures:
    """How long something is held without fish; without `long` the reason is `no_date`."""

    long: Sourced | None
    warm: Sourced | None
    no_date: str


def hold_figures(basis: Basis, agent: str) -> HoldFigures:
    """Of one agent, or the longest in use where none is named. Source: COMMON (practice D19, agents 16)."""
    if agent:
        rule = fallow_rule(store.pathogen(agent))
        return HoldFigures(long=rule.long, warm=rule.warm, no_date=rule.no_date)
    hold = treatment_for(basis.room, "fishless-hold")
    return HoldFigures(long=hold.needed("days"), warm=hold.needed("minimum"), no_date="")


def held_items(basis: Basis, reached: Iterable[Reached], agent: str) -> Iterator[HeldItem]:
    """Everything without a spine in the exposed waters, the rock and the sand of their tanks, what was carried in."""
    figures = hold_figures(basis, agent)
    for found in reached:
        if found.until is not None:
            continue
        fish = any(is_fish(basis, stay) for stay in found.here)
        since = basis.history.at if fish else _since(basis, found)
        for what in dict.fromkeys(_items(basis, found)):
            yield _held(found, what, figures, since, with_fish=fish)


def _since(basis: Basis, found: Reached) -> dt.datetime:
    """From when on the days count in a water without fish."""
    last = found.last if found.level != "possible" else found.since
    return max(last_fish_out(basis, found.water) or found.since, last, key=instant)


def _items(basis: Basis, found: Reached) -> Iterator[str]:
    counts: dict[str, int] = {}
    for stay in found.here:
        if not is_fish(basis, stay):
            counts[stay.animal] = counts.get(stay.animal, 0) + stay.count
    yield from (f"{count} {name}" if count > 1 else name for name, count in counts.items())
    listed: set[str] = set()
    for name in found.tanks:
        written = basis.room.tanks[name].written
        things = [
            word for word, there in (("rock", written.rock != "none"), ("sand", written.substrate != "bare")) if there
        ]
        listed.update(things)
        if things:
            yield f"{' and '.join(things)} of {name}"
    latest: dict[str, dt.datetime] = {}
    for carried in cut(basis.history.of_water(found.water).carried, (found.since, None)):
        latest.update((thing, carried.at) for thing in carried.things if thing != "water" and thing not in listed)
    yield from (f"{thing} put in on {shown_day(at)}" for thing, at in latest.items())


def _held(found: Reached, what: str, figures: HoldFigures, since: dt.datetime, *, with_fish: bool) -> HeldItem:
    if figures.long is None:
        return HeldItem(
            what=what, water=found.water, since=since, until=None, until_warm=None, waits=with_fish,
            says=f"no date: {figures.no_date}", source="",
        )  # fmt: skip
    warm = plus_hours(since, figures.warm.value) if figures.warm is not None else None
    long = figures.long
    degrees = f"{figures.warm.from_:g} °C" if figures.warm is not None and figures.warm.from_ is not None else "27 °C"
    short = f", {figures.warm.value / 24:g} d if it is {degrees} or more throughout" if figures.warm is not None else ""
    begin = "once it is in a water without fish" if with_fish else "while no fish goes in"
    return HeldItem(
        what=what, water=found.water, since=since, until=plus_hours(since, long.value), until_warm=warm,
        waits=with_fish, says=f"{long.value / 24:g} d{short}, {begin}", source=cite(long),
    )  # fmt: skip


def to_clean(
    basis: Basis, reached: Iterable[Reached], gear: Iterable[tuple[Node, Level, Exposure]], agent: str
) -> Iterator[ToClean]:
    """Gear that is exposed and not dry since, and exposed tanks with nobody in them. Displays stand fallow instead."""
    at = basis.history.at
    ready = ready_after(at, drying())
    says = how_to_clean(agent)
    bleach = any(product.active == "chlorine" for product in basis.room.written.shelf.values())
    for node, level, exposure in gear:
        words = [["dip", "chlorine-disinfection", "--for", node[1]]] if bleach else []
        words.append(["dip", "drying", "--for", node[1]])
        yield ToClean(
            what=node[1], kind="gear", level=level, since=exposure.at, ready=ready, says=says, commands=_typed(words)
        )
    for found in reached:
        if found.until is not None or found.here:
            continue
        for name in found.tanks:
            if basis.room.tanks[name].use == "display":
                continue
            words = [["dose", name, "chlorine-disinfection"]] if bleach else []
            words.append(["dose", name, "drying"])
            yield ToClean(
                what=name, kind="tank", level=found.level, since=found.since, ready=ready, says=says,
                commands=_typed(words),
            )  # fmt: skip


def _typed(words: list[list[str]]) -> tuple[str, ...]:
    return tuple(shell_line(["pratique", *line]) for line in words)


def how_to_clean(agent: str) -> str:
    """Level, time and drying: the strongest figure wins. Source: PIPER82, agents 14."""
    chlorine, dry = store.treatment("chlorine-disinfection"), drying()
    level, hours = chlorine.needed("level"), chlorine.needed("contact_time")
    known = ""
    if agent:
        record = store.pathogen(agent)
        number = record.number("kill_cyst_chlorine") or record.number("kill_egg_chlorine")
        drought = record.number("kill_cyst_drying") or record.number("kill_egg_drying")
        level_known = f"{number.value:g} mg/L chlorine ({number.source}, {number.confidence})" if number else ""
        dry_known = f"{drought.value:g} h dry ({drought.source}, {drought.confidence})" if drought else ""
        figures = ", ".join(filter(None, (level_known, dry_known)))
        known = f"; known of {record.short}: {figures or 'no figure, so the strongest is taken'}"
    total = dry.needed("drying_margin").value + dry.needed("dry").value
    return (
        f"scrub, {level.value:g} mg/L chlorine for {hours.value:g} h at the least, neutralise, rinse, then visibly dry "
        f"and {dry.needed('dry').value:g} h more ({total:g} h in all){known}"
    )
