"""The room as it is at one moment: who is in which water, what is in it, which tank is spoken for."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from pratique.dosing.facts import WOUNDS, Planned
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.quantity import Measure
from pratique.response.suspicion import Suspicion
from pratique.room.resolve import Animal, Room, Water
from pratique.schedule.calendar import instant
from pratique.schedule.day import medicines_in, whereabouts
from pratique.schedule.known_level import known_level
from pratique.schedule.model import Plan
from pratique.schedule.occupants import SIGNS_HOLD, animals_in_water
from pratique.schedule.plan import present_plan
from pratique.schedule.recorded import medicines_on_record, room_as_recorded


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """`room` is the room as the log leaves it; `plan` follows the log; `places` is batch to tank."""

    room: Room
    history: History
    at: dt.datetime
    plan: Plan
    places: Mapping[str, str]
    _animals: dict[str, tuple[Animal, ...]] = field(init=False, default_factory=dict, compare=False, repr=False)

    def animals_in(self, water: str) -> tuple[Animal, ...]:
        """Everybody in a water, by the record and the plan that follows it; each water of a room is asked for often."""
        if water not in self._animals:
            known = None if self.history.is_empty else self.history
            self._animals[water] = animals_in_water(self.room, self.plan, self.places, water, known)
        return self._animals[water]

    def planned_in(self, water: str) -> tuple[Planned, ...]:
        """What the plan has dosed into a water and the record does not have."""
        found = medicines_in(self.room, self.plan, water, self.at)
        recorded = () if self.history.is_empty else medicines_on_record(self.room, self.history, water)
        return tuple(planned for planned in found if planned.treatment not in recorded)

    def level_in(self, water: str, treatment: Treatment) -> Measure | None:
        """The level of a medicine in a water, where a reading on record still holds."""
        return known_level(self.history, treatment, water, self.at).measure

    def wanted_by(self, tank: str) -> tuple[str, dt.datetime] | None:
        """The batch the plan wants a tank for next, and from when; None where it wants it for none."""
        now = instant(self.at)
        found = [
            (stage.start, batch.batch.name)
            for batch in self.plan.batches
            for stage in batch.stages
            if not batch.over and tank in stage.tanks and instant(stage.end) > now
        ]
        if not found:
            return None
        start, name = min(found, key=lambda entry: (instant(entry[0]), entry[1]))
        return name, start


def scene_of(room: Room, history: History, at: dt.datetime) -> Scene:
    """The scene of a room with its log at a moment."""
    plan = present_plan(room, history)
    places = {name: tank for name, (tank, _) in whereabouts(plan, at).items()}
    return Scene(room=room_as_recorded(room, history), history=history, at=at, plan=plan, places=places)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One suspicion in its scene: the water, and its animals by what becomes of them.

    `fish` are the bony fish that can be treated, `dying` those near death, `rays` sharks and rays, `stays` animals
    without a backbone. Signs seen are on the fish, so that the interlocks meet them. `assumed` is the batch that is
    taken to be there already, where by the record nobody is and the plan wants the tank for it.
    """

    scene: Scene
    suspicion: Suspicion
    water: Water
    fish: tuple[Animal, ...]
    dying: tuple[Animal, ...]
    rays: tuple[Animal, ...]
    stays: tuple[Animal, ...]
    assumed: str = ""

    @property
    def room(self) -> Room:
        return self.scene.room

    @property
    def at(self) -> dt.datetime:
        return self.suspicion.at

    @property
    def cover(self) -> tuple[str, ...]:
        return self.suspicion.cover

    @property
    def movers(self) -> tuple[Animal, ...]:
        """Bony fish that leave the water, those near death among them."""
        return (*self.fish, *self.dying)

    @property
    def uses(self) -> frozenset[str]:
        return frozenset(tank.use for tank in self.water.tanks)


def case_of(scene: Scene, suspicion: Suspicion) -> Case:
    """Sorts the animals of the water that `suspicion.tank` is in. KeyError for an unknown tank."""
    water = scene.room.water_of(suspicion.tank)
    wounds = wounds_on_record(scene, water.name)
    fish, dying, rays, stays = list[Animal](), list[Animal](), list[Animal](), list[Animal]()
    living = tuple(_living(scene, suspicion, water.name))
    assumed = "" if living else _soon_there(scene, suspicion.tank)
    if assumed:
        living = scene.room.batches[assumed].animals
    for animal in living:
        if not animal.group.is_fish:
            stays.append(animal)
            continue
        seen = (*animal.signs, *suspicion.signs, *wounds.get(animal.label, ()), *wounds.get("", ()))
        animal = replace(animal, signs=tuple(dict.fromkeys(seen)))
        if animal.group.kind == "cartilaginous fish":
            rays.append(animal)
        else:
            well, weak = _split(animal, suspicion)
            fish += well
            dying += weak
    return Case(
        scene=scene,
        suspicion=suspicion,
        water=water,
        fish=tuple(fish),
        dying=tuple(dying),
        rays=tuple(rays),
        stays=tuple(stays),
        assumed=assumed,
    )


def _soon_there(scene: Scene, tank: str) -> str:
    """The batch the plan wants the tank for next, if it is in no other by the record; empty where there is none."""
    wanted = scene.wanted_by(tank)
    if wanted is None or wanted[0] in {stay.batch for stay in scene.history.standing}:
        return ""
    return wanted[0]


def _living(scene: Scene, suspicion: Suspicion, water: str) -> Iterator[Animal]:
    """Who is in the water, less those found dead whose death is not in the log yet."""
    dead = Counter(name.casefold() for name in suspicion.dead)
    for passage in scene.history.of_water(water).passages:
        if passage.how == "died" and suspicion.at - TOLD_AGAIN <= passage.at <= suspicion.at:
            dead[passage.animal.casefold()] -= passage.count
    for animal in scene.animals_in(water):
        names = {animal.label.casefold(), animal.scientific.casefold()}
        gone = min(sum(max(dead[name], 0) for name in names), animal.count)
        for name in names:
            dead[name] -= gone
        if gone < animal.count:
            yield replace(animal, count=animal.count - gone)


TOLD_AGAIN = dt.timedelta(hours=24)
"""A death in the log no older than this is taken for one that is told again with the signs (D)."""


def _split(animal: Animal, suspicion: Suspicion) -> tuple[list[Animal], list[Animal]]:
    """Those of one line that can be treated, and those near death: each time it is named is one of them."""
    names = {animal.label.casefold(), animal.scientific.casefold()}
    weak = min(sum(name.casefold() in names for name in suspicion.dying), animal.count)
    left = animal.count - weak
    return (
        [replace(animal, count=left)] if left else [],
        [replace(animal, count=weak)] if weak else [],
    )


def wounds_on_record(scene: Scene, water: str) -> dict[str, tuple[str, ...]]:
    """Animal (empty where it was not told) to the wounds written down of late in its water."""
    found: dict[str, tuple[str, ...]] = {}
    for seen in scene.history.of_water(water).signs:
        wounds = tuple(sign for sign in seen.signs if sign in WOUNDS)
        if scene.at - SIGNS_HOLD <= seen.at <= scene.at:
            found[seen.animal] = (*found.get(seen.animal, ()), *wounds)
    return found
