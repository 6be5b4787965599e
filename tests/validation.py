"""Collects how far the program is from what it was checked against, for the page "should you trust these numbers?".

Rows are written only where the environment names a file: `PRATIQUE_VALIDATION=rows.json python -m pytest`. Each
test tells `record` what it found; of several findings on one matter the largest is kept. One process at a time.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

SUBJECTS = {
    "volume": "Volume",
    "dose": "Dose",
    "formalin": "Formalin",
    "salinity": "Salinity",
    "ammonia": "Ammonia",
    "oxygen": "Oxygen",
    "disinfection": "Disinfection",
    "dilution": "Dilution and loss",
    "schedule": "Schedule",
}
"""The tables of the page, in their order."""

_FILE = "PRATIQUE_VALIDATION"
_rows: dict[tuple[str, str, str, str], float] = {}


def record(what: str, against: str, difference: float, unit: str, *, subject: str) -> None:
    """Note that `what` differs from `against` by `difference` (sign kept) in `unit`, such as `%` or `g/kg`.

    `subject` is one of SUBJECTS. Only from fixed examples: what hypothesis draws is not the same twice. A whole
    collection is written anew at each call, so a run that breaks off leaves a sound file.
    """
    assert subject in SUBJECTS, subject
    key = (subject, what, against, unit)
    if abs(difference) >= abs(_rows.get(key, 0.0)):
        _rows[key] = difference
    if path := os.environ.get(_FILE):
        rows = [
            {
                "subject": subject,
                "what": what,
                "against": against,
                "difference": float(f"{size:.3g}"),
                "unit": unit,
            }
            for (subject, what, against, unit), size in sorted(_rows.items())
        ]
        Path(path).write_text(json.dumps(rows, indent=1, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")


def percent_off(found: float, wanted: float) -> float:
    """How far `found` is from `wanted`, in % of `wanted`."""
    return 100 * (found / wanted - 1)
