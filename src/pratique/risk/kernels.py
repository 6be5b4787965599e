"""Log-normal times on an hourly grid, drawn to the hours of the day at which most leave the fish or come out.

A share `rhythm` goes to the nearest of those hours (so that a published time stays unbiased); the rest keeps its hour.
"""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

import numpy as np

from pratique.risk.draws import Array, Timing

LEAVING = -1.5
"""The middle of the last 3 hours of darkness, from the hour it gets light (WAT20)."""

OPENING = -4.5
"""The middle of the hours 6 to 3 before it gets light (WAT20)."""

EARLIEST_RELEASE = 42.0
"""Hours: the earliest of WAT20's windows; none was ever seen sooner. What a log-normal has before is put here."""

EARLIEST_LEAVING = 40.0
"""Hours: 2 days at 27 degC (PV16B), a little less where warmer."""

HALF_DAY = 12
PARTS = 6
"""Parts of an hour in which the mean over it is taken."""

FAR = 9.0
NEGLIGIBLE = 1e-7
NEGLIGIBLE_Z = 5.3
"""A little beyond the z that so small a share lies above."""


@cache
def _table() -> tuple[Array, Array]:
    """z, and the share of a normal above it."""
    z = np.linspace(-FAR, FAR, 3601)
    return z, np.array([math.erfc(x / math.sqrt(2)) / 2 for x in z])


def above(z: Array) -> Array:
    """The share of a normal above z."""
    grid, share = _table()
    found: Array = np.interp(z, grid, share)
    return found


def later_than(timing: Timing, temperature: Array, hours: Array) -> Array:
    """By draw and hour, the share that takes longer than `hours`."""
    log_hours = np.log(np.maximum(hours, 1e-9))
    return above((log_hours[None, :] - timing.at(temperature)[:, None]) / timing.spread[:, None])


def in_hours(timing: Timing, temperature: Array, earliest: float, most: int) -> Array:
    """By draw, the share in each hour after the one it began in, at any moment of it, up to `most` hours.

    What is sooner is put at `earliest`.
    """
    longest = math.exp(float((timing.at(temperature) + NEGLIGIBLE_Z * timing.spread).max()))
    most = min(most, math.ceil(max(longest, earliest)) + 2)
    parts = np.arange(most * PARTS + 1, dtype=np.float64) / PARTS
    late = later_than(timing, temperature, parts)
    late[:, parts < earliest] = 1.0
    # begun at a moment u of its hour, it falls into hour h where it takes from h - u to h + 1 - u
    sums = np.concatenate([np.zeros((late.shape[0], 1)), np.cumsum((late[:, :-1] + late[:, 1:]) / 2, axis=1)], axis=1)
    hourly = sums[:, ::PARTS]
    mean = (hourly[:, 1:] - hourly[:, :-1]) / PARTS
    found: Array = np.concatenate([1 - mean[:, :1], mean[:, :-1] - mean[:, 1:]], axis=1)
    kept = np.nonzero(mean.max(axis=0) > NEGLIGIBLE)[0]
    return found[:, : (kept[-1] + 2 if len(kept) else 1)]


def left_hours(timing: Timing, temperature: Array, earliest: float, most: int) -> Array:
    """As `in_hours`, of what is still to come of stages met at an even age."""
    hours = np.arange(most, dtype=np.float64) + 0.5
    late = later_than(timing, temperature, hours)
    late[:, hours <= earliest] = 1.0
    kept = np.nonzero(late.max(axis=0) > NEGLIGIBLE)[0][-1] + 1
    found: Array = late[:, :kept] / late.sum(axis=1, keepdims=True)
    return found


class Kernel(NamedTuple):
    """Shares by hour after a beginning: `plain` of those that keep their hour, by draw and hour after; `drawn` of those
    that go to the hours before light, by draw, hour of the day it began, and number of the nearest such hours.

    `first` is, for each hour of the day it began, how many hours later the middle of the first of them lies.
    """

    plain: Array
    drawn: Array
    first: tuple[int, ...]


def kernel_of(shares: Array, rhythm: Array, centre: float) -> Kernel:
    """`shares` by draw and hour after; `centre` is the middle of the 3 hours, an hour of the day.

    The first of them may lie up to half a day before the beginning.
    """
    draws, length = shares.shape
    days = length // 24 + 4  # nothing is left in the last, so that a later hour may go without it
    drawn = np.zeros((draws, 24, days))
    sums = np.concatenate([np.zeros((draws, 1)), np.cumsum(shares, axis=1)], axis=1)
    half = (sums + np.pad(sums[:, 1:], ((0, 0), (0, 1)), mode="edge")) / 2  # by the middle of each hour
    first = tuple(round((centre - 0.5 - hour) % 24) - 24 for hour in range(24))
    for hour in range(24):
        edges = np.clip(first[hour] - HALF_DAY + 24 * np.arange(days + 1), 0, length)
        till = half[:, edges] * (first[hour] - HALF_DAY + 24 * np.arange(days + 1) >= 0)
        drawn[:, hour] = rhythm[:, None] * (till[:, 1:] - till[:, :-1])
    return Kernel(shares * (1 - rhythm)[:, None], drawn, first)
