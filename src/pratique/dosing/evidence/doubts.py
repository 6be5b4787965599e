"""What speaks against readings: too few, without an error, of a time to come, or at odds with each other."""

from __future__ import annotations

import datetime as dt

from pratique.dates import full_moment
from pratique.dosing.dose import Request
from pratique.dosing.evidence.curves import Curves, slip_of_reading
from pratique.dosing.evidence.lasting import lasting_of
from pratique.dosing.evidence.typed import TypedReading
from pratique.elapsed import plus_hours
from pratique.figure import digits, shown_unit
from pratique.problem import Place, Problem, quoted


def still_to_come(what: str, at: dt.datetime, request: Request, place: Place | None = None) -> Problem:
    """Something said to have happened after the moment asked for."""
    return Problem(
        code="D503",
        message=f"{what} of {full_moment(at)} lies after the moment asked for, {full_moment(request.at)}",
        places=(place,) if place is not None else (),
        hint="look at the date again, or name a later moment with `--at`",
    )


def no_error(request: Request, reading: TypedReading) -> Problem:
    """A reading that cannot be weighed."""
    text = reading.level.text
    if request.treatment.form:
        hint = f"write the kit's `error` under `kits:`, or the error beside the reading, such as `{text} ± 5 %`"
    else:
        hint = f"write how far off it may be, such as `{text} ± 10 %`"
    return Problem(
        code="D502",
        message=f"of the reading {quoted(text)} nobody says how far off it may be",
        places=(reading.place,) if reading.place is not None else (),
        note="without its error a reading cannot be weighed against another",
        hint=hint,
    )


def too_few(request: Request, why: str) -> Problem:
    """No level follows: `why`."""
    lasting = lasting_of(request.treatment)
    return Problem(
        code="D501",
        message=f"{why}, so the level at {full_moment(request.at)} is not known",
        note=lasting.said.text if lasting.said is not None else "",
        hint="read again now and give it with `--reading`; or give two readings of different hours between which "
        "nothing was added and no water changed",
    )


def misfit_problems(request: Request, curves: Curves, start: dt.datetime) -> list[Problem]:
    """A warning where no curve passes within all errors; `start` is the moment of the first reading."""
    if curves.possible:
        return []
    return [
        Problem(
            code="D504",
            severity="warning",
            message="no loss passes within the errors of all readings, so every range was widened",
            note=_odd_one(request, curves, start),
            hint="leave out readings from before an addition or a change; read the odd one again",
        )
    ]


def contradiction(request: Request, curves: Curves, start: dt.datetime) -> Problem:
    """The refusal where the nearest curve passes far from a reading."""
    return Problem(
        code="D515",
        message=f"the readings contradict each other: the nearest curve misses one by {curves.misfit:.1f} × its error",
        note=_odd_one(request, curves, start),
        hint="leave out readings from before an addition or a change; read the odd one again, and mind its unit",
    )


def _odd_one(request: Request, curves: Curves, start: dt.datetime) -> str:
    index, expected = curves.odd_one()
    odd = curves.points[index]
    unit, at = shown_unit(odd.level.unit), plus_hours(start, odd.hours)
    slip = slip_of_reading(odd, expected, request.treatment.active)
    return (
        f"the odd one may be {digits(odd.level.value)} {unit} of {full_moment(at)}: by the others it would be "
        f"about {digits(expected)} {unit}" + (f"; {slip}" if slip else "")
    )


def rise_problems(curves: Curves) -> list[Problem]:
    """A warning where the readings are certain to rise."""
    if not curves.shows_a_rise:
        return []
    return [
        Problem(
            code="D505",
            severity="warning",
            message="the level rises between the readings, though nothing is said to have been added",
            note="copper that rock or sand has taken up comes out again when the water turns acid; and what dries up "
            "leaves the medicine behind",
            hint="look for an addition that was not counted, low water or a falling pH; then read again",
        )
    ]
