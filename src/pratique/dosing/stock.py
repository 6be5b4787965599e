"""A stock solution: made from a powder, or a liquid thinned; what is then in a mL of it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from pratique.dosing.product import Active
from pratique.figure import Figure, Step, digits
from pratique.knowledge import store
from pratique.knowledge.model import Statement, Treatment, cite
from pratique.problem import Problem, quoted
from pratique.quantity import QuantityError, parse_measure, parse_number
from pratique.room.wrong import Wrong, wrong_quantity

MOST_IN_A_LITRE = 200.0
"""g of a powder in a litre: copper sulfate and the salts in use dissolve to this at room temperature (from memory)."""

MOST_PARTS = 1000.0
"""A stock is thinned to no more than this: further than that is a series of stocks, each with its own error (D)."""

EXAMPLES = "write such as `1 g in 250 mL` for a powder, `10 mL in 100 mL` or `1:10` for a liquid"

_IN = re.compile(r"(?P<amount>.+?) (?:in|to) (?P<volume>.+)")
_PARTS = re.compile(r"1 ?(?::|in) ?(?P<parts>[0-9.]+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class StockRecipe:
    """What was typed. `amount` g or mL of the product are made up to `volume` mL in all; None where only the parts
    are told: one of the product in so many in all.
    """

    text: str
    kind: Literal["powder", "liquid", "parts"]
    amount: float
    volume: float

    @property
    def parts(self) -> float:
        """mL of stock for each g or mL of the product."""
        return self.volume / self.amount


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeStock:
    """A stock to dose from: its recipe, what a mL of it holds, and what is said of making it."""

    recipe: StockRecipe
    active: Active
    care: tuple[Statement, ...]


def read_stock(text: str) -> StockRecipe:
    """`1 g in 250 mL`, `10 mL in 100 mL` or `1:10` (one part in ten in all). Raises Wrong.

    >>> read_stock("1 g in 250 mL").parts, read_stock("1:10").parts
    (250.0, 10.0)
    """
    text = " ".join(text.split())
    parts = _PARTS.fullmatch(text)
    try:
        if parts is not None:
            return _checked(StockRecipe(text=text, kind="parts", amount=1.0, volume=parse_number(parts["parts"])))
        found = _IN.fullmatch(text)
        if found is None:
            raise Wrong("U217", f"{quoted(text)} is not a stock that can be made", EXAMPLES)
        volume = _exact(found["volume"], "volume") * 1000
        try:
            amount, kind = _exact(found["amount"], "mass"), "powder"
        except QuantityError as error:
            if error.kind != "dimension":
                raise
            amount, kind = _exact(found["amount"], "volume") * 1000, "liquid"
    except QuantityError as error:
        raise wrong_quantity(error, "" if error.hint else EXAMPLES) from None
    is_powder = kind == "powder"
    return _checked(StockRecipe(text=text, kind="powder" if is_powder else "liquid", amount=amount, volume=volume))


def _exact(text: str, dimension: str) -> float:
    found = parse_measure(text, dimension)
    if not found.exact:
        raise QuantityError("spread", text, dimension, "has an error after it, which is not read here", EXAMPLES)
    return found.value


def _checked(recipe: StockRecipe) -> StockRecipe:
    if recipe.amount <= 0 or recipe.volume <= 0:
        raise Wrong("U212", f"{quoted(recipe.text)} has an amount that is not above zero", EXAMPLES)
    if recipe.kind != "powder" and not 1 < recipe.parts <= MOST_PARTS:
        message = f"{quoted(recipe.text)} is not one part in more than 1 and up to {MOST_PARTS:g}"
        raise Wrong("U212", message, EXAMPLES)
    return recipe


def make_stock(treatment: Treatment, bottle: Active, recipe: StockRecipe) -> MadeStock | Problem:
    """The stock of `bottle` by `recipe`, or why none is made. mg in a mL = amount × strength ÷ volume.

    Source: arithmetic; what dissolves: from memory.
    """
    wrong = next(_against(treatment, bottle, recipe), None)
    if wrong is not None:
        return wrong
    per_mL = bottle.per_unit * recipe.amount / recipe.volume  # noqa: N806 (the unit's own letter)
    unit = f"mg {treatment.active}"
    step = Step(
        label=f"stock of {bottle.name}",
        expression=f"{_amount(recipe, bottle)} × {digits(bottle.per_unit)} {unit} ÷ {digits(recipe.volume)} mL",
        result=f"{digits(per_mL)} {unit} per mL",
    )
    active = replace(bottle, unit="mL", per_unit=per_mL, of_bottle=1 / recipe.parts, made=(step,))
    care = store.stock_care()
    return MadeStock(recipe=recipe, active=active, care=care["powder" if recipe.kind == "powder" else "liquid"].says)


def _amount(recipe: StockRecipe, bottle: Active) -> str:
    return f"{digits(recipe.amount)} {bottle.unit}"


def _against(treatment: Treatment, bottle: Active, recipe: StockRecipe) -> Iterator[Problem]:
    if treatment.no_stock is not None:
        said = treatment.no_stock
        yield Problem(
            code="D540",
            message=f"no stock is made of `{bottle.name}`: {said.text}",
            source=cite(said),
            hint="leave `--stock` out and measure the product itself",
        )
    elif bottle.unit == "tablet":
        message = f"no stock is made of the tablets of `{bottle.name}`: not all of a tablet dissolves"
        yield Problem(code="D541", message=message, hint="leave `--stock` out, crush and weigh; or get the pure powder")
    elif (bottle.unit == "g") != (recipe.kind == "powder"):
        holds = "a powder, which is weighed" if bottle.unit == "g" else "a liquid, which is measured"
        yield Problem(
            code="D541",
            message=f"`{bottle.name}` is {holds}, and {quoted(recipe.text)} is not how its stock is made",
            hint="write such as `1 g in 250 mL`" if bottle.unit == "g" else "write such as `1:10` or `10 mL in 100 mL`",
        )
    elif recipe.kind == "powder" and recipe.amount / recipe.volume * 1000 > MOST_IN_A_LITRE:
        strength = recipe.amount / recipe.volume * 1000
        yield Problem(
            code="D542",
            message=f"{quoted(recipe.text)} is {digits(strength)} g in a litre, more than is sure to dissolve",
            note=f"up to {MOST_IN_A_LITRE:g} g the salts in use dissolve at room temperature (from memory, unverified)",
            hint="make it weaker: what lies at the bottom is not in the dose",
        )


def stock_problems(made: MadeStock | None, add: Figure) -> Iterator[Problem]:
    """A stock that is less than the dose takes. `add` is in mL of it."""
    if made is None or made.recipe.kind == "parts" or add.value <= made.recipe.volume * (1 + 1e-9):
        return
    times, makes = -(-add.value // made.recipe.volume), digits(made.recipe.volume)
    yield Problem(
        code="D543",
        severity="warning",
        message=f"the dose takes {digits(add.value)} mL, and {quoted(made.recipe.text)} makes {makes} mL",
        hint=f"make {times:.0f} × the amount, in the same strength",
    )


def making_lines(made: MadeStock, add: Figure) -> Iterator[tuple[str, Statement | None]]:
    """How the stock is made, for `add` mL in all, and what is said of it."""
    recipe, name = made.recipe, made.active.name
    if recipe.kind == "parts":
        bottle = add.high / recipe.parts
        water = add.high - bottle
        yield (
            f"one part of {name} in {recipe.parts:g} in all, the water counted with it: for this dose "
            f"{digits(bottle)} mL of the bottle and {digits(water)} mL of pure water at the least",
            None,
        )
    else:
        unit = "g" if recipe.kind == "powder" else "mL"
        amount = f"{digits(recipe.amount)} {unit} of {name}"
        yield f"{amount}, made up with pure water to {digits(recipe.volume)} mL in all, not added to that much", None
    for statement in made.care:
        yield statement.text, statement
