"""What happens to one batch as the model sees it: which water, how warm, and when nothing free can live in it.

Hours count from local midnight of the day it begins, so that an hour of the day is the hour modulo 24.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

Hours = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A stretch in one water. Spans of one `pool` share their cysts: a tank that dried in between is another pool.

    `low` and `high` (degC) are the ends of its temperature; `kind` is the kind of its stage.
    """

    start: float
    end: float
    pool: int
    low: float
    high: float
    kind: str = "observation"
    label: str = ""

    @property
    def hours(self) -> float:
        return self.end - self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class Low:
    """A stretch (h) of low salinity (g/kg)."""

    start: float
    end: float
    salinity: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """Spans one after the other; in the stretches `held` what is free dies; `light` is the hour it gets light.

    `leak` (0 to 1) is the share of what is free that gets past a drug that is held.
    """

    spans: tuple[Span, ...]
    held: tuple[Hours, ...] = ()
    low: tuple[Low, ...] = ()
    light: float = 8.0
    leak: float = 0.0

    def __post_init__(self) -> None:
        if not self.spans:
            raise ValueError("a course needs a span")

    @property
    def start(self) -> float:
        return self.spans[0].start

    @property
    def end(self) -> float:
        return self.spans[-1].end

    @property
    def days(self) -> float:
        return (self.end - self.start) / 24

    @property
    def moves(self) -> int:
        """Moves from tank to tank, without arrival and release."""
        return len(self.spans) - 1

    @property
    def days_held(self) -> float:
        """Days under a drug."""
        return sum(end - start for start, end in self.held) / 24

    @property
    def acts(self) -> bool:
        """Whether anything in it is counted on: transfers, a drug that is held, low salinity."""
        return bool(self.held or self.low or any(span.kind == "transfers" for span in self.spans))

    @property
    def watched(self) -> float:
        """Days of watching."""
        return sum(span.hours for span in self.spans if span.kind == "observation") / 24

    def until(self, hour: float) -> Course:
        """As if the fish had been released at `hour`."""
        spans = tuple(replace(s, end=min(s.end, hour)) for s in self.spans if s.start < hour)
        return replace(self, spans=spans, held=_cut(self.held, hour))

    def longer(self, hour: float, hours: float) -> Course:
        """With `hours` more (or fewer, down to nothing) in the span that ends at `hour`; all later ones move along."""

        def moved(moment: float) -> float:
            return moment + hours if moment >= hour - 1e-9 else min(moment, hour + hours)

        spans = tuple(replace(s, start=moved(s.start), end=moved(s.end)) for s in self.spans)
        return replace(
            self,
            spans=spans,
            held=tuple((moved(start), moved(end)) for start, end in self.held),
            low=tuple(replace(low, start=moved(low.start), end=moved(low.end)) for low in self.low),
        )

    def late(self, hour: float, hours: float) -> Course:
        """With the move of `hour` so many hours late, and all after it but the release."""
        return self.longer(hour, hours).until(self.end) if hours else self

    def warmer(self, degrees: float) -> Course:
        """The whole of it warmer by so much."""
        spans = tuple(replace(s, low=s.low + degrees, high=s.high + degrees) for s in self.spans)
        return replace(self, spans=spans)

    def with_move(self, index: int, hours: float) -> Course:
        """With one more move, into a clean, dry tank for `hours`, after the span of that index."""
        before = self.spans[index]
        later = self.longer(before.end, hours)
        fresh = replace(
            before, start=before.end, end=before.end + hours, pool=max(s.pool for s in self.spans) + 1, label="clean"
        )
        spans = (*self.spans[: index + 1], fresh, *later.spans[index + 1 :])
        spans = tuple(replace(s, end=before.end) if i == index else s for i, s in enumerate(spans))
        return replace(later, spans=spans, held=_without(later.held, (fresh.start, fresh.end)))

    def without_move(self, index: int) -> Course:
        """Without the span of that index, and its hours."""
        gone = self.spans[index]
        shorter = self.longer(gone.end, -gone.hours)
        spans = tuple(span for i, span in enumerate(shorter.spans) if i != index)
        return replace(shorter, spans=spans)


def _cut(stretches: Iterable[Hours], hour: float) -> tuple[Hours, ...]:
    return tuple((start, min(end, hour)) for start, end in stretches if start < hour)


def _without(stretches: Iterable[Hours], out: Hours) -> tuple[Hours, ...]:
    """The stretches with the hours of `out` taken out of them."""
    found: list[Hours] = []
    for start, end in stretches:
        found += [(start, min(end, out[0]))] if start < out[0] else []
        found += [(max(start, out[1]), end)] if end > out[1] else []
    return tuple(found)


def series(
    lengths: Iterable[tuple[float, str]], temperature: float, *, start: float = 18.5
) -> tuple[Span, ...]:
    """Spans of so many hours, each in a clean tank of its own."""
    spans: list[Span] = []
    for pool, (hours, kind) in enumerate(lengths):
        spans.append(
            Span(start=start, end=start + hours, pool=pool, low=temperature, high=temperature, kind=kind, label=kind)
        )
        start += hours
    return tuple(spans)
