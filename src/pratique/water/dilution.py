"""What a water change does to a level. Volumes in L, levels in any one unit; well mixed, nothing lost.

Source: arithmetic.
"""

from __future__ import annotations

import math


def after_change(level: float, share: float, incoming: float = 0.0) -> float:
    """The level after `share` (0 to 1) of the water is replaced by water at `incoming`.

    >>> after_change(50, 0.2, 10)
    42.0
    """
    return level * (1 - share) + incoming * share


def share_to_reach(level: float, wanted: float, incoming: float = 0.0) -> float:
    """The share (0 to 1) of one change that brings `level` to `wanted`. ValueError where no change can.

    >>> share_to_reach(35, 30) * 150  # litres of fresh water to take 150 L from 35 to 30 g/kg
    21.428571428571427
    """
    if level == incoming or not 0 <= (share := (level - wanted) / (level - incoming)) <= 1:
        raise ValueError(f"no change takes {level} to {wanted} with water at {incoming}")
    return share


def changes_to_reach(level: float, wanted: float, most_at_once: float) -> tuple[int, float]:
    """How many equal changes with water that has none, and of which share, none above `most_at_once` (0 to 1).

    ValueError where no number of changes reaches it.

    >>> changes_to_reach(0.4, 0.2, 0.5)
    (1, 0.5)
    """
    if not 0 < most_at_once <= 1:
        raise ValueError(f"{most_at_once} is not a part of the water that can be changed")
    share = share_to_reach(level, wanted)
    if share <= most_at_once:
        return 1, share
    left = 1 - share
    if left <= 0:
        raise ValueError(f"{wanted} is not reached by any number of changes")
    count = math.ceil(math.log(left) / math.log(1 - most_at_once) - 1e-12)
    return count, 1 - left ** (1 / count)
