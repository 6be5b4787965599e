"""A claim held against the bottle: what it says, what the strength gives, by how much and why they differ."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.evidence.claim import Claimed, Verdict
from pratique.figure import digits
from pratique.problem import Refusal
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.dose import dose_parts
from pratique.sheets.rows import Cell, Facts, Footnotes, Part, Sheet


def claim_sheet(room: Room, verdict: Verdict, at: dt.datetime, *, working: bool = False) -> Sheet:
    """The page of `dose --claim`."""
    notes = Footnotes()
    request, answer = verdict.request, verdict.right_dose
    parts: list[Part] = [_head(room, verdict)]
    if isinstance(answer, Refusal):
        codes = ", ".join(dict.fromkeys(problem.code for problem in answer.problems))
        parts.append(Facts(title="The right dose for this tank", pairs=(("add", words.refused(codes)),)))
    else:
        parts += dose_parts(room, answer, at, notes, working=working, title="The right dose for this tank")
    return Sheet(
        title=f"Claim · {request.tank} · {request.treatment.title} · {words.moment(at, at=at)}",
        parts=tuple(parts),
        footnotes=notes.lines(),
    )


def _head(room: Room, verdict: Verdict) -> Facts:
    claimed, gives = verdict.claimed, verdict.gives
    ends = words.spread(gives)
    strength = room.written.shelf[verdict.bottle.name].strength.text
    pairs = [
        ("claim", Cell(claimed.text)),
        ("the bottle", Cell(f"{verdict.bottle.name}, {strength}")),
        ("dose in it", Cell(_dose(claimed, room))),
        ("it gives", Cell(words.value(gives.value, gives.unit) + (f", {ends} at the worst" if ends else ""), "due")),
    ]
    if claimed.level is not None and verdict.ratio is not None:
        of_what = " of the active" if claimed.substance else ""
        pairs.append(("it says", Cell(words.value(claimed.level, claimed.level_unit) + of_what)))
        pairs.append(("verdict", _verdict(verdict, verdict.ratio)))
    else:
        pairs.append(("it says", Cell("no level, so there is nothing to hold against it", "muted")))
    if verdict.slip:
        pairs.append(("known slip", Cell(verdict.slip)))
    elif verdict.ratio is not None and not verdict.holds:
        pairs.append(("known slip", Cell("none has this size: unit, salt, gallon and decimal were looked at")))
    if verdict.followed is not None and not verdict.holds:
        pairs.append(("by the claim", Cell(_followed(verdict), "warning")))
    return Facts(pairs=tuple(pairs))


def _dose(claimed: Claimed, room: Room) -> str:
    amount = words.value(claimed.dose.value, claimed.dose.unit)
    drops = f" ({claimed.drops:g} drops by its dropper)" if claimed.drops is not None else ""
    return f"{amount}{drops} in {words.volume(claimed.volume, room)}"


def _verdict(verdict: Verdict, ratio: float) -> Cell:
    size = "just" if abs(ratio - 1) < 0.005 else f"{digits(ratio)} ×" if ratio >= 1 else f"1/{digits(1 / ratio)} of"
    size += " what the strength gives"
    counted = f", counted {verdict.counted}" if verdict.counted else ""
    if verdict.holds:
        return Cell(f"it holds within a fifth: {size}{counted}", "done")
    return Cell(f"it does not hold: {size}{counted}", "error")


def _followed(verdict: Verdict) -> str:
    assert verdict.followed is not None
    assert verdict.aim is not None
    aim, level = verdict.aim, verdict.followed.value
    text = f"reckoned by it to {aim.says(aim.level)}, this water would really have {aim.says(level)}"
    if aim.most is not None and level > aim.most:
        return f"{text}, over the ceiling {aim.says(aim.most)}"
    if aim.floor is not None and level < aim.floor.value:
        return f"{text}, too little to work"
    return text
