"""Questions to readings, additions and claims, asked of the sound room of `dosing_rooms`."""

from __future__ import annotations

import datetime as dt
from typing import Any

from dosing_rooms import AT, make_room
from pratique.dosing.dose import Request
from pratique.dosing.evidence.addition import Added, read_addition
from pratique.dosing.evidence.claim import Verdict, judge_claim
from pratique.dosing.evidence.course import Course, work_out_course
from pratique.dosing.evidence.typed import TypedReading, read_readings
from pratique.dosing.evidence.volume import Rise, work_out_rise
from pratique.problem import Refusal
from pratique.room.resolve import Room
from pratique.room.values import treatment_for


def request_for(treatment: str, room: Room | None = None, at: str | None = None, **options: Any) -> Request:
    """The moment asked for is 5 March 2027 18:00, or `at` in Lisbon."""
    room = room or make_room()
    moment = dt.datetime.fromisoformat(at).replace(tzinfo=AT.tzinfo) if at else AT
    return Request(room=room, tank="q1", treatment=treatment_for(room, treatment), at=moment, **options)


def typed(request: Request, text: str) -> tuple[TypedReading, ...]:
    dimension = "parts" if request.treatment.unit == "uL/L" else "level"
    found, problems = read_readings(text, dimension=dimension, zone=request.room.zone)
    assert problems == (), problems
    return found


def ask_course(treatment: str, text: str, room: Room | None = None, **options: Any) -> Course | Refusal:
    request = request_for(treatment, room, **options)
    return work_out_course(request, typed(request, text))


def course(treatment: str, text: str, room: Room | None = None, **options: Any) -> Course:
    answer = ask_course(treatment, text, room, **options)
    assert isinstance(answer, Course), answer
    return answer


def ask_rise(treatment: str, added: str, text: str, room: Room | None = None, **options: Any) -> Rise | Refusal:
    request = request_for(treatment, room, **options)
    addition = read_addition(added, request.room)
    assert isinstance(addition, Added), addition
    return work_out_rise(request, addition, typed(request, text))


def rise(treatment: str, added: str, text: str, room: Room | None = None, **options: Any) -> Rise:
    answer = ask_rise(treatment, added, text, room, **options)
    assert isinstance(answer, Rise), answer
    return answer


def verdict(treatment: str, text: str, room: Room | None = None, **options: Any) -> Verdict:
    answer = judge_claim(request_for(treatment, room, **options), text)
    assert isinstance(answer, Verdict), answer
    return answer


def refused(answer: object) -> str:
    """The leading code of a refusal."""
    assert isinstance(answer, Refusal), answer
    return answer.first.code
