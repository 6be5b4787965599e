"""What all batches of one plan share: the hours, the bookings, and figures that are worked out once."""

from __future__ import annotations

from pratique.dosing.product import products_for
from pratique.figure import Figure
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.room.resolve import Room, Tank
from pratique.room.values import treatment_for
from pratique.schedule.calendar import Calendar
from pratique.schedule.ledger import Ledger
from pratique.schedule.occupants import residents_now
from pratique.water.dilution import changes_to_reach
from pratique.water.volume import net_volume


class Basis:
    """One room while its plan is made. `history` is None where nothing is on record; `residents` are by water."""

    def __init__(self, room: Room, history: History | None = None) -> None:
        self.room = room
        self.history = history if history is not None and not history.is_empty else None
        self.calendar = Calendar(room)
        self.residents = residents_now(room, self.history)
        self.ledger = Ledger(room, self.residents)
        self.gear = [name for name, gear in room.written.gear.items() if gear.for_ in ("transfers", "all")]
        self._treatments: dict[str, Treatment] = {}
        self._volumes: dict[str, Figure] = {}

    def treatment(self, id_: str) -> Treatment:
        """As this room uses it, the keeper's own values first."""
        if id_ not in self._treatments:
            self._treatments[id_] = treatment_for(self.room, id_)
        return self._treatments[id_]

    def volume(self, tank: Tank) -> Figure:
        """The net volume (L) of the whole water the tank is in."""
        if tank.water not in self._volumes:
            self._volumes[tank.water] = net_volume(self.room.waters[tank.water]).figure
        return self._volumes[tank.water]

    def temperature(self, tank: Tank) -> float | None:
        """degC of the tank's water, or None where it is not on file."""
        measured = self.room.waters[tank.water].conditions.temperature
        return measured.value if measured is not None else None

    def is_at_hand(self, treatment: Treatment) -> bool:
        """True where the shelf holds it, and a kit on file can read its form."""
        kits = self.room.written.kits.values()
        readable = not treatment.form or any(k.measures == "copper" and treatment.form in k.forms for k in kits)
        return not treatment.active or (readable and bool(products_for(self.room, treatment)))

    def copper_out(self, treatment: Treatment) -> tuple[int, float]:
        """How many equal changes, and of which share of the water, take copper below what a kit can tell."""
        most = store.routine().needed("clearing_share").value / 100
        level, unseen = treatment.needed("target").high, treatment.needed("kit_detection").value
        if unseen <= 0:
            unseen = store.treatment(treatment.id).needed("kit_detection").value
        return changes_to_reach(level, unseen, most) if level > unseen else (1, most)
