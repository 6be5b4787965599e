"""The bottle on the shelf: how much active it holds, and whether its label tells the truth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.slips import named_slip
from pratique.figure import Step, digits
from pratique.knowledge import store
from pratique.knowledge.model import Substance, Treatment
from pratique.problem import Problem, near_hint, near_names, quoted
from pratique.room.model import Product
from pratique.room.resolve import Room

FORMALIN_GRAMS_PER_100ML = 37.0
"""What the doses in µL/L are counted in: 37 g formaldehyde in 100 mL (label text, quoted at second hand)."""

FORMALIN_DENSITY = 1.08
"""g/mL of the 37 % product (PIPER82 p 276)."""

CLAIM_TOLERANCE = 0.20
"""Practice B8: a printed claim more than a fifth away from what the strength gives stops the dose."""

MOST_ERROR = 0.5
"""Share of its strength by which a bottle may be out before it is refused (D)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Active:
    """What one unit (mL, g or tablet) of a product gives: mg of the active, or µL of 37 % formalin.

    `share_error` is the error of its strength as a share of it (0.05 is 5 %). Of a stock it says what a mL gives;
    `of_bottle` is then how much of the bottle's own unit is in it, and `made` how that was reckoned.
    """

    name: str
    product: Product
    unit: str
    per_unit: float
    share_error: float
    step: Step
    of_bottle: float = 1.0
    made: tuple[Step, ...] = ()

    @property
    def steps(self) -> tuple[Step, ...]:
        return (self.step, *self.made)

    @property
    def called(self) -> str:
        """What is poured, as a sum calls it."""
        return f"stock of {self.name}" if self.made else self.name


def active_of(room: Room, name: str) -> Active:
    """Reads a product's strength as its active (the metal, H2O2, the drug itself).

    An active that has no substance on file (an antibiotic) is counted as its label counts it. KeyError where the
    strength is of another substance that is not on file: the room file refuses those.
    """
    product = room.written.shelf[name]
    strength = product.strength
    fraction, counted, source = _counted_as(product)
    milligrams = strength.milligrams * fraction
    expression = strength.text
    if fraction != 1.0:
        expression += f" × {fraction:g} {counted} in it"
    per_unit, result = milligrams, f"{digits(milligrams)} mg {counted} per {strength.per}"
    if product.active == "formalin":
        per_unit = 1000 * milligrams / (FORMALIN_GRAMS_PER_100ML * 10)
        expression += f" ÷ {FORMALIN_GRAMS_PER_100ML:g} g formaldehyde in 100 mL of the 37 % product"
        result = f"{digits(per_unit)} µL of the 37 % product per {strength.per}"
    step = Step(label=f"strength of {name}", expression=expression, result=result, source=source)
    return Active(
        name=name, product=product, unit=strength.per, per_unit=per_unit, share_error=_share_error(product), step=step
    )


def _counted_as(product: Product) -> tuple[float, str, str]:
    """The part of the strength that is the active, what that is called, and who says so where it is not all of it."""
    word = product.strength.substance
    if not any(record.active == product.active for record in store.substances().values()):
        return 1.0, word, ""
    substance = find_substance(word)
    return substance.fraction, substance.active, substance.source if substance.fraction != 1.0 else ""


def _share_error(product: Product) -> float:
    """The strength's error as a share of it. An absolute error is in mg/L, the strength in mg per mL."""
    if product.error is None:
        return 0.0
    return product.error.share + product.error.absolute / 1000 / product.strength.milligrams


def strength_problems(room: Room, active: Active) -> Iterator[Problem]:
    """An error that says nothing about the bottle, or too much."""
    error = active.product.error
    if error is None:
        return
    place = room.place(("shelf", active.name, "error"))
    if error.absolute and active.unit != "mL":
        yield Problem(
            code="D460",
            message=f"the error `{error.text}` of `{active.name}` is by volume, its strength is per {active.unit}",
            places=(place,),
            hint="write the error as a percentage, such as `5 %`",
        )
    elif active.share_error >= MOST_ERROR:
        yield Problem(
            code="D460",
            message=f"the error `{error.text}` of `{active.name}` is {active.share_error * 100:.0f} % of its strength",
            places=(place,),
            note=f"a bottle known to no better than {MOST_ERROR * 100:.0f} % cannot be dosed from",
            hint="find its true strength, or use another bottle",
        )


def find_substance(word: str) -> Substance:
    """The way of stating strength that a label's word means. KeyError where there is none."""
    for record in store.substances().values():
        if word.lower() in (record.id, *(name.lower() for name in record.names)):
            return record
    raise KeyError(word)


def products_for(room: Room, treatment: Treatment) -> list[str]:
    """The shelf's products that this treatment can use: soonest to expire first, then by name."""
    found = [
        name
        for name, product in room.written.shelf.items()
        if product.active == treatment.active and (not treatment.form or product.form == treatment.form)
    ]
    far = dt.date.max
    return sorted(found, key=lambda name: (_expiry(room.written.shelf[name]) or far, name))


def _expiry(product: Product) -> dt.date | None:
    return product.expires.date if product.expires is not None else None


def choose_product(
    room: Room, treatment: Treatment, wanted: str | None, at: dt.datetime
) -> tuple[str | None, list[Problem]]:
    """The product to use, or the reason why there is none. An expired one is passed over if another is good."""
    suitable = products_for(room, treatment)
    if wanted is not None:
        return (wanted, []) if wanted in suitable else (None, [_unsuitable(room, treatment, wanted, suitable)])
    if not suitable:
        return None, [_none_on_shelf(room, treatment)]
    good = [name for name in suitable if (_expiry(room.written.shelf[name]) or dt.date.max) >= at.date()]
    return (good or suitable)[0], []


def _none_on_shelf(room: Room, treatment: Treatment) -> Problem:
    what = f"{treatment.form} {treatment.active}".strip()
    shelf = room.written.shelf.items()
    others = [f"{name} ({product.form})" for name, product in shelf if product.active == treatment.active]
    return Problem(
        code="D449",
        message=f"there is no {what} on the shelf, so no dose was worked out",
        note=f"on the shelf: {', '.join(others)}; another form has another band" if others else "",
        hint="write the bottle under `shelf:` with its active, form and strength, as its label gives them",
    )


def _unsuitable(room: Room, treatment: Treatment, wanted: str, suitable: list[str]) -> Problem:
    product = room.written.shelf.get(wanted)
    what = f"{treatment.form} {treatment.active}".strip()
    if product is None:
        near = near_hint(near_names(wanted, room.written.shelf))
        hint = near or "on the shelf: " + (", ".join(room.written.shelf) or "nothing")
        return Problem(code="D450", message=f"there is no product {quoted(wanted)} on the shelf", hint=hint)
    held = f"{product.form or ''} {product.active}".strip()
    return Problem(
        code="D450",
        message=f"`{wanted}` is {held}, not {what}",
        places=(room.place(("shelf", wanted), key=True),),
        note="the bands of two forms are up to 17 times apart" if product.active == "copper" else "",
        hint="suitable: " + ", ".join(suitable) if suitable else f"`{treatment.id}` needs {what}",
    )


def claim_problems(room: Room, active: Active) -> Iterator[Problem]:
    """A label's `1 mL per 40 L gives 0.15 mg/L` against the strength stated beside it.

    A claim of formalin may be counted by volume, by weight or as formaldehyde; one that fits any of them passes.
    """
    claim = active.product.claim
    if claim is None or claim.dose_unit != active.unit:
        return
    true = claim.dose * active.per_unit / claim.volume
    fitting = [true, true * FORMALIN_DENSITY, true * FORMALIN_GRAMS_PER_100ML / 100]
    candidates = fitting if active.product.active == "formalin" else [true]
    if any(max(claim.level / level, level / claim.level) <= 1 + CLAIM_TOLERANCE for level in candidates):
        return
    slip = named_slip(claim.level, true, active.product.active)
    unit = "µL/L" if active.product.active == "formalin" else "mg/L"
    yield Problem(
        code="D446",
        message=f"the claim `{claim.text}` does not agree with the strength `{active.product.strength.text}`",
        places=(
            room.place(("shelf", active.name, "claim"), label="claimed"),
            room.place(("shelf", active.name, "strength"), label="stated"),
        ),
        note=f"by the strength it gives {digits(true)} {unit}, {true / claim.level:.3g} × the claim"
        + (f"; {slip}" if slip else ""),
        hint="find out which of the two is right before dosing: the data sheet, or a test in a litre of tank water; "
        "then mend the line",
    )
