"""What was seen in a water, and what a first response has to cover: the hinge between signs and run sheet."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspicion:
    """What is suspected in the water of `tank` at the moment `at`; never a diagnosis.

    `signs` are ids of signs.yaml as they were seen; `cover` holds ids of pathogens that cannot be told apart on these
    signs, the one that kills soonest first; `causes` holds ids of causes in the water itself (such as `low-oxygen`,
    `ammonia`), likeliest first; `dying` are names of animals near death; `dead` of those found dead. `unread`: what
    would show a fault of the water, and nobody read lately. `standing`: for a card that hangs for weeks, so that
    nothing on it may rest on a level of today.
    """

    tank: str
    at: dt.datetime
    signs: tuple[str, ...] = ()
    cover: tuple[str, ...] = ()
    causes: tuple[str, ...] = ()
    dying: tuple[str, ...] = ()
    dead: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    standing: bool = False
