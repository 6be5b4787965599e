"""Doses, readings and the clearing out of a medicine, as tasks with their amounts."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.dose import Dose, Request
from pratique.dosing.facts import EQUIPMENT
from pratique.dosing.work import MOST_AT_ONCE, work_out
from pratique.figure import Figure, shown_unit
from pratique.knowledge import store
from pratique.knowledge.model import Treatment, cite
from pratique.logbook.quotes import shell_word
from pratique.problem import Problem
from pratique.quantity import Measure
from pratique.room.resolve import Tank
from pratique.schedule.placed import Placed
from pratique.schedule.reckoned import TooHigh, lowering
from pratique.schedule.tank_work import copper_removal
from pratique.schedule.tasks import MIX_FOR_CHANGE, TaskList
from pratique.schedule.timeline import Timeline
from pratique.water.dilution import changes_to_reach

MIXED_BEFORE = "new water is mixed a day before"


def hold(work: TaskList, entry: Placed, *, at_once: bool) -> None:
    """Copper: doses in steps, the reading that starts the clock, the last reading, what follows it."""
    stage, tank, line, treatment = entry.stage.name, entry.tank, entry.line, entry.treatment
    first = "at once: with these signs there is no day to lose" if at_once else "a day of rest before any drug"
    _doses(work, entry, first, "a later step only after a reading")
    _too_high(work, entry)
    if line.in_band is not None:
        _read_first(work, entry, line.in_band)
    if line.counted is None:
        return
    course = treatment.needed("course_same_tank" if line.changes else "course")
    days = round(course.value / 24)
    work.add(
        stage,
        "test",
        line.counted,
        tank.name,
        f"copper: last reading of the course; {days} days are counted if every reading was in band",
        sources=(cite(course),),
        reason="counted from the first reading in band",
    )
    if line.changes:
        _clear_copper(work, stage, tank, line, treatment)
    else:
        _change_after(work, stage, tank, line.counted, treatment)


def _read_first(work: TaskList, entry: Placed, at: dt.datetime) -> None:
    target = entry.treatment.needed("target")
    which = work.basis.room.written.room.clocks.copper_start
    counts = "from this reading" if which == "first" else "from this reading, the second in band"
    begun = entry.clock is not None and entry.clock.started is not None
    work.add(
        entry.stage.name,
        "test",
        at,
        entry.tank.name,
        f"copper: in band from {target.low:g} to {target.high:g} {target.unit}? "
        f"the days count {counts}, not from the first dose",
        sources=(cite(target),),
        reason=f"the clock starts at the {which} reading in band",
        done_at=at if begun else None,
    )


def _too_high(work: TaskList, entry: Placed) -> None:
    """The last reading, or what was given since, lies above the ceiling: water is changed until it does not."""
    if entry.high is not None:
        _reckoned_too_high(work, entry, entry.high)
        return
    if not entry.is_too_high:
        return
    ceiling, reading = entry.treatment.needed("ceiling"), entry.reading
    assert reading is not None
    assert work.basis.history is not None
    aim = entry.treatment.needed("target", work.basis.temperature(entry.tank))
    count, share = changes_to_reach(reading.value, aim.value, MOST_AT_ONCE)
    work.add(
        entry.stage.name,
        "change-water",
        work.basis.calendar.local(work.basis.history.at),
        entry.tank.name,
        f"copper too high, {reading.text}: {lowering(count)}",
        amount=work.basis.volume(entry.tank).times(share),
        sources=(cite(ceiling),),
        urgent=True,
        reason="the last reading lies above the ceiling",
    )


def _reckoned_too_high(work: TaskList, entry: Placed, high: TooHigh) -> None:
    """Nobody has read it yet: the change is due now, and a reading before anything else."""
    stage, tank, history = entry.stage.name, entry.tank.name, work.basis.history
    at = max(high.last.at, entry.line.start) if history is None else work.basis.calendar.local(history.at)
    source = (cite(high.aim.ceiling or high.aim.target),)
    reason = "by reckoning the level lies above the ceiling"
    work.add(
        stage, "change-water", at, tank, high.to_do, amount=high.litres, sources=source, reason=reason, urgent=True
    )  # fmt: skip
    work.add(stage, "test", at, tank, high.to_read, sources=source, reason=reason, urgent=True)


def _change_after(work: TaskList, stage: str, tank: Tank, at: dt.datetime, treatment: Treatment) -> None:
    change, wait = treatment.number("change_after"), treatment.number("wait_after")
    if change is None:
        return
    text = f"change {change.value:g} % of the water, no copper into the new water"
    if wait is not None:
        text += f"; the fish are moved after {wait.value:g} h"
    reason = "after the course, before the fish are moved"
    _change(work, stage, tank, at, change.value / 100, text, sources=(cite(change),), reason=reason)


def _change(
    work: TaskList,
    stage: str,
    tank: Tank,
    at: dt.datetime,
    share: float,
    text: str,
    *,
    reason: str,
    sources: tuple[str, ...] = (),
) -> None:
    """A single change of `share` (0 to 1), and its water mixed the evening before."""
    volume = work.basis.volume(tank).times(share)
    eve = work.eve_of(at)
    work.add(stage, "prepare-water", eve, tank.name, MIX_FOR_CHANGE, until=at, amount=volume, reason=MIXED_BEFORE)
    work.add(stage, "change-water", at, tank.name, text, amount=volume, sources=sources, reason=reason)


def _clear_copper(work: TaskList, stage: str, tank: Tank, line: Timeline, treatment: Treatment) -> None:
    """The fish stay: the copper is taken out by daily changes and carbon, until a kit sees none."""
    count, share = work.basis.copper_out(treatment)
    sources = (cite(copper_removal(work.basis)), cite(treatment.needed("kit_detection")))
    for number, change in enumerate(line.changes, 1):
        text = f"change {share * 100:.0f} % of the water, no copper into the new water ({number} of {count})"
        if number == 1:
            text += "; fresh carbon in: both take the copper out"
        reason = "there is no clean tank to move to, so the copper is taken out of this one"
        _change(work, stage, tank, change.at, share, text, sources=sources, reason=reason)
    unseen = treatment.needed("kit_detection")
    work.add(
        stage,
        "test",
        line.end,
        tank.name,
        f"copper: zero, below the {unseen.value:g} {unseen.unit} a kit can tell? if not, change again and keep the "
        "carbon in; the watch counts from this reading",
        sources=sources,
        reason="a watch is without any medicine in the water",
    )


def course(work: TaskList, entry: Placed, *, stays: bool) -> None:
    """The anthelmintic: whole doses in windows set by the eggs; the drug is not taken to persist."""
    stage, tank, line = entry.stage.name, entry.tank, entry.line
    second = entry.treatment.number("second_dose", work.basis.temperature(tank))
    later = "after eggs have hatched, before the new worms lay" + (f" ({cite(second)})" if second is not None else "")
    _doses(work, entry, "a day of rest before any drug; begin when it eats", later)
    if stays:
        share = store.routine().needed("clearing_share")
        text = f"change {share.value:g} % of the water, fresh carbon in: the medicine has done its work"
        reason = "the watch that follows is without any medicine"
        _change(work, stage, tank, line.end, share.value / 100, text, sources=(cite(share),), reason=reason)


def _doses(work: TaskList, entry: Placed, first: str, later: str) -> None:
    """Doses on record as they were given; those to come by the last reading that holds, else by the ramp."""
    stage, tank, line, treatment = entry.stage.name, entry.tank, entry.line, entry.treatment
    coming = [due for due in line.doses if not due.done]
    answer = worked_out(work, tank, treatment, coming[0].at, reading=entry.dosed_by) if coming else None
    if isinstance(answer, Dose):
        work.problems.extend(answer.problems)
    for index, due in enumerate(line.doses):
        act, reason = ("redose", later) if index else ("dose", first)
        if due.done or answer is None:
            text = f"{treatment.title}: {due.product or 'marked as given, and nobody wrote how much'}"
            there = due.tank or tank.name
            work.add(stage, act, due.at, there, text, until=due.at, amount=due.amount, done_at=due.at)
            continue
        if isinstance(answer, Problem):
            text = f"{treatment.title}: not worked out, see {answer.code}"
            work.add(stage, act, due.at, tank.name, text, until=due.until, refused=answer.code, reason=answer.message)
            continue
        text, amount = _dose_text(entry, answer, index)
        work.add(
            stage,
            act,
            due.at,
            tank.name,
            f"{text}; {due.note}" if due.note else text,
            until=due.until,
            amount=amount,
            product=answer.product,
            sources=_dose_sources(work, tank, treatment, answer, index),
            reason=reason,
        )


def worked_out(
    work: TaskList,
    tank: Tank,
    treatment: Treatment,
    at: dt.datetime,
    share: float | None = None,
    reading: Measure | None = None,
) -> Dose | Problem:
    """The dose for this batch in this tank, equipment off; with `share`, of a water change (0 to 1) as well."""
    answer = work_out(
        Request(
            room=work.basis.room,
            tank=tank.name,
            treatment=treatment,
            at=at,
            animals=work.batch.animals,
            off=frozenset(EQUIPMENT),
            change_share=share,
            reading=reading,
        )
    )
    if isinstance(answer, Dose):
        return answer
    work.problems.extend(answer.problems)
    return answer.first


def _dose_text(entry: Placed, answer: Dose, index: int) -> tuple[str, Figure | None]:
    """What is added at this moment, and how much where the calendar alone, or the last reading, may say it."""
    tank, treatment, count, steps = entry.tank, entry.treatment, len(entry.line.doses), answer.steps
    command = f"`pratique dose {shell_word(tank.name)} {treatment.id} --reading …`"
    if not treatment.form and steps:
        level = _level(steps[0].after.value, answer)
        return f"{treatment.title}, dose {index + 1} of {count}: {answer.product}, to {level}", steps[0].add
    head = f"{treatment.title}, step {index + 1} of {count}: {answer.product}"
    step = index
    if entry.given:
        head = f"{treatment.title}, addition {index + 1}: {answer.product}"
    if entry.dosed_by is not None:
        step = index - entry.given
    if step >= len(steps) or (entry.read_first and entry.reading is not None):
        return f"{head}, only after a reading: as much as {command} says", None
    text = f"{head}, to {_level(steps[step].after.value, answer)}"
    if entry.reading is not None and not step:
        return f"{text}, by the reading {entry.reading.text}", steps[step].add
    if entry.reckoned is not None and not step:
        level = _level(entry.reckoned.level.value, answer)
        text += f"; {level} by reckoning, so read first, and add what {command} then says"
        return text, steps[step].add
    return text + (f"; read first, and add what {command} then says" if index else ""), steps[step].add


def _level(value: float, answer: Dose) -> str:
    return f"{value:.3g} {shown_unit(answer.target.unit)}"


def _dose_sources(work: TaskList, tank: Tank, treatment: Treatment, answer: Dose, index: int) -> tuple[str, ...]:
    found = [cite(number) for number in answer.sources[:1]]
    if index and not treatment.form:
        name = "second_dose" if index == 1 else "third_dose"
        found.insert(0, cite(treatment.needed(name, work.basis.temperature(tank))))
    return tuple(found)
