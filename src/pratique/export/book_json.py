"""Bookings as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pratique.booking.book import Answer, Booked
from pratique.booking.clashing import Clashing
from pratique.booking.instead import Instead


def book_json(
    answer: Answer, instead: Mapping[str, tuple[Instead, ...]], clashes: Mapping[str, Clashing]
) -> dict[str, Any]:
    """`booked` and `broken` wishes, how good the answer is, and the limits that were not looked at."""
    solved = answer.solved
    return {
        "booked": [booked_json(entry) for entry in answer.booked],
        "broken": [
            {
                "wish": entry.wish.name,
                "regimen": entry.regimen.id,
                "code": entry.problem.code if entry.problem is not None else None,
                "reason": entry.problem.message if entry.problem is not None else None,
                "clash": _clash(clashes.get(entry.wish.name)),
                "instead": [
                    {
                        "sort": other.sort,
                        "what": other.what,
                        "booked": booked_json(other.booked),
                        "others_moved": list(other.others),
                    }
                    for other in instead.get(entry.wish.name, ())
                ],
            }
            for entry in answer.broken
        ],
        "best": {
            "proven": solved.is_best,
            "waiting": {"value": solved.score[1], "unit": "d"},
            "moves": solved.score[2],
            "least_broken": solved.least_broken,
            "least_waiting": {"value": solved.least_wait, "unit": "d"},
        },
        "not_looked_at": list(answer.supplies.unknown),
    }


def _clash(clash: Clashing | None) -> dict[str, Any] | None:
    if clash is None:
        return None
    return {
        "wishes": list(clash.wishes),
        "limits": list(clash.limits),
        "waters": list(clash.waters),
        "taken_by": list(clash.taken_by),
        "smallest": clash.is_smallest,
    }


def booked_json(entry: Booked) -> dict[str, Any]:
    """One booking with its stages."""
    return {
        "wish": entry.wish.name,
        "arrives": entry.batch.arrives.isoformat(),
        "waits": {"value": entry.waits, "unit": "d"},
        "moves": entry.moves,
        "regimen": entry.regimen.id,
        "stages": [
            {
                "name": stay.stage,
                "treatment": stay.treatment,
                "tanks": list(stay.tanks),
                "start": stay.start.isoformat(),
                "end": stay.end.isoformat(),
            }
            for stay in entry.stays
        ],
        "end": entry.end.isoformat(),
        "mixed_with": entry.mixed_with or None,
        "left_behind": entry.left_behind or None,
    }
