"""Which regimen an arriving batch should have, and why, in the keeper's words."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.dosing.facts import GUARDED_IN_COPPER
from pratique.knowledge import store
from pratique.knowledge.model import Regimen, StagePlan
from pratique.problem import Problem
from pratique.room.model import OwnRegimen
from pratique.room.resolve import Animal, Batch, Room

FAST_SIGNS = {"dust", "gasping", "in-flow", "fast-breathing"}
"""Signs that velvet shows and that transfers do nothing for (agents 12; the faster agent is acted on)."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A regimen, and the reasons for it."""

    regimen: Regimen
    why: tuple[str, ...]


def find_regimen(room: Room, name: str) -> Regimen:
    own = room.written.regimens.get(name)
    return _own(name, own) if own is not None else store.regimens()[name]


def _own(name: str, own: OwnRegimen) -> Regimen:
    stages = tuple(
        StagePlan(name=s.name, kind=s.kind, use=s.use, treatments=s.treatments, only_with_signs=s.only_with_signs, why=s.why)
        for s in own.stages
    )
    return Regimen(id=name, title=own.title, why=own.reason, misses=own.misses, stages=stages, confidence="K", own=True)


def proposals(room: Room, batch: Batch) -> list[Proposal]:
    """The regimens that would suit this batch, best first. The first that the tanks allow is taken."""
    kinds = {animal.group.kind for animal in batch.animals}
    if not kinds & {"bony fish", "cartilaginous fish"}:
        return [_of("fishless-hold", "there are no fish in this batch")]
    if "cartilaginous fish" in kinds:
        return [_of("without-copper", "sharks and rays may not have copper")]
    trust = batch.written.trust
    source = f"`{batch.written.source}` is {'not trusted' if trust == 'untrusted' else 'trusted' if trust == 'trusted' else 'not yet trusted'}"
    fast = [store.signs()[sign].title for sign in batch.signs if sign in FAST_SIGNS]
    guarded = [animal.label for animal in batch.animals if animal.group.id in GUARDED_IN_COPPER]
    copper = _of("copper-hold", "copper is held where two tanks for transfers are not to be had")
    if fast:
        return [_of("copper-hold", f"signs that velvet shows were seen ({', '.join(fast)}), and transfers do not stop velvet")]
    if batch.signs:
        seen = ", ".join(store.signs()[sign].title for sign in batch.signs)
        return [_of("transfers-anthelmintic", f"signs were seen ({seen}), so copper is part of it"), copper]
    if trust == "trusted":
        return [_of("watch-only", f"{source}, and no signs were seen: watched long, treated only on signs")]
    first = _of("transfers-anthelmintic", f"{source}, and no signs were seen")
    watch = _of("watch-only", "neither transfers nor copper can be given here; a watch alone is meant for trusted sources")
    return [first, watch] if guarded else [first, copper, watch]


def _of(id_: str, why: str) -> Proposal:
    return Proposal(store.regimens()[id_], (why,))


def unsuited(room: Room, regimen: Regimen, batch: Batch) -> Problem | None:
    """A regimen that would maim what it is for: copper for a shark, a drug for a shrimp, fish in a fishless hold."""
    stages = [stage for stage in regimen.stages if batch.signs or not stage.only_with_signs]
    treatments = {treatment for stage in stages for treatment in stage.treatments}
    drugs = treatments - {"observation", "fishless-hold"}
    copper = any(treatment.startswith("copper-") for treatment in drugs)
    for animal in batch.animals:
        kind, name = animal.group.kind, animal.label
        if kind in ("coral", "invertebrate") and drugs:
            return _problem(room, batch, animal, f"`{name}` has no backbone, and `{regimen.id}` is meant for fish",
                            "give it a batch of its own with `regimen: fishless-hold`")
        if kind == "cartilaginous fish" and copper:
            return _problem(room, batch, animal, f"`{name}` may not have copper, and `{regimen.id}` gives it", "choose `regimen: without-copper`")
        if kind in ("bony fish", "cartilaginous fish") and "fishless-hold" in treatments:
            return _problem(room, batch, animal, f"`{name}` is a fish, and `{regimen.id}` works only without fish", "give the fish a batch of their own")
    return None


def _problem(room: Room, batch: Batch, animal: Animal, message: str, hint: str) -> Problem:
    places = (room.place((*animal.path, "species")), room.place((*batch.path, "regimen"), label="planned here"))
    return Problem(code="S505", message=message, places=places, hint=hint)
