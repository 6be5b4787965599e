"""Quantities typed on the command line, read as strictly as those in the file."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from pratique.quantity import Measure, QuantityError, parse_measure, parse_number

if TYPE_CHECKING:
    from pratique.dosing.stock import StockRecipe


def read_level(text: str | None, dimension: str, option: str) -> Measure | None:
    if text is None:
        return None
    try:
        found = parse_measure(text, dimension)
    except QuantityError as error:
        raise click.BadParameter(f"`{error.text}` {error.detail}; {error.hint}", param_hint=option) from None
    if found.value < 0:
        raise click.BadParameter(f"`{text}` is negative", param_hint=option)
    return found


def read_dose_level(text: str | None, unit: str, option: str) -> Measure | None:
    """A level of a treatment that is counted in `unit`. The other way of counting is read too: why it will not do is
    said where the dose is worked out.
    """
    own, other = ("parts", "level") if unit == "uL/L" else ("level", "parts")
    if text is not None:
        try:
            parse_measure(text, own)
        except QuantityError as error:
            if error.kind == "dimension":
                return read_level(text, other if _reads_as(text, other) else own, option)
    return read_level(text, own, option)


def _reads_as(text: str, dimension: str) -> bool:
    try:
        parse_measure(text, dimension)
    except QuantityError:
        return False
    return True


def read_stock_option(text: str | None) -> StockRecipe | None:
    from pratique.dosing.stock import read_stock
    from pratique.room.wrong import Wrong

    try:
        return read_stock(text) if text is not None else None
    except Wrong as error:
        raise click.BadParameter(f"{error.message}; {error.hint}", param_hint="--stock") from None


def value_of(measure: Measure | None) -> float | None:
    return measure.value if measure is not None else None


def read_change_option(text: str | None) -> tuple[Measure | None, float | None]:
    """Litres, or a share from 0 to 1."""
    if text is None:
        return None, None
    if text.strip().endswith("%"):
        try:
            return None, parse_number(text.strip()[:-1].strip()) / 100
        except QuantityError as error:
            raise click.BadParameter(f"`{error.text}` {error.detail}; {error.hint}", param_hint="--change") from None
    return read_level(text, "volume", "--change"), None


def read_off(text: str | None) -> frozenset[str]:
    from pratique.dosing.facts import EQUIPMENT

    words = [word.strip() for word in (text or "").split(",") if word.strip()]
    for word in words:
        if word not in EQUIPMENT:
            raise click.BadParameter(
                f"`{word}` is not equipment that is switched off; known: {', '.join(EQUIPMENT)}", param_hint="--off"
            )
    return frozenset(words)
