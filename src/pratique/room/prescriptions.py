"""Whether a prescription hangs together: its product, the animals it is for, its way, its drug."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.problem import quoted
from pratique.room import model
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.prescribed import DIMENSION_OF_WAY, EXAMPLE_OF_WAY, Prescription, Way
from pratique.spellings import CANONICAL

DAY = 24.0
"""Hours: a dose in food is counted by the day."""

IN: dict[Way, str] = {"food": "in food", "bath": "in a bath"}
"""A way as a sentence says it."""

EITHER_WAY = "antibiotic-course"
"""The one treatment that is given in food or in the water, as the prescription says."""


def treatments_of(active: str, way: Way) -> Iterator[Treatment]:
    """The treatments that a prescription of this active, given this way, is worked out by."""
    for id_ in store.treatments_with(active):
        treatment = store.treatment(id_)
        fits = id_ == EITHER_WAY or (treatment.kind == "food") == (way == "food")
        if treatment.decided_by and fits:
            yield treatment


def check_prescriptions(findings: Findings) -> None:
    known = tuple(dict.fromkeys(_who_is_there(findings.written)))
    for name, written in findings.written.prescriptions.items():
        path: Path_ = ("prescriptions", name)
        for index, who in enumerate(written.for_):
            findings.check_name(who, known, "batch, tank or animal", (*path, "for", index), section="tanks")
        _check_way(findings, written, path)
        shelf = findings.written.shelf
        if findings.check_name(written.product, shelf, "product", (*path, "product"), section="shelf"):
            product = shelf.get(written.product)
            if product is not None:
                _check_product(findings, written, product, path)


def _who_is_there(written: model.RoomFile) -> Iterator[str]:
    yield from written.batches
    yield from written.tanks
    for animal in (*written.animals, *(animal for batch in written.batches.values() for animal in batch.animals)):
        yield from (word for word in (animal.name, animal.species) if word)


def _check_way(findings: Findings, written: Prescription, path: Path_) -> None:
    """The dose is counted as the way of giving it counts; food is dosed by whole days."""
    way = findings.place((*path, "way"))
    if written.dose.unit != CANONICAL[DIMENSION_OF_WAY[written.way]]:
        place = findings.place((*path, "dose"))
        what = "each kg of fish a day" if written.way == "food" else "each litre of water"
        message = f"the dose {quoted(written.dose.text)} does not go with `way: {written.way}`"
        hint = f"a dose {IN[written.way]} is mg for {what}, such as `{EXAMPLE_OF_WAY[written.way]}`: ask which is meant"
        findings.report("F120", place, message, hint, way)
    days = written.every.value / DAY
    if written.way == "food" and abs(days - round(days)) > 1e-9:
        place = findings.place((*path, "every"))
        message = f"food is dosed by the day, and {quoted(written.every.text)} is no whole number of days"
        hint = "write `every: 24 h`, or `every: 48 h`; the food of one day may be given in several meals"
        findings.report("F120", place, message, hint, way)
    if written.way == "food" and written.change is not None:
        place = findings.place((*path, "change"), key=True)
        message = "a change of water before each dose goes with a bath, not with food"
        findings.report("F120", place, message, "delete the line `change`", way)


def _check_product(findings: Findings, written: Prescription, product: model.Product, path: Path_) -> None:
    if next(treatments_of(product.active, written.way), None) is None:
        by_prescription = [t.active for t in map(store.treatment, store.treatment_ids()) if t.decided_by]
        place, shelf = findings.place((*path, "product")), findings.place(("shelf", written.product, "active"))
        if product.active in by_prescription:
            message = f"no treatment on file gives {product.active} {IN[written.way]}"
            hint = "ask the veterinarian for the other way, or for the sums of this one"
        else:
            message = f"{product.active} has a level of its own here and is not worked out by prescription"
            hint = "delete the prescription; another level is `--target`, or your own value under `values:`"
        findings.report("F120", place, message, hint, shelf)
        return
    _check_drug(findings, written, product, path)


def _check_drug(findings: Findings, written: Prescription, product: model.Product, path: Path_) -> None:
    """What the dose counts: a substance on file; else, letter for letter, what the strength counts."""
    word, at = written.drug, (*path, "drug")
    of_active = [record for record in store.substances().values() if record.active == product.active]
    if of_active:
        names = [name for record in of_active for name in (record.id, *record.names)]
        if word.lower() not in (name.lower() for name in names):
            hint = findings.near("substance", word, names, {})
            hint = hint or f"known for {product.active}: " + ", ".join(f"`{name}`" for name in names)
            findings.report("F113", findings.place(at), f"unknown substance {quoted(word)}", hint)
    elif word.lower() != product.strength.substance.lower():
        place, strength = findings.place(at), findings.place(("shelf", written.product, "strength"))
        message = f"the prescription counts {quoted(word)}, the product {quoted(product.strength.substance)}"
        hint = "ask whether the dose is of the salt or of the drug itself, and write the same words in both lines"
        note = "nothing on file says how one becomes the other"
        findings.report("F120", place, message, hint, strength, note=note)
