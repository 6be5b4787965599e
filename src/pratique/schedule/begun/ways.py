"""The ways in which a stage that has begun may go on, by the kind of the stage."""

from __future__ import annotations

import datetime as dt

from pratique.knowledge.model import Treatment
from pratique.schedule.begun.course import begun_course
from pratique.schedule.begun.hold import begun_hold
from pratique.schedule.begun.moves import begun_moves
from pratique.schedule.begun.past import Past
from pratique.schedule.begun.watch import begun_watch
from pratique.schedule.placed import Placed


def ways_on(past: Past, index: int, planned: Treatment, start: dt.datetime) -> list[Placed]:
    """The stage `index` that began at `start` as it stands, the likeliest way on first; never empty.

    `planned` is the treatment that would be chosen now; what was really given comes before it.
    """
    begin = {"transfers": begun_moves, "hold": begun_hold, "course": begun_course, "observation": begun_watch}
    return begin[past.stages[index].kind](past, index, planned, start)
