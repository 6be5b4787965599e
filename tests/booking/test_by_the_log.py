"""A wish is kept apart from who is in a tank by the log, whatever the room file says."""

from __future__ import annotations

import pytest

from history.kept import build, history
from pratique.booking.fit import Fitness
from pratique.booking.wishes import ask
from pratique.knowledge import store
from pratique.schedule.basis import Basis

APART = [{"between": ["cleaner shrimp", "longnose hawkfish"], "because": "it eats shrimp"}]
WISH = {
    "source": "a shop",
    "trust": "untrusted",
    "earliest": "2027-04-02T18:30",
    "latest": "2027-04-06",
    "animals": [{"species": "longnose hawkfish"}],
}


@pytest.mark.parametrize(
    ("lines", "unfit"),
    [("", "reef"), ("2027-03-01T08:00 move cleaner shrimp to long", "long")],
)
def test_where_the_shrimp_is_by_the_log_the_hawkfish_is_not_sent(lines: str, unfit: str) -> None:
    shrimp = [{"species": "cleaner shrimp", "tank": "reef"}]
    room = build(animals=shrimp, apart=APART, wishes={"x": WISH})
    fitness = Fitness(Basis(room, history(room, lines, "2027-03-02T08:00")))
    asked = ask(room, room.wishes["x"])
    watched = store.treatment("observation")
    found = {name: fitness.why_unfit(asked.wish, asked.batch, room.tanks[name], watched) for name in ("reef", "long")}
    assert [name for name, why in found.items() if "cleaner shrimp" in why] == [unfit], found
