"""What was seen of a batch when somebody looked: eating, breath, under the microscope, in a dead one."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.checks.release.model import Subject, when
from pratique.history.events import Looked
from pratique.schedule.calendar import elapsed_hours, instant
from pratique.schedule.feeds import cut


def looked_at(subject: Subject) -> list[Looked]:
    """Every look on record at the batch, or at all in a water it was in then, since it came; in order."""
    visits = subject.history.visits.get(subject.name, ())
    found: list[Looked] = []
    for visit in visits:
        water = subject.room.tanks[visit.tank].water
        for look in cut(subject.history.of_water(water).looks, (visit.start, visit.end)):
            if look.batch in ("", subject.name):
                found.append(look)
    return sorted(found, key=lambda look: instant(look.at))


def seen_eating(subject: Subject, within: float) -> Looked | None:
    """The last look at which they ate, no more than so many hours ago; None where a later one says they did not."""
    said = [look for look in looked_at(subject) if look.eating is not None]
    if not said or not said[-1].eating or elapsed_hours(said[-1].at, subject.at) > within:
        return None
    return said[-1]


def breath(subject: Subject) -> str:
    """The last count of breaths, in words; empty where there is none."""
    counted = [look for look in looked_at(subject) if look.breaths is not None]
    return f"{counted[-1].breaths} breaths a minute on {when(counted[-1].at)}" if counted else ""


def examined(subject: Subject, how: str) -> Iterator[str]:
    """What a microscope or an opened body showed, in the words of who looked."""
    for look in looked_at(subject):
        if look.how == how:
            of = f"{look.animal}, " if look.animal else ""
            by = f" ({look.by})" if look.by else ""
            yield f"{of}{when(look.at)}: {look.findings}{by}"
