"""What an amount of liquid is measured with: which syringe of the room, to which mark, in how many draws."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pratique.dosing.dose import Dose
from pratique.dosing.notes import LEAST
from pratique.figure import digits
from pratique.knowledge.model import Sourced, Treatment
from pratique.room.model import Syringe
from pratique.room.resolve import Room

LEAST_STEPS = 2
"""Fewer steps of a syringe than this are guessed, not read (D)."""

MOST_ERROR = 0.10
"""Share of an amount by which a syringe may miss it (D). The bands of copper are a sixth to a third wide."""

GOOD_ERROR = 0.05
"""Up to this error the syringe with the fewest draws is taken, not the finest one (D)."""

MOST_DRAWS = 10
"""Draws of a small syringe that somebody still counts rightly (D); more only with the largest there is."""

STOCK_PARTS = 10
"""A weaker stock is one part of the bottle in so many (D)."""

_NEAR = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """`amount` mL in `count` equal draws of a syringe: the last mark that is not above what was worked out.

    `error` is half a step for each draw, `short` what is left out by going down to a mark.
    """

    name: str
    step: float
    count: int
    amount: float
    error: float
    short: float

    @property
    def miss(self) -> float:
        """mL by which it may fall short of the amount."""
        return self.error + self.short

    @property
    def text(self) -> str:
        """The amount with no more places than the syringe has."""
        return f"{self.amount:.{_places(self.step)}f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """A weaker stock to dose from: `bottle` mL made up with `water` mL, and `dose` mL of that."""

    bottle: float
    water: float
    dose: float
    source: Sourced


def find_draw(room: Room, amount: float) -> Draw | None:
    """How `amount` mL is best measured with the room's syringes, or None where none of them can.

    It is rounded down to a mark, so that a syringe never adds more than was worked out.
    """
    good = [draw for draw in _draws(room, amount) if _is_good(draw, amount)]
    easy = [draw for draw in good if draw.miss <= GOOD_ERROR * amount]
    if easy:
        return min(easy, key=lambda draw: (draw.count, draw.miss, draw.name))
    return min(good, key=lambda draw: (draw.miss, draw.count, draw.name), default=None)


def _draws(room: Room, amount: float) -> list[Draw]:
    """`amount` by each syringe that would not take too many draws; the largest may take any number."""
    syringes = room.written.syringes
    if amount <= 0 or not syringes:
        return []
    largest = max(syringe.volume.value for syringe in syringes.values())
    draws = [(_draw(name, syringe, amount), syringe.volume.value) for name, syringe in syringes.items()]
    return [draw for draw, holds in draws if draw.count <= MOST_DRAWS or holds == largest]


def _draw(name: str, syringe: Syringe, amount: float) -> Draw:
    step, holds = syringe.step.value * 1000, syringe.volume.value * 1000
    shown = math.floor(amount / step + _NEAR) * step
    count = max(math.ceil(shown / holds - _NEAR), 1)
    return Draw(name=name, step=step, count=count, amount=shown, error=count * step / 2, short=max(amount - shown, 0.0))


def _is_good(draw: Draw, amount: float) -> bool:
    enough = amount >= LEAST_STEPS * draw.step * (1 - _NEAR)
    return enough and draw.miss <= MOST_ERROR * amount * (1 + _NEAR)


def _places(step: float) -> int:
    """Decimals that a step in mL needs: 0 for 1, 1 for 0.2, 2 for 0.25."""
    return next((places for places in range(5) if math.isclose(round(step, places), step, rel_tol=1e-6)), 5)


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
    bottle = float(max(math.ceil(amount - _NEAR), 1))
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
    return float(f"{max(size * decade for size in (1, 2, 5) if size * decade <= most * (1 + _NEAR)):.1g}")


def shown_mL(room: Room, amount: float) -> str:  # noqa: N802 (the unit's own letter)
    """`amount` mL no finer than the room's syringes can measure it."""
    draw = find_draw(room, amount)
    return f"{draw.text if draw is not None else digits(amount)} mL"


def syringe_error(dose: Dose, room: Room) -> tuple[float, float]:
    """mL that the syringes may leave out, and add, over all pours of a dose; nothing where none is on file."""
    if dose.add.unit != "mL":
        return 0.0, 0.0
    found = [(find_draw(room, amount), _draws(room, amount)) for amount in pours(dose)]
    draws = [good or min(all_, key=lambda draw: draw.miss) for good, all_ in found if all_]
    return _sum(draw.miss for draw in draws), _sum(max(draw.error - draw.short, 0.0) for draw in draws)


def _sum(numbers: Iterable[float]) -> float:
    return math.fsum(numbers)


def shown_total(dose: Dose, room: Room) -> str:
    """The product in all, as it is measured pour by pour."""
    draws = [find_draw(room, amount) for amount in pours(dose)] if dose.add.unit == "mL" else []
    if not draws or any(draw is None for draw in draws):
        return f"{digits(dose.add.value)} {dose.add.unit}"
    places = max(_places(draw.step) for draw in draws if draw is not None)
    return f"{_sum(draw.amount for draw in draws if draw is not None):.{places}f} mL"
