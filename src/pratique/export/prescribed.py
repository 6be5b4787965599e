"""Prescribed courses as JSON. The keys of a dose stand, null where a course in food has no such thing."""

from __future__ import annotations

from typing import Any

from pratique.dosing.prescribed.course import BathCourse, FoodCourse, Given
from pratique.export.json import dose_json, number, overridden_json, quantity, source_json, step_json
from pratique.figure import Figure
from pratique.room.resolve import Room


def food_json(course: FoodCourse) -> dict[str, Any]:
    """`active`, `add` and `food` are for one day; `per_food` is in mg for each kg of food."""
    return {
        "tank": course.tank,
        "treatment": course.treatment.id,
        "form": None,
        "product": course.product,
        "water": None,
        "before": None,
        "target": quantity(course.dose),
        "band": None,
        "active": quantity(course.active),
        "add": quantity(course.add),
        "after": None,
        "steps": [{"at": day.isoformat(), "add": quantity(course.add), "after": None} for day in course.days],
        "change": None,
        "prescription": _prescription(course.given),
        "mass": quantity(course.mass),
        "food": quantity(course.food),
        "per_food": quantity(course.per_food),
        "add_in_all": quantity(course.add_in_all),
        "food_in_all": quantity(course.food_in_all),
        "mix": {"product": quantity(course.batch.product), "food": quantity(Figure.exact(course.batch.food, "g"))},
        "overridden": overridden_json(course.overridden),
        "notes": list(course.notes),
        "working": [step_json(step) for step in course.working],
        "sources": [source_json(source) for source in course.sources],
    }


def bath_json(course: BathCourse, room: Room) -> dict[str, Any]:
    """A dose, with the prescription and the doses that follow."""
    found = dose_json(course.dose, room)
    found["prescription"] = _prescription(course.given)
    found["redoses"] = [
        {
            "at": redose.at.isoformat(),
            "change": {"value": number(redose.change), "unit": "L"},
            "add": quantity(redose.add),
            "after": quantity(redose.after),
        }
        for redose in course.redoses
    ]
    found["end"] = course.end.isoformat()
    found["add_in_all"] = quantity(course.add_in_all)
    found["notes"] = [*course.notes, *course.dose.notes]
    return found


def _prescription(given: Given) -> dict[str, Any]:
    written = given.written
    return {
        "name": given.name,
        "by": written.by,
        "for": list(written.for_),
        "drug": written.drug,
        "way": written.way,
        "dose": {"value": number(written.dose.value), "unit": written.dose.unit},
        "every": quantity(Figure.of(written.every)),
        "days": quantity(Figure.of(written.days)),
        "note": written.note,
    }
