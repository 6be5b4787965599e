"""The ammonia that harms: the un-ionised part of what a test shows.

Share = 1 / (1 + 10^(pK - pH)). pK of sea water is our fit of a reprinted table (source BB78: one salinity,
10 to 25 degC); of fresh water the formula behind the factors of FA16. Between the two salinities pK is drawn
as a straight line and its ends are the two waters themselves; above the table's salinity its pK is kept, which
errs to the high side. pH is what meters and buffers show (the NBS scale). A pH on the total scale is about 0.14
lower for the same sea water and would give up to a quarter too little here.

A test counts total ammonia as nitrogen (N), as NH3 or as NH4; `Basis` says which. The limits are printed without
one, so they are read as NH3, the stricter reading of the two in use.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pratique.figure import Figure, Step, digits
from pratique.knowledge import store

Basis = Literal["N", "NH3", "NH4"]
Verdict = Literal["fine", "correct", "harms", "kills"]

_MASSES = {"N": "mass_nitrogen", "NH3": "mass_ammonia", "NH4": "mass_ammonium"}
_ZERO_CELSIUS = 273.15


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """What the share hangs on: temperature (degC), pH (NBS scale), salinity (g/kg), each with its error."""

    temperature: Figure
    ph: Figure
    salinity: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """Un-ionised ammonia (mg/L as NH3) and what it does: at its value, and if every error were at its worst."""

    level: Figure
    verdict: Verdict
    worst: Verdict
    working: tuple[Step, ...]


def in_basis(level: float, written: Basis, wanted: Basis) -> float:
    """The same ammonia counted in another way, by molar mass. Source: atomic weights.

    >>> round(in_basis(1.0, "N", "NH3"), 3)
    1.216
    """
    return level * _number(_MASSES[wanted]) / _number(_MASSES[written])


def share_figure(conditions: Conditions) -> Figure:
    """The part (%) of total ammonia that is un-ionised, its ends by the errors of the readings, fit and salinity.

    ValueError for a value outside 5 to 34 degC, pH 5.5 to 9.5 (NBS), 0 to 42 g/kg; ends may lie a little outside.
    Source: BB78 (sea water), FA16 (fresh water).
    """
    t, ph, salt = conditions.temperature, conditions.ph, conditions.salinity
    _refuse_outside(t.value, ph.value, salt.value)
    value = _share(_pk(t.value, salt.value)[0], ph.value)
    least = _share(_pk(t.low, salt.high)[2], ph.low)
    most = _share(_pk(t.high, max(salt.low, 0.0))[1], ph.high)
    if salt.high > _number("fresh_salinity"):
        fit = store.water_figures().needed("ammonia_fit_share")
        least, most = least * fit.low / 100, min(most * fit.high / 100, 1.0)
    return Figure.around(100 * value, "%", 100 * least, 100 * most)


def unionised(total: Figure, conditions: Conditions) -> Figure:
    """Un-ionised ammonia in mg/L, in the basis of `total` (mg/L). ValueError as `share_figure`.

    Source: BB78, FA16.
    """
    share = share_figure(conditions)
    value = total.value * share.value / 100
    return Figure.around(value, total.unit, max(total.low, 0.0) * share.low / 100, total.high * share.high / 100)


def verdict_on(unionised_nh3: float) -> Verdict:
    """What un-ionised ammonia (mg/L as NH3) does to fish. Source: NRAC111 (correct), FA16 (harms, kills).

    >>> verdict_on(0.02), verdict_on(0.03), verdict_on(0.05)
    ('fine', 'correct', 'harms')
    """
    if unionised_nh3 >= _number("ammonia_kills"):
        return "kills"
    if unionised_nh3 >= _number("ammonia_harms"):
        return "harms"
    return "correct" if unionised_nh3 > _number("ammonia_correct") else "fine"


def judge_total(total: Figure, basis: Basis, conditions: Conditions) -> Judged:
    """Judge a reading of total ammonia (mg/L in `basis`). ValueError as `share_figure`.

    A pH that was not measured counts as high: see `assumed_ph`. Source: BB78, FA16, NRAC111.
    """
    share = share_figure(conditions)
    level = unionised(total, conditions).times(in_basis(1.0, basis, "NH3"))
    t, ph, salt = (digits(figure.value) for figure in (conditions.temperature, conditions.ph, conditions.salinity))
    steps = (
        Step(
            label="un-ionised part",
            expression=f"1 / (1 + 10^(pK − pH)) at {t} degC, pH {ph}, {salt} g/kg",
            result=f"{digits(share.value)} %",
            source=store.water_figures().needed("ammonia_pk").source,
        ),
        Step(
            label="un-ionised ammonia, as NH3",
            expression=f"{digits(total.value)} mg/L as {basis} × {digits(share.value)} %"
            + ("" if basis == "NH3" else f" × {digits(in_basis(1.0, basis, 'NH3'))}"),
            result=f"{digits(level.value)} mg/L",
            source=store.water_figures().needed("ammonia_harms").source,
        ),
    )
    return Judged(level=level, verdict=verdict_on(level.value), worst=verdict_on(level.high), working=steps)


def total_at_limit(limit: str, conditions: Conditions, basis: Basis = "N") -> Figure:
    """Total ammonia (mg/L in `basis`) at which the un-ionised part is at a limit of the knowledge file.

    `limit` is `ammonia_correct`, `ammonia_harms` or `ammonia_kills`. ValueError as `share_figure`.
    """
    share = share_figure(conditions)
    wanted = in_basis(100 * _number(limit), "NH3", basis)
    return Figure.around(wanted / share.value, "mg/L", wanted / share.high, wanted / share.low)


def assumed_ph() -> float:
    """The pH to reckon with where none was measured. Source: COMMON (an unknown pH counts as high)."""
    return _number("ph_unknown")


def _number(name: str) -> float:
    return store.water_figures().needed(name).value


def _share(pk: float, ph: float) -> float:
    return float(1 / (1 + 10 ** (pk - ph)))


def _pk(temperature: float, salinity: float) -> tuple[float, float, float]:
    """pK at degC and g/kg, with its ends. It rises with salinity."""
    fresh = _number("ammonia_fresh_pk") + _number("ammonia_fresh_slope") / (temperature + _ZERO_CELSIUS)
    if salinity <= _number("fresh_salinity"):
        return fresh, fresh, fresh
    sea = _number("ammonia_pk") + _number("ammonia_pk_fall") * (25 - temperature)
    part = salinity / _number("ammonia_table_salinity")
    return (sea, sea, sea) if part >= 1 else (fresh + (sea - fresh) * part, fresh, sea)


def _refuse_outside(temperature: float, ph: float, salinity: float) -> None:
    readings = (("temperature", temperature, "degC"), ("ph", ph, "pH"), ("salinity", salinity, "g/kg"))
    for name, value, unit in readings:
        known = store.water_figures().needed(f"ammonia_{name}")
        if not known.low <= value <= known.high:
            span = f"{known.low:g} to {known.high:g} {unit}"
            raise ValueError(f"no figure for un-ionised ammonia at {value:g} {unit}: it is known from {span}")
