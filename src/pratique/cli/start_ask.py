"""The questions of `pratique start`: each with why it is asked and what stands if nothing is typed."""

from __future__ import annotations

import datetime as dt
import os
import sys
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import click

from pratique.room.bottle_hints import EXAMPLES
from pratique.room.first_file import Answers, Bottle, Comer, day_from, first_file

Took = Callable[[str], Answers]
"""The answers with one more, as it was typed."""

UNITS = (
    ("L", "degC", "litres and °C"),
    ("gal_us", "degF", "US gallons and °F"),
    ("gal_imp", "degC", "imperial gallons and °C"),
)
FORMS = (("ionic", "ionic: copper sulfate"), ("amine", "amine-complexed"), ("chelated", "chelated"))
TRUST = (
    ("trusted", "trusted: the seller keeps them apart, and nothing was ever brought in from there"),
    ("unsure", "unsure"),
    ("untrusted", "untrusted: a shop, an importer, a tank with many comings and goings"),
)
MOST_KINDS = 12
WIDTH, INDENT = 78, "    "


def can_ask() -> bool:
    """True where somebody sits at a terminal who can read a question and type an answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def ask_all(now: dt.datetime) -> str:
    """The text of a room file from what is answered. Ctrl-C or the end of input ends it, and nothing is kept."""
    _say("A few questions, then a file to read and change. Enter takes what stands in")
    _say("[ ]. Ctrl-C ends it, and nothing is written.")
    talk = _Talk(Answers(time_zone=_zone_here(), arrives=day_from(now)))
    talk.about_the_room()
    talk.about_the_tank()
    talk.about_who_comes()
    talk.about_the_shelf()
    _say("")
    return first_file(talk.answers)


class _Talk:
    """The answers so far, and the number of the next question."""

    def __init__(self, answers: Answers) -> None:
        self.answers, self.number = answers, 0

    def about_the_room(self) -> None:
        keep = self.answers
        self.text("What do you call the room?", "It stands at the top of every sheet.", "room", keep.room)
        self.text(
            "Which time zone? Continent and city.", "Every hour in the plan is on the clock there.", "time_zone",
            keep.time_zone,
        )  # fmt: skip
        self.text("When are you there, on most days?", "No task is planned outside these hours.", "hours", keep.hours)
        found = self.choice(
            "Which units do you use?", "Sheets and pages print them.", [title for *_, title in UNITS], 1
        )
        volume, temperature, _ = UNITS[found]
        warm = "77 degF" if temperature == "degF" else keep.temperature
        self.answers = replace(self.answers, units=(volume, temperature), temperature=warm)

    def about_the_tank(self) -> None:
        self.text(
            "What do you call the quarantine tank?", "It is bare: sand and rock take medicine up.", "tank",
            self.answers.tank,
        )  # fmt: skip
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
                self.volume("How much water is it?", f"{gallons} ± 2 %", ("measured",))
            case 1:
                inches = self.answers.units[0] != "L"
                self.sides(("24 in", "12 in", "14 in") if inches else ("60 cm", "30 cm", "35 cm"))
            case _:
                self.volume("What does the label say?", gallons, ("nominal",))
        why = "New water has to match it. Such as 35 g/kg, or 1.0264 sg at 25 degC."
        self.text("How salty is it?", why, "salinity", self.answers.salinity)
        self.text(
            "How warm is it?", "Parasites and medicines work faster in warm water.", "temperature",
            self.answers.temperature,
        )  # fmt: skip

    def volume(self, question: str, example: str, keys: tuple[str]) -> None:
        self.put(
            question, f"With its unit, such as {example}.", None,
            lambda typed: replace(self.answers, volume=((keys[0], typed),)),
        )  # fmt: skip

    def sides(self, examples: Sequence[str]) -> None:
        """Three lengths; the ones to come are those of the example until they are typed."""
        names = ("length", "width", "fill")
        questions = ("How long is it inside?", "How wide inside, from front to back?", "How high does the water stand?")
        known = dict(zip(names, examples, strict=True))
        for name, question, example in zip(names, questions, examples, strict=True):

            def took(typed: str, name: str = name) -> Answers:
                sides = {**known, name: typed}
                return replace(self.answers, volume=(("shape", "box"), *sides.items()))

            known[name] = self.put(question, f"With its unit, such as {example}.", None, took)

    def about_who_comes(self) -> None:
        question, why = "Who is coming? One species, such as ocellaris clownfish.", "The plan is made for them."
        for _ in range(MOST_KINDS):
            before = self.answers

            def species(typed: str, before: Answers = before) -> Answers:
                return before.with_comer(Comer(species=typed)) if typed else before

            if not self.put(question, f"{why} Enter: nobody{' more' if before.comers else ' yet'}.", "", species):
                break
            self.comer(before)
            question, why = "Who comes with it?", "What arrives together is planned together."
        if self.answers.comers:
            self.arrival()

    def comer(self, before: Answers) -> None:
        """How many and how big, of the kind that was named last."""
        last = self.answers.comers[-1]
        count = self.put(
            "How many?", "Heads are counted each day.", "1",
            lambda typed: before.with_comer(replace(last, count=typed)),
        )  # fmt: skip
        self.put(
            "How long is each, about?", "Food and ammonia are reckoned from it. Enter: not known.", "",
            lambda typed: before.with_comer(replace(last, count=count, size=typed)),
        )  # fmt: skip

    def arrival(self) -> None:
        self.text("Where from?", "For your own eye; it stands on the record.", "source", self.answers.source)
        why = "It decides which regimen is proposed."
        found = self.choice("How far do you trust the source?", why, [title for _, title in TRUST], 3)
        self.answers = replace(self.answers, trust=TRUST[found][0])
        why = "Water is mixed the day before; the days are counted from it."
        self.text("When do they arrive?", why, "arrives", self.answers.arrives)

    def about_the_shelf(self) -> None:
        known = ", ".join(EXAMPLES)
        for _ in range(MOST_KINDS):
            more = " else" if self.answers.bottles else ""
            why = f"A dose is for the bottle that is really yours. Enter: nothing{more}. Known: {known}."
            before = self.answers

            def active(typed: str, before: Answers = before) -> Answers:
                return before.with_bottle(_sample(typed)) if typed else before

            if not self.put(f"What{more} stands on the shelf? Its active, such as copper.", why, "", active):
                break
            self.bottle(before)
        if self.answers.copper is not None:
            self.copper_test(self.answers.copper)

    def bottle(self, before: Answers) -> None:
        last = self.answers.bottles[-1]
        if last.active == "copper":
            why = "The label or its data sheet says; the bands differ up to 17 times."
            last = replace(last, form=FORMS[self.choice("Which form of copper?", why, [t for _, t in FORMS], None)][0])
        examples = " or ".join(EXAMPLES.get(last.active, ("100 mg/g as what the label names",)))
        strength = self.put(
            "How strong is it?", f"As the label counts it, such as {examples}.", None,
            lambda typed: before.with_bottle(replace(last, strength=typed)),
        )  # fmt: skip
        self.put(
            "How much is left?", "So that `pratique shelf` can say what runs short. Enter: not known.", "",
            lambda typed: before.with_bottle(replace(last, strength=strength, left=typed)),
        )  # fmt: skip

    def copper_test(self, copper: Bottle) -> None:
        self.put(
            f"Does your test read {copper.form} copper, by its leaflet? Its smallest step, such as 0.1 mg/L.",
            "Without one no copper is dosed: too little cures nothing, too much kills. Enter: no such test.", "",
            lambda typed: replace(self.answers, copper_test=typed),
        )  # fmt: skip

    def text(self, question: str, why: str, key: str, default: str) -> None:
        self.put(question, why, default, lambda typed: replace(self.answers, **{key: typed}))  # type: ignore[arg-type]

    def choice(self, question: str, why: str, titles: Sequence[str], default: int | None) -> int:
        """The number of the title that was chosen, counted from 0; `default` is counted from 1, as it is shown."""
        self._ask(question, why)
        for number, title in enumerate(titles, 1):
            _say(f"      {number} {title}")
        while True:
            typed = _read(str(default or ""))
            if typed in map(str, range(1, len(titles) + 1)):
                return int(typed) - 1
            _say(f"    one of 1 to {len(titles)}" + ("" if typed else "; this one only you can say"))

    def put(self, question: str, why: str, default: str | None, took: Took) -> str:
        """What was typed, once the room file can be read with it; until then what is wrong and how to mend it."""
        self._ask(question, why)
        while True:
            typed = _read(default or "")
            if not typed and default is None:
                _say("    this one only you can say")
                continue
            answers = took(typed)
            wrong = _wrong(answers)
            if not wrong:
                self.answers = answers
                return typed
            _say(wrong)

    def _ask(self, question: str, why: str) -> None:
        self.number += 1
        _say(f"\n{self.number:2}. {question}\n{_below(why)}")


def _sample(active: str) -> Bottle:
    """A bottle of this active that can be read, until its strength is typed."""
    strength = EXAMPLES.get(active, ("1 mg/g as it",))[0]
    return Bottle(active=active, form="ionic" if active == "copper" else "", strength=strength)


def _wrong(answers: Answers) -> str:
    """What stands in the way of a file with these answers, and the way out; empty where nothing does."""
    from pratique.room.load import load_room_text

    _, problems = load_room_text(first_file(answers))
    found = next((problem for problem in problems if problem.is_error), None)
    if found is None:
        return ""
    return "\n".join(_below(text) for text in (found.message, found.hint) if text)


def _below(text: str) -> str:
    """Under the question, no wider than a narrow screen; what is shown to be typed stays on one line."""
    return textwrap.fill(
        text, WIDTH, initial_indent=INDENT, subsequent_indent=INDENT, break_long_words=False, break_on_hyphens=False
    )


def _zone_here() -> str:
    """The time zone of this machine where it can be told, else that of the examples."""
    named = os.environ.get("TZ", "")
    way = Path("/etc/localtime")
    parts = way.resolve().parts if way.is_symlink() else ()
    found = named or ("/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else "")
    return found if "/" in found and not _wrong(Answers(time_zone=found)) else Answers().time_zone


def _read(default: str) -> str:
    shown = f"[{default}] " if default else ""
    typed: str = click.prompt(f"    {_plain(shown)}>", default="", show_default=False, prompt_suffix=" ", err=True)
    return " ".join(typed.split()) or default


def _say(text: str) -> None:
    click.echo(_plain(text), err=True)


def _plain(text: str) -> str:
    from pratique.render.screen import look_at
    from pratique.render.signs import to_ascii

    return text if look_at(sys.stderr).unicode else to_ascii(text)
