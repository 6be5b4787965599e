"""Two ways to bring a held level up, side by side, where sources disagree: in steps, or straight in."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.dose import Dose
from pratique.dosing.ramp import is_guarded
from pratique.figure import digits
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.response.chosen import Chosen
from pratique.response.medicine import dose_for
from pratique.response.model import Way
from pratique.response.scene import Case
from pratique.room.values import treatment_for
from pratique.schedule.calendar import elapsed_hours

SLOW = ("ramp_steps", "ramp_interval", "first_step")
GUARDED = ("guarded_ramp_steps", "guarded_ramp_interval")


def ways_for(case: Case, chosen: Chosen) -> tuple[Way, ...]:
    """The ways for the held treatment that was taken; none where it has no ramp, or where the level is there already.

    Each is worked out by the dosing engine: the first is what `pratique dose` says.
    """
    held = chosen.taken("held")
    if held is None or not isinstance(held.answer, Dose) or not held.answer.steps:
        return ()
    treatment = treatment_for(case.room, held.treatment)
    ways = list(_ways(case, chosen, treatment, held.answer))
    return tuple(ways) if len(ways) > 1 else ()


def _ways(case: Case, chosen: Chosen, treatment: Treatment, own: Dose) -> Iterator[Way]:
    guarded = is_guarded(case.movers) and treatment.number("guarded_ramp_steps") is not None
    worst = _tempo(case)
    if guarded:
        names = ", ".join(a.label for a in case.movers if is_guarded((a,)))
        yield _way(f"slowly, for {names}", own, f"a narrow margin: {names}", _late(own, worst), chosen=True)
        usual = _without(case, chosen, treatment, GUARDED)
        if usual is not None:
            yield _way("in the usual steps", usual, _late_or_in_time(usual, worst), f"not meant for {names}")
    else:
        yield _way("in steps", own, "time to see who bears it", _late(own, worst), chosen=True)
    straight = _without(case, chosen, treatment, (*SLOW, *GUARDED))
    if straight is not None and len(straight.steps) < len(own.steps):
        against = f"not meant for {names}" if guarded else "nothing is left of the time to see who bears it"
        yield _way("straight in", straight, _late_or_in_time(straight, worst), against)


def _way(title: str, dose: Dose, speaks_for: str, against: str, *, chosen: bool = False) -> Way:
    return Way(
        title=title, dose=dose, hours=hours_to_band(dose), speaks_for=speaks_for, against=against, chosen=chosen
    )


def hours_to_band(dose: Dose) -> float | None:
    """h from the first addition until the level reaches the band; None where these steps never do."""
    first = dose.steps[0].at if dose.steps else None
    for step in dose.steps:
        if first is not None and step.after.value >= dose.band.low * (1 - 1e-9):
            return elapsed_hours(first, step.at)
    return None


def _without(case: Case, chosen: Chosen, treatment: Treatment, names: tuple[str, ...]) -> Dose | None:
    """The dose of a treatment whose numbers `names` are left out."""
    numbers = {name: ranked for name, ranked in treatment.numbers.items() if name not in names}
    answer = dose_for(case, chosen.place, treatment.model_copy(update={"numbers": numbers}))
    return answer if isinstance(answer, Dose) else None


def _tempo(case: Case) -> float | None:
    """h in which the fastest of the suspected agents may kill; None where only words are on file."""
    found = [store.pathogen(agent).number("death_after_first_signs") for agent in case.cover]
    known = [number.low for number in found if number is not None]
    return min(known) if known else None


def _late(dose: Dose, worst: float | None) -> str:
    hours = hours_to_band(dose)
    if hours is None or worst is None or hours <= worst:
        return "later in the middle of the band"
    return f"in band only after {digits(hours)} h, and it may kill in {digits(worst)} h"


def _late_or_in_time(dose: Dose, worst: float | None) -> str:
    hours = hours_to_band(dose)
    if hours is None:
        return "the level is reached sooner"
    if worst is not None and hours > worst:
        return f"in band after {digits(hours)} h, which is still late"
    return "in band at once" if hours == 0 else f"in band after {digits(hours)} h"
