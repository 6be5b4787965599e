"""A dip or bath of minutes in a vessel of its own: how much of what, in which order, and when to stop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pratique.dosing.aim import SLACK, Aim, aim_problems, find_aim, no_aim
from pratique.dosing.asking import find_bottle, not_ours, refuse, warm_end, where_found
from pratique.dosing.dip import Dip, DipAnswer, DipDose, DipRequest, Match
from pratique.dosing.dip_steps import LOOK_EVERY, Course, dip_steps, stop_steps, watch_for
from pratique.dosing.facts import Setting, interlocks_met
from pratique.dosing.mix import Mix, Notebook
from pratique.dosing.notes import handling_notes
from pratique.dosing.overrides import Overridden, set_aside
from pratique.dosing.product import Active
from pratique.dosing.vessel import MINUTES, Times, Vessel, find_times, find_vessel, time_problems
from pratique.dosing.work import left_problems
from pratique.figure import Figure, digits
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Treatment, cite
from pratique.problem import Problem, Refusal
from pratique.room.shown import shown_degrees

MEASURE_IT = "measure it in the vessel and give it with the dip, such as `--temperature '25 degC'`"


def work_out_dip(request: DipRequest) -> DipAnswer:
    """The sheet for `request`, or a Refusal with every reason, worst first.

    Volumes in L, times in minutes, temperatures in degC, amounts in mL, g or tablets of the product.
    Sources: the treatment's own numbers and statements; the amount is the sum of `work_out`.
    """
    wrong_kind = _not_a_dip(request.treatment)
    if wrong_kind is not None:
        return Refusal(problems=(wrong_kind,))
    vessel, times = find_vessel(request), find_times(request.treatment)
    asked = _ask(request, vessel, times)
    refusal = refuse(asked.problems)
    if refusal is not None:
        return refusal
    assert isinstance(vessel, Vessel)
    return _write_sheet(request, vessel, times, asked)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    aim: Aim | None
    strength: Active | None
    problems: tuple[Problem, ...]
    overridden: tuple[Overridden, ...] = ()


def _not_a_dip(treatment: Treatment) -> Problem | None:
    if treatment.decided_by:
        return not_ours(treatment)
    if treatment.kind in ("dip", "bath"):
        return None
    return Problem(
        code="D467", message=f"`{treatment.id}` is not a dip or bath of minutes", hint=where_found(treatment)
    )


def _ask(request: DipRequest, vessel: Vessel | Problem, times: Times) -> _Asked:
    """Everything that speaks against the dip, found at once."""
    treatment, problems = request.treatment, list[Problem]()
    strength, aim = None, None
    temperature = _bath_temperature(request)
    if treatment.active:
        strength, problems = find_bottle(request.room, treatment, request.product, request.at)
        aim = find_aim(treatment, None, temperature)
        whose = f"`{request.source_water.name}`" if request.source_water is not None else "the bath"
        missing = no_aim(treatment, temperature, whose, hint=MEASURE_IT)
        problems += [missing] if aim is None else aim_problems(aim, None)
    setting = Setting(
        room=request.room,
        treatment=treatment,
        water=None,
        animals=request.animals,
        at=request.at,
        product=(strength.name, strength.product) if strength is not None else None,
        oxygen=request.oxygen,
        temperature=temperature,
        reckoned_warmth=_reckoned_warmth(request),
    )
    met, overridden = set_aside(interlocks_met(setting), treatment, request.because)
    problems += met
    problems += time_problems(request, times)
    problems += _match_problems(request)
    if isinstance(vessel, Problem):
        problems.append(vessel)
    return _Asked(aim=aim, strength=strength, problems=tuple(problems), overridden=overridden)


def _bath_temperature(request: DipRequest) -> float | None:
    """degC: what was measured in the vessel; else the warmest it may be: the fish's own water, and the tolerance."""
    if request.temperature is not None:
        return request.temperature
    home = warm_end(request.source_water.conditions.temperature) if request.source_water is not None else None
    return None if home is None else home + _of_dips("temperature_tolerance").value


def _reckoned_warmth(request: DipRequest) -> str:
    """How the warmth of the bath was come by; empty where it was measured, or nothing is known."""
    source = request.source_water
    if request.temperature is not None or source is None or source.conditions.temperature is None:
        return ""
    home = f"{source.conditions.temperature.high:.1f} °C"
    more = shown_degrees(_of_dips("temperature_tolerance").value, request.room)
    return f" at the warmest, {home} of {source.name} and the {more} it may be off"


def _of_dips(name: str) -> Sourced:
    """A figure that is on file for the freshwater dip only, and is kept for the other baths too (D)."""
    return store.treatment("freshwater-dip").needed(name)


def _match_problems(request: DipRequest) -> Iterator[Problem]:
    """The vessel's temperature against that of the fish's own water."""
    source, measured = request.source_water, request.temperature
    if source is None or measured is None or source.conditions.temperature is None:
        return
    home = source.conditions.temperature
    within = _of_dips("temperature_tolerance")
    if home.low - within.value - SLACK <= measured <= home.high + within.value + SLACK:
        return
    yield Problem(
        code="D468",
        message=f"the vessel is at {measured:.1f} °C, `{source.name}` at {home.value:.1f} °C",
        places=(request.room.place((*source.path, "temperature")),),
        source=cite(within),
        hint=f"bring the vessel within {shown_degrees(within.value, request.room)} of it, measure again, "
        "then say so with `--temperature`",
    )


def _write_sheet(request: DipRequest, vessel: Vessel, times: Times, asked: _Asked) -> Dip:
    book = Notebook(problems=list(asked.problems))
    book.write(f"water in {vessel.name}", f"filled by measure, {vessel.text}", f"{digits(vessel.water.value)} L")
    dose = _dose(request, vessel, asked, book)
    course = _course(request, vessel, times, dose)
    _say_notes(request, times, course.minutes, book)
    treatment = request.treatment
    return Dip(
        label=request.label,
        animals=request.animals,
        treatment=treatment,
        at=request.at,
        vessel=vessel.name,
        water=vessel.water,
        match=course.match,
        dose=dose,
        minutes=Figure.around(course.minutes, "min", times.usual.low, times.usual.high),
        ceiling=times.ceiling,
        aerate_before=course.aerate_before,
        look_every=LOOK_EVERY[treatment.kind],
        steps=dip_steps(course),
        watch=watch_for(course),
        stop=treatment.stop,
        at_stop=stop_steps(course),
        working=tuple(book.steps),
        sources=_sources(treatment, times, asked.aim),
        cautions=(*treatment.people, *treatment.cautions),
        problems=tuple(book.problems),
        notes=tuple(book.notes),
        overridden=asked.overridden,
    )


def _course(request: DipRequest, vessel: Vessel, times: Times, dose: DipDose | None) -> Course:
    minutes = times.usual.value if request.minutes is None else request.minutes
    return Course(
        request=request,
        vessel=vessel.name,
        water=vessel.water,
        match=_match(request),
        dose=dose,
        minutes=minutes,
        aerate_before=_of_dips("aerate_before").value * MINUTES,
    )


def _dose(request: DipRequest, vessel: Vessel, asked: _Asked, book: Notebook) -> DipDose | None:
    """The amount for the vessel, by the same sum as a dose into a tank."""
    aim, strength = asked.aim, asked.strength
    if aim is None or strength is None:
        return None
    book.steps.append(strength.step)
    mix = Mix(room=request.room, aim=aim, strength=strength, water=vessel.water, book=book)
    nothing = Figure.exact(0.0, aim.unit)
    added = mix.raise_to(aim.level, nothing)
    if added.cut:
        mix.say_cut(nothing)
    active = mix.span(added.active, aim.level, nothing)
    add = mix.product(active)
    book.problems += left_problems(request.room, strength, add)
    for note in handling_notes(mix, add, aim.level, None):
        book.note(note)
    target = Figure.exact(aim.level, aim.unit)
    return DipDose(product=strength.name, target=target, active=mix.milligrams(active), add=add, after=added.after)


def _match(request: DipRequest) -> Match:
    conditions = request.source_water.conditions if request.source_water is not None else None
    usual = Figure.exact(_of_dips("ph").value, "pH")
    return Match(
        temperature=Figure.of(conditions.temperature) if conditions and conditions.temperature else None,
        tolerance=_of_dips("temperature_tolerance"),
        ph=Figure.of(conditions.ph) if conditions and conditions.ph else usual,
        salinity=conditions.salinity.text if conditions and conditions.salinity else "",
    )


def _say_notes(request: DipRequest, times: Times, minutes: float, book: Notebook) -> None:
    if minutes < times.usual.low * (1 - SLACK):
        book.note(f"shorter than any time on record, {times.usual.low:g} min")
    if not request.animals:
        book.note("no animal was named, so it was not checked who may not have this")
    tangs = [animal.label for animal in request.animals if animal.group.id == "surgeonfish"]
    if tangs and request.treatment.kind == "dip":
        names = ", ".join(dict.fromkeys(tangs))
        book.note(f"surgeonfish ({names}) may thrash: go on only if it swam well before, else take it out at once")
    water = request.source_water
    if water is None:
        return
    for holds in water.conditions.holds:
        if holds.treatment != request.treatment.id:
            book.note(f"fill nothing from {water.name}: it holds {holds.treatment}")


def _sources(treatment: Treatment, times: Times, aim: Aim | None) -> tuple[Sourced, ...]:
    found = [aim.target, aim.ceiling] if aim is not None else []
    found += [times.source, times.limit, _of_dips("temperature_tolerance")]
    if treatment.kind == "dip":
        found += [_of_dips("ph"), _of_dips("aerate_before")]
    return tuple({(number.source, number.where): number for number in found if number is not None}.values())
