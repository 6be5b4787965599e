"""The last reading of ammonia in each water, and the change it calls for, with what of a medicine goes back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pratique.dosing.kits import read_with
from pratique.dosing.product import active_of
from pratique.figure import Figure, digits
from pratique.history.events import Exchange, Reading
from pratique.knowledge import store
from pratique.knowledge.model import cite
from pratique.problem import Refusal
from pratique.quantity import Measure
from pratique.schedule.calendar import plus_hours, shown
from pratique.schedule.feeds import SOON, cut, gives, litres_of
from pratique.schedule.known_level import known_level
from pratique.schedule.model import Task
from pratique.schedule.reckoned import reckoned_level
from pratique.schedule.recorded import medicines_on_record, room_as_recorded
from pratique.schedule.tasks import NEW_WATER
from pratique.schedule.urgent.desk import Desk, typed
from pratique.water.judging import AmmoniaAnswer, judge_ammonia
from pratique.water.state import Readings, look_at

ACT = "change-water"

BESIDE = 24.0
"""Hours before an ammonia reading within which a pH or a temperature is taken to be of the same water."""

SAYS = {"correct": "has to come down", "harms": "HARMS fish", "kills": "KILLS fish", "fine": "may have to come down"}


def ammonia_tasks(desk: Desk) -> Iterator[Task]:
    """One change for each water whose last reading of ammonia calls for it; one that was made today stands as done."""
    room = room_as_recorded(desk.room, desk.history)
    for water, record in desk.history.waters.items():
        span = (desk.listed_from, plus_hours(desk.now, SOON))
        last = next((entry for entry in reversed(cut(record.readings, span)) if entry.what == "ammonia"), None)
        if last is None or not desk.history.in_water(water):
            continue
        state = look_at(room, last.tank, _beside(desk, water, last))
        total = _figure(desk, last)
        answer = judge_ammonia(state, total, None)
        if isinstance(answer, Refusal):
            if total.value > 0:
                yield _not_judged(desk, last, answer)
            continue
        if answer.change is not None:
            yield from _change(desk, water, last, answer)


def _change(desk: Desk, water: str, reading: Reading, answer: AmmoniaAnswer) -> Iterator[Task]:
    """The change the reading calls for; less, or none, for the water that was changed since."""
    assert answer.change is not None
    made = cut(desk.history.of_water(water).exchanges, (reading.at, plus_hours(desk.now, SOON)))
    left = 1.0
    for exchange in made:
        left *= 1 - min(litres_of(desk.room, water, exchange) / answer.state.litres.value, 1.0)
    still = judge_ammonia(answer.state, answer.total.times(left), None)
    if isinstance(still, AmmoniaAnswer) and still.change is not None:
        yield _task(desk, water, reading, still, made)
    elif made and desk.is_today(made[-1].at):
        yield replace(_task(desk, water, reading, answer, ()), state="done", done_at=made[-1].at)


def _task(desk: Desk, water: str, reading: Reading, answer: AmmoniaAnswer, made: Sequence[Exchange]) -> Task:
    change = answer.change
    assert change is not None
    verdict = answer.judged.verdict
    when = "today" if verdict == "fine" else "NOW"
    part = f"{digits(100 * change.share)} %{' more' if made else ''}"
    read = f"ammonia {reading.text} ({shown(reading.at)}) {SAYS[verdict]}{_assumed(answer)}"
    again = "" if desk.is_today(reading.at) else "read again first, it may be more by now; "
    text = [f"change water {when}, {part}: {read}; {again}{NEW_WATER}; read again after it"]
    text += _put_back(desk, water, reading.tank, change.share)
    if answer.unreliable_with:
        text.append("with a medicine in the water the test is not to be trusted alone: an ammonia badge decides")
    limit = store.water_figures().needed("ammonia_correct")
    return desk.task(
        ACT,
        reading.at,
        reading.tank,
        reading.entry_id,
        "; ".join(text),
        batch=desk.batch_in(water),
        amount=change.litres,
        sources=(cite(limit),),
        reason="the last reading of ammonia, at the worse end of its error",
    )


def _not_judged(desk: Desk, reading: Reading, refusal: Refusal) -> Task:
    first = refusal.first
    text = (
        f"ammonia {reading.text} ({shown(reading.at)}) is not judged: {first.message.replace('`', '')}; "
        f"measure it, then {typed('pratique water', reading.tank, '--ammonia', reading.text)}"
    )
    batch = desk.batch_in(desk.room.tanks[reading.tank].water)
    return desk.task("test", reading.at, reading.tank, reading.entry_id, text, batch=batch, refused=first.code)


def _assumed(answer: AmmoniaAnswer) -> str:
    """What was not known and was counted at its worst."""
    assert answer.state.conditions is not None
    if "ph" in answer.assumed:
        return f" (pH not known, counted as {answer.state.conditions.ph.value:g}: read it)"
    return ""


def _figure(desk: Desk, reading: Reading) -> Figure:
    if reading.low is not None and reading.high is not None:
        return Figure.around(reading.value, reading.unit, reading.low, reading.high)
    kits = {name: kit for name, kit in desk.room.written.kits.items() if kit.measures == "ammonia"}
    named = kits.get(reading.kit)
    if named is None and not reading.kit and len(kits) == 1:
        named = next(iter(kits.values()))
    return read_with(named, reading.value, reading.unit)


def _beside(desk: Desk, water: str, last: Reading) -> Readings:
    """pH and temperature read with it, or not long before."""
    span = (plus_hours(last.at, -BESIDE), plus_hours(last.at, BESIDE))
    found: dict[str, Measure] = {}
    for entry in cut(desk.history.of_water(water).readings, span):
        if entry.what in ("ph", "temperature"):
            low, high = (entry.low, entry.high) if entry.low is not None else (entry.value, entry.value)
            found[entry.what] = Measure(entry.value, entry.unit, low, high or entry.value, entry.text)
    return Readings(temperature=found.get("temperature"), ph=found.get("ph"))


def _put_back(desk: Desk, water: str, tank: str, share: float) -> Iterator[str]:
    """What of each medicine goes into the new water, so that the change leaves its level as it is."""
    history, room = desk.history, desk.room
    for id_ in medicines_on_record(room, history, water):
        treatment = desk.basis.treatment(id_)
        known = known_level(history, treatment, water, desk.now)
        reckoned = reckoned_level(history, treatment, water, desk.now)
        level = known.measure.value if known.measure is not None else None
        if level is None and reckoned is not None:
            level = reckoned.level.value
        given = [entry for entry in history.of_water(water).additions if gives(room, treatment, entry)]
        product = given[-1].product if given else ""
        ask = typed("pratique dose", tank, id_, "--change", f"{digits(100 * share)} %", "--reading", "…")
        if not treatment.form or level is None or product not in room.written.shelf:
            yield f"{treatment.title} goes out with it: {ask} says what goes back"
            continue
        most = treatment.number("ceiling")
        if most is not None and level > most.value:
            yield f"no {treatment.active} into the new water: its level is too high"
            continue
        bottle = active_of(room, product)
        litres = desk.basis.volume(room.tanks[tank]).value * share
        amount = f"{digits(level * litres / bottle.per_unit)} {bottle.unit}"
        yield f"{amount} of {product} into the new water keeps {digits(level)} {treatment.unit} as it is"
