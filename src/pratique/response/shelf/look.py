"""The shelf of a room at a moment: for the plan by date, for an emergency tonight, and the kit."""

from __future__ import annotations

from pratique.history.fold import History
from pratique.response.scene import Scene, scene_of
from pratique.response.shelf.emergency import emergencies, fast_killers, gathered, unanswered
from pratique.response.shelf.kit import kit_of
from pratique.response.shelf.ledger import ledger, spent
from pratique.response.shelf.model import Shelf
from pratique.response.shelf.planned import Planned, supplies_of
from pratique.response.shelf.stock import containers, supplies
from pratique.room.resolve import Room


def look_over(room: Room, history: History, *, scene: Scene | None = None) -> Shelf:
    """The whole shelf. What the log used, bought and spoiled is counted; salt and mixed water are as the file says."""
    scene = scene or scene_of(room, history, history.at)
    there = tuple(supplies(room, history))
    planned = Planned(room, scene.plan, history)
    delivery = room.written.room.delivery
    hours = delivery.value if delivery is not None else None
    lines = ledger(supplies_of(planned, there), planned.uses, hours)
    needs = tuple(emergencies(scene, fast_killers()))
    wanted = gathered(needs)
    mixed = containers(scene)
    return Shelf(
        at=history.at,
        until=planned.until,
        delivery=hours,
        lines=lines,
        containers=mixed,
        syringes=tuple(room.written.syringes),
        wanted=wanted,
        kit=kit_of(scene, there, wanted, mixed),
        spent=spent(lines),
        tonight=tuple(unanswered(scene, needs)),
    )
