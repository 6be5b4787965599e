"""What the record does not prove, so that the keeper decides with open eyes."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.checks.release.dipped import without_end
from pratique.checks.release.kept import FRESH, spans_of, unseen_days
from pratique.checks.release.model import Subject, listed, when
from pratique.checks.release.seen import examined, seen_eating
from pratique.clocks.state import spoken
from pratique.schedule.calendar import instant
from pratique.schedule.feeds import cut, hold_reading

SAID = ("S513", "S515", "S516", "S518", "S520")
"""Warnings of the plan that say how little it may have reached."""


def unproven(subject: Subject) -> Iterator[str]:
    """Every gap, the widest first."""
    yield from (f"not touched by `{subject.plan.regimen.id}`: {text}" for text in subject.plan.misses if text)
    yield from (problem.message for problem in subject.plan.problems if problem.code in SAID)
    for id_ in dict.fromkeys(stage.treatment for stage in subject.plan.stages):
        treatment = subject.basis.treatment(id_)
        yield from (f"{treatment.title} is not against: {statement.text}" for statement in treatment.not_against)
    yield from _strains(subject)
    if not subject.plan.begun:
        return
    yield from _never_read(subject)
    yield from _unknown(subject)
    yield from without_end(subject)
    yield from _unseen(subject)
    yield from _deaths(subject)
    if subject.has_fish:
        if any(examined(subject, "microscope")):
            yield "a look under the microscope shows what was on that slide, and nothing of the rest"
        else:
            yield "no look at skin or gill under a microscope is on record: what shows no sign was not looked for"
        if seen_eating(subject, FRESH) is None:
            yield "that they ate is the word of the one who fed them: a feeding on record says that food went in"


def _strains(subject: Subject) -> Iterator[str]:
    """Strains that are faster than the interval, or live in low salinity."""
    treatments = {stage.treatment for stage in subject.plan.stages}
    if "tank-transfer" in treatments:
        warnings = subject.basis.treatment("tank-transfer").cautions
        yield from (f"the strain is not known: {text.text}" for text in warnings if "strain releases" in text.text)
    if "hyposalinity" in treatments:
        yield "the strain is not known: low salinity hangs on it"


def _never_read(subject: Subject) -> Iterator[str]:
    """A level that nobody read with a kit that can."""
    for stage in subject.plan.stages[: subject.current + 1]:
        if stage.kind != "hold":
            continue
        treatment = subject.basis.treatment(stage.treatment)
        readings = (
            hold_reading(subject.room, entry, treatment)
            for water in subject.waters(stage)
            for entry in cut(subject.history.of_water(water).readings, (stage.start, None))
            if entry.what == treatment.active
        )
        if not any(reading.suits for reading in readings):
            yield f"{treatment.active} in {stage.name} was never read by a kit that suits its form"


def _unknown(subject: Subject) -> Iterator[str]:
    for stage in subject.plan.stages:
        state = stage.state
        if state is not None and state.kind == "hold":
            spans = (f"{stage.name}: {spoken(s.hours)} from {when(s.start)}, {s.why}" for s in state.unknown)
            yield from listed(f"the level is not known in {text}" for text in spans)


def _unseen(subject: Subject) -> Iterator[str]:
    days = unseen_days(subject)
    if days:
        count = "1 day" if len(days) == 1 else f"{len(days)} days"
        yield f"{count} of {subject.stage.name} without a look on record: {', '.join(listed(spans_of(days)))}"


def _deaths(subject: Subject) -> Iterator[str]:
    found = listed(examined(subject, "necropsy"))
    opened = f"; the bodies that were opened showed: {'; '.join(found)}" if found else ", unless an examination says so"
    for passage in subject.history.passages_of.get(subject.name, ()):
        if passage.how == "died" and instant(passage.at) <= instant(subject.at):
            who = f"{passage.count} {passage.animal}"
            yield f"{who} died on {when(passage.at)}: why is not proven{opened}"
