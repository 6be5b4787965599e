"""The dose worked out, in the order a careful person would: may it be given, with what, into how much, how."""

from __future__ import annotations

import datetime as dt

from pratique.dosing.dose import Addition, Answer, Band, Change, Dose, Request
from pratique.dosing.facts import Setting, interlocks_met
from pratique.dosing.level import amount_for, best_kit, read_with
from pratique.dosing.product import Active, active_of, choose_product, claim_problems
from pratique.dosing.ramp import is_guarded, rungs
from pratique.dosing.slips import explain_level
from pratique.figure import Figure, Step, digits
from pratique.knowledge.model import Sourced, Treatment
from pratique.problem import Problem, Refusal
from pratique.quantity import Measure
from pratique.water.dilution import after_change, changes_to_reach
from pratique.water.volume import NetVolume, net_volume

MOST_AT_ONCE = 0.5
"""Share of the water in one corrective change; the half-change of common practice (treatments 1, after the course)."""

MEASURING_ROOM = 1.05
"""A bath's level is its ceiling at once; measuring jug and syringe may be this far out before it is cut (D)."""


def work_out(request: Request) -> Answer:
    """The dose for the whole water that `request.tank` is in, or a Refusal with every reason."""
    stopped = _not_dosed(request.treatment)
    if stopped:
        return Refusal(problems=(stopped,))
    water = request.room.water_of(request.tank)
    temperature = water.conditions.temperature.value if water.conditions.temperature else None
    target = request.treatment.number("target", temperature)
    if target is None:
        return Refusal(problems=(_no_target(request, temperature),))
    name, problems = choose_product(request.room, request.treatment, request.product, request.at)
    product = (name, request.room.written.shelf[name]) if name is not None else None
    oxygen = request.oxygen if request.oxygen is not None else water.conditions.oxygen.value if water.conditions.oxygen else None
    setting = Setting(room=request.room, treatment=request.treatment, water=water, animals=request.animals, at=request.at,
                      product=product, off=request.off, oxygen=oxygen, temperature=temperature)
    problems += interlocks_met(setting)
    problems += _target_problems(request, target, temperature)
    if name is None:
        return Refusal(problems=tuple(problems))
    strength = active_of(request.room, name)
    problems += claim_problems(request.room, strength)
    volume = net_volume(water)
    problems += _change_problems(request, volume)
    blocks = tuple(problem for problem in problems if problem.is_error)
    if blocks:
        return Refusal(problems=blocks)
    return _Work(request, target, strength, volume, temperature, problems).dose()


def _not_dosed(treatment: Treatment) -> Problem | None:
    if treatment.decided_by:
        return Problem(code="D454", message=f"`{treatment.id}` has no dose here: {treatment.decided_by} decides",
                       hint="ask them, and write what they prescribe into your own records")
    if treatment.kind in ("transfers", "watching", "dip"):
        instead = {"transfers": "`pratique plan` gives its dates", "watching": "`pratique plan` gives its dates",
                   "dip": f"`pratique dip {treatment.id} --for …` gives the sheet"}[treatment.kind]
        return Problem(code="D455", message=f"`{treatment.id}` is not a dose into a tank", hint=instead)
    return None


def _no_target(request: Request, temperature: float | None) -> Problem:
    water = request.room.water_of(request.tank)
    place = request.room.place(water.path, key=True)
    if temperature is None:
        return Problem(code="D451", message=f"the temperature of `{water.name}` is not known, and the limit of {request.treatment.id} depends on it",
                       places=(place,), hint="measure it and add a line such as `temperature: 25 degC`")
    return Problem(code="D451", message=f"no level of {request.treatment.id} is on file for {temperature:g} degC", places=(place,),
                   hint=f"`pratique why {request.treatment.id}` lists the temperatures that are")


def _target_problems(request: Request, target: Sourced, temperature: float | None) -> list[Problem]:
    """A target outside the band is refused, and the slip that may be behind it named."""
    treatment = request.treatment
    wanted = request.target.value if request.target is not None else target.value
    unit = "µL/L" if target.unit == "uL/L" else target.unit
    floor, ceiling = treatment.number("floor", temperature), treatment.number("ceiling", temperature)
    most = ceiling.value if ceiling is not None else None
    least = floor.value if floor is not None else None
    if treatment.form and request.target is not None:
        most = max(most or 0.0, target.high)
    if most is not None and wanted > most * (1 + 1e-9):
        return [_outside(wanted, f"is above the ceiling {digits(most)} {unit} of {treatment.id}", "D440", request, ceiling or target, temperature)]
    if least is not None and wanted < least * (1 - 1e-9):
        return [_outside(wanted, f"is below {digits(least)} {unit}, under which {treatment.id} does not work", "D441", request, floor or target, temperature)]
    if wanted <= 0:
        return [_outside(wanted, "is not a level to aim for", "D441", request, target, temperature)]
    return []


def _outside(level: float, what: str, code: str, request: Request, by: Sourced, temperature: float | None) -> Problem:
    unit = "µL/L" if by.unit == "uL/L" else by.unit
    treatment = request.treatment
    slip = explain_level(level, treatment, temperature)
    band = treatment.needed("target", temperature)
    return Problem(
        code=code,
        message=f"the target {digits(level)} {unit} {what}",
        note=f"what may have happened: {slip}" if slip else "",
        source=f"{by.source}, {by.where} ({by.confidence})",
        hint=f"the band is {digits(band.low)} to {digits(band.high)} {unit}" if band.low != band.high else f"the level in use is {digits(band.value)} {unit}",
    )


def _change_problems(request: Request, volume: NetVolume) -> list[Problem]:
    share = change_share(request, volume.figure)
    if share is None or 0 < share <= 1:
        return []
    return [Problem(code="D456", message=f"a change of {share * 100:.0f} % is not a part of {digits(volume.figure.value)} L",
                    hint="write litres up to the net volume, or a share such as `25 %`")]


def change_share(request: Request, water: Figure) -> float | None:
    """The part of the water (0 to 1) that `--change` names, or None."""
    if request.change_share is not None:
        return request.change_share
    return request.change_litres.value / water.value if request.change_litres is not None else None


class _Work:
    """One dose being worked out; its steps of working gather as it goes."""

    def __init__(self, request: Request, target: Sourced, strength: Active, volume: NetVolume, temperature: float | None, problems: list[Problem]) -> None:
        self.request, self.treatment, self.strength, self.volume = request, request.treatment, strength, volume
        self.water, self.problems = volume.figure, problems
        self.unit = target.unit
        self.shown = "µL/L" if target.unit == "uL/L" else target.unit
        self.target_source = target
        self.target = request.target.value if request.target is not None else target.value
        ceiling = self.treatment.number("ceiling", temperature)
        self.ceiling = max(ceiling.value, self.target) if ceiling is not None else None
        self.most = self.ceiling
        if self.ceiling is not None and not self.treatment.form:
            self.most = self.ceiling * MEASURING_ROOM
        self.kit = best_kit(request.room, self.treatment.form) if self.treatment.form else None
        self.working: list[Step] = [*volume.working, strength.step]
        self.notes: list[str] = []

    def dose(self) -> Dose:
        if self.volume.nominal:
            self.problems.append(_nominal_warning(self.request, self.volume))
        before = self._before()
        change, before_adding = self._new_water(before)
        if self.ceiling is not None and before.value > self.ceiling and change is None:
            change = self._lower(before)
        additions, actives = self._additions(before_adding)
        total = sum(actives) + (change.add.value * self.strength.per_unit if change and change.add else 0.0)
        after = additions[-1].after if additions else before_adding
        if change is not None and change.purpose == "lower":
            after = Figure.exact(change.after, self.unit)
        add = self._amount(total)
        self._check_left(add)
        band = Band(low=self.target_source.low, high=self.target_source.high, unit=self.unit)
        return Dose(
            tank=self.request.tank, treatment=self.treatment, product=self.strength.name, water=self.water, before=before,
            target=Figure.exact(self.target, self.unit), band=band, active=self._active(total), add=add, after=after,
            steps=tuple(additions), change=change, working=tuple(self.working), sources=self._sources(),
            cautions=(*self.treatment.people, *self.treatment.cautions), problems=tuple(self.problems), notes=tuple(self.notes),
        )

    def _before(self) -> Figure:
        if self.request.reading is not None:
            return self._reading(self.request.reading)
        for holds in self.request.room.water_of(self.request.tank).conditions.holds:
            if holds.treatment == self.treatment.id and holds.level is not None:
                self.notes.append("the level before is the one in the room file; give `--reading` for what is there now")
                return self._reading(holds.level)
        return Figure.exact(0.0, self.unit)

    def _reading(self, reading: Measure) -> Figure:
        kit = self.kit[1] if self.kit is not None else None
        found = Figure.of(reading) if not reading.exact else read_with(kit, reading.value, self.unit)
        if kit is not None and kit.limit is not None and 0 < reading.value < kit.limit.value:
            self.problems.append(Problem(code="D452", severity="warning", message=f"the reading {digits(reading.value)} {self.shown} lies below what the kit can tell, {digits(kit.limit.value)} {self.shown}",
                                         hint="take it as unknown; read again with a finer kit"))
        spread = "" if found.is_exact else f", {digits(found.low)} to {digits(found.high)} with its error"
        self.working.append(Step(label="level before", expression=f"reading{spread}", result=f"{digits(found.value)} {self.shown}"))
        return found

    def _new_water(self, before: Figure) -> tuple[Change | None, Figure]:
        """The amount for the new water of a change; `before` then becomes the level once it is mixed in."""
        share = change_share(self.request, self.water)
        if share is None:
            return None, before
        known = self.request.reading is not None
        level = before.value if known else self.target
        keep = self.target if level <= self.target else max((self.target - level * (1 - share)) / share, 0.0)
        litres = share * self.water.value
        active = keep * litres
        self.working.append(Step(label="into the new water", expression=f"{digits(litres)} L × {digits(keep)} {self.shown}", result=self._active_text(active)))
        mixed = after_change(level, share, keep)
        ends = (after_change(before.low, share, keep), after_change(before.high, share, keep)) if known else (mixed, mixed)
        self.notes.append("water that replaces evaporation gets none: the medicine does not evaporate")
        change = Change(purpose="keep", volume=litres, add=self._amount(active), after=mixed)
        return change, Figure(value=mixed, unit=self.unit, low=min(ends), high=max(ends))

    def _lower(self, before: Figure) -> Change:
        count, share = changes_to_reach(before.value, self.target, MOST_AT_ONCE)
        litres = share * self.water.value
        expression = f"{digits(before.value)} × (1 − {share:.3f}){'' if count == 1 else f' to the power {count}'}"
        self.working.append(Step(label="level too high: change water", expression=expression, result=f"{digits(self.target)} {self.shown}"))
        self.notes.append("the level is too high: change water as below, add none, read again after each change; deaths can follow a gross overdose even after it is corrected")
        return Change(purpose="lower", volume=litres, count=count, after=self.target)

    def _additions(self, before: Figure) -> tuple[list[Addition], list[float]]:
        additions: list[Addition] = []
        actives: list[float] = []
        guarded = is_guarded(self.request.animals) and self.treatment.number("guarded_ramp_steps") is not None
        level = before
        for rung in rungs(self.treatment, self.target, before=before.value, guarded=guarded):
            added = amount_for(rung.level, before=level, water=self.water, strength=self.strength, ceiling=self.most)
            if added.cut:
                self._say_cut()
            if added.active <= 0:
                continue
            self.working.append(self._sum(len(additions), rung.level, level, added.active))
            at = self.request.at + dt.timedelta(hours=rung.hours)
            waits = f"only after a reading near {digits(level.value)} {self.shown}" if additions else ""
            additions.append(Addition(at=at, add=self._amount(added.active), after=added.after, waits_for=waits))
            actives.append(added.active)
            level = read_with(self.kit[1] if self.kit else None, added.after.value, self.unit) if self.treatment.form else added.after
        return additions, actives

    def _sum(self, index: int, level: float, before: Figure, active: float) -> Step:
        label = "active to add" if index == 0 else f"active for step {index + 1}"
        start = f"({digits(level)} − {digits(before.value)})" if before.value else digits(level)
        expression = f"{digits(self.water.value)} L × {start} {self.shown}"
        return Step(label=label, expression=expression, result=self._active_text(active), source=self.target_source.source)

    def _say_cut(self) -> None:
        note = ("cut so that even the smallest water this can be stays under the ceiling: read the level, then correct "
                "with `--reading`; a measured volume would give more")
        if note not in self.notes:
            self.notes.append(note)

    def _amount(self, active: float) -> Figure:
        """`active` (mg, or µL of 37 % product) as product, with the ends for the volume's and bottle's errors."""
        value = active / self.strength.per_unit
        spread = self.strength.share_error
        low = value * self.water.low / self.water.value / (1 + spread)
        high = value * self.water.high / self.water.value / (1 - spread if spread < 1 else 1)
        return Figure(value=value, unit=self.strength.unit, low=low, high=high)

    def _active(self, active: float) -> Figure:
        """mg of the active itself; formalin is counted as formaldehyde, 0.37 mg in each µL."""
        factor = 0.37 if self.unit == "uL/L" else 1.0
        ends = (self.water.low / self.water.value, self.water.high / self.water.value)
        return Figure(value=active * factor, unit="mg", low=active * factor * ends[0], high=active * factor * ends[1])

    def _active_text(self, active: float) -> str:
        return f"{digits(active)} {'µL of 37 % formalin' if self.unit == 'uL/L' else 'mg ' + self.treatment.active}"

    def _check_left(self, add: Figure) -> None:
        left = self.strength.product.left
        if left is not None and add.value > left.value:
            place = self.request.room.place(("shelf", self.strength.name, "left"))
            self.problems.append(Problem(code="D457", severity="warning", places=(place,),
                                         message=f"`{self.strength.name}` holds {digits(left.value)} {left.unit}, this needs {digits(add.value)} {add.unit}",
                                         hint="buy before beginning: a level that cannot be kept is not a treatment"))

    def _sources(self) -> tuple[Sourced, ...]:
        names = ("target", "floor", "ceiling", "ramp_steps", "ramp_interval")
        found = [self.target_source] + [n for n in (self.treatment.number(name) for name in names[1:]) if n is not None]
        return tuple({(number.source, number.where): number for number in found}.values())


def _nominal_warning(request: Request, volume: NetVolume) -> Problem:
    names = ", ".join(f"`{name}`" for name in volume.nominal)
    places = tuple(request.room.place(("tanks", name, "volume", "nominal"), key=True) for name in volume.nominal[:3])
    return Problem(code="D447", severity="warning", places=places, message=f"the volume of {names} is only nominal, so the dose may be a quarter too strong",
                   note="a label's size counts the glass, the sand and the air above the water",
                   hint="pour the water in with a measured jug once, or give the inside dimensions and the height of the water")
