"""Readings of the water held against what harms: each shows a cause, clears it, or says neither."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from pratique.dates import shown_moment
from pratique.dosing.kits import kit_reading
from pratique.dosing.product import active_of
from pratique.figure import Figure, digits
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.quantity import Measure
from pratique.response.environment import copper_in, hours_ago
from pratique.response.observed import TypedReading
from pratique.room.brine import read_salinity
from pratique.room.resolve import Room
from pratique.water import ammonia
from pratique.water.salinity import grams_per_kg
from pratique.water.state import Readings, look_at
from pratique.water.volume import net_volume

Verdict = Literal["shows", "may", "clears"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """What a reading, or the log's own sum, says of one cause; `text` has the figure and the limit."""

    cause: str
    verdict: Verdict
    text: str
    source: str
    where: str
    confidence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Read:
    """One reading that counts: typed now, or from the log `hours` ago."""

    what: str
    value: Measure
    hours: float
    said: str


def judge_readings(history: History, tank: str, typed: tuple[TypedReading, ...]) -> tuple[Finding, ...]:
    """Every cause that a reading shows or clears. A typed reading stands before the log's last one."""
    reads = _reads(history, tank, typed)
    found = [*_oxygen(reads), *_ammonia(history, tank, reads)]
    found += [*_copper(history, tank, reads), *_swings(history, tank, reads)]
    clears = store.scoring().of("reading_clears")
    fresh = {read.what for read in reads.values() if read.hours <= clears}
    return tuple(entry for entry in found if entry.verdict != "clears" or _OF[entry.cause] in fresh)


_OF = {
    "low-oxygen": "oxygen", "ammonia": "ammonia", "copper-overdose": "copper",
    "temperature-swing": "temperature", "salinity-swing": "salinity",
}  # fmt: skip


def unread(history: History, tank: str, typed: tuple[TypedReading, ...]) -> tuple[str, ...]:
    """Of oxygen and ammonia, those nobody read while a reading still clears anything."""
    reads, clears = _reads(history, tank, typed), store.scoring().of("reading_clears")
    return tuple(what for what in ("oxygen", "ammonia") if what not in reads or reads[what].hours > clears)


def _reads(history: History, tank: str, typed: tuple[TypedReading, ...]) -> dict[str, _Read]:
    shows = store.scoring().of("reading_shows")
    found: dict[str, _Read] = {}
    for reading in history.of_water(history.room.tanks[tank].water).readings:
        hours = hours_ago(history, reading.at)
        if hours <= shows:
            low = reading.value if reading.low is None else reading.low
            high = reading.value if reading.high is None else reading.high
            value = Measure(reading.value, reading.unit, low, high, reading.text)
            said = f"of {shown_moment(reading.at)}"
            found[reading.what] = _Read(what=reading.what, value=value, hours=hours, said=said)
    for entry in typed:
        found[entry.what] = _Read(what=entry.what, value=entry.value, hours=0.0, said="now")
    return found


def _found(cause: str, verdict: Verdict, text: str, by: Sourced) -> Finding:
    return Finding(
        cause=cause, verdict=verdict, text=text, source=by.source, where=by.where, confidence=by.confidence
    )


def _oxygen(reads: dict[str, _Read]) -> Iterator[Finding]:
    read = reads.get("oxygen")
    if read is None:
        return
    low, fine = (store.scoring().needed(name) for name in ("oxygen_low", "oxygen_fine"))
    said = f"oxygen {read.value.text} {read.said}"
    if read.value.value < low.value:
        yield _found("low-oxygen", "shows", f"{said}, under {low.value:g} mg/L", low)
    elif read.value.low >= fine.value:
        yield _found("low-oxygen", "clears", f"{said}, not under {fine.value:g} mg/L", fine)
    else:
        yield _found("low-oxygen", "may", f"{said}, between {low.value:g} and {fine.value:g} mg/L", low)


def _ammonia(history: History, tank: str, reads: dict[str, _Read]) -> Iterator[Finding]:
    read = reads.get("ammonia")
    if read is None:
        return
    known = store.water_figures()
    warm, acid = (reads.get(name) for name in ("temperature", "ph"))
    state = look_at(
        history.room, tank,
        Readings(temperature=warm.value if warm else None, ph=acid.value if acid else None),
    )  # fmt: skip
    said = f"ammonia {read.value.text} {read.said}"
    if state.conditions is None:
        if read.value.value > 0:
            by = known.needed("ammonia_harms")
            yield _found("ammonia", "may", f"{said}; what of it harms needs temperature and salinity", by)
        return
    total, _ = kit_reading(history.room, "ammonia", read.value, history.at)
    try:
        judged = ammonia.judge_total(total, "N", state.conditions)
    except ValueError:
        return
    part = f"{digits(judged.level.value)} mg/L of it harms"
    if judged.verdict in ("harms", "kills"):
        by = known.needed(f"ammonia_{judged.verdict}")
        yield _found("ammonia", "shows", f"{said}: {part}, over {by.value:g} mg/L", by)
    elif judged.worst == "fine":
        by = known.needed("ammonia_correct")
        yield _found("ammonia", "clears", f"{said}: {part}, not over {by.value:g} mg/L", by)
    else:
        by = known.needed("ammonia_correct")
        yield _found("ammonia", "may", f"{said}: {part}, and up to {digits(judged.level.high)} with its error", by)


def _copper(history: History, tank: str, reads: dict[str, _Read]) -> Iterator[Finding]:
    """A reading over the ceiling of the copper in this water, or an addition that must have gone over it."""
    forms = copper_in(history, tank)
    yield from _poured(history, tank)
    read = reads.get("copper")
    if read is None or not forms:
        return
    ceiling = store.treatment(forms[0]).needed("ceiling")
    said = f"copper {read.value.text} {read.said}"
    if read.value.value > ceiling.value:
        yield _found("copper-overdose", "shows", f"{said}, over the ceiling {ceiling.value:g} mg/L", ceiling)
    elif read.value.high <= ceiling.value:
        yield _found("copper-overdose", "clears", f"{said}, not over the ceiling {ceiling.value:g} mg/L", ceiling)


def _poured(history: History, tank: str) -> Iterator[Finding]:
    """By the log alone: the copper of the last hours shared out over the net volume, and nothing from before."""
    room, lately = history.room, store.scoring().of("done_lately")
    water = room.water_of(tank)
    by_form: dict[str, float] = {}
    for added in history.of_water(water.name).additions:
        product = room.written.shelf.get(added.product)
        if product is None or product.active != "copper" or added.into != "tank":
            continue
        if hours_ago(history, added.at) <= lately:
            form = f"copper-{product.form}"
            by_form[form] = by_form.get(form, 0.0) + added.amount * _per_unit(room, added.product)
    litres: Figure = net_volume(water).figure
    for form, milligrams in by_form.items():
        ceiling = store.treatment(form).needed("ceiling")
        if litres.value > 0 and milligrams / litres.value > ceiling.value:
            rise = digits(milligrams / litres.value)
            text = (
                f"by the log {digits(milligrams)} mg copper went into {digits(litres.value)} L within"
                f" {lately:g} h: {rise} mg/L, over the ceiling {ceiling.value:g} mg/L"
            )
            yield _found("copper-overdose", "shows", text, ceiling)


def _per_unit(room: Room, product: str) -> float:
    try:
        return active_of(room, product).per_unit
    except (KeyError, ValueError):
        return 0.0


def _swings(history: History, tank: str, reads: dict[str, _Read]) -> Iterator[Finding]:
    """Temperature and salinity far from what the room file says of this water."""
    conditions, known = history.room.water_of(tank).conditions, store.scoring()
    warm, salt = reads.get("temperature"), reads.get("salinity")
    if warm is not None and conditions.temperature is not None:
        yield from _swing(
            "temperature-swing", f"temperature {warm.value.text} {warm.said}", warm.value.value,
            conditions.temperature.value, known.needed("swing_temperature"),
        )  # fmt: skip
    if salt is not None and conditions.salinity is not None:
        now = grams_per_kg(read_salinity(salt.value.text)) if salt.value.unit == "sg" else salt.value.value
        yield from _swing(
            "salinity-swing", f"salinity {salt.value.text} {salt.said}", now,
            grams_per_kg(conditions.salinity), known.needed("swing_salinity"),
        )  # fmt: skip


def _swing(cause: str, said: str, now: float, usual: float, limit: Sourced) -> Iterator[Finding]:
    away = abs(now - usual)
    unit = "°C" if limit.unit == "degC" else limit.unit
    verdict: Verdict = "shows" if away >= limit.value else "clears"
    word = "from" if away >= limit.value else "only"
    text = f"{said}, {word} {digits(away)} {unit} off the room file's {digits(usual)} {unit}"
    yield _found(cause, verdict, text, limit)
