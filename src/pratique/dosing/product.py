"""The bottle on the shelf: how much active it holds, and whether its label tells the truth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.slips import named_slip
from pratique.figure import Step, digits
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.problem import Problem, near_names
from pratique.room.model import Product
from pratique.room.resolve import Room

FORMALIN_GRAMS_PER_100ML = 37.0
"""What the doses in µL/L are counted in: 37 g formaldehyde in 100 mL (label text, quoted at second hand)."""

CLAIM_TOLERANCE = 0.20
"""Practice B8: a printed claim more than a fifth away from what the strength gives stops the dose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Active:
    """What one unit (mL, g or tablet) of a product gives: mg of the active, or µL of 37 % formalin."""

    name: str
    product: Product
    unit: str
    per_unit: float
    share_error: float
    step: Step


def active_of(room: Room, name: str) -> Active:
    """Reads a product's strength as its active (the metal, H2O2, the drug itself)."""
    product = room.written.shelf[name]
    strength = product.strength
    substance = _substance(strength.substance)
    milligrams = strength.milligrams * substance.fraction
    unit = strength.per
    error = product.error
    share = 0.0 if error is None else error.share + (error.absolute / milligrams if error.absolute else 0.0)
    expression = strength.text
    if substance.fraction != 1.0:
        expression += f" × {substance.fraction:g} {substance.active} in it"
    result = f"{digits(milligrams)} mg {substance.active} per {unit}"
    per_unit = milligrams
    if product.active == "formalin":
        per_unit = 1000 * milligrams / (FORMALIN_GRAMS_PER_100ML * 10)
        expression += f" ÷ {FORMALIN_GRAMS_PER_100ML:g} g formaldehyde in 100 mL of the 37 % product"
        result = f"{digits(per_unit)} µL of the 37 % product per {unit}"
    source = substance.source if substance.fraction != 1.0 else ""
    step = Step(label=f"strength of {name}", expression=expression, result=result, source=source)
    return Active(name=name, product=product, unit=unit, per_unit=per_unit, share_error=share, step=step)


def _substance(word: str):  # type: ignore[no-untyped-def]
    for record in store.substances().values():
        if word.lower() in (record.id, *(name.lower() for name in record.names)):
            return record
    raise KeyError(word)


def products_for(room: Room, treatment: Treatment) -> list[str]:
    """The shelf's products that this treatment can use: soonest to expire first, then by name."""
    found = [
        name for name, product in room.written.shelf.items()
        if product.active == treatment.active and (not treatment.form or product.form == treatment.form)
    ]
    far = dt.date.max
    return sorted(found, key=lambda name: (_expiry(room.written.shelf[name]) or far, name))


def _expiry(product: Product) -> dt.date | None:
    return product.expires.date if product.expires is not None else None


def choose_product(room: Room, treatment: Treatment, wanted: str | None, at: dt.datetime) -> tuple[str | None, list[Problem]]:
    """The product to use, or the reason why there is none. An expired one is passed over if another is good."""
    suitable = products_for(room, treatment)
    if wanted is None:
        good = [name for name in suitable if (_expiry(room.written.shelf[name]) or dt.date.max) >= at.date()]
        chosen = (good or suitable or [None])[0]
        return chosen, [] if chosen else [_none_on_shelf(room, treatment)]
    if wanted in suitable:
        return wanted, []
    return None, [_unsuitable(room, treatment, wanted, suitable)]


def _none_on_shelf(room: Room, treatment: Treatment) -> Problem:
    what = f"{treatment.form} {treatment.active}".strip()
    others = [f"{name} ({product.form})" for name, product in room.written.shelf.items() if product.active == treatment.active]
    note = f"on the shelf: {', '.join(others)}; another form has another band" if others else ""
    return Problem(code="D449", message=f"there is no {what} on the shelf, so no dose was worked out", note=note,
                   hint="write the bottle under `shelf:` with its active, form and strength, as its label gives them")


def _unsuitable(room: Room, treatment: Treatment, wanted: str, suitable: list[str]) -> Problem:
    product = room.written.shelf.get(wanted)
    what = f"{treatment.form} {treatment.active}".strip()
    if product is None:
        near = near_names(wanted, room.written.shelf)
        hint = f"did you mean `{near[0]}`? nothing was changed" if near else "on the shelf: " + (", ".join(room.written.shelf) or "nothing")
        return Problem(code="D450", message=f"there is no product `{wanted}` on the shelf", hint=hint)
    place = room.place(("shelf", wanted), key=True)
    held = f"{product.form or ''} {product.active}".strip()
    hint = "suitable: " + ", ".join(suitable) if suitable else f"`{treatment.id}` needs {what}"
    return Problem(code="D450", message=f"`{wanted}` is {held}, not {what}", places=(place,), hint=hint,
                   note="the bands of two forms are up to 17 times apart" if product.active == "copper" else "")


def claim_problems(room: Room, active: Active) -> Iterator[Problem]:
    """A label's `1 mL per 40 L gives 0.15 mg/L` against the strength stated beside it."""
    claim = active.product.claim
    if claim is None or claim.dose_unit != active.unit or active.product.active == "formalin":
        return
    true = claim.dose * active.per_unit / claim.volume
    gap = claim.level / true
    if abs(gap - 1) <= CLAIM_TOLERANCE:
        return
    slip = named_slip(claim.level, true)
    yield Problem(
        code="D446",
        message=f"the claim `{claim.text}` does not agree with the strength `{active.product.strength.text}`",
        places=(room.place(("shelf", active.name, "claim"), label="claimed"), room.place(("shelf", active.name, "strength"), label="stated")),
        note=f"by the strength it gives {digits(true)} mg/L, {_times(gap)} the claim" + (f"; {slip}" if slip else ""),
        hint="find out which of the two is right before dosing: the data sheet, or a test in a litre of tank water; then mend the line",
    )


def _times(gap: float) -> str:
    return f"{1 / gap:.3g} ×"
