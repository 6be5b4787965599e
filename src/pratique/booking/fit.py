"""Which waters can serve which stage of which wish, and the words for why one cannot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pratique.booking.company import clash
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.room.resolve import Animal, Batch, Tank, Wish
from pratique.schedule.basis import Basis

COPPER = "copper"


@dataclass(frozen=True, slots=True)
class Fitness:
    """What holds for every booking of one room: `coppered` are the waters that have had copper by the record."""

    basis: Basis
    coppered: frozenset[str] = frozenset()

    def tanks(self, wish: Wish, batch: Batch, uses: tuple[str, ...], treatment: Treatment) -> tuple[Tank, ...]:
        """The first fit tank of each water, in the order in which the plan would take them."""
        found: dict[str, Tank] = {}
        for tank in self.basis.ledger.fit_tanks(uses, treatment):
            if tank.water not in found and not self.why_unfit(wish, batch, tank, treatment):
                found[tank.water] = tank
        return tuple(found.values())

    def why_unfit(self, wish: Wish, batch: Batch, tank: Tank, treatment: Treatment) -> str:
        """Why this tank will not do for this wish, though it would for the treatment; or empty."""
        jumper = next((animal.label for animal in batch.animals if animal.jumps), "")
        if jumper and not tank.written.lid:
            return f"`{tank.name}` has no lid, and {jumper} jumps"
        least = wish.written.least
        if least is not None and self.basis.volume(tank).value < least.value:
            return f"`{tank.name}` is smaller than {least.text}"
        conditions = self.basis.room.waters[tank.water].conditions
        if wish.written.living_filter and treatment.kind != "transfers" and not conditions.cycled:
            return f"`{tank.name}` has no living filter"
        if tank.water in self.coppered and any(not animal.group.is_fish for animal in batch.animals):
            return f"`{tank.name}` has had copper, which harms animals without a backbone"
        who = clash(self.basis.room, batch.animals, self._residents(tank))
        return f"`{tank.name}`: {who}" if who else ""

    def _residents(self, tank: Tank) -> Iterable[Animal]:
        """Fish keep every other batch out already; of the others only what is kept apart counts."""
        named = {word.lower() for apart in self.basis.room.written.apart for word in apart.between}
        residents = self.basis.residents.get(tank.water, ())
        return [a for a in residents if a.group.is_fish or named & {a.label.lower(), a.group.id}]


def coppered(history: History | None) -> frozenset[str]:
    """The waters into which copper has gone by the record."""
    if history is None:
        return frozenset()
    room, found = history.room, set()
    shelf = room.written.shelf
    for water in room.waters:
        for entry in history.of_water(water).additions:
            product = shelf.get(entry.product or "")
            if product is not None and product.active == COPPER:
                found.add(water)
    return frozenset(found)
