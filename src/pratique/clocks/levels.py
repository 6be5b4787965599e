"""Readings of a level and what is known between them: held, lost, or nobody can say."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from pratique.clocks.moments import SAME_HOURS, TINY, hours_between, hours_later, instant

Verdict = Literal["lost", "doubtful", "held"]
VERDICTS: tuple[Verdict, ...] = ("lost", "doubtful", "held")
"""From the worst: out of band by its face; in band by its face only; in band at its worse end."""

Standing = Literal["held", "unknown", "lost"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A reading with the ends of its kit's error. `suits`: the kit can read this form."""

    at: dt.datetime
    value: float
    low: float
    high: float
    suits: bool = True
    entry_id: str = ""

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.value} is outside its own range {self.low} to {self.high}")


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelChange:
    """An act known to move the level: a dose (`up`), a water change without its dose (`down`), or `unknown`.

    A change whose dose was put back moves nothing, and is not fed to the clock.
    """

    at: dt.datetime
    effect: Literal["up", "down", "unknown"]
    what: str = ""
    entry_id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The levels between which a treatment is given, and the end of it below (or above) which it fails.

    `side` is `floor` for a drug, `ceiling` for low salinity. `gap` (h) is how long a reading in band carries.
    """

    unit: str
    floor: float
    ceiling: float
    gap: float
    side: Literal["floor", "ceiling"] = "floor"

    @property
    def limit(self) -> float:
        """The end of the band that decides whether the treatment works."""
        return self.floor if self.side == "floor" else self.ceiling


_BY_ITS_FACE = "in band by its face, not at the worse end of its error"


class Stretch(NamedTuple):
    """What is known of the level from `start` to `end`.

    `streak` counts the readings in band that follow each other up to the one this rests on. `told` is when it
    showed itself: at the end of a stretch in which the level fell unseen.
    """

    start: dt.datetime
    end: dt.datetime
    standing: Standing
    streak: int
    told: dt.datetime
    why: str
    reading: Reading
    entry_id: str


class _Judged(NamedTuple):
    at: dt.datetime
    verdict: Verdict
    streak: int
    reading: Reading


def verdict_on(reading: Reading, band: Band) -> Verdict:
    """Whether this reading shows the level held: at its worse end, only by its face, or not at all."""
    face, worse = _worse(reading, band)
    limit = band.floor if band.side == "floor" else -band.ceiling
    limit -= TINY * max(1.0, abs(limit))
    if worse >= limit:
        return "held"
    return "doubtful" if face >= limit else "lost"


def is_beyond(reading: Reading, band: Band) -> bool:
    """True where the reading lies past the other end of the band: more drug, or less salt, than is good."""
    slack = TINY * max(1.0, abs(band.ceiling))
    return reading.value > band.ceiling + slack if band.side == "floor" else reading.value < band.floor - slack


def _worse(reading: Reading, band: Band) -> tuple[float, float]:
    """Face and worse end, both so turned that more is better."""
    return (reading.value, reading.low) if band.side == "floor" else (-reading.value, -reading.high)


def stretches(
    readings: Iterable[Reading], changes: Iterable[LevelChange], band: Band, at: dt.datetime
) -> Iterator[Stretch]:
    """All that is known of the level up to `at`, stretch after stretch, from the first reading that suits.

    An in-band reading carries for `gap` hours, up to the next reading or the next act that may have lowered the
    level. Where the next reading is not in band, nothing between the two counts: nobody knows when it fell.
    """
    judged = _judged(readings, band, at)
    acts = _Acts(changes, band)
    for index, found in enumerate(judged):
        following = judged[index + 1] if index + 1 < len(judged) else None
        end = following.at if following is not None else instant(at)
        match found.verdict:
            case "held" if following is None or following.verdict == "held":
                yield from _carried(found, end, acts, band, is_last=following is None)
            case "held":
                assert following is not None
                yield _stretch(found, found.at, found.at, "held", "in band")
                yield _fallen(found, following)
            case "doubtful":
                yield _stretch(found, found.at, end, "unknown", _BY_ITS_FACE)
            case "lost":
                yield from _lost(found, end, acts, is_last=following is None)


def _judged(readings: Iterable[Reading], band: Band, at: dt.datetime) -> list[_Judged]:
    """The readings that say something, in order; of several at one moment the worst."""
    worst: dict[dt.datetime, Reading] = {}
    for reading in readings:
        moment = instant(reading.at)
        if not reading.suits or moment > instant(at):
            continue
        known = worst.get(moment)
        if known is None or _rank(reading, band) < _rank(known, band):
            worst[moment] = reading
    judged: list[_Judged] = []
    for moment in sorted(worst):
        verdict = verdict_on(worst[moment], band)
        last = judged[-1] if judged else None
        follows = last is not None and last.streak and hours_between(last.at, moment) <= band.gap + SAME_HOURS
        streak = 0 if verdict != "held" else (last.streak if last is not None and follows else 0) + 1
        judged.append(_Judged(moment, verdict, streak, worst[moment]))
    return judged


def _rank(reading: Reading, band: Band) -> tuple[float | str, ...]:
    """The worst first; the rest of it so that the order of writing never shows."""
    face, worse = _worse(reading, band)
    return VERDICTS.index(verdict_on(reading, band)), worse, face, reading.low, reading.high, reading.entry_id


class _Acts:
    """The acts that may take a level out of band, and those that may bring it back, each in order."""

    def __init__(self, changes: Iterable[LevelChange], band: Band) -> None:
        harmful, helpful = ("down", "up") if band.side == "floor" else ("up", "down")
        ordered = sorted(changes, key=lambda change: (instant(change.at), change.effect, change.entry_id, change.what))
        self.harmful = _ActList(change for change in ordered if change.effect in (harmful, "unknown"))
        self.helpful = _ActList(change for change in ordered if change.effect in (helpful, "unknown"))


class _ActList:
    def __init__(self, acts: Iterable[LevelChange]) -> None:
        self._acts = list(acts)
        self._moments = [instant(act.at) for act in self._acts]

    def first_in(
        self, start: dt.datetime, end: dt.datetime, *, is_last: bool
    ) -> tuple[dt.datetime, LevelChange] | None:
        """The first act from `start` on and before `end`.

        An act noted at the moment of a reading came after it; so one at the very end matters only if no reading is
        there (`is_last`).
        """
        index = bisect_left(self._moments, start)
        if index == len(self._acts) or self._moments[index] > end:
            return None
        if self._moments[index] == end and not is_last:
            return None
        return self._moments[index], self._acts[index]


def _carried(found: _Judged, end: dt.datetime, acts: _Acts, band: Band, *, is_last: bool) -> Iterator[Stretch]:
    carries_to = hours_later(found.at, band.gap)
    act = acts.harmful.first_in(found.at, end, is_last=is_last)
    if act is not None and act[0] < carries_to:
        why = f"{act[1].what or 'the level was changed'}, and not read since"
        yield _stretch(found, found.at, act[0], "held", "in band")
        yield _stretch(found, act[0], end, "unknown", why, act[1].entry_id)
    elif hours_between(carries_to, end) > SAME_HOURS:
        yield _stretch(found, found.at, carries_to, "held", "in band")
        why = f"more than {band.gap:g} h since the last reading in band"
        yield _stretch(found, carries_to, end, "unknown", why)
    else:
        yield _stretch(found, found.at, end, "held", "in band")


def _lost(found: _Judged, end: dt.datetime, acts: _Acts, *, is_last: bool) -> Iterator[Stretch]:
    act = acts.helpful.first_in(found.at, end, is_last=is_last)
    yield _stretch(found, found.at, end if act is None else act[0], "lost", "out of band")
    if act is not None:
        why = f"{act[1].what or 'the level was changed'}, and not read since"
        yield _stretch(found, act[0], end, "unknown", why, act[1].entry_id)


def _fallen(found: _Judged, following: _Judged) -> Stretch:
    standing: Standing = "lost" if following.verdict == "lost" else "unknown"
    why = "in band before and not after: nobody knows when it fell"
    return Stretch(
        found.at, following.at, standing, 0, following.at, why, following.reading, following.reading.entry_id
    )


def _stretch(
    found: _Judged, start: dt.datetime, end: dt.datetime, standing: Standing, why: str, entry_id: str = ""
) -> Stretch:
    return Stretch(start, end, standing, found.streak, found.at, why, found.reading, entry_id or found.reading.entry_id)
