"""A sentence such as `1 mL per 10 gal_us gives 0.15 mg/L`, held against what the bottle's strength says."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from pratique.dosing.aim import SLACK, Aim
from pratique.dosing.asking import find_bottle, not_dosed
from pratique.dosing.dose import Answer, Request
from pratique.dosing.evidence.addition import read_amount
from pratique.dosing.evidence.course import aim_of
from pratique.dosing.evidence.typed import not_read
from pratique.dosing.product import CLAIM_TOLERANCE, FORMALIN_DENSITY, FORMALIN_GRAMS_PER_100ML, Active, find_substance
from pratique.dosing.slips import NEAR, named_slip
from pratique.dosing.work import work_out
from pratique.figure import Figure, digits, shown_unit
from pratique.problem import Problem, Refusal, quoted
from pratique.quantity import QuantityError, parse_measure
from pratique.room.resolve import Room
from pratique.room.wrong import Wrong, wrong_quantity

EXAMPLE = "write such as `1 mL per 10 gal_us gives 0.15 mg/L`"
_FORM = re.compile(
    r"(?P<dose>.+?) (?:per|in|into|to|for each|for|each) (?P<volume>.+?)(?: (?:gives?|makes?|=) (?P<level>.+))?"
)
_ASSUMED = re.compile(r"[0-9.]+ ?drops? ?(?:/|per|to the|in a|in one) ?m[lL]\b")
_AS = re.compile(r"(?P<level>.+?) as (?P<substance>.+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """The sentence read: `dose` in mL, g or tablets, `volume` in L, `level` in mg/L or µL/L, None where none is said.

    `drops` is their number where the dose was told in drops, `dropper` how many this bottle has in a mL; `substance`
    what the level is counted as, where that is said.
    """

    text: str
    dose: Figure
    drops: float | None
    dropper: float | None
    volume: float
    level: float | None
    level_unit: str
    substance: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`gives`: the level by the strength. `ratio`: the claim over it, None where nothing was claimed.

    `counted`: how a level of formalin was counted where it is not by volume. `slip`: the known slip of that size.
    `followed`: the level this tank would have, were it dosed to its target by the claim.
    """

    request: Request
    claimed: Claimed
    bottle: Active
    gives: Figure
    ratio: float | None
    counted: str
    slip: str
    aim: Aim | None
    followed: Figure | None
    right_dose: Answer
    problems: tuple[Problem, ...]

    @property
    def holds(self) -> bool | None:
        """True within a fifth, None where no level was claimed."""
        return None if self.ratio is None else holds(self.ratio)

    @property
    def unit(self) -> str:
        return shown_unit(self.gives.unit)


def holds(ratio: float) -> bool:
    return max(ratio, 1 / ratio) <= (1 + CLAIM_TOLERANCE) * (1 + SLACK)


def judge_claim(request: Request, text: str) -> Verdict | Refusal:
    """What the strength of the bottle on the shelf says of a claim, and the right dose for the tank."""
    stopped = not_dosed(request.treatment)
    if stopped is not None and not request.treatment.active:
        return Refusal(problems=(stopped,))
    bottle, problems = find_bottle(request.room, request.treatment, request.product, request.at)
    blocks = [p for p in problems if p.is_error and p.code != "D446"]  # a claim on file may be what is asked about
    if bottle is None or blocks:
        return Refusal(problems=tuple(blocks))
    claimed = read_claim(text, request, bottle.name)
    if isinstance(claimed, Problem):
        return Refusal(problems=(claimed,))
    if claimed.dose.unit != bottle.unit:
        return Refusal(problems=(_other_unit(claimed, bottle),))
    return _judge(request, claimed, bottle)


def read_claim(text: str, request: Request, product: str) -> Claimed | Problem:
    """The sentence in numbers; or what in it cannot be taken for certain."""
    text = " ".join(text.split())
    try:
        return _read(text, request, product)
    except Wrong as wrong:
        return not_read(Wrong(wrong.code, wrong.message, wrong.hint or EXAMPLE, wrong.note), text, code="D511")


def _read(text: str, request: Request, product: str) -> Claimed:
    _refuse_assumed(text, request.room, product)
    found = _FORM.fullmatch(text)
    if found is None:
        raise Wrong("U217", f"{quoted(text)} is not a claim that can be checked", EXAMPLE)
    volume_text = found["volume"] if found["volume"][:1].isdigit() else f"1 {found['volume']}"
    try:
        volume = parse_measure(volume_text, "volume")
        level, unit, substance = _level(found["level"], request.treatment.unit)
    except QuantityError as error:
        raise wrong_quantity(error) from None
    dose = read_amount(found["dose"], request.room, product)
    drops = re.fullmatch(r"(\S+) ?drops?", found["dose"])
    if min(dose.value, volume.value, 1.0 if level is None else level) <= 0 or not (volume.exact and dose.is_exact):
        raise Wrong("U212", f"{quoted(text)} has an amount that is not above zero, or an error beside it", EXAMPLE)
    return Claimed(
        text=text,
        dose=dose,
        drops=float(drops[1]) if drops else None,
        dropper=request.room.written.shelf[product].dropper,
        volume=volume.value,
        level=level,
        level_unit=unit,
        substance=substance,
    )


def _refuse_assumed(text: str, room: Room, product: str) -> None:
    """A number of drops in a mL that comes from the sentence and not from this bottle."""
    assumed = _ASSUMED.search(text)
    if assumed is None:
        return
    known = room.written.shelf[product].dropper
    hint = (
        f"leave it out: the file says {known:g} drops/mL of {quoted(product)}"
        if known is not None
        else f"count the drops in 1 mL and write such as `dropper: 24 drops/mL` under {quoted(product)}"
    )
    raise Wrong("D512", f"{quoted(assumed[0])} is assumed for some dropper, not counted with this bottle's", hint)


def _level(text: str | None, unit: str) -> tuple[float | None, str, str]:
    """The level as it is claimed (mg/L or µL/L), its unit, and the substance it is counted as."""
    if text is None:
        return None, unit, ""
    counted = _AS.fullmatch(text)
    plain, substance = (counted["level"], counted["substance"]) if counted else (text, "")
    try:
        found = parse_measure(plain, "parts" if unit == "uL/L" else "level")
    except QuantityError as error:
        if unit != "uL/L" or error.kind != "dimension":
            raise
        found = parse_measure(plain, "level")
    if not found.exact:
        detail = "has an error beside it, and a claim has none"
        raise QuantityError("spread", plain, "level", detail, "write the number alone")
    if not substance:
        return found.value, found.unit, ""
    return found.value * _fraction(substance), found.unit, substance


def _fraction(substance: str) -> float:
    try:
        return find_substance(substance).fraction
    except KeyError:
        hint = "write such as `as Cu` or `as CuSO4.5H2O`, or leave it out where the active itself is meant"
        raise Wrong("F113", f"unknown substance {quoted(substance)}", hint) from None


def _other_unit(claimed: Claimed, bottle: Active) -> Problem:
    return Problem(
        code="D513",
        message=f"the claim is per {claimed.dose.unit}, the strength of `{bottle.name}` per {bottle.unit}",
        note="without its density a volume is no mass",
        hint=f"write the dose in {bottle.unit}, or name another bottle with `--product`",
    )


def _judge(request: Request, claimed: Claimed, bottle: Active) -> Verdict:
    value = claimed.dose.value * bottle.per_unit / claimed.volume
    error, unit = bottle.share_error, request.treatment.unit
    ratio, counted = _compare(claimed, value, unit)
    slip = _slip(request, claimed, ratio, counted) if ratio is not None else ""
    aim = aim_of(request)
    return Verdict(
        request=request,
        claimed=claimed,
        bottle=bottle,
        gives=Figure(value=value, unit=unit, low=value * (1 - error), high=value * (1 + error)),
        ratio=ratio,
        counted=counted,
        slip=slip,
        aim=aim,
        followed=_followed(aim, bottle, ratio),
        right_dose=work_out(request),
        problems=() if ratio is None or holds(ratio) else (_does_not_hold(claimed, ratio, slip, bottle),),
    )


def _compare(claimed: Claimed, gives: float, unit: str) -> tuple[float | None, str]:
    """The claim over what the strength gives. mg/L of formalin are counted in three ways: the nearest is taken."""
    level = claimed.level
    if level is None:
        return None, ""
    if unit != "uL/L" or claimed.level_unit == unit:
        return level / gives, ""
    ways = {
        "": 1.0,
        "by weight of the product, 1.08 g/mL": FORMALIN_DENSITY,
        "as formaldehyde": FORMALIN_GRAMS_PER_100ML / 100,
    }
    way = min(ways, key=lambda name: abs(math.log(level / (gives * ways[name]))))
    ratio = level / (gives * ways[way])
    return (ratio, way) if holds(ratio) else (level / gives, "")


def _slip(request: Request, claimed: Claimed, ratio: float, counted: str) -> str:
    """The known slip of the size of the ratio; a dropper's drops taken for mL are one too."""
    if counted:
        return ""
    named = named_slip(ratio, 1.0, request.treatment.active)
    dropper = claimed.dropper
    size = max(ratio, 1 / ratio)
    if dropper is not None and abs(size / dropper - 1) <= NEAR and (claimed.drops is not None or not named):
        return f"{dropper:g} × is drops taken for mL, by this bottle's dropper"
    return named


def _followed(aim: Aim | None, bottle: Active, ratio: float | None) -> Figure | None:
    """The level really reached where the amount for the target is reckoned by the claim."""
    if aim is None or ratio is None:
        return None
    level, error = aim.level / ratio, bottle.share_error
    return Figure(value=level, unit=aim.unit, low=level * (1 - error), high=level * (1 + error))


def _does_not_hold(claimed: Claimed, ratio: float, slip: str, bottle: Active) -> Problem:
    size = f"{digits(ratio)} × what" if ratio > 1 else f"1/{digits(1 / ratio)} of what"
    danger = "dosed by it, the water gets too little" if ratio > 1 else "dosed by it, the water gets too much"
    return Problem(
        code="D514",
        severity="warning",
        message=f"the claim {quoted(claimed.text)} says {size} the strength of `{bottle.name}` gives",
        note="; ".join(part for part in (danger, slip) if part),
        hint="do not dose by it; take the dose for this tank, and look whether it was said of this very bottle",
    )
