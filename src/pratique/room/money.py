"""Money on the shelf: what a pack costs, in the currency word the keeper chooses."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Any

from pydantic import BeforeValidator

from pratique.problem import quoted
from pratique.room.phrases import read_left
from pratique.room.written import Form
from pratique.room.wrong import Wrong, need_text

_PRICE = re.compile(r"(?P<money>\d+(?:\.\d{1,2})?) (?P<currency>[^\W\d_]{1,12}|[$€£¥]) (?:per|for) (?P<pack>.+)")
EXAMPLE = "write such as `18.50 euro per 500 mL`: a sum, any word for the money, `per` what a pack holds"


@dataclass(frozen=True, slots=True)
class Price:
    """`money` of `currency` for a pack of `amount` mL, g or tablets."""

    text: str
    money: Decimal
    currency: str
    amount: float
    unit: str


def read_price(value: Any) -> Price:
    """Raises Wrong. Money is kept as a decimal, never as a binary fraction.

    >>> read_price("18.50 euro per 0.5 L")
    Price(text='18.50 euro per 0.5 L', money=Decimal('18.50'), currency='euro', amount=500.0, unit='mL')
    """
    if isinstance(value, Price):
        return value
    text = " ".join(need_text(value, "a price").split())
    found = _PRICE.fullmatch(text)
    if found is None:
        raise Wrong("U217", f"{quoted(text)} is not a price that can be reckoned with", EXAMPLE)
    pack = read_left(found["pack"])
    if pack.value <= 0:
        raise Wrong("U212", f"{quoted(text)} is for a pack of nothing", EXAMPLE)
    return Price(text, Decimal(found["money"]), found["currency"], pack.value, pack.unit)


PriceField = Annotated[
    Price,
    BeforeValidator(read_price),
    Form("a sum, a word for the money, `per` what a pack holds", "18.50 euro per 500 mL"),
]
