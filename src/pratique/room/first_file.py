"""A first room file from a keeper's answers: tanks, who comes, what stands on the shelf; each line with its reason.

The answers go in as they were typed: whether they can be read is for the reader of room files to say.
"""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from pratique.room.elsewhere import yaml_name

COLUMN = 38
"""Where comments begin beside a line."""

_PLAIN = re.compile(r"\w(?:[\w ./±%'’-]*[\w%])?")
_PLAIN_ON_ITS_LINE = re.compile(r"\w(?:[\w ./±%'’-]|[:,](?=\S)|, )*[\w%]")
"""What needs no quotes: within braces, and alone on a line, where a colon and a comma in a text do not part it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Comer:
    """A kind of animal that arrives, or that lives there; `size` is empty where nobody knows it."""

    species: str
    count: str = "1"
    size: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bottle:
    """A product; `form` is for copper, `left` is empty where nobody looked."""

    active: str
    form: str = ""
    strength: str
    left: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewTank:
    """A tank; `volume` are the keys that say how much water it holds, `has` those for what is in it (`HAS`)."""

    name: str = "quarantine"
    use: str = "ward"
    volume: tuple[tuple[str, str], ...] = (("measured", "60 L ± 1 L"),)
    salinity: str = "35 g/kg"
    temperature: str = "25 degC"
    has: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSyringe:
    """What liquids are measured with: what it holds, and what lies between two of its marks."""

    volume: str
    step: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What was answered, in the keeper's own words; the last of the `tanks` is the one that is asked about."""

    room: str = "my fish room"
    time_zone: str = "Europe/Lisbon"
    hours: str = "07:00-08:30, 18:00-22:00"
    units: tuple[str, str] = ("L", "degC")
    tanks: tuple[NewTank, ...] = (NewTank(),)
    residents: tuple[Comer, ...] = ()
    """Who lives in the display already."""
    comers: tuple[Comer, ...] = ()
    source: str = "a shop in town"
    trust: str = "untrusted"
    arrives: str = ""
    bottles: tuple[Bottle, ...] = ()
    copper_test: str = ""
    """The smallest step of a test that reads the form of copper on the shelf."""
    syringes: tuple[NewSyringe, ...] = ()
    salt: str = ""
    """How much dry salt is left."""

    @property
    def tank(self) -> NewTank:
        return self.tanks[-1]

    @property
    def display(self) -> str | None:
        return next((tank.name for tank in self.tanks if tank.use == "display"), None)

    def with_tank(self, tank: NewTank) -> Answers:
        """The tank that is asked about, as it is known by now."""
        return replace(self, tanks=(*self.tanks[:-1], tank))

    def with_comer(self, comer: Comer) -> Answers:
        return replace(self, comers=(*self.comers, comer))

    def with_resident(self, animal: Comer) -> Answers:
        return replace(self, residents=(*self.residents, animal))

    def with_bottle(self, bottle: Bottle) -> Answers:
        return replace(self, bottles=(*self.bottles, bottle))

    @property
    def copper(self) -> Bottle | None:
        return next((bottle for bottle in self.bottles if bottle.active == "copper"), None)


def first_file(answers: Answers) -> str:
    """The whole file as text."""
    head = (
        "# A room file for pratique, written from your answers. Change what is yours, then: pratique check\n"
        "# Every number needs its unit. The program never writes to this file again.\n"
    )
    sections = (
        _room(answers), _tanks(answers), _batch(answers), _shelf(answers), _salt(answers), _kits(answers),
        _syringes(answers),
    )  # fmt: skip
    return "\n".join([head, *("\n".join(lines) + "\n" for lines in map(list, sections) if lines)])


def _line(indent: int, key: str, value: str, why: str = "") -> str:
    line = f"{'  ' * indent}{key}: {value if _PLAIN_ON_ITS_LINE.fullmatch(value) else yaml_name(value)}"
    return f"{line:<{COLUMN}} # {why}" if why else line


def _flow(pairs: Iterable[tuple[str, str]]) -> str:
    return "{" + ", ".join(f"{key}: {_within(value)}" for key, value in pairs) + "}"


def _within(value: str) -> str:
    return value if _PLAIN.fullmatch(value) else yaml_name(value)


def _room(answers: Answers) -> Iterator[str]:
    volume, temperature = answers.units
    yield "room:"
    yield _line(1, "name", answers.room, "stands on every sheet")
    yield _line(1, "time_zone", answers.time_zone, "continent and city: the clock of the room")
    yield _line(1, "hours", answers.hours, "when you are there: every task is put inside these")
    yield f"  units: {_flow((('volume', volume), ('temperature', temperature)))}  # of the pages; this file may use any"


USES = {
    "ward": "bare: no sand, no rock, so that it can be medicated",
    "transfer": "bare: moved out of and dried every three days",
    "observation": "for the long watch after the treatments, and never any copper",
    "display": "where they stay in the end: no new animal goes in before its release",
}
"""What a tank may be for, and why it is said."""

HAS = {
    "lid": ("yes", "velvet flies in drops, and fish jump"),
    "cycled": ("yes", "a living filter, which some medicines harm"),
    "substrate": ("calcareous", "takes medicines up; `inert` where it is not of lime"),
    "rock": ("calcareous", "takes medicines up; `inert` where it is not of lime"),
}
"""What may be in a tank, by its key: the value, and why it matters."""


def _tanks(answers: Answers) -> Iterator[str]:
    hows = {
        "measured": "poured in and counted: the best way to know",
        "nominal": "the label's size is not the water in it: measure it, and write `measured`",
        "shape": "worked out from the inside, up to the water line",
    }
    yield "tanks:"
    for tank in answers.tanks:
        yield f"  {yaml_name(tank.name)}:"
        yield _line(2, "use", tank.use, USES[tank.use])
        yield f"    volume: {_flow(tank.volume)}  # {hows[tank.volume[0][0]]}"
        yield _line(2, "salinity", tank.salinity, "as it was read; new water is mixed to match it")
        yield _line(2, "temperature", tank.temperature)
        for key, (value, why) in HAS.items():
            if key in tank.has:
                yield _line(2, key, value, why)
        if "lid" not in tank.has:
            yield f"{'    # lid: yes':<{COLUMN}} # if it gets one, without the #: {HAS['lid'][1]}"
    if answers.display is None:
        return
    if not answers.residents:
        yield "\n# Who lives there already; delete the # before each line:\n# animals:"
        yield f"#   - {{species: yellow tang, size: 14 cm, tank: {_within(answers.display)}}}"
        return
    yield "\nanimals:"
    for animal in answers.residents:
        yield f"  - {_flow((*_kind(animal), ('tank', answers.display)))}"


def _kind(animal: Comer) -> Iterator[tuple[str, str]]:
    count = animal.count if animal.count != "1" else ""
    pairs = (("species", animal.species), ("count", count), ("size", animal.size))
    return ((key, value) for key, value in pairs if value)


def _batch(answers: Answers) -> Iterator[str]:
    if not answers.comers:
        yield "# Who comes, once you know; delete the # before each line:"
        yield "# batches:"
        yield "#   first fish:"
        yield f"#     {_trust(answers).strip()}"
        yield f"#     arrives: {answers.arrives or '2027-03-05T18:30'}"
        yield "#     animals: [{species: ocellaris clownfish, size: 4 cm}]"
        return
    yield "batches:"
    yield "  first arrival:"
    yield _line(2, "source", answers.source)
    yield _trust(answers)
    yield _line(2, "arrives", answers.arrives)
    yield "    animals:"
    for comer in answers.comers:
        yield f"      - {_flow(_kind(comer))}"
    if answers.display is not None:
        yield _line(2, "into", answers.display, "where they go after their release")


def _trust(answers: Answers) -> str:
    return _line(2, "trust", answers.trust, "trusted, unsure or untrusted")


def _shelf(answers: Answers) -> Iterator[str]:
    if not answers.bottles:
        yield "# What stands on the shelf: without a product on file no dose is worked out. Such as:"
        yield "# shelf:"
        yield "#   copper bottle: {active: copper, form: chelated, strength: 10 mg/mL as Cu, left: 250 mL}"
        return
    yield "shelf:"
    for bottle, name in zip(answers.bottles, _names(answers.bottles), strict=True):
        yield f"  {yaml_name(name)}:"
        yield _line(2, "active", bottle.active)
        if bottle.form:
            yield _line(2, "form", bottle.form, "ionic, amine or chelated: the bands differ up to 17 times")
        yield _line(2, "strength", bottle.strength, "as the label counts it")
        if bottle.left:
            yield _line(2, "left", bottle.left, "what `pratique shelf` counts down from")


def _salt(answers: Answers) -> Iterator[str]:
    if answers.salt:
        yield f"salt: {_flow([('left', answers.salt)])}  # dry: what new water is mixed from"


def _syringes(answers: Answers) -> Iterator[str]:
    if not answers.syringes:
        return
    yield "syringes:  # no amount is shown finer than their marks"
    for number, syringe in enumerate(answers.syringes, 1):
        yield f"  syringe {number}: {_flow([('volume', syringe.volume), ('step', syringe.step)])}"


def _names(bottles: tuple[Bottle, ...]) -> Iterator[str]:
    seen: dict[str, int] = {}
    for bottle in bottles:
        seen[bottle.active] = number = seen.get(bottle.active, 0) + 1
        yield bottle.active + (f" {number}" if number > 1 else "")


def _kits(answers: Answers) -> Iterator[str]:
    copper = answers.copper
    if copper is None:
        return
    pairs = (("measures", "copper"), ("forms", f"[{copper.form}]"), ("resolution", answers.copper_test or "0.1 mg/L"))
    entry = ", ".join(f"{key}: {value if key == 'forms' else _within(value)}" for key, value in pairs)
    if answers.copper_test:
        yield "kits:"
        yield f"  copper test: {{{entry}}}"
    else:
        yield "# Without a test that reads this form of copper no copper is dosed. Such as:"
        yield "# kits:"
        yield f"#   copper test: {{{entry}}}"


def day_from(now: dt.datetime) -> str:
    """A week on in the evening, as a date and a time of the room file."""
    return f"{now.date() + dt.timedelta(days=7)}T18:30"
