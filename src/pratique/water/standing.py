"""The whole answer to "what is this water like": its state, who eats in it, and what that makes of it."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.figure import Figure, Step
from pratique.knowledge import store
from pratique.room.resolve import Animal
from pratique.water.feeding import Load, Outlook, load_of, outlook_for, ration_for
from pratique.water.state import State, Stock, stock_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """`outlook` is None where a filter lives, where nobody eats, or where something is not known: `notes` say what.

    `by_ration`: the food is not what somebody weighed out, but worked out from the animals.
    """

    state: State
    animals: tuple[Animal, ...]
    load: Load
    outlook: Outlook | None
    by_ration: bool
    stock: tuple[Stock, ...]
    working: tuple[Step, ...]
    notes: tuple[str, ...]


def find_standing(state: State, animals: tuple[Animal, ...], food: Figure | None = None) -> Standing:
    """The state of a water with `animals` in it that get `food` (g a day; else a ration by their mass)."""
    load = load_of(animals)
    notes: list[str] = []
    steps: list[Step] = [*state.volume.working]
    outlook = None
    if state.water.conditions.cycled:
        notes.append("a living filter is on file, so no ammonia is forecast; one that has stalled shows in a test")
    else:
        ration, sums = (food, ()) if food is not None else ration_for(load)
        steps += sums
        if ration is not None:
            outlook = outlook_for(state, ration)
            notes += _on_outlook(state, load, outlook, given=food is not None)
        elif animals:
            notes.append(_no_ration(load))
    if outlook is not None:
        steps += outlook.working
    return Standing(
        state=state,
        animals=animals,
        load=load,
        outlook=outlook,
        by_ration=outlook is not None and food is None,
        stock=stock_of(state),
        working=tuple(steps),
        notes=tuple(notes),
    )


MOST_SHARE = 0.5
"""The most of the water in one day's change (treatments 1, after the course: half; read for all: D)."""


def next_change(standing: Standing) -> float:
    """The part (0 to 1) of the water to change a day after fish came into it: the habit, or what the forecast asks."""
    routine = store.routine().needed("change_share").value / 100
    outlook = standing.outlook
    if outlook is None:
        return routine
    asked = outlook.likely_share if outlook.likely_share is not None else MOST_SHARE
    return min(max(asked, routine), MOST_SHARE)


def _on_outlook(state: State, load: Load, outlook: Outlook | None, *, given: bool) -> list[str]:
    if outlook is None:
        return ["no ammonia is forecast: salinity or temperature is not known, or outside what there are figures for"]
    notes = ["the forecast is for clean water without a living filter, and food in even parts over the day"]
    if state.water.conditions.cycled is None:
        notes.append("whether a filter lives is not on file (`cycled`), so none is counted on")
    if state.ph is None:
        notes.append(f"pH is not known and counts as high ({_assumed(state)}): read it and write `ph:`")
    if load.left_out and not given:
        notes.append(f"no ration is counted for {', '.join(load.left_out)}")
    return notes


def _assumed(state: State) -> str:
    conditions = state.conditions
    assert conditions is not None
    return f"{conditions.ph.value:g}"


def _no_ration(load: Load) -> str:
    if load.unknown:
        names = ", ".join(load.unknown)
        return f"no ammonia is forecast: the mass of {names} is not known; write `size`, or give `--food '2 g'` a day"
    return "no ammonia is forecast: nobody here is fed by weight; give `--food '2 g'` a day"
