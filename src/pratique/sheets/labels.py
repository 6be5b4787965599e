"""What is stuck on the glass: one card a tank, with what a tired person must know before pouring anything in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from pratique.dosing.product import active_of, choose_product
from pratique.history.fold import History
from pratique.knowledge.model import Treatment
from pratique.room.resolve import Room, Tank
from pratique.room.values import treatment_for
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.day import whereabouts
from pratique.schedule.model import BatchPlan, Plan, Stage, Task
from pratique.schedule.occupants import animals_in_water
from pratique.sheets import words
from pratique.sheets.rows import Cell, Facts, Lines, Sheet
from pratique.water.volume import net_volume, tank_volume

STEP = 0.1
"""The rise of a level for which a label says the amount, in the unit of the treatment."""

LINE = "____________"

Pair = tuple[str, Cell]


def labels_sheet(room: Room, plan: Plan, history: History, at: dt.datetime) -> Sheet:
    """A card for every tank, in the order of the room file, as the tanks stand at `at`."""
    there = {name: (tank, stage) for name, (tank, stage) in whereabouts(plan, at).items()}
    places = {name: tank for name, (tank, _) in there.items()}
    cards: list[Facts] = []
    for tank in room.tanks.values():
        here = [batch for batch in plan.batches if places.get(batch.batch.name) == tank.name and not batch.over]
        pairs = _of_water(room, tank)
        for batch in here:
            pairs += _of_batch(room, tank, batch, there[batch.batch.name][1], at)
        if not here:
            pairs += _of_next(plan, tank, at)
        pairs += _of_company(room, plan, places, tank, history)
        cards.append(Facts(title=tank.name, pairs=tuple(pairs)))
    note = Lines(
        lines=(
            Cell("cut out, and stick each on its own tank; print anew when a batch moves or the plan changes"),
            Cell("MARINE: salt water only; never for fish that may be eaten; the label of the bottle comes first"),
        ),
        bullet="·",
    )
    title = f"Tank labels · {room.name} · {words.day(at.date(), at=at)}"
    return Sheet(title=title, parts=(note, *cards), cards=True, next="pratique day")


def _of_water(room: Room, tank: Tank) -> list[Pair]:
    own, _ = tank_volume(tank)
    whole = net_volume(room.waters[tank.water]).figure
    spread = f" ({words.spread(own)} L)" if words.spread(own) else ""
    pairs = [("net volume", Cell(f"{words.volume(own.value, room)}{spread}"))]
    if len(room.waters[tank.water].tanks) > 1 or room.waters[tank.water].sump is not None:
        pairs.append(("whole water", Cell(f"{words.volume(whole.value, room)}: doses count for all of it")))
    fill = tank.written.volume.fill
    pairs.append(("fill line", Cell(f"{words.plain(fill.value)} {fill.unit} up from the floor" if fill else LINE)))
    pairs.append(("use", Cell(tank.use)))
    return pairs


def _of_batch(room: Room, tank: Tank, batch: BatchPlan, stage: Stage, at: dt.datetime) -> list[Pair]:
    name = batch.batch.name
    day = int(elapsed_hours(stage.start, at) // 24) + 1
    pairs: list[Pair] = [
        ("batch", Cell(f"{name}, {words.plural(batch.batch.head_count, 'animal')}")),
        ("stage", Cell(f"{stage.name}, day {day}, since {words.moment(stage.start, at=at)}")),
    ]
    treatment = treatment_for(room, stage.treatment)
    if treatment.active:
        pairs += _of_medicine(room, tank, treatment, at)
    limit = _next_limit(batch, at)
    if limit is not None:
        pairs.append(("next deadline", Cell(f"{limit.act} by {words.moment(limit.until, at=at)}", "due")))
    if batch.release is not None:
        pairs.append(("earliest release", Cell(f"{words.day(batch.release.earliest.date(), at=at)}, if all holds")))
    return pairs


def _next_limit(batch: BatchPlan, at: dt.datetime) -> Task | None:
    ahead = (
        task
        for task in batch.tasks
        if task.deadline and task.state in ("", "due", "late") and instant(task.until) >= instant(at)
    )
    return min(ahead, key=lambda task: instant(task.until), default=None)


def _of_medicine(room: Room, tank: Tank, treatment: Treatment, at: dt.datetime) -> list[Pair]:
    pairs: list[Pair] = []
    floor, ceiling = treatment.number("floor"), treatment.number("ceiling")
    if floor is not None and ceiling is not None:
        pairs.append(("band", Cell(words.band(floor.value, ceiling.value, floor.unit))))
    name, _ = choose_product(room, treatment, None, at)
    if name is None:
        pairs.append(("product", Cell("none on the shelf: pratique shelf", "error")))
        return pairs
    product = room.written.shelf[name]
    form = f", {product.form}" if product.form else ""
    pairs.append(("product", Cell(f"{name}: {product.active}{form}, {product.strength.text}")))
    active = active_of(room, name)
    litres = net_volume(room.waters[tank.water]).figure.value
    if treatment.unit == "mg/L" and active.per_unit > 0:
        amount = words.value(STEP * litres / active.per_unit, active.unit)
        pairs.append((f"{STEP:g} mg/L more", Cell(f"is {amount}; read before each dose")))
    return pairs


def _of_next(plan: Plan, tank: Tank, at: dt.datetime) -> list[Pair]:
    """Who is planned to come into a tank that is empty by now."""
    coming = [
        (stage.start, batch.batch.name)
        for batch in plan.batches
        if not batch.over
        for stage in batch.stages
        if tank.name in stage.tanks and instant(stage.start) > instant(at)
    ]
    if not coming:
        return []
    start, name = min(coming, key=lambda entry: instant(entry[0]))
    return [("kept for", Cell(f"{name}, from {words.moment(start, at=at)}"))]


def _of_company(
    room: Room, plan: Plan, places: Mapping[str, str], tank: Tank, history: History
) -> list[Pair]:
    animals = animals_in_water(room, plan, places, tank.water, history)
    heads = sum(animal.count for animal in animals)
    if not heads:
        return [("add no animal", Cell("before `pratique plan` says so"))]
    return [("add no animal", Cell(f"a new one begins the count again for all {heads} in this water", "warning"))]
