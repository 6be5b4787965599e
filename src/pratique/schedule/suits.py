"""What stops a batch before any tank is looked for: animals a regimen would maim, regimens that make no sense."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

from pratique.knowledge import store
from pratique.knowledge.model import Regimen, StagePlan, Treatment
from pratique.problem import Problem
from pratique.room.resolve import Animal, Batch, Room
from pratique.room.values import OWN, treatment_for
from pratique.schedule.calendar import Calendar, shown
from pratique.schedule.propose import stages_for

NEEDED = {
    "transfers": ("interval", "moves", "minimum", "dry"),
    "hold": ("target", "course", "course_same_tank", "test_interval", "test_interval_first"),
    "course": ("target", "second_dose", "third_dose"),
    "observation": ("days",),
}
"""The numbers a treatment must have on file for a stage of that kind to have dates."""

DOES = {"transfers": "moved through", "hold": "held", "course": "repeated by the eggs", "observation": "watched"}

LONGEST = 24.0 * 400
"""Hours: no stage is planned for longer, whatever the keeper's own values say."""

MOST_OF_A_KIND = 60
"""Moves or steps of one stage, likewise."""

MOST_STAGES = 20


def fish_in(batch: Batch) -> int:
    """How many heads there are to count; where none is a fish all of them."""
    fish = sum(animal.count for animal in batch.animals if animal.group.is_fish)
    return fish or batch.head_count


def cannot_begin(room: Room, batch: Batch, calendar: Calendar) -> Problem | None:
    """Why this batch has no plan whatever the regimen: nobody to receive it, or animals that must be apart."""
    if calendar.is_away(batch.arrives):
        return Problem(
            code="S514",
            message=f"`{batch.name}` arrives on {shown(batch.arrives)}, on days away without a stand-in",
            places=(room.place((*batch.path, "arrives")),),
            hint="let it arrive when you are back, or name a `stand_in` for those days",
        )
    spineless = [animal for animal in batch.animals if not animal.group.is_fish]
    if not spineless or len(spineless) == len(batch.animals):
        return None
    names = ", ".join(f"`{animal.label}`" for animal in spineless[:3])
    return Problem(
        code="S511",
        message=f"fish and animals without a backbone ({names}) stand in one batch",
        places=tuple(room.place((*animal.path, "species")) for animal in spineless[:3]),
        note="fish may be medicated, and what the others carry dies out only where there is no fish",
        hint="give them a batch of their own; without a `regimen` it gets the hold without fish",
    )


def refused(room: Room, regimen: Regimen, batch: Batch) -> Problem | None:
    """A regimen that would maim what it is for, or an own one that cannot end well; else None."""
    return next(_unsound(room, regimen, batch), None) or next(_unsuited(room, regimen, batch), None)


def _unsuited(room: Room, regimen: Regimen, batch: Batch) -> Iterator[Problem]:
    treatments = {treatment for stage in stages_for(regimen, batch) for treatment in stage.treatments}
    drugs = treatments - {"observation", "fishless-hold"}
    copper = any(treatment.startswith("copper-") for treatment in drugs)
    for animal in batch.animals:
        name, group = f"`{animal.label}`", animal.group
        if drugs and not group.is_fish:
            yield _unsuited_by(
                room,
                batch,
                animal,
                f"{name} has no backbone, and `{regimen.id}` is meant for fish",
                "choose `regimen: fishless-hold`",
            )
        elif group.kind == "cartilaginous fish" and (copper or "tank-transfer" in drugs):
            what = "copper" if copper else "transfers"
            yield _unsuited_by(
                room,
                batch,
                animal,
                f"{name} may not have {what}, and `{regimen.id}` gives it",
                "choose `regimen: without-copper`, and ask a veterinarian who treats sharks and rays",
            )
        elif group.is_fish and "fishless-hold" in treatments:
            yield _unsuited_by(
                room,
                batch,
                animal,
                f"{name} is a fish, and `{regimen.id}` works only without fish",
                "choose a regimen for fish, or delete the line `regimen`",
            )


def _unsuited_by(room: Room, batch: Batch, animal: Animal, message: str, hint: str) -> Problem:
    places = (room.place((*animal.path, "species")), room.place((*batch.path, "regimen"), label="planned here"))
    return Problem(code="S505", message=message, places=places, hint=hint)


def _unsound(room: Room, regimen: Regimen, batch: Batch) -> Iterator[Problem]:
    """What is checked is what a keeper may write; shipped regimens are walked by a test."""
    if not regimen.own:
        return
    stages = stages_for(regimen, batch)
    if len(stages) > MOST_STAGES:
        message = f"`{regimen.id}` has {len(stages)} stages, and at most {MOST_STAGES} are planned"
        yield _unsound_by(room, regimen, None, message, "leave some out, or make two batches of them")
    yield from _senseless(room, regimen, stages)
    last = stages[-1] if stages else None
    if last is not None and last.kind != "observation":
        yield _unsound_by(
            room,
            regimen,
            last,
            f"`{regimen.id}` ends with `{last.name}` and not with an observation",
            "add a last stage with `kind: observation` and `treatments: [observation]`",
            "what the treatments miss shows itself only in a time of watching before the display",
        )


def senseless(room: Room, regimen: Regimen, batch: Batch) -> Problem | None:
    """Why an own regimen cannot even be followed by a log: no stage, or one that nothing can be done in."""
    return next(_senseless(room, regimen, stages_for(regimen, batch)), None) if regimen.own else None


def _senseless(room: Room, regimen: Regimen, stages: tuple[StagePlan, ...]) -> Iterator[Problem]:
    if not stages:
        message = f"`{regimen.id}` has no stage for a batch without signs"
        yield _unsound_by(room, regimen, None, message, "take `only_with_signs` from the observation at least")
    for stage in stages:
        if not stage.use or "display" in stage.use:
            what = "names no use of a tank" if not stage.use else "would be in the display"
            message = f"the stage `{stage.name}` {what}"
            yield _unsound_by(room, regimen, stage, message, "write such as `use: [ward, reserve]`")
        yield from _without_dates(room, regimen, stage)


def _without_dates(room: Room, regimen: Regimen, stage: StagePlan) -> Iterator[Problem]:
    if not stage.treatments:
        hint = f"write such as `treatments: [{_capable(stage.kind)[0]}]`"
        yield _unsound_by(room, regimen, stage, f"the stage `{stage.name}` names no treatment", hint)
    for id_ in stage.treatments:
        if id_ not in _capable(stage.kind):
            message = f"`{id_}` cannot be {DOES[stage.kind]} as `{stage.name}` asks: no dates are on file for it"
            hint = f"for `kind: {stage.kind}` write one of: {', '.join(_capable(stage.kind))}"
            yield _unsound_by(room, regimen, stage, message, hint)


@cache
def _capable(kind: str) -> tuple[str, ...]:
    """The treatments that have every number a stage of this kind is dated by."""
    known = [store.treatment(id_) for id_ in store.treatment_ids()]
    return tuple(t.id for t in known if all(t.numbers.get(name) for name in NEEDED[kind]))


def _unsound_by(
    room: Room, regimen: Regimen, stage: StagePlan | None, message: str, hint: str, note: str = ""
) -> Problem:
    path: tuple[str | int, ...] = ("regimens", regimen.id)
    if stage is not None:
        path = (*path, "stages", regimen.stages.index(stage))
    return Problem(code="S512", message=message, places=(room.place(path, key=True),), note=note, hint=hint)


def wild_value(room: Room, treatment: Treatment) -> Problem | None:
    """An own value no stage can be dated by: years of watching, hundreds of moves."""
    for name, (number, *_) in treatment.numbers.items():
        most = LONGEST if number.unit == "h" else MOST_OF_A_KIND
        if number.source != OWN or number.unit not in ("h", "count") or number.value <= most:
            continue
        shown_most = f"{LONGEST / 24:g} d" if number.unit == "h" else f"{MOST_OF_A_KIND}"
        return Problem(
            code="S502",
            message=f"`{treatment.id}.{name}` is more than {shown_most}, which no plan is made for",
            places=(room.place(("values", f"{treatment.id}.{name}")),),
            hint="write a smaller value, or delete the line",
        )
    return None


def nothing_to_hold(room: Room, treatment_id: str) -> Problem:
    """The keeper's own target is none at all."""
    path = ("values", f"{treatment_id}.target")
    return Problem(
        code="S502",
        message=f"the target of {treatment_id} is {treatment_for(room, treatment_id).needed('target').value:g} mg/L, "
        "so there is no level to hold",
        places=(room.place(path),),
        hint="write a level inside the band, or delete the line",
    )
