"""Where the fish go: a clean tank that is free, else where they are, else a tub; and with what water it is filled."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pratique.figure import Figure
from pratique.response.scene import Case, Scene
from pratique.room import model
from pratique.room.resolve import Animal, Room, Tank, Water
from pratique.water.mixing import salt_for
from pratique.water.state import State, look_at, matching_litres
from pratique.water.volume import net_volume

PlaceKind = Literal["tank", "here", "tub", "none"]

TUB = "a food-grade tub"
TUB_LITRES = 10.0
"""L that amounts are given for where no vessel is on file: so much for each 10 L that is poured in (D)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """The water for a place: L needed, L of mixed water that matches, what is left of it, what is still to be mixed.

    `salt` is g for that rest, None where the salinity is not known; `salt_left` is g on the shelf, None where it is
    not on file; `own` is L of the fish's own water that make up what neither gives.
    """

    litres: float
    mixed: float
    left_over: float
    to_mix: float
    salt: Figure | None
    salt_left: float | None
    own: float
    salinity: float | None

    @property
    def salt_short(self) -> bool:
        """True where what is to be mixed takes more salt than there is, or salt that is not on file."""
        if self.to_mix <= 0:
            return False
        return self.salt is None or self.salt_left is None or self.salt_left < self.salt.high


@dataclass(frozen=True, slots=True, kw_only=True)
class Destination:
    """Where the fish go. `tank` is a name of `room`, which has a tub for a tank where there is no other.

    `wanted` is the batch the plan wants the tank for, and when. `each` is true where amounts are for each 10 L.
    """

    kind: PlaceKind
    tank: str
    room: Room
    fill: Fill | None
    wanted: tuple[str, dt.datetime] | None = None
    each: bool = False

    @property
    def water(self) -> Water:
        return self.room.water_of(self.tank)


def free_tanks(case: Case) -> tuple[Tank, ...]:
    """Tanks of other waters with nobody in them and no display among them, the best for a treatment first.

    Bare ones before those with sand or rock, those the plan does not want before those it does, the largest first.
    """
    scene, found = case.scene, list[Tank]()
    for water in scene.room.waters.values():
        if water.name == case.water.name or any(tank.use == "display" for tank in water.tanks):
            continue
        if not scene.animals_in(water.name):
            found += water.tanks
    return tuple(sorted(found, key=lambda tank: _rank(scene, tank)))


def taken_tanks(case: Case) -> Iterator[tuple[Tank, str]]:
    """Tanks that could serve but for who is in them, each with the reason in words."""
    scene = case.scene
    for water in scene.room.waters.values():
        if water.name == case.water.name or any(tank.use == "display" for tank in water.tanks):
            continue
        there = scene.animals_in(water.name)
        if there:
            yield water.tanks[0], _who_is_in(scene, water, there)


def _who_is_in(scene: Scene, water: Water, there: tuple[Animal, ...]) -> str:
    planned = [name for name, tank in scene.places.items() if scene.room.tanks[tank].water == water.name]
    if planned and not scene.history.in_water(water.name):
        who = f"by the plan {', '.join(planned)} is in it, and no arrival is in the log"
        return f"{who}; if it stands empty, it is the better place"
    return f"{', '.join(dict.fromkeys(animal.label for animal in there))} in it"


def _rank(scene: Scene, tank: Tank) -> tuple[object, ...]:
    water = scene.room.waters[tank.water]
    bare = tank.written.substrate != "calcareous" and tank.written.rock != "calcareous"
    litres = net_volume(water).figure.value
    holds = bool(water.conditions.holds)
    return (not bare, holds, tank.use == "observation", scene.wanted_by(tank.name) is not None, -litres, tank.name)


def destinations(case: Case) -> Iterator[Destination]:
    """Every place that can be thought of, the best first: here where it is no display, free tanks, here, a tub.

    A display is treated only where nothing lives in it but bony fish; what its sand and rock forbid, the dose refuses.
    """
    here = Destination(kind="here", tank=case.suspicion.tank, room=case.room, fill=None)
    ward = "display" not in case.uses
    if ward:
        yield here
    for tank in free_tanks(case):
        yield Destination(
            kind="tank",
            tank=tank.name,
            room=case.room,
            fill=fill_for(case, net_volume(case.room.water_of(tank.name)).figure.value),
            wanted=case.scene.wanted_by(tank.name),
        )
    if not ward and not case.stays and not case.rays:
        yield here
    yield tub_of(case)


def tub_of(case: Case) -> Destination:
    """The largest vessel as a tank, where there is another one for a dip; else each 10 L of any clean tub."""
    vessels = case.room.written.vessels
    if len(vessels) > 1:
        name = max(vessels, key=lambda vessel: (vessels[vessel].value, vessel))
        litres, each = vessels[name].value, False
        written = model.VolumeSpec.model_construct(measured=vessels[name])
    else:
        name, litres, each = TUB, TUB_LITRES, True
        written = model.VolumeSpec.model_validate({"measured": f"{TUB_LITRES:g} L"})
    room = with_tub(case.room, name, written, case.water)
    return Destination(kind="tub", tank=name, room=room, fill=fill_for(case, litres), each=each)


def with_tub(room: Room, name: str, volume: model.VolumeSpec, like: Water) -> Room:
    """The room with a bare tank `name` more, filled with water like that of `like` and nothing in it."""
    said = like.conditions
    written = model.Tank.model_validate({"use": "ward", "volume": {"measured": "1 L"}}).model_copy(
        update={"volume": volume, "temperature": said.temperature, "salinity": said.salinity, "ph": said.ph}
    )
    path = ("vessels", name)
    tank = Tank(name=name, water=name, written=written, path=path)
    water = Water(name=name, conditions=written, tanks=(tank,), sump=None, path=path)
    return replace(room, tanks={**room.tanks, name: tank}, waters={**room.waters, name: water})


def state_of(case: Case) -> State:
    """The infected water as it is on file."""
    return look_at(case.room, case.suspicion.tank)


def fill_for(case: Case, litres: float) -> Fill:
    """The water for a place of `litres`: mixed water that matches first, then new-mixed, then the fish's own.

    Source: TEOS-10 for the salt; its purity is from memory.
    """
    state = state_of(case)
    mixed = min(matching_litres(state), litres)
    to_mix = litres - mixed
    salt = None
    if state.salinity is not None and to_mix > 0:
        salt = salt_for(to_mix, state.salinity, state.warmth).salt
    left = case.room.written.salt.left
    salt_left = left.value if left is not None else None
    own = 0.0
    if salt is None:
        own = to_mix
    elif salt_left is None or salt_left < salt.high:
        own = to_mix * (1 - (salt_left or 0.0) / salt.high)
    return Fill(
        litres=litres,
        mixed=mixed,
        left_over=matching_litres(state) - mixed,
        to_mix=to_mix,
        salt=salt,
        salt_left=salt_left,
        own=own,
        salinity=state.salinity,
    )


def running_in(water: Water) -> tuple[str, ...]:
    """What runs in a water and has to stop before a medicine goes in."""
    return tuple(name for name in ("carbon", "uv", "ozone", "skimmer") if getattr(water.conditions, name))


def lidless(room: Room, tank: str) -> bool:
    """True where nothing covers the tank."""
    return not room.tanks[tank].written.lid
