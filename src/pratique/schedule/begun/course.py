"""A course of repeated doses that has begun: which doses count, and when the next is due.

A dose before its window leaves eggs that have not hatched: it does not count. One past its window comes after new
worms may have laid: the doses are counted again from it.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace

from pratique.clocks.state import spoken
from pratique.history.events import Passage
from pratique.knowledge.model import Treatment
from pratique.problem import Problem
from pratique.schedule.begun.past import Left, Past
from pratique.schedule.calendar import elapsed_hours, instant, plus_hours, shown
from pratique.schedule.placed import Placed
from pratique.schedule.timeline import (
    DOSE_WINDOW,
    DOSES,
    Due,
    Timeline,
    dose_window,
    next_dose,
    pause_hours,
    rest_hours,
)
from pratique.schedule.track import Given, is_same_giving

TOLERANCE = 1.0
"""Hours by which a dose may miss its window and still count."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Count:
    """The doses that count so far (`kept`), those that came too late and began it `again`, and those too `early`."""

    kept: tuple[Due, ...] = ()
    again: tuple[Due, ...] = ()
    early: tuple[Due, ...] = ()


def counted_with(treatment: Treatment, temperature: float | None, count: Count, due: Due) -> Count:
    """The count with one more dose: against the window that the eggs of the doses before it leave (at degC)."""
    if not count.kept or len(count.kept) >= DOSES:
        return replace(count, kept=count.kept if count.kept else (due,))
    if is_same_giving(count.kept[-1].at, due.at):
        return count
    window = dose_window(treatment, temperature, count.kept)
    if isinstance(window, Problem):
        return replace(count, kept=(*count.kept, due))
    if elapsed_hours(due.at, window.earliest) > TOLERANCE:
        return replace(count, early=(*count.early, due))
    if elapsed_hours(window.limit, due.at) > TOLERANCE:
        return replace(count, kept=(due,), again=(*count.again, replace(due, until=window.limit)))
    return replace(count, kept=(*count.kept, due))


def begun_course(past: Past, index: int, planned: Treatment, start: dt.datetime) -> list[Placed]:
    """The ways in which a course that began at `start` may go on."""
    treatment = past.treatment(index, start, planned)
    course = _Course(past=past, index=index, treatment=treatment, start=start)
    left = past.left(index, start, lambda at: len(course.count(at).kept) >= DOSES)
    stayed = course.stayed_until(left)
    if stayed is not None:
        return [stayed]
    if left is not None:
        return [course.over(left)]
    return course.going_on()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Course:
    past: Past
    index: int
    treatment: Treatment
    start: dt.datetime

    @property
    def temperature(self) -> float | None:
        """degC of the water they are in."""
        return self.past.basis.temperature(self.past.tank(self.past.track.at(self.past.now)))

    def given(self, at: dt.datetime) -> list[Given]:
        """The doses on record by `at`."""
        visits = self.past.visits(self.start, at)
        doses = self.past.doses(self.index, self.treatment, visits, self.start)
        return [dose for dose in doses if instant(dose.at) <= instant(at)]

    def newcomers(self, at: dt.datetime) -> list[Passage]:
        """Animals that joined by `at`."""
        found = self.past.joined(self.past.visits(self.start, at), self.start)
        return [passage for passage in found if instant(passage.at) <= instant(at)]

    def count(self, at: dt.datetime) -> Count:
        """The doses by `at`, in order, each against the window that the eggs leave it; a newcomer starts it again."""
        count = Count()
        joined = [instant(passage.at) for passage in self.newcomers(at)]
        for dose in self.given(at):
            due = self.past.given_due(dose)
            if count.kept and any(instant(count.kept[0].at) < moment <= instant(due.at) for moment in joined):
                count = replace(count, kept=())
            count = counted_with(self.treatment, self.temperature, count, due)
        if count.kept and any(instant(count.kept[-1].at) < moment for moment in joined):
            count = replace(count, kept=())
        return count

    def over(self, left: Left) -> Placed:
        """A course that has ended, in whatever way."""
        done = tuple(self.past.given_due(dose) for dose in self.given(left.at))
        counted = len(self.count(left.at).kept)
        return self._placed(Timeline(start=self.start, end=left.at, doses=done), over=True, counted=counted)

    def stayed_until(self, left: Left | None) -> Placed | None:
        """The course as over by its own time, where the fish stayed in its tank until they left quarantine."""
        watched = self.index + 1 < len(self.past.stages) and self.past.stages[self.index + 1].kind == "observation"
        if left is None or not watched or (left.to is not None and not self.past.stays_by_choice(self.index)):
            return None
        kept = self.count(left.at).kept
        end = plus_hours(kept[-1].at, pause_hours()) if len(kept) >= DOSES else left.at
        if instant(end) >= instant(left.at):
            return None
        done = tuple(self.past.given_due(dose) for dose in self.given(left.at))
        return self._placed(Timeline(start=self.start, end=self.past.chance(end), doses=done), over=True)

    def going_on(self) -> list[Placed]:
        """What is left of the doses, then the end: at once where it has passed, or in this tank from then on."""
        past = self.past
        count = self.count(past.now)
        done = tuple(self.past.given_due(dose) for dose in self.given(past.now))
        coming, problem = self._coming(count)
        last = coming[-1].at if coming else count.kept[-1].at if count.kept else past.now
        end = past.chance(plus_hours(last, pause_hours()))
        line = Timeline(start=self.start, end=end, doses=(*done, *coming))
        problems = self._remarks(count)
        if problem is not None or instant(end) >= instant(past.now):
            return [self._placed(line, problems=problems, stuck=problem)]
        leave = self._placed(replace(line, end=past.soonest(), due_end=line.end), problems=problems, must_leave=True)
        stay = self._placed(line, problems=problems, over=True)
        return [stay] if past.stays_by_choice(self.index) else [leave, stay]

    def _placed(
        self,
        line: Timeline,
        *,
        over: bool = False,
        must_leave: bool = False,
        counted: int | None = None,
        problems: tuple[Problem, ...] = (),
        stuck: Problem | None = None,
    ) -> Placed:
        visits = self.past.visits(self.start, line.end if over else None)
        return Placed(
            stage=self.past.stages[self.index],
            treatment=self.treatment,
            tanks=self.past.tanks(visits),
            line=line,
            over=over,
            must_leave=must_leave,
            given=sum(dose.done for dose in line.doses),
            counted=counted,
            problems=problems,
            stuck=stuck,
        )

    def _coming(self, count: Count) -> tuple[tuple[Due, ...], Problem | None]:
        """The doses to come; one past its window is the first of a new count."""
        found: list[Due] = []
        kept = list(count.kept)
        while len(kept) < DOSES:
            due = self._next(kept)
            if isinstance(due, Problem):
                return tuple(found), due
            if due.is_late and kept and not found:
                due = replace(due, note=f"its window closed {shown(due.until)}: the doses are counted again from it")
                kept = []
            found.append(due)
            kept.append(due)
        return tuple(found), None

    def _next(self, kept: list[Due]) -> Due | Problem:
        past = self.past
        if kept:
            due = next_dose(past.calendar, self.treatment, self.temperature, kept)
        else:
            begun = max([self.start, *(passage.at for passage in self.newcomers(past.now))], key=instant)
            wished = plus_hours(begun, rest_hours())
            at = past.chance(wished)
            due = Due(at, plus_hours(at, DOSE_WINDOW), wished)
        if isinstance(due, Problem) or instant(due.until) >= instant(past.now):
            return due
        return Due(past.soonest(), due.until, due.wished)

    def _remarks(self, count: Count) -> tuple[Problem, ...]:
        """What to know of doses given outside of their windows."""
        batch = self.past.track.batch
        place = self.past.room.place(batch.path, key=True)
        found: list[Problem] = []
        for due in count.again:
            late = spoken(elapsed_hours(due.until, due.at))
            found.append(Problem(
                code="S524", severity="warning", places=(place,),
                message=f"a dose of {self.treatment.id} for `{batch.name}` came {late} past its window, "
                f"on {shown(due.at)}",
                note="worms that hatched from the eggs may have laid by then, so the doses are counted again from it",
                hint="give the next ones inside the windows the plan now shows",
            ))  # fmt: skip
        for due in count.early:
            found.append(Problem(
                code="S524", severity="warning", places=(place,),
                message=f"a dose of {self.treatment.id} for `{batch.name}` on {shown(due.at)} came before its window",
                note="eggs that had not hatched outlive it, so it does not count",
                hint="give the next one inside the window the plan shows",
            ))  # fmt: skip
        return tuple(found)
