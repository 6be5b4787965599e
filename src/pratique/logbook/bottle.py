"""Amounts among typed words, and the bottle they came from: `3.2 mL of copper bottle`."""

from __future__ import annotations

import re
from typing import Any

from pratique.knowledge import store
from pratique.logbook.amount import Quantity, Sort, read_quantity
from pratique.logbook.scope import Scope
from pratique.logbook.words import Words
from pratique.problem import quoted
from pratique.room.model import Product
from pratique.room.wrong import Wrong

Fields = dict[str, Any]


def needed_quantity(text: str, sort: Sort, what: str, hint: str) -> Quantity:
    """The quantity in `text`; Wrong (L731, U2xx) where there is none, or none that can be read."""
    if not text:
        raise Wrong("L731", f"{what} is missing", hint)
    try:
        return read_quantity(text, sort)
    except Wrong as wrong:
        raise Wrong(wrong.code, wrong.message, wrong.hint, wrong.note, part=wrong.part or text) from None


def amount_of(words: Words, scope: Scope, treatment: str | None) -> Fields:
    """`3.2 mL of copper bottle`; the word `of` may be left out. Drops count where the dropper is calibrated."""
    words.need("the amount", AMOUNT_EXAMPLE)
    text = words.items[words.at]
    words.at += 1
    if not any(letter.isalpha() for letter in text) and words.left and words.left[0].casefold() != "of":
        text += " " + words.left[0]
        words.at += 1
    words.try_word("of")
    if not words.left:
        needed_quantity(text, "amount", "the amount", AMOUNT_EXAMPLE)
        raise Wrong("L731", "the product is missing", _products_for(scope, treatment, text) or AMOUNT_EXAMPLE)
    return _amount_and_product(text, words, scope, treatment)


AMOUNT_EXAMPLE = "write such as `3.2 mL of copper bottle`"


def _amount_and_product(text: str, words: Words, scope: Scope, treatment: str | None) -> Fields:
    start = words.at
    product = words.try_name(scope.products)
    written = scope.room.written.shelf.get(product or "")
    drops = re.fullmatch(r"([0-9.]+) ?drops?", text)
    remark = None
    if drops and written is not None and written.dropper:
        count = needed_quantity(f"{drops[1]} mL", "amount", "the amount", AMOUNT_EXAMPLE).value
        remark = f"{text} at {written.dropper:g} drops/mL"
        text = f"{count / written.dropper:.6g} mL"
    amount = needed_quantity(text, "amount", "the amount", AMOUNT_EXAMPLE)
    if product is None or written is None:
        words.at = start
        raise scope.products.unknown(words.left)
    check_product(product, written, amount.unit, treatment)
    return {"product": product, "amount": amount, "remark": remark}


def _products_for(scope: Scope, treatment: str | None, amount: str) -> str:
    shelf = scope.room.written.shelf
    fitting = [name for name, product in shelf.items() if treatment and _suits(product, treatment)]
    return "write " + " or ".join(f"`{amount} of {name}`" for name in fitting) if fitting else ""


def _suits(product: Product, treatment: str) -> bool:
    known = store.treatment(treatment)
    return known.active in ("", product.active) and (not known.form or known.form == product.form)


def check_product(name: str, product: Product, unit: str, treatment: str | None) -> None:
    """Wrong (L736) where the bottle is not what the treatment is done with, or is not counted in `unit`."""
    holds = f"{product.form} {product.active}" if product.form else product.active
    if treatment is not None and not _suits(product, treatment):
        message = f"{quoted(name)} holds {holds}, which is not what {quoted(treatment)} is done with"
        raise Wrong("L736", message, "one of the two words is wrong: name the bottle that was used", part=name)
    if unit != product.strength.per:
        message = f"{quoted(name)} is counted per {product.strength.per}, and the amount is in {unit}"
        ounces = "; `oz` is a weight, `fl oz` a volume" if (product.strength.per, unit) == ("mL", "g") else ""
        hint = f"write the amount in {product.strength.per}, or name the other bottle{ounces}"
        raise Wrong("L736", message, hint, part=name)
