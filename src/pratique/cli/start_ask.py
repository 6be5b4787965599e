"""The questions of `pratique start`: each with why it is asked and what stands if nothing is typed."""

from __future__ import annotations

import datetime as dt
import os
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from zoneinfo import ZoneInfo

from pratique.cli.start_asking import say, wrong_with
from pratique.cli.start_tanks import TankQuestions
from pratique.room.bottle_hints import EXAMPLES
from pratique.room.first_file import Answers, Bottle, Comer, NewSyringe, day_from, first_file

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
MOST_KINDS, MOST_SYRINGES = 12, 4

Question = tuple[str, str]
"""What is asked, and why."""
Taken = Callable[[Answers, Comer], Answers]
"""The answers with one more kind of animal."""


def can_ask() -> bool:
    """True where somebody sits at a terminal who can read a question and type an answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def ask_all(now: dt.datetime) -> str:
    """The text of a room file from what is answered. Ctrl-C or the end of input ends it, and nothing is kept."""
    say("A few questions, then a file to read and change. Enter takes what stands in")
    say("[ ]. Ctrl-C ends it, and nothing is written.")
    talk = _Talk(Answers(time_zone=_zone_here(), arrives=day_from(now)))
    talk.now = now
    talk.about_the_room()
    talk.about_the_tank()
    talk.about_more_tanks()
    talk.about_who_lives_there()
    talk.about_who_comes()
    talk.about_the_shelf()
    talk.about_what_measures()
    say("")
    return first_file(talk.answers)


class _Talk(TankQuestions):
    """All questions, in their order. `now`: when they are asked, in any zone."""

    now: dt.datetime

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
        self.answers = replace(self.answers, units=(volume, temperature))
        if temperature == "degF":
            self.answers = self.answers.with_tank(replace(self.answers.tank, temperature="77 degF"))

    def about_who_lives_there(self) -> None:
        if self.answers.display is None:
            return
        why = "They are looked at each day, and all count as exposed when one falls ill."
        self.kinds(
            (f"Who lives in {self.answers.display} already? One species, such as yellow tang.", why),
            ("Who else lives there?", "One species at a time."), Answers.with_resident, "nobody",
        )  # fmt: skip

    def about_who_comes(self) -> None:
        self.kinds(
            ("Who is coming? One species, such as ocellaris clownfish.", "The plan is made for them."),
            ("Who comes with it?", "What arrives together is planned together."), Answers.with_comer, "nobody yet",
        )  # fmt: skip
        if self.answers.comers:
            self.arrival()

    def kinds(self, first: Question, more: Question, taken: Taken, none: str) -> None:
        """One kind of animal after the other, each with how many and how big, until Enter."""
        question, why = first
        for _ in range(MOST_KINDS):
            before = self.answers

            def species(typed: str, before: Answers = before) -> Answers:
                return taken(before, Comer(species=typed)) if typed else before

            named = self.put(question, f"{why} Enter: {none}.", "", species)
            if not named:
                break
            self.how_many(before, taken, Comer(species=named))
            (question, why), none = more, "nobody more"

    def how_many(self, before: Answers, taken: Taken, kind: Comer) -> None:
        """How many and how big, of the kind that was named last."""
        count = self.put(
            "How many?", "Heads are counted each day.", "1", lambda typed: taken(before, replace(kind, count=typed))
        )
        self.put(
            "How long is each, about?", "Food and ammonia are reckoned from it. Enter: not known.", "",
            lambda typed: taken(before, replace(kind, count=count, size=typed)),
        )  # fmt: skip

    def arrival(self) -> None:
        self.text("Where from?", "For your own eye; it stands on the record.", "source", self.answers.source)
        why = "It decides which regimen is proposed."
        found = self.choice("How far do you trust the source?", why, [title for _, title in TRUST], 3)
        self.answers = replace(self.answers, trust=TRUST[found][0])
        why = "Water is mixed the day before; the days are counted from it. Also: now, today, tomorrow, yesterday."
        before = self.answers
        self.put(
            "When do they arrive?", why, before.arrives,
            lambda typed: replace(before, arrives=dated(typed, self.now.astimezone(ZoneInfo(before.time_zone)))),
        )  # fmt: skip

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

    def about_what_measures(self) -> None:
        """Syringes, where there is a bottle to dose from, and the salt that new water is mixed from."""
        for more in range(MOST_SYRINGES if self.answers.bottles else 0):
            before = self.answers

            def holds(typed: str, before: Answers = before) -> Answers:
                return _with_syringe(before, typed, typed) if typed else before

            asked = "Another syringe?" if more else "Which syringe do you measure with? What it holds, such as 5 mL."
            why = "No amount is shown finer than its marks. Enter: no more."
            volume = self.put(asked, why, "", holds)
            if not volume:
                break

            def marked(typed: str, before: Answers = before, volume: str = volume) -> Answers:
                return _with_syringe(before, volume, typed)

            self.put("What lies between two of its marks?", "Such as 0.2 mL.", None, marked)
        self.text("How much dry salt is there?", "Such as 10 kg. Enter: not known.", "salt", "")


def dated(typed: str, now: dt.datetime) -> str:
    """A word for a day as the room file writes it; anything else as it was typed.

    >>> dated("Tomorrow", dt.datetime(2027, 3, 5, 18, 7)), dated("soon", dt.datetime(2027, 3, 5, 18, 7))
    ('2027-03-06', 'soon')
    """
    word = typed.casefold()
    if word == "now":
        return f"{now:%Y-%m-%dT%H:%M}"
    days = {"today": 0, "tomorrow": 1, "yesterday": -1}.get(word)
    return typed if days is None else f"{now.date() + dt.timedelta(days=days)}"


def _with_syringe(answers: Answers, volume: str, step: str) -> Answers:
    return replace(answers, syringes=(*answers.syringes, NewSyringe(volume=volume, step=step)))


def _sample(active: str) -> Bottle:
    """A bottle of this active that can be read, until its strength is typed."""
    strength = EXAMPLES.get(active, ("1 mg/g as it",))[0]
    return Bottle(active=active, form="ionic" if active == "copper" else "", strength=strength)


def _zone_here() -> str:
    """The time zone of this machine where it can be told, else that of the examples."""
    named = os.environ.get("TZ", "")
    way = Path("/etc/localtime")
    parts = way.resolve().parts if way.is_symlink() else ()
    found = named or ("/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else "")
    return found if "/" in found and not wrong_with(Answers(time_zone=found)) else Answers().time_zone
