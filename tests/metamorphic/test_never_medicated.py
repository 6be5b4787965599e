"""A search for a room in which an animal that bears no medicine would get one: copper on a coral above all.

Rooms with residents of every kind in every tank, waters that several tanks share, tanks that must never see a medicine,
batches of fish with corals or shrimps, chosen regimens, and a log that carries spineless animals about.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from history.kept import log_of
from pratique.dosing.dip import Dip
from pratique.dosing.dose import Dose, Request
from pratique.dosing.work import work_out
from pratique.history.fold import History, fold
from pratique.knowledge import store
from pratique.logbook.entry import Common, Move
from pratique.logbook.ids import Ids
from pratique.response.first import first_response
from pratique.response.scene import scene_of
from pratique.response.shelf.emergency import emergencies, fast_killers
from pratique.response.suspicion import Suspicion
from pratique.room.load import load_room_text
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.schedule.calendar import instant
from pratique.schedule.day import tasks_on
from pratique.schedule.model import Plan
from pratique.schedule.plan import make_plan
from schedule_rooms import as_yaml
from schedule_rooms import tank as new_tank
from schedule_strategies import FISH, GUARDED, SHARKS, SPINELESS, rooms

search = settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
COPPER = [id_ for id_ in store.treatment_ids() if store.treatment(id_).active == "copper"]
IN_WATER = ("immersion", "salinity", "bath")
SHARED = {"salinity": "35 g/kg", "temperature": "25 degC", "cycled": "yes"}
CONDITIONS = ("salinity", "temperature", "cycled", "change")
EVERYTHING = {
    "formalin": {"active": "formalin", "strength": "37 % w/v as formaldehyde", "left": "400 mL"},
    "peroxide": {"active": "peroxide", "strength": "3 % w/v as H2O2", "left": "450 mL"},
    "ions": {"active": "copper", "form": "ionic", "strength": "10 mg/mL as Cu", "left": "500 mL"},
}


WARDS = {"bare ward": new_tank("ward"), "other ward": new_tank("ward"), "long tank": new_tank("observation")}


@st.composite
def mixed_rooms(draw: st.DrawFn) -> Room:
    """A sound room in which what bears no medicine may live anywhere."""
    data = draw(rooms(most=3))
    tanks = data["tanks"] = {**data["tanks"], **draw(st.sampled_from([WARDS, WARDS, {}]))}
    names = list(tanks)
    kinds = st.sampled_from([*SPINELESS, *SPINELESS, *FISH, GUARDED[0], SHARKS[0]])
    data["animals"] = [
        {"species": draw(kinds), "tank": draw(st.sampled_from(["reef", *names]))}
        for _ in range(draw(st.integers(1, 3)))
    ]
    for name in draw(st.lists(st.sampled_from(names), max_size=1)):
        tanks[name]["never"] = draw(st.sampled_from([["copper"], ["formalin", "praziquantel"]]))
    if draw(st.booleans()):
        members = draw(st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True))
        data["waters"] = {"main system": SHARED}
        for name in members:
            tanks[name] = {key: value for key, value in tanks[name].items() if key not in CONDITIONS}
            tanks[name]["water"] = "main system"
    for batch in data["batches"].values():
        if draw(st.integers(0, 4)) == 0:
            batch["animals"].append({"species": draw(kinds)})
        wished = draw(st.sampled_from(["", "", "", "copper-hold", *store.regimens()]))
        if wished:
            batch |= {"regimen": wished, "because": "it is wished so"}
    data["shelf"] = {**data["shelf"], **EVERYTHING}
    data["vessels"] = {"dip bucket": "10 L"}
    room, _ = load_room_text(as_yaml(data))
    assume(room is not None)
    assert room is not None
    return room


def moves(draw: st.DrawFn, room: Room) -> list[Common]:
    """Residents without a spine carried into other tanks: what no plan would have said."""
    made: list[Common] = []
    ids = Ids()
    first = instant(min(batch.arrives for batch in room.batches.values()))
    carried = [animal for animal in room.residents if is_spineless(animal)]
    for animal in carried:
        for hours in sorted(draw(st.lists(st.integers(-72, 24 * 60), max_size=2))):
            at = (first + dt.timedelta(hours=hours)).replace(second=0)
            to = draw(st.sampled_from(sorted(room.tanks)))
            made.append(Move(id=ids.new(at), kind="move", at=at, written=at, animals=(animal.label,), to=to))
    return made


@dataclass(frozen=True)
class Case:
    """A room and its log up to a moment; shown as the file and the moves."""

    room: Room
    history: History

    def __repr__(self) -> str:
        moved = [(entry.at.isoformat(), entry.animals, entry.to) for entry in self.history.log.entries]  # type: ignore[attr-defined]
        return f"at {self.history.at.isoformat()}, moved {moved}, room:\n" + "\n".join(self.room.document.lines)


@st.composite
def scenes(draw: st.DrawFn) -> Case:
    room = draw(mixed_rooms())
    first = instant(min(batch.arrives for batch in room.batches.values()))
    at = (first + dt.timedelta(hours=draw(st.integers(-72, 24 * 90)))).replace(second=0).astimezone(room.zone)
    return Case(room, fold(room, log_of(moves(draw, room)), at))


def is_spineless(animal: Any) -> bool:
    return not animal.group.kind.endswith("fish")


def spineless_now(room: Room, history: History) -> set[str]:
    """The waters in which something without a spine is at this moment, by the room file and the log."""
    found = {animal.label for animal in room.residents if is_spineless(animal)}
    return {room.tanks[stay.tank].water for stay in history.standing if stay.animal in found and not stay.batch}


def waters_of(room: Room, told: str) -> set[str]:
    """Of a tank, of several that are told together, of none where it is a tub."""
    return {room.tanks[name].water for name in told.split(" + ") if name in room.tanks}


def medicated(room: Room, plan: Plan) -> Iterator[tuple[str, str, dt.datetime, dt.datetime]]:
    """Water, treatment, and from when to when it is in there, until the tank has been emptied."""
    for batch in plan.batches:
        for stage in batch.stages:
            treatment = treatment_for(room, stage.treatment)
            if treatment.kind in IN_WATER:
                emptied = [task.at for task in batch.tasks if task.act in ("strip", "dry") and task.tank in stage.tanks]
                gone = min((instant(at) for at in emptied if at >= stage.end), default=instant(stage.end))
                for tank in stage.tanks:
                    yield room.tanks[tank].water, stage.treatment, instant(stage.start), gone


def bare_of_spine(room: Room, plan: Plan) -> Iterator[tuple[str, str, dt.datetime, dt.datetime]]:
    """Water, name, and from when to when an animal without a spine of a batch is planned to be in it."""
    for batch in plan.batches:
        for animal in batch.batch.animals:
            if is_spineless(animal):
                for stage in batch.stages:
                    for tank in stage.tanks:
                        yield room.tanks[tank].water, animal.label, instant(stage.start), instant(stage.end)


def test_the_search_reaches_rooms_where_it_could_go_wrong() -> None:
    """Else the tests below would all hold of nothing."""

    reached = []

    @given(scenes())
    @settings(search, derandomize=True)
    def look(found: Case) -> None:
        plan = make_plan(found.room, found.history)
        actives = {store.treatment(treatment).active for _, treatment, _, _ in medicated(found.room, plan)}
        kept = spineless_now(found.room, found.history)
        reached.append(("copper" in actives, bool(kept), any(bare_of_spine(found.room, plan))))

    look()
    assert sum(copper and kept for copper, kept, _ in reached) >= 3, reached
    assert any(bare for _, _, bare in reached)


@given(scenes())
@search
def test_no_plan_puts_medicine_to_what_bears_none(found: Case) -> None:
    room, history = found.room, found.history
    plan = make_plan(room, history)
    kept = spineless_now(room, history)
    others = list(bare_of_spine(room, plan))
    for water, treatment, start, end in medicated(room, plan):
        assert water not in kept, (water, treatment)
        for other, animal, came, left in others:
            assert other != water or left <= start or end <= came, (water, treatment, animal)
        active = store.treatment(treatment).active
        for tank in room.waters[water].tanks:
            assert not active or active not in tank.written.never, (tank.name, treatment)
            assert active != "copper" or tank.written.use not in ("observation", "display"), (tank.name, treatment)


@given(scenes())
@search
def test_no_day_sheet_doses_a_water_with_what_bears_none(found: Case) -> None:
    room, history = found.room, found.history
    plan = make_plan(room, history)
    kept = spineless_now(room, history)
    first = history.at.astimezone(room.zone).date()
    for day in range(0, 40, 3):
        for task in tasks_on(room, plan, first + dt.timedelta(days=day), history):
            if waters_of(room, task.tank) & kept:
                assert task.act not in ("dose", "redose"), task


@given(scenes())
@search
def test_no_dose_of_copper_is_worked_out_for_a_water_with_what_bears_none(found: Case) -> None:
    """Not with every filter off either; an override would have to give its reason."""
    room, history = found.room, found.history
    for animal in room.residents:
        if is_spineless(animal):
            for id_ in COPPER:
                off = frozenset({"uv", "carbon", "skimmer"})
                asked = Request(room=room, tank=animal.tank, treatment=treatment_for(room, id_), at=history.at, off=off)
                answer = work_out(asked)
                assert not isinstance(answer, Dose), (animal.label, animal.tank, id_)


@given(scenes(), st.sampled_from(sorted(fast_killers())))
@search
def test_no_run_sheet_and_no_emergency_list_sends_copper_there(found: Case, agent: str) -> None:
    room, history = found.room, found.history
    kept = spineless_now(room, history)
    scene = scene_of(room, history, history.at)
    for tank in room.tanks:
        sheet = first_response(room, history, Suspicion(tank=tank, at=history.at, cover=(agent,)))
        for option in sheet.options:
            answer = option.answer
            if isinstance(answer, Dose) and answer.tank in room.tanks:
                water = room.tanks[answer.tank].water
                assert water not in kept or answer.treatment.active != "copper", option.title
            assert not (
                isinstance(answer, Dip) and any(map(is_spineless, answer.animals)) and option.treatment in COPPER
            )
        for act in (*sheet.now, *sheet.acts):
            if act.amount is not None and waters_of(room, act.tank) & kept:
                assert "copper" not in act.text, act
    for needs in emergencies(scene, fast_killers()):
        if any(item.treatment in COPPER for item in needs.items) and needs.tank:
            assert room.tanks[needs.tank].water not in kept, needs
