"""Net volume from the rise a known amount made, beside the stated one; and whether volume or loss explains it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pratique.dates import full_moment
from pratique.dosing.asking import find_bottle, volume_problems
from pratique.dosing.dose import Request
from pratique.dosing.draws import find_draw
from pratique.dosing.evidence.addition import Added
from pratique.dosing.evidence.course import Read, aim_of, course_problems, read_all
from pratique.dosing.evidence.doubts import still_to_come
from pratique.dosing.evidence.typed import TypedReading
from pratique.dosing.product import Active
from pratique.elapsed import hours_between
from pratique.figure import Figure, digits, shown_unit
from pratique.problem import Place, Problem, Refusal
from pratique.water.fit import Reading
from pratique.water.rise import Explanation, VolumeCheck, check_volume, explain_rise, volume_from_rise
from pratique.water.volume import net_volume

MOST_GAP = 0.10
"""Practice B1: a volume found more than a tenth away from the stated one is flagged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rise:
    """What an addition tells of the water. `active` is in mg (formalin: µL of the 37 % product).

    `check` holds the volume that the rise speaks for beside the stated one, `after` the readings that followed.
    """

    request: Request
    added: Added
    active: Figure
    before: Read
    after: tuple[Read, ...]
    explanation: Explanation
    check: VolumeCheck
    problems: tuple[Problem, ...]

    @property
    def hours(self) -> tuple[float, ...]:
        return tuple(hours_between(self.added.at, read.at) for read in self.after)


def work_out_rise(request: Request, added: Added, typed: Sequence[TypedReading]) -> Rise | Refusal:
    """The volume by the last reading before the addition and those after it, or every reason against it."""
    aim = aim_of(request)
    stopped = course_problems(request, aim, typed)
    if stopped:
        return Refusal(problems=tuple(stopped))
    room = request.room
    water = room.water_of(request.tank)
    bottle, problems = find_bottle(room, request.treatment, added.product, added.at)
    problems += [*volume_problems(net_volume(water), f"{request.tank}"), *_time_problems(request, added)]
    blocks = [problem for problem in problems if problem.is_error]
    if bottle is None or blocks:
        return Refusal(problems=tuple(blocks))
    if bottle.unit != added.amount.unit:
        return Refusal(problems=(_other_unit(added, bottle),))
    before, after = _split(added, typed)
    if before is None or not after:
        which = "before" if before is None else "after"
        return Refusal(problems=(_nothing_to_compare(added, which, request.treatment.unit),))
    reads = read_all(request, aim, after)
    first = _read_before(request, before)
    if isinstance(reads, Problem) or isinstance(first, Problem):
        return Refusal(problems=tuple(p for p in (first, reads) if isinstance(p, Problem)))
    return _explain(request, added, _active(request, added, bottle), first, reads)


def _time_problems(request: Request, added: Added) -> list[Problem]:
    if hours_between(request.at, added.at) <= 0:
        return []
    return [still_to_come("the addition", added.at, request)]


def _other_unit(added: Added, bottle: Active) -> Problem:
    return Problem(
        code="D506",
        message=f"the addition is in {added.amount.unit}, the strength of `{bottle.name}` is per {bottle.unit}",
        hint=f"write the amount in {bottle.unit}",
    )


def _split(added: Added, typed: Sequence[TypedReading]) -> tuple[TypedReading | None, list[TypedReading]]:
    """The last reading up to the addition, and those after it."""
    before = [reading for reading in typed if hours_between(added.at, reading.at) <= 0]
    return (before[-1] if before else None), [reading for reading in typed if hours_between(added.at, reading.at) > 0]


def _nothing_to_compare(added: Added, which: str, unit: str) -> Problem:
    example = f"`{added.at:%Y-%m-%dT%H:%M} 0 {unit}`"
    none = f"; if none was ever in this water, write {example}" if which == "before" else ""
    return Problem(
        code="D507",
        message=f"there is no reading {which} the addition of {full_moment(added.at)}, so no volume follows from it",
        note="a rise is the difference of two readings",
        hint=f"give readings from before and after it with `--readings`{none}",
    )


def _read_before(request: Request, reading: TypedReading) -> Read | Problem:
    """As any reading; a nought is also taken without an error, as water that never held any."""
    reads = read_all(request, aim_of(request), [reading])
    if not isinstance(reads, Problem):
        return reads[0]
    if reading.level.value == 0:
        return Read(at=reading.at, level=Figure.exact(0.0, reading.level.unit))
    return reads


def _active(request: Request, added: Added, bottle: Active) -> Figure:
    """The active that went in, with the errors of bottle and syringe at their worst."""
    amount, error = added.amount, bottle.share_error
    low, high = amount.low, amount.high
    draw = find_draw(request.room, amount.value) if amount.unit == "mL" and amount.is_exact else None
    if draw is not None:
        low, high = max(low - draw.error, 0.0), high + draw.error
    unit = "uL" if request.treatment.unit == "uL/L" else "mg"
    per = bottle.per_unit
    return Figure(value=amount.value * per, unit=unit, low=low * per * (1 - error), high=high * per * (1 + error))


def _explain(request: Request, added: Added, active: Figure, before: Read, after: tuple[Read, ...]) -> Rise | Refusal:
    stated = net_volume(request.room.water_of(request.tank)).figure
    points = [Reading(hours=hours_between(added.at, read.at), level=read.level) for read in after]
    try:
        explanation = explain_rise(active, stated, before.level, points)
        found = explanation.volume or volume_from_rise(active, before.level, points[0].level)
    except ValueError:
        return Refusal(problems=(_no_rise(before, after[0]),))
    check = check_volume(found, stated)
    return Rise(
        request=request,
        added=added,
        active=active,
        before=before,
        after=after,
        explanation=explanation,
        check=check,
        problems=tuple(_gap_problems(request, check, explanation)),
    )


def _no_rise(before: Read, after: Read) -> Problem:
    one, other = (f"{digits(r.level.low)} to {digits(r.level.high)}" for r in (before, after))
    return Problem(
        code="D508",
        message="the rise is not larger than the errors of the two readings, so no volume follows from it",
        note=f"before {one}, after {other} {shown_unit(before.level.unit)}, with their errors",
        hint="read with a finer kit, or try it with the next large addition",
    )


def _gap_problems(request: Request, check: VolumeCheck, explanation: Explanation) -> list[Problem]:
    if abs(check.gap) <= MOST_GAP:
        return []
    way = "more" if check.gap > 0 else "less"
    ends = f"{digits(check.found.low)} to {digits(check.found.high)} L"
    percent = f"{abs(check.gap) * 100:.0f} %"
    if explanation.cause == "loss":
        return [
            Problem(
                code="D510",
                severity="warning",
                message=f"the level fell short as if there were {percent} {way} water, but it goes on falling: a loss",
                note="a wrong volume leaves the level where it is; a loss lets it fall further",
                hint="leave the volume as it stands; look for carbon, resin, rock, sand or a skimmer that takes it out",
            )
        ]
    note, hint = "every dose for this water was off by as much", _mend(request, check)
    if explanation.cause == "either":
        hint = f"first settle with one more reading whether it is a loss; if it is not, {hint}"
    if explanation.cause == "neither":
        hint = f"leave it until a few more readings agree on a level; then {hint}"
    if check.found.low <= check.stated.value <= check.found.high:
        note = "the readings are so coarse that the stated volume fits them as well"
        hint = "leave the volume as it stands; a finer kit, or the water poured in by the jug, would tell"
    return [
        Problem(
            code="D509",
            severity="warning",
            message=f"by the rise there is {percent} {way} water than stated: {digits(check.found.value)} L ({ends}), "
            f"not {digits(check.stated.value)} L",
            places=volume_places(request),
            note=note,
            hint=hint,
        )
    ]


def volume_places(request: Request) -> tuple[Place, ...]:
    """The lines of the room file that state the volume of the water."""
    room, water = request.room, request.room.water_of(request.tank)
    places = [_volume_place(request, name) for name in (tank.name for tank in water.tanks)]
    return (*places, *([room.place((*water.path, "sump"))] if water.sump is not None else []))


def _volume_place(request: Request, tank: str) -> Place:
    spec = request.room.tanks[tank].written.volume
    key = "measured" if spec.measured is not None else "nominal" if spec.nominal is not None else "fill"
    return request.room.place(("tanks", tank, "volume", key))


def _mend(request: Request, check: VolumeCheck) -> str:
    water = request.room.water_of(request.tank)
    found = check.found
    spread = max(found.high - found.value, found.value - found.low)
    if spread > found.value / 2:
        return "measure the water with a jug: these readings are too coarse to write a volume by"
    whole = f"{digits(found.value)} L ± {digits(spread)} L"
    if len(water.tanks) == 1 and water.sump is None:
        return f"mend the line `volume` of `{water.tanks[0].name}`: `measured: {whole}`"
    names = [f"`volume` of `{tank.name}`" for tank in water.tanks] + (["`sump`"] if water.sump is not None else [])
    return f"mend the one of {', '.join(names)} that was measured worst: together they hold {whole}"
