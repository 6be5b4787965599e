"""Prescriptions made for a test: the sound room with a drug on the shelf and a sheet from a veterinarian."""

from __future__ import annotations

from typing import Any

from dosing_rooms import AT, make_room
from pratique.dosing.dose import Request
from pratique.dosing.prescribed.course import BathCourse, FoodCourse, PrescribedAnswer, PrescribedRequest
from pratique.dosing.prescribed.work import work_out_prescribed
from pratique.problem import Refusal
from pratique.quantity import parse_measure
from pratique.room.resolve import Room
from pratique.room.values import treatment_for

FOOD: dict[str, Any] = {
    "by": "Dr. Example",
    "for": "q1",
    "drug": "oxytetracycline",
    "product": "drug",
    "way": "food",
    "dose": "75 mg/kg",
    "every": "24 h",
    "days": "7 d",
}
BATH = FOOD | {"way": "bath", "dose": "40 mg/L", "every": "48 h", "days": "5 d"}
DRUG = {"active": "antibiotic", "strength": "100 mg/g as oxytetracycline"}
FISH = [{"species": "royal gramma", "tank": "q1", "weight": "200 g"}]


def prescribed_room(given: dict[str, Any] | None = None, **changes: Any) -> Room:
    """The sound room with one prescription called `sheet`; changes as in `make_room`."""
    keys: dict[str, Any] = {"shelf__drug": DRUG, "animals": FISH, "prescriptions": {"sheet": given or FOOD}}
    return make_room(**(keys | changes))


def ask_prescribed(
    room: Room, treatment: str = "antibiotic-course", *, name: str | None = None, food: str | None = None, **more: Any
) -> PrescribedAnswer:
    tank = more.pop("tank", "q1")
    water = room.water_of(tank).name
    more.setdefault("animals", room.residents_by_water.get(water, ()))
    more.setdefault("at", AT)
    in_tank = more.pop("in_tank", None)
    if in_tank is None:
        in_tank = tuple(animal for animal in more["animals"] if animal.tank == tank)
    return work_out_prescribed(
        PrescribedRequest(
            asked=Request(room=room, tank=tank, treatment=treatment_for(room, treatment), **more),
            in_tank=in_tank,
            name=name,
            food=parse_measure(food, "mass") if food else None,
        )
    )


def food_course(room: Room, treatment: str = "antibiotic-course", **more: Any) -> FoodCourse:
    answer = ask_prescribed(room, treatment, **more)
    assert isinstance(answer, FoodCourse), answer.problems
    return answer


def bath_course(room: Room, treatment: str = "antibiotic-course", **more: Any) -> BathCourse:
    answer = ask_prescribed(room, treatment, **more)
    assert isinstance(answer, BathCourse), answer.problems
    return answer


def prescribed_refusal(room: Room, treatment: str = "antibiotic-course", **more: Any) -> Refusal:
    answer = ask_prescribed(room, treatment, **more)
    assert isinstance(answer, Refusal), answer
    return answer
