"""The dose worked out, in the order a careful person would: may it be given, with what, into how much, how."""

from __future__ import annotations

from dataclasses import replace

from pratique.dosing.aim import SLACK, Aim
from pratique.dosing.asking import animals_of, ask, change_share, not_dosed, refuse
from pratique.dosing.before import find_before, kit_for
from pratique.dosing.dose import Addition, Answer, Change, Dose, Request
from pratique.dosing.kits import highest_reading, read_with
from pratique.dosing.level import after_adding
from pratique.dosing.mix import Mix, Notebook
from pratique.dosing.notes import bath_times, handling_notes
from pratique.dosing.product import Active, active_of
from pratique.dosing.ramp import is_guarded, rungs
from pratique.dosing.stock import stock_problems
from pratique.dosing.trusted import against_the_log
from pratique.elapsed import plus_hours
from pratique.figure import Figure, digits
from pratique.knowledge.model import Sourced
from pratique.problem import Problem, Refusal
from pratique.room.resolve import Room
from pratique.water.dilution import after_change, changes_to_reach
from pratique.water.volume import NetVolume

MOST_AT_ONCE = 0.5
"""Share of the water in one corrective change; the half-change of common practice (treatments 1, after the course)."""


def work_out(request: Request) -> Answer:
    """The dose for the whole water that `request.tank` is in, or a Refusal with every reason, worst first.

    Amounts in mL, g or tablets of the product; levels in the treatment's unit. KeyError for an unknown tank.
    Source: target × net water ÷ strength (the basic treatment formula), with the errors at their worst.
    """
    stopped = not_dosed(request.treatment)
    if stopped is not None:
        return Refusal(problems=(stopped,))
    asked = ask(request)
    refusal = refuse(asked.problems)
    if refusal is not None:
        return refusal
    assert asked.aim is not None
    assert asked.strength is not None
    dose = _Dosing(request, asked.aim, asked.strength, asked.volume, asked.problems).dose()
    untrue = against_the_log(request, asked.aim, dose)
    if untrue is not None:
        return Refusal(problems=(untrue,))
    problems = (*dose.problems, *stock_problems(asked.stock, dose.add))
    return replace(dose, overridden=asked.overridden, stock=asked.stock, problems=problems)


class _Dosing:
    """One dose being worked out; its working and notes gather as it goes."""

    def __init__(
        self, request: Request, aim: Aim, strength: Active, volume: NetVolume, problems: tuple[Problem, ...]
    ) -> None:
        self.request, self.aim, self.strength, self.water = request, aim, strength, volume.figure
        self.book = Notebook(steps=[*volume.working, *strength.steps], problems=list(problems))
        self.mix = Mix(room=request.room, aim=aim, strength=strength, water=volume.figure, book=self.book)
        animals = animals_of(request, request.room.water_of(request.tank))
        self.guarded = is_guarded(animals)
        self.left_out = 0.0
        """Active that the syringe left out of the new water: no addition is made for that alone."""

    def dose(self) -> Dose:
        before = find_before(self.request, self.aim, self.book)
        change, into_new, start = self._asked_change(before)
        if change is None and self._is_too_high(before):
            change, after = self._lower(before)
            additions: list[Addition] = []
            total = Figure.exact(0.0, self.aim.unit)
        else:
            additions, total = self._additions(start, "after the change" if change is not None else "")
            after = additions[-1].after if additions else start
            if not additions:
                self._say_nothing_added(start, change)
        total = total.plus(into_new)
        add = self.mix.product(total)
        self.book.problems += left_problems(self.request.room, self.strength, add)
        for note in handling_notes(self.mix, add, self.aim.level, self.request.room.water_of(self.request.tank)):
            self.book.note(note)
        treatment = self.request.treatment
        return Dose(
            tank=self.request.tank,
            treatment=treatment,
            product=self.strength.name,
            water=self.water,
            before=before,
            target=Figure.exact(self.aim.level, self.aim.unit),
            band=self.aim.band,
            active=self.mix.milligrams(total),
            add=add,
            after=after,
            steps=tuple(additions),
            change=change,
            working=tuple(self.book.steps),
            sources=self._sources(len(additions)),
            cautions=(*treatment.people, *treatment.cautions),
            problems=tuple(self.book.problems),
            notes=tuple(self.book.notes),
            minutes=times.usual if (times := bath_times(self.aim)) is not None else None,
        )

    def _is_too_high(self, before: Figure) -> bool:
        return self.aim.ceiling is not None and before.value > self.aim.ceiling.value * (1 + SLACK)

    def _asked_change(self, before: Figure) -> tuple[Change | None, Figure, Figure]:
        """The change that was asked for, the active for its new water, and the level once it is mixed in."""
        share = change_share(self.request, self.water)
        if share is None:
            return None, Figure.exact(0.0, self.aim.unit), before
        litres = share * self.water.value
        wanted = self._level_of_new_water(before, share) * litres
        if wanted > 0:
            expression = f"{digits(litres)} L × {self.aim.says(wanted / litres)}"
            self.book.write("active into the new water", expression, self.mix.active_text(wanted))
            self.mix.write_product(wanted, f"{self.strength.called} into the new water")
        level = self.mix.poured(wanted, " into the new water") / litres
        self.left_out = wanted - level * litres
        error = self.strength.share_error
        shares = [min(litres / self.water.high, 1.0), min(litres / self.water.low, 1.0)]
        mixed = Figure.around(
            after_change(before.value, share, level),
            self.aim.unit,
            *(after_change(before.low, part, level * (1 - error)) for part in shares),
            *(after_change(before.high, part, level * (1 + error)) for part in shares),
        )
        active = Figure.exact(level * litres, self.aim.unit)
        self._change_notes(mixed, share)
        add = self.mix.product(active) if level > 0 else None
        change = Change(purpose="keep", volume=litres, add=add, after=mixed.value)
        return change, active, mixed

    def _level_of_new_water(self, before: Figure, share: float) -> float:
        """The next level of the ramp; less, or none, where the water is above the target."""
        if before.value > self.aim.level:
            wanted = max((self.aim.level - before.value * (1 - share)) / share, 0.0)
        else:
            climb = rungs(self.request.treatment, self.aim.level, before=before.value, guarded=self.guarded)
            wanted = climb[0].level if climb else self.aim.level
        return wanted if self.aim.most is None else min(wanted, self.aim.most / (1 + self.strength.share_error))

    def _change_notes(self, mixed: Figure, share: float) -> None:
        self.book.note("water that replaces evaporation gets none: the medicine does not evaporate")
        if share > 1 - SLACK:
            self.book.note("all the water at once: it has to match in temperature, salinity and pH")
        if self._is_too_high(mixed):
            count, part = changes_to_reach(mixed.value, self.aim.level, MOST_AT_ONCE)
            times = "one more change" if count == 1 else f"{count} more changes"
            litres = digits(part * self.water.value)
            self.book.note(
                f"still {self.aim.says(mixed.value)} after it, above the ceiling: {times} of {litres} L with "
                "water that holds none, reading after each; add no other drug meanwhile"
            )

    def _lower(self, before: Figure) -> tuple[Change, Figure]:
        count, share = changes_to_reach(before.value, self.aim.level, MOST_AT_ONCE)
        litres = share * self.water.value
        power = "" if count == 1 else f" to the power {count}"
        expression = f"{digits(before.value)} × (1 − {share:.3f}){power}"
        self.book.write("level too high: change water", expression, self.aim.says(self.aim.level))
        times = "" if count == 1 else f", {count} times,"
        self.book.note(
            f"the level is too high: change {digits(litres)} L{times} with water that holds none, add nothing, read "
            "after each change; add no other drug meanwhile: deaths can follow an overdose even after it is corrected"
        )
        least, most = (1 - min(litres / volume, 1.0) for volume in (self.water.low, self.water.high))
        after = Figure.around(self.aim.level, self.aim.unit, before.low * least**count, before.high * most**count)
        return Change(purpose="lower", volume=litres, count=count, after=self.aim.level), after

    def _additions(self, before: Figure, waits: str) -> tuple[list[Addition], Figure]:
        """The rungs that are left, and the active in all. Errors add up as if nobody read in between.

        The first addition `waits` for what is said.
        """
        additions: list[Addition] = []
        active, level, cut = 0.0, before, False
        climb = rungs(self.request.treatment, self.aim.level, before=before.value, guarded=self.guarded)
        for rung in climb:
            added = self.mix.raise_to(rung.level, level, f"step {len(additions) + 1}" if len(climb) > 1 else "")
            cut = cut or added.cut
            if added.active <= self.left_out * (1 + SLACK):
                continue
            addition = Addition(
                at=plus_hours(self.request.at, rung.hours),
                add=self.mix.product(self.mix.span(added.active, rung.level, level)),
                after=added.after,
                waits_for=self._waits_for(level, added.active) if additions else waits,
            )
            additions.append(addition)
            active += added.active
            level = after_adding(active, before, self.water, self.strength)
        if cut:
            self.mix.say_cut(before)
        total = self.mix.span(active, self.aim.level, before) if additions else Figure.exact(0.0, self.aim.unit)
        return additions, total

    def _waits_for(self, level: Figure, active: float) -> str:
        """The readings after which `active` may go in as printed, the kit's own error included.

        The lowest is what the step before could have left; the highest is where this amount, at the worst of
        every error, would still end at the ceiling.
        """
        kit = kit_for(self.request, self.aim)
        low, high = read_with(kit, level.low, self.aim.unit).low, read_with(kit, level.high, self.aim.unit).high
        if self.aim.most is not None:
            room = self.aim.most - active * (1 + self.strength.share_error) / self.water.low
            high = min(high, highest_reading(kit, room))
        if high < level.value:
            return "not by this line: the kit cannot tell whether it is safe; read, then ask again with `--reading`"
        return f"only after a reading from {digits(low)} to {self.aim.says(high)}; else again with `--reading`"

    def _say_nothing_added(self, before: Figure, change: Change | None) -> None:
        if change is not None:
            return
        if before.value > self.aim.level:
            level = self.aim.says(before.value)
            self.book.note(f"nothing to add: {level} is above the target and not above the ceiling; read again")
        elif before.value < self.aim.level * (1 - SLACK):
            self.book.note("nothing is safe to add: the level may already be at the ceiling; read with a finer kit")
        else:
            self.book.note("nothing to add: the level is at its target")

    def _sources(self, steps: int) -> tuple[Sourced, ...]:
        treatment = self.request.treatment
        found = [self.aim.target, self.aim.floor, self.aim.ceiling]
        if steps > 1:
            prefix = "guarded_" if self.guarded and treatment.number("guarded_ramp_steps") else ""
            found += [treatment.number(f"{prefix}ramp_steps"), treatment.number(f"{prefix}ramp_interval")]
        return tuple({(n.source, n.where): n for n in found if n is not None}.values())


def left_problems(room: Room, strength: Active, add: Figure) -> list[Problem]:
    """A bottle that holds less than the dose takes; of a stock, less than what is in it."""
    left, needs = strength.product.left, add.value * strength.of_bottle
    if left is None or needs <= left.value * (1 + SLACK):
        return []
    unit = left.unit
    return [
        Problem(
            code="D457",
            severity="warning",
            places=(room.place(("shelf", strength.name, "left")),),
            message=f"`{strength.name}` holds {digits(left.value)} {unit}, this needs {digits(needs)} {unit}",
            hint="buy before beginning: a level that cannot be kept is not a treatment",
        )
    ]


def active_in(dose: Dose, room: Room) -> Active:
    """What the dose is poured from: the stock that was made, or the bottle itself."""
    return dose.stock.active if dose.stock is not None else active_of(room, dose.product)
