"""What stands on the shelf: products with their strengths, the kits and syringes that measure."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from pratique.knowledge import store
from pratique.knowledge.model import Substance
from pratique.problem import quoted
from pratique.room import model
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.money import Price

_BANDS = "the bands differ: 0.15 to 0.20, about 0.5, and 2.0 to 2.5 mg/L"


def check_shelf(findings: Findings) -> None:
    for name, product in findings.written.shelf.items():
        path: Path_ = ("shelf", name)
        _check_form(findings, name, product, path)
        _check_substance(findings, product, path)
        findings.moment(product.opened, (*path, "opened"))
        findings.moment(product.expires, (*path, "expires"))
        per = product.strength.per
        if product.left is not None and product.left.unit != per:
            place = findings.place((*path, "left"))
            strength = findings.place((*path, "strength"), label=f"per {per}")
            message = f"what is left is in {product.left.unit}, the strength is per {per}"
            findings.report("F120", place, message, f"write what is left in {per}", strength)
        _check_price(findings, product.price, per, path)
    _check_price(findings, findings.written.salt.price, "g", ("salt",))
    for name, kit in findings.written.kits.items():
        _check_kit(findings, name, kit, ("kits", name))
    for name, syringe in findings.written.syringes.items():
        _check_syringe(findings, syringe, ("syringes", name))
    for index, mixed in enumerate(findings.written.mixed_water):
        findings.moment(mixed.made, ("mixed_water", index, "made"))


def _check_price(findings: Findings, price: Price | None, per: str, path: Path_) -> None:
    """A pack is counted as the bottle is."""
    if price is None or price.unit == per:
        return
    place = findings.place((*path, "price"))
    findings.report("F120", place, f"the price is per {price.unit}, the product in {per}", f"write the pack in {per}")


def _check_form(findings: Findings, name: str, product: model.Product, path: Path_) -> None:
    given = findings.has(path, "form", product.form)
    if product.active == "copper" and not given:
        message = f"the copper product {quoted(name)} has no `form`"
        hint = "add `form: ionic`, `form: amine` or `form: chelated`; the label or its data sheet says which"
        findings.report("F125", findings.place(path, key=True), message, hint, note=_BANDS)
    elif product.active != "copper" and given:
        place, other = findings.place((*path, "form"), key=True), findings.place((*path, "active"))
        message = f"`form` is for copper only, and the product is {product.active}"
        findings.report("F120", place, message, "delete the line `form`", other)


def _check_kit(findings: Findings, name: str, kit: model.Kit, path: Path_) -> None:
    given = findings.has(path, "forms", kit.forms)
    if kit.measures == "copper" and not given:
        message = f"the copper kit {quoted(name)} does not say for which `forms`"
        hint = "add such as `forms: [ionic]`, from its leaflet"
        note = "a kit for free copper reads chelated copper too low"
        findings.report("F125", findings.place(path, key=True), message, hint, note=note)
    elif kit.measures != "copper" and given:
        place, other = findings.place((*path, "forms"), key=True), findings.place((*path, "measures"))
        message = f"`forms` is for copper only, and the kit measures {kit.measures}"
        findings.report("F120", place, message, "delete the line `forms`", other)
    findings.moment(kit.expires, (*path, "expires"))


def _check_syringe(findings: Findings, syringe: model.Syringe, path: Path_) -> None:
    if syringe.step.value > syringe.volume.value:
        place, other = findings.place((*path, "step")), findings.place((*path, "volume"), label="what it holds")
        message = f"a step of {quoted(syringe.step.text)} is more than the syringe holds"
        findings.report("F120", place, message, "`step` is what lies between two marks, such as `0.2 mL`", other)


@cache
def _substances() -> Mapping[str, Substance]:
    """Every name of a substance in lower case."""
    records = store.substances().values()
    return {name.lower(): record for record in records for name in (record.id, *record.names)}


def _check_substance(findings: Findings, product: model.Product, path: Path_) -> None:
    word = product.strength.substance
    found = _substances().get(word.lower())
    at: Path_ = (*path, "strength")
    if found is not None and found.active != product.active:
        place = findings.place(at, word=word)
        message = f"the strength is of {found.active}, the product is {product.active}"
        hint = "check `active`, and what the strength is counted as"
        findings.report("F120", place, message, hint, findings.place((*path, "active")))
        return
    names = list(dict.fromkeys(name for record in store.substances().values() for name in record.names))
    of_active = [name for name in names if _substances()[name.lower()].active == product.active]
    if found is None and of_active:  # nothing is dosed by mass of an active that has no substance on file
        hint = findings.near("substance", word, names, {})
        hint = hint or f"known for {product.active}: " + ", ".join(f"`{name}`" for name in of_active)
        findings.report("F113", findings.place(at, word=word), f"unknown substance {quoted(word)}", hint)
