"""How the pours of a dose are measured with the room's syringes, and what to do where none of them can."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pratique.dosing.dose import Dose
from pratique.dosing.draws import MOST_ERROR, NEAR, draws_of, find_draw, places_of, shown_mL
from pratique.dosing.notes import LEAST
from pratique.figure import digits
from pratique.knowledge.model import Sourced, Treatment
from pratique.room.resolve import Room

STOCK_PARTS = 10
"""A weaker stock is one part of the bottle in so many (D)."""

@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A weaker stock to dose from: `bottle` mL made up with `water` mL, and `dose` mL of that."""

    bottle: float
    water: float
    dose: float
    source: Sourced


def pours(dose: Dose) -> tuple[float, ...]:
    """The amounts of a dose that are measured one by one, in the product's unit, in order."""
    first = [dose.change.add.value] if dose.change is not None and dose.change.add is not None else []
    return tuple(amount for amount in (*first, *(step.add.value for step in dose.steps)) if amount > 0)


def unmeasured(dose: Dose, room: Room) -> tuple[float, ...]:
    """The pours (mL) that no syringe of the room can measure. None where there are no syringes on file.

    The least of all have their own note in the dose and are left to it.
    """
    if dose.add.unit != "mL" or not room.written.syringes or dose.add.value < LEAST["mL"]:
        return ()
    found = {digits(amount): amount for amount in pours(dose) if find_draw(room, amount) is None}
    return tuple(found.values())


def stock_source(treatment: Treatment) -> Sourced | None:
    """The number by which the reference lets a bottle be thinned before dosing: a stock recipe, a pre-dilution."""
    return treatment.number("stock_strength") or treatment.number("predilute")


def weaker_stock(room: Room, treatment: Treatment, amount: float) -> Stock | None:
    """A tenfold stock from which `amount` mL of the bottle can be measured. None where no source has such a stock,
    or where the syringes cannot measure its parts either.
    """
    source = stock_source(treatment)
    bottle = float(max(math.ceil(amount - NEAR), 1))
    stock = (bottle, bottle * (STOCK_PARTS - 1), amount * STOCK_PARTS)
    if source is None or any(find_draw(room, part) is None for part in stock):
        return None
    return Stock(bottle=bottle, water=stock[1], dose=stock[2], source=source)


def measuring_lines(dose: Dose, room: Room) -> Iterator[tuple[str, Sourced | None]]:
    """What to do about pours that cannot be measured: a weaker stock, or a finer syringe; and who allows it."""
    for amount in unmeasured(dose, room):
        poured = dose.product if dose.stock is None else f"the stock of {dose.product}"
        said = f"no syringe on file measures {digits(amount)} mL of {poured} to a tenth"
        stock = weaker_stock(room, dose.treatment, amount) if dose.stock is None else None
        if stock is None:
            finest = round_step(amount * MOST_ERROR / 1.5)  # half a step of reading, a step of going down to a mark
            yield f"{said}: take one with steps of {finest:g} mL or less, and write it under `syringes:`", None
            continue
        yield (
            f"{said}: mix {stock.bottle:g} mL of the bottle with {stock.water:g} mL of pure water and dose "
            f"{shown_mL(room, stock.dose)} of that, {STOCK_PARTS} × the amount; make it fresh, throw the rest away",
            stock.source,
        )


def round_step(most: float) -> float:
    """The largest step of 1, 2 or 5 in any decade that is not above `most` mL, as syringes are marked.

    >>> round_step(0.0062), round_step(0.31)
    (0.005, 0.2)
    """
    decade = 10.0 ** math.floor(math.log10(most))
    return float(f"{max(size * decade for size in (1, 2, 5) if size * decade <= most * (1 + NEAR)):.1g}")


def syringe_error(dose: Dose, room: Room) -> tuple[float, float]:
    """mL that the syringes may leave out, and add, over all pours of a dose; nothing where none is on file."""
    if dose.add.unit != "mL":
        return 0.0, 0.0
    found = [(find_draw(room, amount), draws_of(room, amount)) for amount in pours(dose)]
    draws = [good or min(all_, key=lambda draw: draw.miss) for good, all_ in found if all_]
    return _sum(draw.miss for draw in draws), _sum(max(draw.error - draw.short, 0.0) for draw in draws)


def _sum(numbers: Iterable[float]) -> float:
    return math.fsum(numbers)


def shown_total(dose: Dose, room: Room) -> str:
    """The product in all, as it is measured pour by pour."""
    draws = [find_draw(room, amount) for amount in pours(dose)] if dose.add.unit == "mL" else []
    if not draws or any(draw is None for draw in draws):
        return f"{digits(dose.add.value)} {dose.add.unit}"
    places = max(places_of(draw.step) for draw in draws if draw is not None)
    return f"{_sum(draw.amount for draw in draws if draw is not None):.{places}f} mL"
