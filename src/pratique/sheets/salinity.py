"""Another salinity, on a page: the first change, then the dated table, then what to watch."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.salinity_plan import PutIn, SalinityPlan, SalinityStep
from pratique.figure import digits
from pratique.knowledge.model import Sourced
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.dose import overridden_part
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Part, Sheet, Table
from pratique.sheets.water_parts import figure, gravity, salinity, water_page

LIMITED = {"stored water": "by the water there is", "litres": "by the litres of one change"}


def salinity_sheet(
    room: Room, plan: SalinityPlan, at: dt.datetime, *, title: str, next_: str = "", working: bool = False
) -> Sheet:
    notes = Footnotes()
    parts: list[Part] = [*overridden_part(plan.overridden), _facts(room, plan, at, notes)]
    if plan.steps:
        parts.append(_table(room, plan, at))
    return water_page(
        title,
        at,
        parts,
        notes,
        to_know=plan.notes,
        cautions=plan.cautions,
        working=plan.working if working else None,
        next_=next_,
    )


def _facts(room: Room, plan: SalinityPlan, at: dt.datetime, notes: Footnotes) -> Facts:
    request = plan.request
    first = next((step for step in plan.steps if step.leg != "hold"), None)
    pairs: list[tuple[str, Cell]] = []
    if first is not None:
        water = plan.down if first.leg == "down" else plan.up
        assert water is not None
        pairs.append(("take out now", Cell(figure(first.litres, room), "due")))
        pairs.append(("fill up with", Cell(_called(water), "due")))
    for leg, water in (("down", plan.down), ("up", plan.up)):
        if water is not None and len(plan.of_leg("down" if leg == "down" else "up")) > 1:
            total = plan.litres("down" if leg == "down" else "up")
            pairs.append((f"in all {leg}", Cell(figure(total, room, f"of {_called(water)}"))))
    pairs += [
        ("water", Cell(figure(plan.water, room, "net"))),
        ("before", Cell(salinity(request.start))),
        ("target", Cell(salinity(request.goal) + _band(plan, notes))),
    ]
    pairs += [(step.leg, Cell(_held(step, plan, at, notes))) for step in plan.of_leg("hold")]
    pairs += _times(plan, notes)
    return Facts(pairs=tuple(pairs))


def _called(water: PutIn) -> str:
    if water.origin == "fresh":
        return "fresh water"
    where = {"on file": " (on file)", "to mix": " (to be mixed)"}.get(water.origin, "")
    return f"water at {digits(water.salinity)} g/kg{where}"


def _band(plan: SalinityPlan, notes: Footnotes) -> str:
    if not plan.request.course:
        return ""
    target = plan.request.treatment.needed("target")
    return f", band {words.band(target.low, target.high, 'g/kg')}{notes.mark(words.citation(target))}"


def _held(step: SalinityStep, plan: SalinityPlan, at: dt.datetime, notes: Footnotes) -> str:
    assert step.until is not None
    course = plan.request.treatment.needed("course")
    days = f"{course.value / 24:g} d{notes.mark(words.citation(course))}"
    return f"{days} from the first reading in the band, not before {words.moment(step.until, at=at)}"


def _times(plan: SalinityPlan, notes: Footnotes) -> list[tuple[str, Cell]]:
    known = plan.request.treatment
    pairs: list[tuple[str, Cell]] = []
    if plan.of_leg("down"):
        pairs.append(("down takes", Cell(_span(plan.of_leg("down"), known.needed("lowering_step_salinity"), notes))))
    if plan.raising_days > 0:
        pace = known.needed("raising_per_day_salinity")
        text = f"{plan.raising_days:.1f} d at {pace.value:g} g/kg a day{notes.mark(words.citation(pace))}"
        steps = plan.of_leg("up")
        slower = any(step.limited_by == "stored water" for step in steps)
        longer = f"; {_days(steps)} by the water there is" if slower else ""
        pairs.append(("up takes" if steps else "back up takes", Cell(text + longer)))
    return pairs


def _span(steps: tuple[SalinityStep, ...], pace: Sourced, notes: Footnotes) -> str:
    mark = notes.mark(words.citation(pace))
    if len(steps) == 1:
        return f"one change; about {pace.value:g} g/kg is the most at once{mark}"
    hours = (steps[-1].at - steps[0].at).total_seconds() / 3600
    return f"{len(steps)} changes of about {pace.value:g} g/kg at the most, over {hours:g} h{mark}"


def _days(steps: tuple[SalinityStep, ...]) -> str:
    return words.plural((steps[-1].at - steps[0].at).days + 1, "day")


def _table(room: Room, plan: SalinityPlan, at: dt.datetime) -> Table:
    count: dict[str, int] = {}
    rows = []
    for step in plan.steps:
        count[step.leg] = count.get(step.leg, 0) + 1
        label = step.leg if step.leg == "hold" else f"{step.leg} {count[step.leg]}"
        rows.append(
            (
                Cell(label),
                Cell(words.moment(step.at, at=at)),
                Cell(words.volume(step.litres.value, room)) if step.leg != "hold" else EMPTY,
                Cell(f"{step.after:.1f}"),
                Cell(gravity(step.after)),
                Cell(_watch(step, at)),
            )
        )
    columns = (
        Column("", "id", lead=True),
        Column("From", "id", lead=True),
        Column("Change", "number"),
        Column("g/kg after", "number"),
        Column("Gravity", "number"),
        Column("Watch", "prose"),
    )
    return Table(title="In these steps", columns=columns, rows=tuple(rows))


def _watch(step: SalinityStep, at: dt.datetime) -> str:
    if step.until is not None:
        return f"until {words.moment(step.until, at=at)}: salinity and pH daily, ammonia, nitrite"
    parts = ["pH"] if step.watch_ph else []
    if step.limited_by in LIMITED:
        parts.append(f"limited {LIMITED[step.limited_by]}")
    return "; ".join(parts) or "—"
