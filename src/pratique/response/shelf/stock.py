"""What is there by the room file and the log: bottles, salt, tests, mixed water and whether its container is in use."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dates import shown_day
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.response.scene import Scene
from pratique.response.shelf.model import Container, Supply
from pratique.room.resolve import Room
from pratique.room.times import absolute
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.feeds import litres_of
from pratique.water.salinity import grams_per_kg

SALT = "salt"


def supplies(room: Room, history: History) -> Iterator[Supply]:
    """Every bottle with what the log left in it, the salt, and every kit whose tests are counted."""
    for name, product in room.written.shelf.items():
        bottle = history.bottles.get(name)
        left = product.left.value if product.left is not None else None
        yield Supply(
            kind="product",
            name=name,
            unit=product.strength.per,
            have=bottle.left if bottle is not None else left,
            what=f"{product.form or ''} {product.active}".strip(),
            last_day=product.expires.date if product.expires is not None else None,
            price=product.price,
        )
    salt = room.written.salt
    yield Supply(
        kind="salt", name=SALT, unit="g", have=salt.left.value if salt.left is not None else None, what="dry salt",
        price=salt.price,
    )  # fmt: skip
    for name in room.written.kits:
        kit = kit_supply(history, name)
        if kit is not None:
            yield kit


def kit_supply(history: History, name: str) -> Supply | None:
    """A kit's tests: those on file less the readings in the log taken with it; None where they are not counted."""
    kits = history.room.written.kits
    kit = kits[name]
    if kit.left is None:
        return None
    only = sum(other.measures == kit.measures for other in kits.values()) == 1
    read = sum(
        reading.what == kit.measures and (reading.kit == name or (not reading.kit and only))
        for record in history.waters.values()
        for reading in record.readings
    )
    last_day = kit.expires.date if kit.expires is not None else None
    have = float(max(kit.left - read, 0))
    return Supply(kind="test", name=name, unit="test", have=have, what=f"tests of {kit.measures}", last_day=last_day)


def missing_product(treatment: Treatment) -> Supply:
    """A product that a treatment of the plan has none of."""
    what = f"{treatment.form} {treatment.active}".strip()
    return Supply(kind="product", name=what, unit="", have=0.0, what=f"for {treatment.title}", missing=True)


def missing_test(measures: str) -> Supply:
    """A test that the plan reads with and no kit is on file for."""
    word = "pH" if measures == "ph" else measures
    return Supply(kind="test", name=f"{word} test", unit="test", have=0.0, what="no kit on file", missing=True)


def containers(scene: Scene) -> tuple[Container, ...]:
    """The mixed water on file, container by container."""
    return tuple(_containers(scene))


def _containers(scene: Scene) -> Iterator[Container]:
    room, at = scene.room, scene.at
    for entry in room.written.mixed_water:
        made = absolute(entry.made, room.zone) if entry.made is not None else None
        changed = 0.0
        if made is not None:
            changed = sum(
                litres_of(room, water, exchange)
                for water in room.waters
                for exchange in scene.history.of_water(water).exchanges
                if instant(exchange.at) >= instant(made)
            )
        yield Container(
            name=entry.container or "",
            litres=entry.volume.value,
            salinity=grams_per_kg(entry.salinity) if entry.salinity is not None else None,
            age=max(elapsed_hours(made, at) / 24, 0.0) if made is not None else None,
            busy=_busy(scene, entry.container or ""),
            changed=changed,
        )


def _busy(scene: Scene, name: str) -> str:
    """What else a container is wanted for: it is a tank with somebody in it or to come, or a vessel for dips."""
    room = scene.room
    if not name:
        return "which container is not on file"
    if name in room.tanks:
        living = scene.animals_in(room.tanks[name].water)
        if living:
            return f"{name} is a tank, and {living[0].label} is in it"
        wanted = scene.wanted_by(name)
        if wanted is not None:
            return f"{name} is a tank, and {wanted[0]} goes into it on {shown_day(wanted[1])}"
        return f"{name} is a tank: empty now, and full of this water"
    if name in room.written.vessels:
        return f"{name} is a vessel: not for a dip while this water is in it"
    return ""
