"""What a water change does to a level. Volumes in L, levels in any one unit; well mixed, nothing lost."""

from __future__ import annotations

import math


def after_change(level: float, share: float, incoming: float = 0.0) -> float:
    """The level after `share` (0 to 1) of the water is replaced by water at `incoming`.

    >>> after_change(50, 0.2, 10)
    42.0
    """
    return level * (1 - share) + incoming * share


def after_flow(level: float, share: float, incoming: float = 0.0) -> float:
    """As `after_change`, by continuous mixed flow of `share` volumes (a drip, an overflow)."""
    return incoming + (level - incoming) * math.exp(-share)


def share_to_reach(level: float, wanted: float, incoming: float = 0.0) -> float:
    """The share of one change that brings `level` to `wanted`. ValueError where no change can."""
    if level == incoming or not 0 <= (share := (level - wanted) / (level - incoming)) <= 1:
        raise ValueError(f"no change takes {level} to {wanted} with water at {incoming}")
    return share


def changes_to_reach(level: float, wanted: float, most_at_once: float, incoming: float = 0.0) -> tuple[int, float]:
    """How many equal changes, and of which share, none above `most_at_once`. ValueError where none can."""
    share_to_reach(level, wanted, incoming)
    left = (wanted - incoming) / (level - incoming)
    if left <= 0:
        raise ValueError(f"{wanted} is not reached by any number of changes with water at {incoming}")
    count = max(1, math.ceil(math.log(left) / math.log(1 - most_at_once) - 1e-12)) if left < 1 else 1
    return count, 1 - left ** (1 / count)
