"""The answer about one batch: the chance, its curve, what it hangs on, the cheapest change, its limits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Statement
from pratique.problem import Problem
from pratique.risk.chances import Chance, Weight, chances, not_modelled, weights, within
from pratique.risk.course import Course
from pratique.risk.planned import course_of
from pratique.risk.regimens import Tried, tried_changes, tried_regimens
from pratique.risk.watching import Rounds, rounds
from pratique.room.resolve import Room
from pratique.schedule.model import BatchPlan

CURVE = 7
"""Points of a curve over the days."""

LEAST_SHOWN = 1e-3
"""A chance below this is shown as less than it: the model has no claim to more."""

LATE = (0.0, 12.0, 24.0, 48.0)
"""Hours by which a transfer is tried late."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """The chance at `at`: days after arrival, hours late, or days without fish."""

    at: float
    what: str
    chance: Chance


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """About one batch and one agent. `limits` are said wherever a chance is."""

    batch: str
    agent: str
    course: Course
    chance: Chance
    parasites: float | None
    limits: tuple[Statement, ...]
    curve: tuple[Point, ...] = ()
    late: tuple[Point, ...] = ()
    weights: tuple[Weight, ...] = ()
    changes: tuple[Tried, ...] = ()
    compared: tuple[Tried, ...] = ()
    watched: tuple[Rounds, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def cheapest(self) -> Tried | None:
        """The change that lowers the chance most for the least, by every strain: None where none does that."""
        worth = [change for change in self.changes if change.is_advice and self._is_better(change)]
        return min(worth, key=lambda change: (round(_sum(change.chance), 3), self._price(change)), default=None)

    @property
    def is_out_of_sight(self) -> bool:
        """True where even the high end is below what a page shows."""
        return self.chance.high < LEAST_SHOWN

    def _is_better(self, change: Tried) -> bool:
        """No strain fares worse by it, and all together a tenth better."""
        pairs = zip(change.chance.strains, self.chance.strains, strict=True)
        worse = any(new.high > old.high + LEAST_SHOWN or new.middle > old.middle + LEAST_SHOWN for new, old in pairs)
        return not worse and not self.is_out_of_sight and _sum(change.chance) < 0.9 * _sum(self.chance)

    def _price(self, change: Tried) -> float:
        """Days more, with a move and a day under a drug counted as one more each."""
        course = self.course
        return change.days - course.days + change.moves - course.moves + change.days_held - course.days_held


def _sum(chance: Chance) -> float:
    return sum(strain.middle + strain.high for strain in chance.strains)


def for_plan(
    room: Room, history: History | None, plan: BatchPlan, agent: str = "cryptocaryon", parasites: float | None = None
) -> Risk | Problem:
    """The chance alone, for a page that has other things to say; kept in memory for the same course.

    A Problem says why there is none: the agent has no model, a temperature is not known or out of its reach.
    """
    missing = not_modelled(agent)
    if missing is not None:
        return missing
    course = course_of(room, history, plan, agent)
    if isinstance(course, Problem):
        return course
    outside = within(agent, course)
    if outside is not None:
        return outside
    cycle = store.life_cycles()[agent]
    used = {stage.treatment for stage in plan.stages}
    limits = (*cycle.limits_of("plan"), *(act for act in cycle.acts if used & set(act.treatments) or not act.advised))
    return Risk(
        batch=plan.batch.name, agent=agent, course=course, chance=chances(agent, course, parasites),
        parasites=parasites, limits=limits, notes=_notes(room, plan, agent),
    )  # fmt: skip


def worked_out(
    risk: Risk, temperature: float | None = None, *, progress: Callable[[int, int], None] | None = None
) -> Risk:
    """With the curve, what it hangs on and the changes; with a `temperature` (degC), regimens side by side at it."""
    agent, course, parasites = risk.agent, risk.course, risk.parasites
    steps: dict[str, Callable[[], object]] = {
        "curve": lambda: _curve(agent, course, parasites),
        "late": lambda: _late(agent, course, parasites),
        "weights": lambda: weights(agent, course, parasites),
        "changes": lambda: tried_changes(agent, course, parasites),
    }
    if temperature is not None:
        steps["compared"] = lambda: tried_regimens(agent, temperature, parasites, light=course.light)
    found = {}
    for done, (name, work) in enumerate(steps.items()):
        if progress is not None:
            progress(done, len(steps))
        found[name] = work()
    return replace(risk, watched=rounds(agent, course), **found)  # type: ignore[arg-type]


def _curve(agent: str, course: Course, parasites: float | None) -> tuple[Point, ...]:
    """The chance if they were released at the end of each span, and at steps of whole days in the last.

    Whole days before the end, so that what comes after is the same to the hour and is not reckoned anew.
    """
    ends = [span.end for span in course.spans[:-1]]
    last = course.spans[-1]
    steps = max(CURVE - len(ends), 3)
    back = {round(last.hours / 24 * step / steps) * 24.0 for step in range(steps)}
    ends += sorted(last.end - hours for hours in back if hours < last.hours)
    found = []
    for hour in ends:
        label = next(span.label for span in course.spans if span.start < hour <= span.end + 1e-9)
        point = Point(
            at=(hour - course.start) / 24, what=label, chance=chances(agent, course.until(hour), parasites)
        )
        found.append(point)
    return tuple(found)


def _late(agent: str, course: Course, parasites: float | None) -> tuple[Point, ...]:
    """The chance if the second transfer came so many hours late, and those after it; the release stays where it is."""
    moved = [span for span in course.spans if span.kind == "transfers"]
    if len(moved) < 2:
        return ()
    return tuple(
        Point(
            at=hours,
            what=moved[1].label,
            chance=chances(agent, course.late(moved[1].end, hours), parasites),
        )
        for hours in LATE
    )


def _notes(room: Room, plan: BatchPlan, agent: str) -> tuple[str, ...]:
    """What in this plan the model does not know how to count."""
    known = {id_ for act in store.life_cycles()[agent].acts for id_ in act.treatments}
    other = sorted(
        {s.treatment for s in plan.stages if s.treatment not in known and s.kind in ("hold", "course")}
    )
    found = [f"{name} is not counted on: no figure of what it does to this agent" for name in other]
    hours = room.written.room.hours
    if hours:
        found.append(f"it is taken to get light at {hours[0].start:%H:%M}, when somebody is first there")
    return tuple(found)
