"""What `pratique start` asks about tanks: the one for the quarantine, then as many more as there are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pratique.cli.start_asking import Asking
from pratique.room.first_file import Answers, NewTank

USES = (
    ("display", "the display, where they go in the end"),
    ("transfer", "bare, for moves: one more lets a batch be moved every three days"),
    ("ward", "bare, for medicines"),
    ("observation", "for the long watch; may have sand and rock"),
)
INSIDE = (
    ("lid", "a lid"),
    ("cycled", "a living filter that runs"),
    ("substrate", "sand or gravel"),
    ("rock", "rock"),
)
BARE = 2
"""How many of `INSIDE` may be in a tank for medicines or moves."""
MOST_TANKS = 8


class TankQuestions(Asking):
    """Each tank that is asked about is the last of the answers."""

    def about_the_tank(self) -> None:
        first = self.answers.tank
        self.put(
            "What do you call the quarantine tank?", "It is bare: sand and rock take medicine up.", first.name,
            lambda typed: self.answers.with_tank(replace(first, name=typed)),
        )  # fmt: skip
        self._water()
        self._like()
        self._inside()

    def about_more_tanks(self) -> None:
        """The display, more tanks for moves or medicines; salinity and warmth stand as those of the first."""
        why = "With the display the plan goes to its end; with a second bare tank a batch can be moved."
        for more in range(MOST_TANKS):
            before = self.answers

            def named(typed: str, before: Answers = before) -> Answers:
                tank = replace(before.tanks[0], name=typed, use="transfer", has=())
                return replace(before, tanks=(*before.tanks, tank)) if typed else before

            asked = "Another tank?" if more else "Is there another tank? Its name, such as display."
            if not self.put(asked, f"{'' if more else why + ' '}Enter: no more.", "", named):
                break
            self._another()

    def _another(self) -> None:
        shown = any(tank.use == "display" for tank in self.answers.tanks)
        found = self.choice(
            "What is it for?", "The plan uses a tank for nothing else.", [title for _, title in USES], 2 if shown else 1
        )
        self._know(use=USES[found][0])
        self._water()
        if self.answers.tank.use in ("display", "observation"):
            self._like()
        self._inside()

    def _know(self, **more: str | tuple[str, ...] | tuple[tuple[str, str], ...]) -> None:
        self.answers = self._knowing(**more)

    def _knowing(self, **more: str | tuple[str, ...] | tuple[tuple[str, str], ...]) -> Answers:
        tank: NewTank = replace(self.answers.tank, **more)  # type: ignore[arg-type]
        return self.answers.with_tank(tank)

    def _water(self) -> None:
        ways = (
            "I poured the water in and counted it",
            "I measure the inside, up to the water line",
            "I know the size on its label only (doses then carry a warning)",
        )
        why = "Every dose is for the water that is really there; the size on a label is not that."
        way = self.choice("How do you know how much water is in it?", why, ways, None)
        gallons = {"gal_us": "16 gal_us", "gal_imp": "13 gal_imp"}.get(self.answers.units[0], "60 L")
        match way:
            case 0:
                self._volume("How much water is it?", f"{gallons} ± 2 %", "measured")
            case 1:
                inches = self.answers.units[0] != "L"
                self._sides(("24 in", "12 in", "14 in") if inches else ("60 cm", "30 cm", "35 cm"))
            case _:
                self._volume("What does the label say?", gallons, "nominal")

    def _volume(self, question: str, example: str, key: str) -> None:
        self.put(
            question, f"With its unit, such as {example}.", None, lambda typed: self._knowing(volume=((key, typed),))
        )

    def _sides(self, examples: Sequence[str]) -> None:
        """Three lengths; the ones to come are those of the example until they are typed."""
        names = ("length", "width", "fill")
        questions = ("How long is it inside?", "How wide inside, from front to back?", "How high does the water stand?")
        known = dict(zip(names, examples, strict=True))
        for name, question, example in zip(names, questions, examples, strict=True):

            def took(typed: str, name: str = name) -> Answers:
                sides = {**known, name: typed}
                return self._knowing(volume=(("shape", "box"), *sides.items()))

            known[name] = self.put(question, f"With its unit, such as {example}.", None, took)

    def _like(self) -> None:
        """Salinity and temperature."""
        tank = self.answers.tank
        self.put(
            "How salty is it?", "New water has to match it. Such as 35 g/kg, or 1.0264 sg at 25 degC.", tank.salinity,
            lambda typed: self._knowing(salinity=typed),
        )  # fmt: skip
        self.put(
            "How warm is it?", "Parasites and medicines work faster in warm water.", tank.temperature,
            lambda typed: self._knowing(temperature=typed),
        )  # fmt: skip

    def _inside(self) -> None:
        known = INSIDE if self.answers.tank.use in ("display", "observation") else INSIDE[:BARE]
        why = "Numbers, such as 1 2. Medicines kill a filter, sand and rock take them up. Enter: none of them."
        found = self.marks("Which of these does it have?", why, [title for _, title in known])
        self._know(has=tuple(known[number][0] for number in found))
