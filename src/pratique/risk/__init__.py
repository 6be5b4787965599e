"""How likely is it that something gets through: life-cycle models of the parasites, run over a plan and its log.

`for_plan` and `for_fallow` are what other commands call; numpy is loaded only when one of them is.
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pratique.history.fold import History
    from pratique.problem import Problem
    from pratique.risk.answers import Risk
    from pratique.risk.fallow import FallowRisk
    from pratique.room.resolve import Room
    from pratique.schedule.model import BatchPlan

__all__ = ["for_fallow", "for_plan"]


def for_plan(
    room: Room, history: History | None, plan: BatchPlan, agent: str = "cryptocaryon", parasites: float | None = None
) -> Risk | Problem:
    """The chance that `agent` gets through this plan, with its limits; a Problem says why there is none."""
    from pratique.risk.answers import for_plan as answer

    return answer(room, history, plan, agent, parasites)


def for_fallow(
    room: Room,
    history: History | None,
    tank: str,
    at: dt.datetime,
    *,
    agent: str = "cryptocaryon",
    days: float | None = None,
    temperature: float | None = None,
    since: dt.datetime | None = None,
) -> FallowRisk | Problem:
    """The chance that something in the water of `tank` can still infect, over the days, with its limits.

    `since` is day one where a clock knows it; else it is when the last fish left by the record.
    """
    from pratique.risk.fallow import for_fallow as answer

    return answer(room, history, tank, at, agent=agent, days=days, temperature=temperature, since=since)
