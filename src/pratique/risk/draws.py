"""Parameter sets: for each strain so many draws, every one a cycle that the published points allow.

A first and a last hour seen are read as one in so many of those watched, on a log-normal; how many were watched is
drawn too. CHE79's shares at three temperatures are fitted anew for each draw, and its warmth is lent to strains that
were read at one temperature. Ranges nobody has measured (`assumed`) are drawn evenly, counts evenly by their size.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache
from statistics import NormalDist
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from pratique.knowledge import store
from pratique.knowledge.lifecycle import LifeCycle, Strain
from pratique.knowledge.model import Sourced

Array: TypeAlias = npt.NDArray[np.float64]

DRAWS = 48
"""Draws for each strain."""

SEED = 760
NO_FADE = 1e9


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """A log-normal time of one stage, by draw: `log_hours` at `read_at` (degC), `slope` of it for a degree warmer."""

    log_hours: Array
    spread: Array
    read_at: Array
    slope: Array

    def at(self, temperature: Array) -> Array:
        """The log of the median (h) at a temperature (degC) of each draw."""
        middle: Array = self.log_hours - self.slope * (temperature - self.read_at)
        return middle


@dataclass(frozen=True, slots=True, kw_only=True)
class Draws:
    """One strain, drawn. `reach`, `burden` and `cysts` are counts; `fade` and `life` (h) of the free stage;
    `rhythm` is the share that keeps to the hours before light; `warmer` (-1 to 1) places the thermometer's error.
    """

    strain: Strain
    stay: Timing
    release: Timing
    reach: Array
    burden: Array
    cysts: Array
    fade: Array
    life: Array
    rhythm: Array
    warmer: Array

    @property
    def count(self) -> int:
        return len(self.reach)

    def with_burden(self, parasites: float | None) -> Draws:
        """The same with so many parasites on arrival, or as drawn."""
        return self if parasites is None else replace(self, burden=np.full(self.count, parasites))


class _Dice:
    """Even draws in as many layers as there are draws, each parameter in an order of its own."""

    def __init__(self, seed: int, count: int) -> None:
        self.generator, self.count = np.random.default_rng(seed), count

    def even(self, low: float, high: float) -> Array:
        layers = (self.generator.permutation(self.count) + self.generator.random(self.count)) / self.count
        found: Array = low + (high - low) * layers
        return found

    def of(self, number: Sourced | None, *, scale: float = 1.0, other: float = 0.0) -> Array:
        if number is None:
            return np.full(self.count, other)
        return self.even(number.low * scale, number.high * scale)

    def by_size(self, number: Sourced) -> Array:
        return np.exp(self.even(math.log(number.low), math.log(number.high)))


def draws_of(pathogen: str, count: int | None = None) -> tuple[Draws, ...]:
    """Every strain of a pathogen, drawn `count` times, DRAWS if not told; the same at every call."""
    return _draws_of(pathogen, count or DRAWS)


@cache
def _draws_of(pathogen: str, count: int) -> tuple[Draws, ...]:
    cycle = store.life_cycles()[pathogen]
    return tuple(_drawn(cycle, strain, number, count) for number, strain in enumerate(cycle.strains))


def _drawn(cycle: LifeCycle, strain: Strain, number: int, count: int) -> Draws:
    dice = _Dice(SEED + number, count)
    assumed = cycle.assumed
    assert assumed is not None
    watched = dice.by_size(assumed.needed("watched"))
    warmth = _slopes(cycle, dice)
    read_at = dice.of(strain.needed("read_at"))
    points = fitted(strain, dice.generator, _counted(cycle, dice)) if strain.points else None
    stay_slope = np.log(dice.of(assumed.needed("stay_warmth"))) / 10
    stay = _between(strain.needed("on_fish"), watched, read_at, stay_slope)
    release = points or _between(strain.needed("release"), watched, read_at, warmth)
    life = strain.number("free_life") or cycle.needed("free_life")
    reach = assumed.needed("reach")
    most = cycle.needed("free_count")
    return Draws(
        strain=strain, stay=stay, release=release,
        reach=np.minimum(dice.by_size(reach), dice.of(most)),
        burden=dice.by_size(assumed.needed("burden")).round(), cysts=dice.by_size(assumed.needed("cysts")).round(),
        fade=_fade(cycle, dice), life=dice.of(life),
        rhythm=dice.of(assumed.number("keep_rhythm"), scale=0.01), warmer=dice.even(-1.0, 1.0),
    )  # fmt: skip


def _between(span: Sourced, watched: Array, read_at: Array, slope: Array) -> Timing:
    """The log-normal whose first and last of so many watched are the ends of `span` (h)."""
    low, high = math.log(span.low), math.log(span.high)
    far = np.array([NormalDist().inv_cdf(1 - 1 / number) for number in watched])
    middle = np.full(len(watched), (low + high) / 2)
    return Timing(log_hours=middle, spread=(high - low) / 2 / far, read_at=read_at, slope=slope)


def _counted(cycle: LifeCycle, dice: _Dice) -> Array:
    assert cycle.assumed is not None
    return dice.by_size(cycle.assumed.needed("counted"))


def fitted(strain: Strain, generator: np.random.Generator, counted: Array) -> Timing:
    """A log-normal whose median goes by temperature, through the strain's points, each share drawn of so many cysts.

    log(h) = a - slope * degC + spread * probit(share), by least squares.
    """
    rows = []
    log_hours = np.array([math.log(point.after) for point in strain.points])
    degrees = np.array([point.temperature for point in strain.points])
    middle = float(degrees.mean())
    for many in np.maximum(counted.round(), 4).astype(int):
        shares = generator.binomial(many, [point.share for point in strain.points]) / many
        probits = [NormalDist().inv_cdf(min(max(share, 0.5 / many), 1 - 0.5 / many)) for share in shares]
        design = np.column_stack([np.ones(len(degrees)), middle - degrees, probits])
        rows.append(np.linalg.lstsq(design, log_hours, rcond=None)[0])
    found = np.array(rows)
    return Timing(
        log_hours=found[:, 0], slope=found[:, 1], spread=np.maximum(found[:, 2], 0.02),
        read_at=np.full(len(rows), middle),
    )  # fmt: skip


def _slopes(cycle: LifeCycle, dice: _Dice) -> Array:
    """How much faster a cyst is for a degree: as CHE79's, where a strain of the pathogen was read at several."""
    known = next((strain for strain in cycle.strains if strain.points), None)
    assert cycle.assumed is not None
    if known is None:
        slopes: Array = np.log(dice.of(cycle.assumed.needed("warmth"))) / 10
        return slopes
    return fitted(known, dice.generator, _counted(cycle, dice)).slope


def _fade(cycle: LifeCycle, dice: _Dice) -> Array:
    """The hours in which infectivity falls to a third (1/e); without a figure it lasts as long as life."""
    hours = cycle.number("free_infective")
    assert cycle.assumed is not None
    left = cycle.assumed.number("left_at_last")
    if hours is None or left is None:
        return np.full(dice.count, NO_FADE)
    fade: Array = dice.of(hours) / -np.log(dice.of(left, scale=0.01))
    return fade
