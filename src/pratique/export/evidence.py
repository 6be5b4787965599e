"""What readings, an addition or a claim prove, as JSON. Keys are a contract; a dose beside it has its own keys."""

from __future__ import annotations

from typing import Any

from pratique.dosing.dose import Answer, Dose, Request
from pratique.dosing.evidence.claim import Verdict
from pratique.dosing.evidence.course import Course, Read
from pratique.dosing.evidence.curves import Curves
from pratique.dosing.evidence.lasting import Lasting
from pratique.dosing.evidence.volume import Rise
from pratique.elapsed import hours_between, plus_hours
from pratique.export.json import dose_json, number, quantity, source_json
from pratique.room.resolve import Room


def level_json(course: Course, room: Room) -> dict[str, Any]:
    """The keys of a dose (where there is one) and `level`."""
    leaves, start = course.leaves, course.readings[0].at

    def moment(hours: float | None) -> str | None:
        return plus_hours(start, hours).isoformat(timespec="minutes") if hours is not None else None

    level = {
        "now": quantity(course.now),
        "basis": course.basis,
        "readings": [_read_json(read) for read in course.readings],
        "curves": _curves_json(course.curves) if course.curves is not None else None,
        "floor": number(course.floor) if course.floor is not None else None,
        "falls_below": None
        if leaves is None
        else {
            "began_below": leaves.began_below,
            "about": moment(leaves.middle),
            "earliest": moment(leaves.earliest),
            "latest": moment(leaves.latest),
        },
        "settles": _settles_json(course),
        "published": _lasting_json(course.lasting),
    }
    return {**_with_dose(course.request, course.next_dose, room), "level": level}


def volume_json(rise: Rise) -> dict[str, Any]:
    """The keys of the volume that a rise speaks for."""
    request, check, explanation = rise.request, rise.check, rise.explanation
    hours = explanation.settled_at
    settled = plus_hours(rise.added.at, hours).isoformat(timespec="minutes") if hours is not None else None
    return {
        "tank": request.tank,
        "treatment": request.treatment.id,
        "product": rise.added.product,
        "volume": {
            "added": quantity(rise.added.amount),
            "active": quantity(rise.active),
            "at": rise.added.at.isoformat(),
            "before": _read_json(rise.before),
            "after": [_read_json(read) for read in rise.after],
            "reckoned": quantity(explanation.reckoned),
            "found": quantity(check.found),
            "stated": quantity(check.stated),
            "gap": number(check.gap),
            "agrees": check.agrees,
            "cause": explanation.cause,
            "settled_at": settled,
        },
    }


def claim_json(verdict: Verdict, room: Room) -> dict[str, Any]:
    """The keys of a dose (where there is one) and `claim`."""
    claimed = verdict.claimed
    claim = {
        "text": claimed.text,
        "product": verdict.bottle.name,
        "dose": quantity(claimed.dose),
        "volume": {"value": number(claimed.volume), "unit": "L"},
        "claimed": None if claimed.level is None else {"value": number(claimed.level), "unit": claimed.level_unit},
        "gives": quantity(verdict.gives),
        "ratio": number(verdict.ratio) if verdict.ratio is not None else None,
        "holds": verdict.holds,
        "counted": verdict.counted or None,
        "slip": verdict.slip or None,
        "followed": quantity(verdict.followed),
    }
    return {**_with_dose(verdict.request, verdict.right_dose, room), "claim": claim}


def _with_dose(request: Request, answer: Answer, room: Room) -> dict[str, Any]:
    if isinstance(answer, Dose):
        return dose_json(answer, room)
    return {"tank": request.tank, "treatment": request.treatment.id, "form": request.treatment.form or None}


def _read_json(read: Read) -> dict[str, Any]:
    return {"at": read.at.isoformat(), "level": quantity(read.level)}


def _curves_json(curves: Curves) -> dict[str, Any]:
    comparison = curves.comparison
    return {
        "model": curves.chosen.model,
        "told": comparison.told if comparison is not None else None,
        "loss_is_certain": curves.shows_a_loss,
        "rate": quantity(curves.chosen.rate),
        "half_life": quantity(curves.half_life()),
        "passes": curves.possible,
        "misfit": number(curves.chosen.misfit),
    }


def _settles_json(course: Course) -> dict[str, Any] | None:
    if course.curves is None:
        return None
    found = course.curves.settling(hours_between(course.readings[0].at, course.request.at))
    if found is None:
        return None
    at = plus_hours(course.readings[0].at, found.hours)
    return {
        "question": found.question,
        "at": at.isoformat(timespec="minutes"),
        "one": number(found.one),
        "other": number(found.other),
    }


def _lasting_json(lasting: Lasting) -> dict[str, Any] | None:
    if not lasting.fades:
        return None
    return {
        "gone_after": _hours_json(lasting.first.low, lasting.first.high) if lasting.first is not None else None,
        "gone_after_repeat": _hours_json(lasting.again.low, lasting.again.high) if lasting.again is not None else None,
        "source": source_json(lasting.first) if lasting.first is not None else None,
        "says": lasting.said.text if lasting.said is not None else None,
    }


def _hours_json(low: float, high: float) -> dict[str, Any]:
    return {"low": number(low), "high": number(high), "unit": "h"}
