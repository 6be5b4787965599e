"""The emergency kit for this room: each thing of the list, how much of it here, and whether it is there."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial

from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.knowledge.keeping import KitItem
from pratique.response.scene import Scene
from pratique.response.shelf.model import Container, KitLine, Supply, Wanted
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.water.mixing import SEA, salt_for
from pratique.water.state import DENSITY_AT, look_at


def kit_of(
    scene: Scene, there: Sequence[Supply], wanted: Sequence[Wanted], containers: Sequence[Container]
) -> tuple[KitLine, ...]:
    """Every thing of the list. Sources: those of the list; TEOS-10 for the salt; the dosing engine for the doses."""
    amounts = dict(_amounts(scene.room, wanted))
    look = partial(_look, scene, there, containers, wanted)
    return tuple(look(item, amounts.get(item.amount)) for item in store.shelf().kit)


def _amounts(room: Room, wanted: Iterable[Wanted]) -> Iterator[tuple[str, Figure]]:
    """The rules of the list by name."""
    wanted = tuple(wanted)
    again, fillings = store.shelf().needed("again").value, store.shelf().needed("fillings").value
    held = _most(wanted, lambda row: row.need.treatment.startswith("copper-"))
    if held is not None:
        yield "held", held.times(again)
    bath = _most(wanted, lambda row: row.need.treatment == "formalin-bath")
    if bath is not None:
        yield "bath", bath.times(again)
    litres = _most(wanted, lambda row: row.need.kind == "mixed water")
    if litres is not None:
        yield "fill", litres
        yield "fillings", _salt(room, litres.value * fillings)
    treatment = treatment_for(room, _copper(room))
    ramp = treatment.needed("ramp_interval").value * max(treatment.needed("ramp_steps").value - 1, 0)
    days = treatment.needed("course").value / treatment.needed("test_interval").value
    tests = ramp / treatment.needed("test_interval_first").value + days
    yield "copper-tests", Figure.exact(round(tests), "count")
    yield "daily-tests", Figure.exact(round(days), "count")
    wards = sum(tank.use != "display" for tank in room.tanks.values())
    yield "stones", Figure.exact(max(wards, 1) + 1, "count")
    for name, count in (("places", max(wards, 1)), ("one", 1), ("two", 2), ("three", 3)):
        yield name, Figure.exact(float(count), "count")


def _most(wanted: Iterable[Wanted], which: Callable[[Wanted], bool]) -> Figure | None:
    found = [row.need.need for row in wanted if which(row) and row.need.need is not None]
    return max(found, key=lambda figure: figure.value, default=None)


def _salt(room: Room, litres: float) -> Figure:
    """g for so many L, at the saltiest water of the room."""
    known = [state.salinity for name in room.tanks if (state := look_at(room, name)).salinity is not None]
    most = salt_for(litres, max((s for s in known if s is not None), default=SEA), DENSITY_AT).salt.high
    return Figure.exact(most, "g")


def _copper(room: Room) -> str:
    form = next((product.form for product in room.written.shelf.values() if product.form is not None), "chelated")
    return f"copper-{form}"


def _look(
    scene: Scene,
    there: Sequence[Supply],
    containers: Sequence[Container],
    wanted: Sequence[Wanted],
    item: KitItem,
    amount: Figure | None,
) -> KitLine:
    written = scene.room.written
    if item.kind == "product":
        names = [name for name, product in written.shelf.items() if product.active == item.key]
        return _product(item, amount, [supply for supply in there if supply.name in names], scene)
    if item.kind == "water":
        litres = sum(entry.litres for entry in containers)
        return KitLine(item=item, amount=amount, there=_enough(litres, amount), have=f"{digits(litres)} L")
    if item.kind == "salt":
        left = written.salt.left
        have = left.value if left is not None else 0.0
        said = _said(have, "g") if left is not None else "not on file"
        return KitLine(item=item, amount=amount, there=_enough(have, amount), have=said)
    if item.kind == "test":
        kits = [name for name, kit in written.kits.items() if kit.measures == item.key]
        counted = [supply for supply in there if supply.kind == "test" and supply.name in kits]
        have = sum(supply.have or 0.0 for supply in counted)
        good = bool(kits) and (not counted or _enough(have, amount))
        return KitLine(
            item=item, amount=amount, there=good, name=", ".join(kits), have=f"{have:g} left" if counted else ""
        )
    if item.kind == "tank":
        free = next((row for row in wanted if row.need.kind == "tank"), None)
        return KitLine(item=item, amount=amount, there=free.need.enough if free is not None else None,
                       name=free.need.name if free is not None else "")  # fmt: skip
    if item.key == "veterinarian":
        return KitLine(item=item, amount=amount, there=written.room.veterinarian is not None)
    listed = {"gear": [*written.gear], "vessel": [*written.vessels], "syringe": [*written.syringes]}.get(item.kind)
    if listed is None:
        return KitLine(item=item, amount=amount, there=None)
    enough = len(listed) >= (amount.value if amount is not None else 1)
    return KitLine(item=item, amount=amount, there=enough, name=", ".join(listed), have=f"{len(listed)} on file")


def _product(item: KitItem, amount: Figure | None, there: Sequence[Supply], scene: Scene) -> KitLine:
    """Bottles that are good today; where nobody wrote what is left, that there is one is all that is known."""
    today = scene.at.date()
    good = [supply for supply in there if supply.last_day is None or supply.last_day >= today]
    names = ", ".join(supply.name for supply in good)
    if not good:
        return KitLine(item=item, amount=amount, there=False, have="out of date" if there else "")
    known = [supply for supply in good if supply.have is not None]
    if not known or amount is None or any(supply.unit != amount.unit for supply in known):
        empty = bool(known) and all(not supply.have for supply in known)
        return KitLine(item=item, amount=amount, there=not empty, name=names, have=_left(known))
    have = sum(supply.have or 0.0 for supply in known)
    return KitLine(item=item, amount=amount, there=_enough(have, amount), name=names, have=_left(known))


def _left(known: Sequence[Supply]) -> str:
    return ", ".join(_said(supply.have or 0.0, supply.unit) for supply in known)


def _said(value: float, unit: str) -> str:
    larger = {"g": "kg", "mL": "L"}
    return f"{digits(value / 1000)} {larger[unit]}" if unit in larger and value >= 1000 else f"{digits(value)} {unit}"


def _enough(have: float, amount: Figure | None) -> bool:
    return have > 0 if amount is None else have >= amount.value
