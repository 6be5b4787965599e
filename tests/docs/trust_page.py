"""Builds the page `Should you trust these numbers?` from the rows that `validation.record` wrote."""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from typing import Any, TypedDict

from pydantic import BaseModel

from pratique.knowledge import store
from pratique.knowledge.model import CONFIDENCE, Sourced
from published_ids import ALL, NOT_YET
from validation import SUBJECTS


class Row(TypedDict):
    subject: str
    what: str
    against: str
    difference: float
    unit: str


NO_NUMBER = {
    "cu_clock_01": "which of two readings begins a count of days",
    "kmno4_03": "a count of drops that is read as it is written",
}
"""Answered by a test, but with no number that could differ."""

_NONE = 1e-9
"""Below it a difference is the noise of the machine's last digits, which is not the same on every machine."""
_LEAST = {"sg": 0.00001, "kg/m³": 0.0001}


def ids_of(rows: list[Row]) -> set[str]:
    """The worked examples that the rows name; `x_01 to 22` names all between."""
    text = " ".join(row["against"] for row in rows)
    found = {id_ for id_ in ALL if re.search(rf"(?<![a-zA-Z0-9]){id_}(?![a-zA-Z0-9])", text)}
    for stem, first, last in re.findall(r"(\w+_)(\d+) to (\d+)", text):
        found |= {f"{stem}{n:02}" for n in range(int(first), int(last) + 1)}
    return found & set(ALL)


def size(value: float) -> str:
    """Two digits that count, three from ten on, without an exponent or a sign."""
    return format(Decimal(f"{abs(value):.{3 if abs(value) >= 10 else 2}g}"), "f")


def difference(row: Row) -> str:
    value, unit = row["difference"], row["unit"]
    least = _LEAST.get(unit, 0.001)
    if abs(value) < _NONE:
        return "none"
    if abs(value) < least:
        return f"under {least:f}".rstrip("0") + f" {unit}"
    return f"{'+' if value > 0 else '−'}{size(value)} {unit}"


def page(rows: list[Row]) -> str:
    lines = [
        "# Should you trust these numbers?",
        "",
        "Made by the tests from what they found; do not edit.",
        "",
        *_checked(rows),
        *_apart(rows),
        *_unchecked(),
        *_reading(),
    ]
    for subject, title in SUBJECTS.items():
        lines += [f"## {title}", "", "| what | against | difference |", "| --- | --- | --- |"]
        lines += [
            f"| {row['what']} | {row['against']} | {difference(row)} |" for row in rows if row["subject"] == subject
        ]
        lines.append("")
    return "\n".join([*lines, *_waiting()])


def _paragraph(text: str) -> list[str]:
    kept = re.sub(r"(?<=\d) (?=[%°]|g/kg)", "\N{NO-BREAK SPACE}", text)
    return [*textwrap.wrap(kept, 118, break_long_words=False, break_on_hyphens=False), ""]


def _bullets(items: list[str]) -> list[str]:
    wrap = textwrap.TextWrapper(118, initial_indent="* ", subsequent_indent="  ", break_on_hyphens=False)
    return [line for item in items for line in wrap.wrap(item)] + [""]


def _row(rows: list[Row], what: str, against: str) -> Row:
    """The one row whose two cells hold these words."""
    (found,) = [row for row in rows if what in row["what"] and against in row["against"]]
    return found


def _checked(rows: list[Row]) -> list[str]:
    rounded = _row(rows, "formalin for 25 µL/L", "printed, rounded")
    small = sum(1 for row in rows if row["unit"] == "%" and abs(row["difference"]) < 1)
    of = sum(1 for row in rows if row["unit"] == "%")
    return [
        "## What a check is here",
        "",
        *_paragraph(
            "A check sets an answer of the program beside a figure from elsewhere: an example printed in a book, a "
            "fact sheet or a label, a check value of an international formula, or a second library that reckons the "
            "same. "
            f"There are {len(rows)} of them below; a test holds each, and fails if the answer moves away. The "
            "difference is that of the left column from the middle one: + is higher, − is lower. Where one row stands "
            "for several examples it shows the largest difference; `none` is none beyond the last digits of the "
            "machine. Of the "
            f"{of} rows in %, {small} are less than 1 % off."
        ),
        *_paragraph("Not all checks are equally strong:"),
        *_bullets(
            [
                "Printed figures are often rounded, and the difference holds that too: "
                f"{rounded['what']} is {difference(rounded)} off a figure printed with one digit.",
                "`arithmetic` is a sum done again apart from the program. It shows that no factor was lost, and "
                "nothing about fish.",
                "`fitted to` and `the library we use` are not independent: they show that the figures were taken over "
                "whole, not that they are true.",
                "Rules of thumb stand here with what they cost; the program does not follow them. Where the middle "
                "column says `our`, the left one is such a rule.",
            ]
        ),
    ]


def _apart(rows: list[Row]) -> list[str]:
    salinity = f"{store.water_figures().needed('ammonia_table_salinity').value:g} g/kg"
    second = [row for row in rows if row["against"].startswith("PyCO2SYS, NBS")]
    worst = max((row for row in rows if row["unit"] == "%"), key=lambda row: abs(row["difference"]))
    assert worst in second, f"the text below speaks of another disagreement: {worst}"
    assert all(row["difference"] > 0 for row in second), "the text below says that ours is the higher one"
    scale = _row(rows, "if pH were on the total scale", "PyCO2SYS")
    assert scale["difference"] < 0, scale
    return [
        "## The largest known disagreement",
        "",
        *_paragraph(
            f"The ammonia that harms. The share is fitted to one reprinted table, at {salinity}; away from that "
            "salinity it is drawn as a straight line between sea water and fresh. PyCO2SYS, which reckons from other "
            "measurements, finds less in all salt water that was tried, and the nearer to fresh water the less:"
        ),
        *_bullets(
            [
                f"{row['what']} ({row['against'].partition(', ')[2]}): ours is up to {difference(row)}"
                for row in sorted(second, key=lambda row: row["difference"])
            ]
        ),
        *_paragraph(
            "Ours is the higher one in all of these, so an alarm comes early rather than late. One thing turns it "
            "round: with a pH on the total scale, which laboratories use and ordinary meters and buffers do not, ours "
            f"would be too low, by up to {difference(scale)}."
        ),
    ]


def _numbers(thing: Any) -> Iterator[Sourced]:
    if isinstance(thing, Sourced):
        yield thing
    elif isinstance(thing, BaseModel):
        for name in type(thing).model_fields:
            yield from _numbers(getattr(thing, name))
    elif isinstance(thing, dict):
        for value in thing.values():
            yield from _numbers(value)
    elif isinstance(thing, list | tuple):
        for value in thing:
            yield from _numbers(value)


def known() -> list[Sourced]:
    """Every number of the files of treatments and pathogens and of the water."""
    treatments = [store.treatment(id_) for id_ in store.treatment_ids()]
    pathogens = [store.pathogen(id_) for id_ in store.pathogen_ids()]
    return list(_numbers([*treatments, *pathogens, store.water_figures()]))


def _unchecked() -> list[str]:
    read = [number for number in known() if number.confidence == "V"]
    abstracts = sum(1 for number in read if store.sources()[number.source].depth.startswith("abstract"))
    return [
        "## What was not checked, and cannot be here",
        "",
        *_paragraph(
            "This project ran no trial: it treated no fish, dosed no water and measured nothing. A row below says that "
            "a sum is right, not that the dose is. Whether a level kills a parasite and spares a fish is what the "
            "sources say, and no test here can find out."
        ),
        *_paragraph(
            f"Nor were most sources read whole. Of the {len(read)} numbers with code V in the files of treatments, "
            f"pathogens and water, {abstracts} come from an abstract alone: methods, species and conditions that only "
            "the paper states were not seen. `pratique why SOURCE` says how much of a source was read."
        ),
        *_paragraph(
            "Nor can it know your tank: a volume measured badly, a bottle gone weak, a test kit that reads high, "
            "medicine taken up by sand or rock. Measure the level where a test for it exists."
        ),
    ]


def _reading() -> list[str]:
    count = Counter(number.confidence for number in known())
    return [
        "## How to read the codes and the ends",
        "",
        *_paragraph("Each number says how it is known, with one letter. How many of each there are in the same files:"),
        "| code | what it says | numbers |",
        "| --- | --- | --- |",
        *(f"| {code} | {says} | {count[code] or '—'} |" for code, says in CONFIDENCE.items()),
        "",
        *_paragraph(
            "The letter says where a number comes from, not how good it is: a V number can be a weak trial on another "
            "species, a C number the habit of many careful keepers."
        ),
        *_paragraph(
            "`low` and `high` beside a result are worst cases: every error that was stated (volume, strength, syringe, "
            "test kit) at its full size and all in the bad direction at once. They are no standard deviation, and the "
            "middle is not the likeliest value. An error that nobody stated is not in them."
        ),
    ]


def _waiting() -> list[str]:
    return [
        "## Published examples",
        "",
        *_paragraph(
            f"{len(ALL)} worked examples were collected from the sources; {len(ALL) - len(NOT_YET)} are "
            f"answered by tests. These {len(NOT_YET)} are not answered yet:"
        ),
        "| example | why not |",
        "| --- | --- |",
        *(f"| {id_} | {why} |" for id_, why in NOT_YET.items()),
        "",
        *_paragraph("These are answered, but hold no number that could differ:"),
        "| example | what it is about |",
        "| --- | --- |",
        *(f"| {id_} | {why} |" for id_, why in NO_NUMBER.items()),
        "",
    ]
