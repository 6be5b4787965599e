"""Batches that found no tank: which of them a sheet of a few days has to speak of."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection

from pratique.problem import Problem
from pratique.schedule.model import BatchPlan, Plan

AHEAD = dt.timedelta(days=7)
"""How far behind a sheet a batch that must not come yet is still named: time enough to tell the seller."""


def must_wait(plan: Plan, until: dt.date) -> tuple[list[BatchPlan], list[BatchPlan]]:
    """Batches without a whole plan: those that should have come or will up to AHEAD after `until`, and later ones."""
    found = [batch for batch in plan.batches if not batch.is_whole]
    soon = [batch for batch in found if batch.begun or batch.batch.arrives.date() <= until + AHEAD]
    return soon, [batch for batch in found if batch not in soon]


def said_elsewhere(plan: Plan, batches: Collection[BatchPlan]) -> set[Problem]:
    """The problems of these batches alone."""
    others = {problem for batch in plan.batches if batch not in batches for problem in batch.problems}
    return {problem for batch in batches for problem in batch.problems} - others
