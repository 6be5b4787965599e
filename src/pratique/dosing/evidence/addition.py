"""An addition as it is typed: `10 mL of copper bottle at 2027-03-05T08:00`."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from pratique.dosing.evidence.typed import not_read, read_moment
from pratique.figure import Figure
from pratique.problem import Problem, near_hint, near_names, quoted
from pratique.quantity import Measure, QuantityError, parse_measure, parse_number
from pratique.room.resolve import Room
from pratique.room.wrong import Wrong, wrong_quantity

EXAMPLE = "write such as `10 mL of copper bottle at 2027-03-05T08:00`"
_FORM = re.compile(r"(?P<amount>.+?) of (?P<product>.+) (?:at|on) (?P<when>\S+(?: [0-9]{1,2}:[0-9]{2}\S*)?)")
_DROPS = re.compile(r"(?P<number>\S+) ?drops?")
_TABLETS = re.compile(r"(?P<number>\S+) ?tablets?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What was poured in: `amount` in mL, g or tablets of the product, with the error that was typed beside it."""

    text: str
    amount: Figure
    product: str
    at: dt.datetime


def read_addition(text: str, room: Room) -> Added | Problem:
    """The addition, its product found on the shelf; or what is wrong with it."""
    text = " ".join(text.split())
    try:
        return _read(text, room)
    except Wrong as wrong:
        return not_read(Wrong(wrong.code, wrong.message, wrong.hint or EXAMPLE, wrong.note), text, code="D506")


def _read(text: str, room: Room) -> Added:
    found = _FORM.fullmatch(text)
    if found is None:
        raise Wrong("U217", f"{quoted(text)} is not an addition that can be reckoned with", EXAMPLE)
    product = _product(found["product"].strip("'\"`"), room)
    amount = read_amount(found["amount"], room, product)
    if amount.value <= 0:
        raise Wrong("U212", f"{quoted(found['amount'])} adds nothing", "write what was poured in")
    at = read_moment(found["when"], room.zone, "an addition")
    return Added(text=text, amount=amount, product=product, at=at)


def _product(name: str, room: Room) -> str:
    shelf = room.written.shelf
    folded = [known for known in shelf if known.lower() == name.lower()]
    if len(folded) == 1:
        return folded[0]
    hint = near_hint(near_names(name, shelf)) or "on the shelf: " + (", ".join(shelf) or "nothing")
    raise Wrong("F113", f"there is no product {quoted(name)} on the shelf", hint)


def read_amount(text: str, room: Room, product: str) -> Figure:
    """mL, g or tablets; drops only through the product's own calibrated dropper. Wrong for anything else."""
    try:
        drops, tablets = _DROPS.fullmatch(text), _TABLETS.fullmatch(text)
        if drops is not None:
            return Figure.exact(_number(drops) / drops_per_millilitre(room, product), "mL")
        if tablets is not None:
            return Figure.exact(_number(tablets), "tablet")
        return _measured(text)
    except QuantityError as error:
        general = error.kind in ("number", "no-unit", "dimension", "unknown-unit")
        raise wrong_quantity(error, "write such as `10 mL`, `2 g` or `3 tablets`" if general else "") from None


def _number(found: re.Match[str]) -> float:
    return parse_number(found["number"], rest=found.string[found.end("number") :])


def drops_per_millilitre(room: Room, product: str) -> float:
    """The calibration of the product's dropper. Wrong where none is on file: a drop has no size of its own."""
    dropper = room.written.shelf[product].dropper
    if dropper is None:
        raise Wrong(
            "D512",
            f"the dropper of {quoted(product)} was never counted, and a drop has no size of its own",
            f"count the drops in 1 mL and write such as `dropper: 24 drops/mL` under {quoted(product)}",
            "drops differ by dropper, by liquid and by the angle it is held at",
        )
    return dropper


def _measured(text: str) -> Figure:
    try:
        found, unit, size = parse_measure(text, "volume"), "mL", 1000.0
    except QuantityError as error:
        if error.kind not in ("dimension", "unknown-unit"):
            raise
        found, unit, size = parse_measure(text, "mass"), "g", 1.0
    return _figure(found, unit, size)


def _figure(found: Measure, unit: str, size: float) -> Figure:
    return Figure(value=found.value * size, unit=unit, low=max(found.low, 0.0) * size, high=found.high * size)
