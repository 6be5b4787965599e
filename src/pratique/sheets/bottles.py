"""What the bottles do not hold of the doses on a sheet: said at its head, before somebody stands there with half."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping

from pratique.dosing.aim import SLACK
from pratique.figure import in_unit
from pratique.history.events import Bottle
from pratique.schedule.model import OVER, Task
from pratique.sheets.rows import Cell, Lines

TOO_LITTLE = (
    "{name}: {left} left, {need} asked for on this sheet; a level that cannot be kept is no treatment: "
    "`pratique shelf` says what to buy, and by when"
)


def too_little_left(days: tuple[tuple[dt.date, tuple[Task, ...]], ...], bottles: Mapping[str, Bottle]) -> list[Lines]:
    """Bottles that hold less than the open doses of these days take, by what the log left in each."""
    needs: defaultdict[str, float] = defaultdict(float)
    for task in (task for _, tasks in days for task in tasks):
        bottle = bottles.get(task.product)
        if (
            bottle is not None
            and task.amount is not None
            and task.amount.unit == bottle.unit
            and task.state not in OVER
        ):
            needs[task.product] += task.amount.value
    found = [
        Cell(TOO_LITTLE.format(name=name, left=in_unit(left, unit), need=in_unit(need, unit)), "error")
        for name, need in needs.items()
        if (left := bottles[name].left) is not None and need > left * (1 + SLACK) and (unit := bottles[name].unit)
    ]
    return [Lines(title="Not enough in the bottle", lines=tuple(found), bullet="·")] if found else []
