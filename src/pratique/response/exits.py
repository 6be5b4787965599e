"""Who comes out and who stays: everybody who shares the water is exposed, not only the one that shows it."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.knowledge import store
from pratique.knowledge.model import cite
from pratique.response.chosen import Chosen, comes_out
from pratique.response.model import Going
from pratique.response.places import free_tanks
from pratique.response.scene import Case
from pratique.room.resolve import Animal


def goings_for(case: Case, chosen: Chosen) -> tuple[Going, ...]:
    """A line for each animal of the whole water, those that move first."""
    return tuple(_goings(case, chosen)) if case.cover else tuple(_all_stay(case))


def _goings(case: Case, chosen: Chosen) -> Iterator[Going]:
    place = chosen.place
    if place.kind == "here":
        treated = any(option.chosen for option in chosen.options)
        to, why = "stays", "treated where it is" if treated else "nothing is given that it would be caught for"
    else:
        to, why = place.tank, "every fish of this water, the well ones too"
    for animal in case.fish:
        yield _going(animal, to, why, "COMMON, practice B36 and D16 (C)")
    for animal in case.dying:
        text = "near death: clean water at once, no dip, no bath"
        yield _going(animal, to, text, cite(store.response().said("dying")[0]))
    ray_tank = tank_for_rays(case, chosen)
    for animal in case.rays:
        text = "shark or ray: clean water of its own" if ray_tank else "shark or ray: there is no second clean tank"
        yield _going(animal, ray_tank or "stays", f"{text}; no copper, a veterinarian decides", _no_copper())
    for animal in case.stays:
        if not comes_out(case.cover):
            yield _going(animal, "stays", "no medicine goes into this water", "")
            continue
        text = "a coral: copper kills it" if animal.group.kind == "coral" else "no backbone: copper kills it"
        if place.kind == "here" and any(option.chosen for option in chosen.options):
            text = "no backbone: where it is, no medicine may go in"
        yield _going(animal, "stays", f"{text}; it stays without fish", "FA165, opening; treatments 4 (V)")


def _all_stay(case: Case) -> Iterator[Going]:
    for animal in (*case.movers, *case.rays, *case.stays):
        yield _going(animal, "stays", "the water is set right first", "")


def _going(animal: Animal, to: str, why: str, source: str) -> Going:
    return Going(animal=animal.label, count=animal.count, to=to, why=why, source=source)


def _no_copper() -> str:
    return cite(store.response().said("cartilaginous")[0])


def tank_for_rays(case: Case, chosen: Chosen) -> str:
    """A second clean tank for sharks and rays, which never share a medicated one; empty where there is none."""
    if not case.rays:
        return ""
    return next((tank.name for tank in free_tanks(case) if tank.name != chosen.place.tank), "")


def leaves_no_fish(case: Case, chosen: Chosen) -> bool:
    """True where no fish is left in the water: its fallow begins with the last one out."""
    if not case.cover or chosen.place.kind == "here":
        return False
    return bool(case.movers or case.rays) and (not case.rays or bool(tank_for_rays(case, chosen)))
