"""A value that cannot be read: what every reader of the room file raises, and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pratique.problem import quoted
from pratique.quantity import QuantityError

CODE_OF_KIND = {
    "number": "U201",
    "not-finite": "U202",
    "comma": "U203",
    "exponent": "U204",
    "leading-zero": "U205",
    "no-unit": "U206",
    "unknown-unit": "U207",
    "unit-mistake": "U208",
    "dimension": "U209",
    "time": "U210",
    "spread": "U211",
}


class Wrong(ValueError):  # noqa: N818 (it reads as a sentence where it is raised)
    """Code, sentence and hint; `part` is the smallest wrong part. The place is added by `translate`."""

    def __init__(self, code: str, message: str, hint: str = "", note: str = "", *, part: str = "") -> None:
        super().__init__(message)
        self.code, self.message, self.hint, self.note, self.part = code, message, hint, note, part


def wrong_quantity(error: QuantityError, hint: str = "") -> Wrong:
    """The same mistake with its code; `hint` replaces the general one."""
    message = f"{quoted(error.text)} {error.detail}"
    return Wrong(CODE_OF_KIND[error.kind], message, hint or error.hint, part=error.part)


def need_text(value: Any, what: str) -> str:
    """The text of a single value; Wrong where a list, keys or nothing stands there."""
    if isinstance(value, Mapping):
        raise Wrong("F110", f"keys stand where {what} belongs", "write it on one line after the colon")
    if isinstance(value, list):
        raise Wrong("F110", f"a list stands where {what} belongs", "write one value after the colon")
    text = str(value).strip()
    if not text:
        raise Wrong("F112", f"{what} is missing after the colon", "write it, or delete the key")
    return text
