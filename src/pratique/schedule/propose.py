"""Which regimen an arriving batch should have, and why, in the keeper's words."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.dosing.facts import VELVET_SIGNS, WOUNDS
from pratique.dosing.ramp import is_guarded
from pratique.knowledge import store
from pratique.knowledge.model import Regimen, StagePlan
from pratique.room.model import OwnRegimen
from pratique.room.resolve import Batch, Room

NO_SIGNS = "no signs were seen"
"""How a reason says that a batch shows nothing."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A regimen, and the reasons for it."""

    regimen: Regimen
    why: tuple[str, ...]


def find_regimen(room: Room, name: str) -> Regimen:
    """The keeper's own regimen of that name, or the one that ships. KeyError where there is none."""
    own = room.written.regimens.get(name)
    return _own(name, own) if own is not None else store.regimens()[name]


def _own(name: str, own: OwnRegimen) -> Regimen:
    stages = tuple(
        StagePlan(
            name=stage.name,
            kind=stage.kind,
            use=stage.use,
            treatments=stage.treatments,
            only_with_signs=stage.only_with_signs,
            why=stage.why,
        )
        for stage in own.stages
    )
    return Regimen(id=name, title=own.title, why=own.reason, misses=own.misses, stages=stages, confidence="K", own=True)


def velvet_signs(batch: Batch) -> tuple[str, ...]:
    """The signs for which velvet has to be feared: the faster agent is acted on where two cannot be told apart.

    None where a sign speaks against velvet (spots that can be counted) and nothing for it alone.
    """
    weights = store.pathogen("amyloodinium").signs
    against = any(sign in weights and weights[sign].weight == "unusual" for sign in batch.signs)
    if against and not VELVET_SIGNS & set(batch.signs):
        return ()
    return tuple(s for s in batch.signs if s in VELVET_SIGNS or (s in weights and weights[s].weight == "typical"))


def copper_signs(batch: Batch) -> tuple[str, ...]:
    """The signs that are usual for what copper stops, velvet and white spot."""
    agents = [store.pathogen(id_).signs for id_ in ("cryptocaryon", "amyloodinium")]
    return tuple(s for s in batch.signs if any(s in signs and signs[s].weight == "typical" for signs in agents))


def stages_for(regimen: Regimen, batch: Batch) -> tuple[StagePlan, ...]:
    """The stages this batch goes through: some are only for batches with signs, copper for signs it answers."""
    return tuple(stage for stage in regimen.stages if not stage.only_with_signs or _called_for(stage, batch))


def _called_for(stage: StagePlan, batch: Batch) -> bool:
    return bool(copper_signs(batch) if stage.kind == "hold" else batch.signs)


def candidates(room: Room, batch: Batch) -> list[Proposal]:
    """The keeper's choice alone, or what the program proposes, best first. The first that can be planned is taken."""
    chosen = batch.written.regimen
    if chosen is None:
        return proposals(batch)
    return [Proposal(find_regimen(room, chosen), (batch.written.because or "chosen in the room file",))]


def proposals(batch: Batch) -> list[Proposal]:
    """The regimens that would suit this batch, best first."""
    kinds = {animal.group.kind for animal in batch.animals}
    if not any(animal.group.is_fish for animal in batch.animals):
        return [_of("fishless-hold", "there are no fish in this batch")]
    if "cartilaginous fish" in kinds:
        return [_of("without-copper", "sharks and rays may have neither copper nor transfers")]
    fast = [store.signs()[sign].title for sign in velvet_signs(batch)]
    if fast:
        why = f"signs that velvet shows were seen ({', '.join(fast)}), and transfers do not stop velvet"
        return [_of("copper-hold", why)]
    copper = _of("copper-hold", "copper is held where two tanks for transfers are not to be had")
    if copper_signs(batch):
        seen = ", ".join(store.signs()[sign].title for sign in copper_signs(batch))
        return [_of("transfers-anthelmintic", f"signs were seen ({seen}), so copper is part of it"), copper]
    return _without_signs(batch, copper)


def _without_signs(batch: Batch, copper: Proposal) -> list[Proposal]:
    trusted = {"trusted": "trusted", "unsure": "not yet trusted", "untrusted": "not trusted"}[batch.written.trust]
    signs = "the signs seen are not those of white spot or velvet" if batch.signs else NO_SIGNS
    source = f"`{batch.written.source}` is {trusted}, and {signs}"
    if WOUNDS & set(batch.signs):
        return [_of("watch-only", f"{source}; a wounded fish is neither moved about nor medicated without advice")]
    if batch.written.trust == "trusted" and not batch.signs:
        return [_of("watch-only", f"{source}: watched long, treated only on signs")]
    watch = _of("watch-only", "nothing else could be planned here; a watch alone is meant for trusted sources")
    spared = _of("without-copper", "the margin in copper is narrow for an animal in this batch, so copper is left out")
    return [_of("transfers-anthelmintic", source), spared if is_guarded(batch.animals) else copper, watch]


def _of(id_: str, why: str) -> Proposal:
    return Proposal(store.regimens()[id_], (why,))
