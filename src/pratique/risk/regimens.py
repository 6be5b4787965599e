"""Regimens laid side by side at one temperature, and the changes of a course that are tried."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from pratique.knowledge import store
from pratique.risk.chances import Chance, chances, within
from pratique.risk.course import Course, series

WATCH = 30 * 24.0
"""Hours of watching at the end of each regimen laid side by side, so that they differ in the treatment alone."""

MOVE = 72.0
LEAK = 0.01
LEAKY = "if one in a hundred got past the drug"
FAST = 48.0
"""Hours: the interval agents 15 gives for a fast strain."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A course that was reckoned, with its price: moves, days under a drug, days until release.

    `is_advice` is false for what is only shown for what it costs, such as a late transfer.
    """

    what: str
    chance: Chance
    moves: int
    days_held: float
    days: float
    is_advice: bool = True


def tried(
    agent: str, what: str, course: Course, parasites: float | None = None, *, is_advice: bool = True
) -> Tried:
    """The chance and the price of a course."""
    return Tried(
        what=what, chance=chances(agent, course, parasites), moves=course.moves, days_held=course.days_held,
        days=course.days, is_advice=is_advice,
    )  # fmt: skip


def side_by_side(temperature: float, *, light: float = 8.0) -> Iterator[tuple[str, Course]]:
    """The regimens in use, at one temperature (degC)."""

    def course(lengths: list[tuple[float, str]], held: float = 0.0) -> Course:
        spans = series([*lengths, (WATCH, "observation")], temperature)
        start = spans[0].start
        return Course(spans=spans, held=((start, start + held),) if held else (), light=light)

    for moves, hours in ((4, 72.0), (5, 72.0), (5, 60.0), (5, 48.0)):
        yield f"{moves} transfers, {hours:g} h apart", course([(hours, "transfers")] * moves)
    fortnight, month = 14 * 24.0, 30 * 24.0
    yield "14 days of copper, then a clean tank", course([(fortnight, "hold")], fortnight)
    for days, held in ((14, fortnight), (30, month)):
        spans = series([(held + WATCH, "hold")], temperature)
        yield (
            f"{days} days of copper, the same tank after",
            Course(spans=spans, held=((spans[0].start, spans[0].start + held),), light=light),
        )
    yield "watched for 30 days", Course(spans=series([(WATCH, "observation")], temperature), light=light)
    yield "watched for 90 days", Course(spans=series([(3 * WATCH, "observation")], temperature), light=light)


def changes(course: Course) -> Iterator[tuple[str, Course, bool]]:
    """Small changes of a course, each by itself, and whether it may be advised."""
    moved = [index for index, span in enumerate(course.spans) if span.kind == "transfers"]
    if moved:
        yield "one more transfer", course.with_move(moved[-1], min(MOVE, course.spans[moved[-1]].hours)), True
        if len(moved) > 1:
            yield "one transfer fewer", course.without_move(moved[-1]), False
        faster = every_two_days(course, moved)
        if faster is not None:
            number = sum(span.kind == "transfers" for span in faster.spans)
            yield f"{number} transfers in the same days, {FAST:g} h apart at most", faster, True
    if course.held:
        yield LEAKY, replace(course, leak=LEAK), False
        yield "two more days under the drug", course.longer(course.held[-1][1], 48.0), True
    yield "one more move, to a clean tank, 3 days before release", _last_move(course), True
    yield "two more days of watching", course.longer(course.end, 48.0), True
    yield "two degrees warmer", course.warmer(2.0), True


def every_two_days(course: Course, moved: list[int]) -> Course | None:
    """The same days of transfers in more and shorter stays; None where they are as short already."""
    first, last = course.spans[moved[0]], course.spans[moved[-1]]
    hours = last.end - first.start
    number = math.ceil(hours / FAST)
    if number <= len(moved):
        return None
    pool = max(span.pool for span in course.spans) + 1
    edges = [first.start + round(hours * step / number) for step in range(number)] + [last.end]
    fresh = tuple(
        replace(first, start=start, end=end, pool=pool + place)
        for place, (start, end) in enumerate(pairwise(edges))
    )
    return replace(course, spans=(*course.spans[: moved[0]], *fresh, *course.spans[moved[-1] + 1 :]))


def _last_move(course: Course) -> Course:
    last = len(course.spans) - 1
    hours = min(MOVE, course.spans[last].hours / 2)
    return course.longer(course.end, -hours).with_move(last, hours)


def transfers_advised(agent: str) -> bool:
    """False where transfers are known not to clear the agent: no model of it may be read as if they did."""
    acts = store.life_cycles()[agent].acts
    return all(act.advised for act in acts if "tank-transfer" in act.treatments)


def _moves(course: Course) -> int:
    return sum(span.kind == "transfers" for span in course.spans)


def tried_changes(agent: str, course: Course, parasites: float | None = None) -> tuple[Tried, ...]:
    """The changes that can be reckoned; more transfers only where those are advised."""
    more = transfers_advised(agent)
    return tuple(
        tried(agent, what, changed, parasites, is_advice=is_advice)
        for what, changed, is_advice in changes(course)
        if within(agent, changed) is None and (more or _moves(changed) <= _moves(course))
    )


def tried_regimens(
    agent: str, temperature: float, parasites: float | None = None, *, light: float = 8.0
) -> tuple[Tried, ...]:
    """The regimens in use, laid side by side."""
    found = []
    for what, course in side_by_side(temperature, light=light):
        if _moves(course) and not transfers_advised(agent):
            continue
        found.append(tried(agent, what, course, parasites))
        if course.held:
            found.append(tried(agent, f"the same, {LEAKY}", replace(course, leak=LEAK), parasites))
    return tuple(found)
