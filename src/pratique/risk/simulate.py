"""The second engine: histories of single parasites, drawn with a seed. It shares no formula of time with the first.

Times are drawn from the log-normals themselves, not from a grid. Two things keep it short. A history with more than
`GROWN` parasites settled where nothing stands in their way any more, each with more than `THRIVES` that settle from its
cyst, is alive. And where all histories together hold more than `BUDGET`, the largest keep a part of theirs, taken at
random; how many that concerns is told, so that the truth lies between the share found alive and the share that was
found alive or was cut. Those are never made that would not be kept.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pratique.risk.course import Course
from pratique.risk.draws import NO_FADE, Array, Draws, Timing
from pratique.risk.grid import kills_at
from pratique.risk.kernels import EARLIEST_LEAVING, EARLIEST_RELEASE, LEAVING, OPENING

GROWN = 100
THRIVES = 1.1
BUDGET = 200_000
CHUNK = 2000
GENERATIONS = 60

Ints = npt.NDArray[np.int64]
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Simulated:
    """So many histories: how many ended with a parasite on a fish, and how many were cut and did not."""

    histories: int
    alive: int
    cut: int

    @property
    def low(self) -> float:
        """The share found alive."""
        return self.alive / self.histories

    @property
    def high(self) -> float:
        """The share found alive, or cut so that it cannot be told."""
        return (self.alive + self.cut) / self.histories

    @property
    def error(self) -> float:
        """One standard error of a share of so many histories, at its widest end."""
        middle = min(max(self.high, 1 / self.histories), 0.5)
        return float(np.sqrt(middle * (1 - middle) / self.histories))


def simulate(
    draws: Draws, course: Course, histories: int, *, seed: int = 1, progress: Progress | None = None
) -> Simulated:
    """So many histories of a course, each with the parameters of one draw, in turn."""
    generator = np.random.default_rng(seed)
    alive = cut = done = 0
    while done < histories:
        many = min(CHUNK, histories - done)
        found = _Chunk(draws, course, generator, np.arange(done, done + many) % draws.count).run()
        alive, cut, done = alive + found[0], cut + found[1], done + many
        if progress is not None:
            progress(done, histories)
    return Simulated(histories=histories, alive=alive, cut=cut)


class _Chunk:
    """Histories side by side; a parasite is its history and the hour it settled."""

    def __init__(self, draws: Draws, course: Course, generator: np.random.Generator, of: Ints) -> None:
        self.draws, self.course, self.generator, self.of = draws, course, generator, of
        self.edges = np.array([span.start for span in course.spans])
        middle = np.array([(span.low + span.high) / 2 for span in course.spans])
        self.half = np.array([(span.high - span.low) / 2 for span in course.spans])
        self.middle = middle
        self.pools, self.pool_edges, self.closed = self._waters()
        self.held = np.array(sorted(course.held)).reshape(-1, 2)
        self.open_from = max([self.pool_edges[-1], *(end for _, end in [*self.closed, *self.held])])
        self.alive = np.zeros(len(of), dtype=bool)
        self.cut = np.zeros(len(of), dtype=bool)

    def _waters(self) -> tuple[Ints, Array, Array]:
        """Which pool from which hour on, and the stretches too fresh for anything to come out, each a row."""
        cyst, emerge = kills_at(self.draws)
        marks = [(span.start, span.pool) for span in self.course.spans]
        closed: list[list[float]] = []
        for number, low in enumerate(self.course.low, 1):
            if cyst is not None and low.salinity <= cyst:
                within = [(low.start, self._pool_at(low.start)), (low.end, self._pool_at(low.end))]
                marks = [(at, pool + (2000 * number if at >= low.end else 0)) for at, pool in marks]
                marks += [(at, pool + 2000 * number - (1000 if at < low.end else 0)) for at, pool in within]
            if emerge is not None and low.salinity < emerge:
                closed.append([low.start, low.end])
        marks.sort()
        return (
            np.array([pool for _, pool in marks]),
            np.array([at for at, _ in marks]),
            np.array(sorted(closed)).reshape(-1, 2),
        )

    def _pool_at(self, hour: float) -> int:
        return next((s.pool for s in reversed(self.course.spans) if s.start <= hour), self.course.spans[0].pool)

    def run(self) -> tuple[int, int]:
        burden = self.draws.burden[self.of]
        many = np.floor(burden + self.generator.random(len(burden))).astype(int)
        who = np.repeat(np.arange(len(self.of)), many)
        settled = np.full(len(who), self.course.start)
        stay = self._time(self.draws.stay, who, settled, EARLIEST_LEAVING, residual=True)
        for _ in range(GENERATIONS):
            left = np.maximum(self._to_window(settled + stay, who, LEAVING), settled)
            staying = left >= self.course.end
            self.alive[who[staying]] = True
            going = ~staying & ~self.alive[who]
            who, left = who[going], left[going]
            if not len(who):
                break
            who, settled = self._next(who, left)
            stay = self._time(self.draws.stay, who, settled, EARLIEST_LEAVING)
        return int(self.alive.sum()), int((self.cut & ~self.alive).sum())

    def _next(self, who: Ints, laid: Array) -> tuple[Ints, Array]:
        """Cysts laid at these hours: those that settle from them, and when."""
        opens = self._to_window(laid + self._time(self.draws.release, who, laid, EARLIEST_RELEASE), who, OPENING)
        there = (opens < self.course.end) & (self._pool(opens) == self._pool(laid))
        who, opens = who[there], opens[there]
        closed = self._until(opens, self.closed)
        under = self._until(opens, np.concatenate([self.closed, self.held]))
        hardy, hardies = self._many(who, opens, self.course.leak, closed)
        rest, others = self._many(who, opens, 1 - self.course.leak, under)
        self._grown(who, opens, hardies + others)
        kept = self._kept(who, hardies + others)[who]
        first = self._settle(who, opens, hardy, self.generator.binomial(hardies, kept))
        second = self._settle(who, opens, rest, self.generator.binomial(others, kept))
        return np.concatenate([first[0], second[0]]), np.concatenate([first[1], second[1]])

    def _many(self, who: Ints, opens: Array, part: float, until: Array) -> tuple[Array, Ints]:
        """Of one part of what comes out: the hours it has, and how many settle in them."""
        draw = self.of[who]
        life, fade = self.draws.life[draw], self.draws.fade[draw]
        lasts = np.minimum(np.minimum(life, until), self.course.end - opens)
        share = np.where(fade >= NO_FADE, lasts / life, np.expm1(-lasts / fade) / np.expm1(-life / fade))
        return lasts, self.generator.poisson(self.draws.reach[draw] * part * np.maximum(share, 0.0))

    def _settle(self, who: Ints, opens: Array, lasts: Array, many: Ints) -> tuple[Ints, Array]:
        """So many of each that settle, and when."""
        fade = self.draws.fade[self.of[who]]
        who = np.repeat(who, many)
        opens, lasts, fade = (np.repeat(x, many) for x in (opens, lasts, fade))
        dice = self.generator.random(len(who))
        after = np.where(fade >= NO_FADE, dice * lasts, -fade * np.log1p(dice * np.expm1(-lasts / fade)))
        return who, opens + after

    def _grown(self, who: Ints, opens: Array, many: Ints) -> None:
        """Those that have grown past dying out, where nothing is in their way any more."""
        counts = np.bincount(who, weights=many * (opens >= self.open_from), minlength=len(self.of))
        self.alive |= (counts > GROWN) & (self.draws.reach[self.of] > THRIVES)

    def _kept(self, who: Ints, many: Ints) -> Array:
        """By history, the share of those that settle which is followed up: none of what is alive, all within budget."""
        counts = np.bincount(who, weights=many, minlength=len(self.of)) * np.where(self.alive, 0.0, 1.0)
        kept = np.where(self.alive, 0.0, 1.0)
        if counts.sum() <= BUDGET:
            return kept
        most = _level(counts, BUDGET)
        self.cut |= counts > most
        found: Array = np.where(counts > most, most / np.maximum(counts, 1.0), kept)
        return found

    def _time(self, timing: Timing, who: Ints, since: Array, earliest: float, *, residual: bool = False) -> Array:
        draw = self.of[who]
        span = np.clip(np.searchsorted(self.edges, since, side="right") - 1, 0, len(self.edges) - 1)
        degrees = self.middle[span] + self.draws.warmer[draw] * self.half[span]
        middle = timing.log_hours[draw] - timing.slope[draw] * (degrees - timing.read_at[draw])
        spread = timing.spread[draw]
        dice = self.generator.standard_normal(len(who))
        if not residual:
            whole: Array = np.maximum(np.exp(middle + spread * dice), earliest)
            return whole
        # a stage met at an even age: one in proportion to its length, and an even part of it is still to come
        longer = np.maximum(np.exp(middle + spread * (dice + spread)), earliest)
        found: Array = longer * self.generator.random(len(who))
        return found

    def _to_window(self, moment: Array, who: Ints, centre: float) -> Array:
        """For those that keep to the rhythm, the nearest of the day's three hours, anywhere in them."""
        wanted = round(self.course.light) + centre
        away = (wanted - moment + 12) % 24 - 12
        keeps = self.generator.random(len(who)) < self.draws.rhythm[self.of[who]]
        inside = (self.generator.random(len(who)) - 0.5) * 3
        found: Array = np.where(keeps, moment + away + inside, moment)
        return found

    def _pool(self, hours: Array) -> Ints:
        found: Ints = self.pools[np.clip(np.searchsorted(self.pool_edges, hours, side="right") - 1, 0, None)]
        return found

    def _until(self, hours: Array, closed: Array) -> Array:
        """Hours until the fish are moved to another pool, or what is free begins to die; none where it dies now."""
        index = np.searchsorted(self.pool_edges, hours, side="right")
        ends = np.append(self.pool_edges, np.inf)
        same = np.append(self.pools[1:] == self.pools[:-1], False)
        for _ in range(len(self.pools)):  # a span of the same pool is no move
            joined = same[np.clip(index - 1, 0, len(same) - 1)] & (index < len(ends) - 1)
            if not joined.any():
                break
            index = np.where(joined, index + 1, index)
        left = ends[index] - hours
        for start, end in closed:
            left = np.where((hours >= start) & (hours < end), 0.0, left)
            left = np.where(hours < start, np.minimum(left, start - hours), left)
        return left


def _level(counts: npt.NDArray[np.float64] | Ints, budget: int) -> int:
    """The most of any one so that all together stay within the budget."""
    ordered = np.sort(counts)
    below = np.concatenate([[0], np.cumsum(ordered)[:-1]])
    fair = (budget - below) / np.arange(len(ordered), 0, -1)
    return max(int(fair[np.argmax(ordered >= fair)]), 1)
