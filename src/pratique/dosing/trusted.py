"""May a reading that was typed be acted on: which kit it was made with, and whether the log allows it.

A free-copper kit shows little of a bound copper. Taken for the level, its reading asks for a dose that goes over the
ceiling; so where kits of both sorts are on file, the keeper says which one it was (treatments 4, kit; TESTCHEM, D).
"""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.aim import SLACK, Aim
from pratique.dosing.dose import Dose, Request
from pratique.dosing.kits import READS_ITS_FORM, is_past
from pratique.dosing.slips import ORDINARY
from pratique.figure import digits
from pratique.problem import Problem, quoted
from pratique.room.model import Kit


def kit_problems(request: Request) -> Iterator[Problem]:
    """A reading by a kit that cannot read this form, or that may be by one."""
    form = request.treatment.form
    if not form or request.kit == "":
        return
    kits = {name: kit for name, kit in request.room.written.kits.items() if kit.measures == "copper"}
    suited = [name for name, kit in kits.items() if _suits(request, kit)]
    others = [name for name in kits if name not in suited]
    if request.kit in suited:
        return
    if request.kit is not None:
        yield Problem(
            code="D444",
            message=f"{quoted(request.kit)} cannot measure {form} copper, so its reading is not the level",
            places=(request.room.place(("kits", request.kit), key=True),),
            note=_by_the_log(request),
            source=READS_ITS_FORM,
            hint=f"read with {quoted(suited[0])}" if suited else f"get a kit that reads {form} copper",
        )
    elif suited and others:
        yield Problem(
            code="D442",
            message=f"with which kit was this read? {_named(others)} cannot measure {form} copper",
            places=tuple(request.room.place(("kits", name), key=True) for name in others[:5]),
            note=_by_the_log(request),
            source=READS_ITS_FORM,
            hint=f"say it with `--kit {quoted(suited[0]).strip('`')!r}`, if it was that one; else read again with it",
        )


def against_the_log(request: Request, aim: Aim, dose: Dose) -> Problem | None:
    """A dose that would go over the ceiling if what was poured in is still there, as the log says.

    A reading within a fifth of the reckoned level is taken at its word (`slips.ORDINARY`, D).
    """
    reckoned, stated = request.reckoned, request.reading
    if reckoned is None or stated is None or aim.most is None or dose.add.value <= 0:
        return None
    if reckoned.value <= stated.value * ORDINARY or reckoned.low <= dose.before.high:
        return None
    kept = 1 - dose.change.volume / dose.water.value if dose.change is not None else 1.0
    first = dose.steps[0].after.value if dose.steps else dose.after.value
    would_be = first + (reckoned.value - dose.before.value) * kept
    if would_be <= aim.most * (1 + SLACK):
        return None
    return Problem(
        code="D443",
        message=f"by the log {aim.says(reckoned.value)} is in the water, the reading says {aim.says(stated.value)}",
        note=f"if the log is right, this dose would bring it to {aim.says(would_be)}, above {aim.says(aim.most)}; if "
        "the reading is right, the medicine was lost: to rock, sand, carbon or a resin, or it never went in",
        hint="read once more in a fresh sample. If it says the same, write it down with `pratique log reading` and its "
        "kit, then ask again without `--reading`",
    )


def _suits(request: Request, kit: Kit) -> bool:
    return request.treatment.form in kit.forms and not is_past(kit, request.at)


def _by_the_log(request: Request) -> str:
    if request.reckoned is None:
        return ""
    level = f"{digits(request.reckoned.value)} {request.reckoned.unit}"
    return f"by what was poured in since the last reading in the log, the level is {level}"


def _named(kits: list[str]) -> str:
    return " or ".join(quoted(name) for name in kits[:5])
