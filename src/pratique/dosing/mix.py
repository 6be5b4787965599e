"""One bottle into one water: levels turned into amounts, every step of the sum written down."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from pratique.dosing.aim import Aim
from pratique.dosing.draws import as_measured, shown_mL
from pratique.dosing.level import Added, after_adding, amount_for
from pratique.dosing.product import FORMALIN_GRAMS_PER_100ML, Active
from pratique.figure import Figure, Step, digits
from pratique.problem import Problem
from pratique.room.resolve import Room


@dataclass(slots=True)
class Notebook:
    """What gathers while a dose is worked out: its working, its notes, its warnings."""

    steps: list[Step] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def write(self, label: str, expression: str, result: str, source: str = "") -> None:
        self.steps.append(Step(label=label, expression=expression, result=result, source=source))

    def note(self, text: str) -> None:
        """Adds a note once, however often it is said."""
        if text not in self.notes:
            self.notes.append(text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """The sum for one aim, one bottle and one water (L). Amounts of active are in mg, or µL of 37 % formalin.

    An amount of liquid goes down to a mark of the room's syringes, so that every level is of what is poured.
    """

    room: Room
    aim: Aim
    strength: Active
    water: Figure
    book: Notebook

    def raise_to(self, level: float, before: Figure, label: str = "") -> Added:
        """What takes `before` to `level`, cut to the ceiling at the ends of the errors; the sum is written down."""
        added = amount_for(level, before=before, water=self.water, strength=self.strength, ceiling=self.aim.most)
        if added.active > 0:
            which = f" for {label}" if label else ""
            self._write_sum(added, level, before, which)
            poured = self.poured(added.active, which)
            added = replace(added, active=poured, after=after_adding(poured, before, self.water, self.strength))
        return added

    def poured(self, active: float, which: str = "") -> float:
        """The active in what the syringes give of the amount; going down to their mark is written down."""
        if self.strength.unit != "mL":
            return active
        amount = active / self.strength.per_unit
        measured = as_measured(self.room, amount)
        if measured == amount:
            return active
        expression = f"{digits(amount)} mL, down to a mark"
        self.book.write(f"as the syringe measures it{which}", expression, shown_mL(self.room, measured))
        return measured * self.strength.per_unit

    def span(self, active: float, level: float, before: Figure) -> Figure:
        """`active` with the least and the most that the errors of water and level before would make of it."""
        least = max(level - before.high, 0.0) * self.water.low
        most = max(level - before.low, 0.0) * self.water.high
        return Figure.around(active, self.aim.unit, least, most)

    def product(self, active: Figure) -> Figure:
        """Active as product (mL, g or tablets); the ends with the bottle's error."""
        value = active.value / self.strength.per_unit
        low = active.low / self.strength.per_unit / (1 + self.strength.share_error)
        high = active.high / self.strength.per_unit / (1 - self.strength.share_error)
        return Figure(value=value, unit=self.strength.unit, low=low, high=high)

    def milligrams(self, active: Figure) -> Figure:
        """mg of the active itself; formalin is counted as formaldehyde, 0.37 mg in each µL."""
        return active.times(FORMALIN_GRAMS_PER_100ML / 100 if self.aim.unit == "uL/L" else 1.0, "mg")

    def active_text(self, active: float) -> str:
        unit = "µL of 37 % formalin" if self.aim.unit == "uL/L" else f"mg {self.aim.treatment.active}"
        return f"{digits(active)} {unit}"

    def write_product(self, active: float, label: str) -> None:
        """The last division of a sum: active by strength."""
        unit = self.strength.unit
        per = f"{self.active_text(self.strength.per_unit)} per {unit}"
        result = f"{digits(active / self.strength.per_unit)} {unit}"
        self.book.write(label, f"{self.active_text(active)} ÷ {per}", result)

    def _write_sum(self, added: Added, level: float, before: Figure, which: str) -> None:
        goal, start, water = level, before.value, self.water.value
        label = f"active{which}"
        divided = ""
        if added.cut and self.aim.most is not None:
            goal, start, water = self.aim.most, before.high, self.water.low
            label += ", cut to the ceiling"
            if self.strength.share_error:
                divided = f" ÷ {1 + self.strength.share_error:g}"
        rise = f"({digits(goal)} − {digits(start)})" if start else digits(goal)
        expression = f"{digits(water)} L × {rise} {self.aim.shown}{divided}"
        self.book.write(label, expression, self.active_text(added.active), self.aim.target.source)
        self.write_product(added.active, f"{self.strength.called}{which}")

    def say_cut(self, before: Figure) -> None:
        """The note on an amount that was cut: which errors, and what would give more."""
        why = []
        if self.water.low < self.water.value:
            why.append(f"the water may be as little as {digits(self.water.low)} L")
        if self.strength.share_error:
            why.append(f"the bottle may be {self.strength.share_error * 100:.0f} % stronger")
        if before.high > before.value:
            why.append("the level before may be higher than it reads")
        advice = "read it, then correct with `--reading`" if self.aim.treatment.form else "measure the water first"
        limit = self.aim.says(self.aim.most or 0.0)
        self.book.note(f"cut so that the level stays under {limit} at the worst: {', '.join(why)}; {advice}")
