"""A drug in food: mg a day from the mass of the fish, mg in each gram of what they eat, and the days."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.asking import find_bottle, refuse
from pratique.dosing.facts import Setting, interlocks_met
from pratique.dosing.mix import Notebook
from pratique.dosing.notes import LEAST
from pratique.dosing.overrides import Overridden, set_aside
from pratique.dosing.prescribed.course import PRESCRIBED, FoodBatch, FoodCourse, Given, PrescribedRequest
from pratique.dosing.prescribed.said import cautions_of, doses_in, prescribed_number
from pratique.dosing.prescribed.usual import unusual_problems
from pratique.dosing.product import Active
from pratique.dosing.work import left_problems
from pratique.elapsed import plus_hours
from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.problem import Problem, Refusal
from pratique.water.feeding import Load, load_of
from pratique.water.fouling import food_for

_NEAR = 1e-9

WEIGHED = 0.25
"""Share by which a mass may be out and still be called weighed (D); by length it may be twice or half."""


def work_out_food(request: PrescribedRequest, given: Given) -> FoodCourse | Refusal:
    """The days, amounts and mixture of a prescription in food, or every reason against it.

    mg a day = dose × mass of the fish; mg in a gram = that over the food they eat in a day.
    Source: arithmetic on what was prescribed (treatments 16).
    """
    asked = _ask(request, given)
    refusal = refuse(asked.problems)
    if refusal is not None:
        return refusal
    assert asked.load.mass is not None
    assert asked.strength is not None
    return _Feeding(request, given, asked, asked.load.mass, asked.strength).course()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    load: Load
    strength: Active | None
    problems: tuple[Problem, ...]
    overridden: tuple[Overridden, ...]


def _ask(request: PrescribedRequest, given: Given) -> _Asked:
    asked, room = request.asked, request.asked.room
    strength, problems = find_bottle(room, asked.treatment, given.written.product, asked.at)
    setting = Setting(
        room=room,
        treatment=asked.treatment,
        water=room.water_of(asked.tank),
        animals=asked.animals or (),
        at=asked.at,
        product=(strength.name, strength.product) if strength is not None else None,
        by_mouth=True,
        planned=asked.planned,
    )
    met, overridden = set_aside(interlocks_met(setting), asked.treatment, asked.because)
    load = load_of(given.patients)
    problems += [*met, *_mass_problems(request, given, load), *unusual_problems(room, asked.treatment, given)]
    return _Asked(load=load, strength=strength, problems=tuple(problems), overridden=overridden)


def _mass_problems(request: PrescribedRequest, given: Given, load: Load) -> Iterator[Problem]:
    """A dose by body mass without the mass of everyone who gets it."""
    room = request.asked.room
    unknown = [animal for animal in given.patients if animal.label in load.unknown]
    if unknown:
        names = ", ".join(f"`{name}`" for name in load.unknown)
        yield Problem(
            code="D535",
            message=f"the mass of {names} is not known, so no dose by body mass was worked out",
            places=tuple(room.place((*animal.path, "species")) for animal in unknown[:3]),
            hint="weigh each and write `weight: 120 g`, or at least `size: 9 cm`, nose to tail tip; "
            "sharks and rays are weighed",
        )


class _Feeding:
    """One course being worked out."""

    def __init__(self, request: PrescribedRequest, given: Given, asked: _Asked, mass: Figure, strength: Active) -> None:
        self.request, self.given, self.asked = request, given, asked
        self.mass, self.strength = mass, strength
        self.book = Notebook(steps=list(asked.load.working), problems=list(asked.problems))
        self.ration = store.feed().needed("ration_share")

    def course(self) -> FoodCourse:
        request, given = self.request.asked, self.given
        active = self._active()
        food, per_food = self._food(active)
        add = self._product(active)
        days = self._days()
        batch = self._batch(add.times(len(days)), food.times(len(days)))
        self.book.problems += left_problems(request.room, self.strength, batch.product)
        self._say_notes(food, batch)
        return FoodCourse(
            tank=request.tank,
            treatment=request.treatment,
            given=given,
            product=self.strength.name,
            mass=self.mass,
            dose=Figure.exact(given.dose, "mg/kg"),
            active=active,
            add=add,
            food=food,
            per_food=per_food,
            days=days,
            add_in_all=add.times(len(days)),
            food_in_all=food.times(len(days)),
            batch=batch,
            working=tuple(self.book.steps),
            sources=tuple(self._sources()),
            cautions=cautions_of(request.treatment, given),
            problems=tuple(self.book.problems),
            notes=tuple(self.book.notes),
            overridden=self.asked.overridden,
        )

    def _active(self) -> Figure:
        """mg a day for all of them."""
        given, mass = self.given, self.mass
        times = f" × {given.factor:g} {self.strength.product.active} in it" if given.factor != 1.0 else ""
        active = mass.times(given.dose / 1000, "mg")
        expression = f"{digits(mass.value)} g × {given.written.dose.text} {given.written.drug}{times}"
        self.book.write("drug a day", expression, f"{digits(active.value)} mg", PRESCRIBED)
        return active

    def _food(self, active: Figure) -> tuple[Figure, Figure]:
        """g of food a day, and mg of the drug in a kg of it."""
        told = self.request.food
        if told is not None:
            food = Figure.of(told)
            self.book.write("food a day", "as weighed out", f"{digits(food.value)} g")
            per_food = Figure.around(
                active.value / food.value * 1000, "mg/kg", active.low / food.high * 1000, active.high / food.low * 1000
            )
        else:
            food, ration = food_for(self.mass), self.ration
            expression = f"{digits(self.mass.value)} g × {ration.value:g} %"
            self.book.write("food a day", expression, f"{digits(food.value)} g", ration.source)
            dose = self.given.dose * 100
            per_food = Figure.around(dose / ration.value, "mg/kg", dose / ration.high, dose / ration.low)
        expression = f"{digits(active.value)} mg ÷ {digits(food.value)} g"
        self.book.write("drug in the food", expression, f"{digits(per_food.value / 1000)} mg in each g")
        return food, per_food

    def _product(self, active: Figure) -> Figure:
        """The product for one day; its ends with the bottle's error."""
        strength = self.strength
        self.book.steps.append(strength.step)
        low = active.low / strength.per_unit / (1 + strength.share_error)
        high = active.high / strength.per_unit / (1 - strength.share_error)
        add = Figure(value=active.value / strength.per_unit, unit=strength.unit, low=low, high=high)
        expression = f"{digits(active.value)} mg ÷ {digits(strength.per_unit)} mg per {strength.unit}"
        self.book.write(f"{strength.name} a day", expression, f"{digits(add.value)} {strength.unit}")
        return add

    def _days(self) -> tuple[dt.datetime, ...]:
        written, start = self.given.written, self.request.asked.at
        count = doses_in(written.days.value, written.every.value)
        expression = f"{written.days.text}, every {written.every.text}"
        self.book.write("days with the drug", expression, f"{count}", PRESCRIBED)
        return tuple(plus_hours(start, number * written.every.value) for number in range(count))

    def _batch(self, add: Figure, food: Figure) -> FoodBatch:
        """What is mixed at once: for the course, or for as much product as can be measured."""
        tablets = add.unit == "tablet"
        wanted = float(math.ceil(add.value - _NEAR)) if tablets else max(add.value, LEAST[add.unit])
        scale = wanted / add.value
        product = Figure.exact(wanted, add.unit)
        if scale > 1 + _NEAR:
            expression = f"{digits(food.value)} g for the course × {digits(scale)}"
            result = f"{digits(wanted)} {add.unit} in {digits(food.value * scale)} g"
            self.book.write("mixed at once, so that it can be measured", expression, result)
        return FoodBatch(product=product, food=food.value * scale, is_more=scale > 1 + _NEAR)

    def _say_notes(self, food: Figure, batch: FoodBatch) -> None:
        mass, load = self.mass, self.asked.load
        if mass.high > mass.value * (1 + WEIGHED):
            self.book.note(
                f"their mass is by length and may be {digits(mass.low)} to {digits(mass.high)} g, so each may get half "
                "or twice the dose: weigh them, in a tared bowl of water, and write `weight:`"
            )
        if self.request.food is None:
            self.book.note(
                f"the ration of {self.ration.value:g} % is a farm's: where they eat another amount, weigh it and say "
                "`--food '… g'`, or the dose is as wrong as the ration"
            )
        self.book.note(f"the {digits(food.value)} g of a day may be given in several meals; no other food that day")
        if batch.is_more:
            self.book.note("the rest of the mixture is thrown away by local rules when the course ends")
        others = ", ".join(dict.fromkeys(animal.label for animal in self.given.others))
        if others:
            self.book.note(f"the prescription does not name {others}: feed apart or by hand, or ask for a dose for all")
        if load.left_out:
            names = ", ".join(load.left_out)
            self.book.note(f"{names} may eat left-overs; nothing was found on this drug with them")

    def _sources(self) -> Iterator[Sourced]:
        yield prescribed_number(self.given)
        if self.request.food is None:
            yield self.ration
