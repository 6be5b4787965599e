"""Rooms made for a test of cleaning: an empty tank, bleach and crystals on the shelf, two gear sets."""

from __future__ import annotations

from typing import Any

from dosing_rooms import AT, make_room, measure
from pratique.dosing.cleaning.model import CleanAnswer, Cleaning, CleanRequest
from pratique.dosing.cleaning.work import work_out_cleaning
from pratique.figure import Figure
from pratique.problem import Refusal
from pratique.room.resolve import Room
from pratique.room.values import treatment_for
from pratique.water.volume import NetVolume, net_volume

SETS = {"gear": {"red set": {"for": "transfers"}, "white set": {"for": "transfers"}}}


def empty_room(**changes: Any) -> Room:
    """The sound room without animals, its 200 L poured in without an error."""
    return make_room(**({"animals": None, "tanks__q1__volume": {"measured": "200 L ± 0.0001 L"}} | SETS | changes))


def ask_cleaning(
    treatment: str, room: Room | None = None, *, gear: str = "", litres: float = 10.0, **more: Any
) -> CleanAnswer:
    """Of tank q1; or of `gear` in a bucket of `litres`."""
    room = room or empty_room()
    treated = treatment_for(room, treatment)
    if isinstance(more.get("reading"), str):
        more["reading"] = measure(more["reading"])
    if gear:
        bucket = NetVolume(figure=Figure.exact(litres, "L"), nominal=(), working=())
        return work_out_cleaning(
            CleanRequest(
                room=room,
                what=gear,
                where="bucket",
                treatment=treated,
                at=AT,
                litres=bucket if treated.active else None,
                **more,
            )
        )
    water = room.waters["q1"]
    more.setdefault("animals", room.residents)
    volume = net_volume(water) if treated.active else None
    return work_out_cleaning(
        CleanRequest(room=room, what="q1", treatment=treated, at=AT, water=water, litres=volume, **more)
    )


def cleaning(treatment: str, room: Room | None = None, **more: Any) -> Cleaning:
    answer = ask_cleaning(treatment, room, **more)
    assert isinstance(answer, Cleaning), answer.problems
    return answer


def cleaning_refusal(treatment: str, room: Room | None = None, **more: Any) -> Refusal:
    answer = ask_cleaning(treatment, room, **more)
    assert isinstance(answer, Refusal), answer
    return answer
