"""What a keeper types of a sick tank, understood: `dust, breathing fast, no spots, since 2 h, all at once`.

    SIGN…   [no|without] SIGN   since|for 2 h   breaths 120/min [usual 80]   size 0.1 mm   ammonia 0.5 mg/L
    ANIMAL   dying ANIMAL   dead ANIMAL   and the words of circumstances.yaml, such as `overnight` or `one fish`

Words that are not known are refused with near names; nothing is guessed. Codes X650 to X653 and X658.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

from pratique.knowledge import store
from pratique.logbook.amount import read_quantity
from pratique.logbook.scope import MEASURES
from pratique.problem import Place, Problem, near_hint, quoted
from pratique.quantity import Measure, QuantityError, parse_measure
from pratique.response.observed import Fact, Observed, TypedReading, in_order
from pratique.response.vocabulary import Meaning, Phrase, Vocabulary, disease_named, parts_of
from pratique.room.wrong import Wrong

_SKIPPED = frozenset(
    {
        "and", "with", "the", "a", "an", "is", "are", "has", "have", "had", "but", "it", "they", "its", "their", "of",
        "there", "in", "on", "plus", "also", "very", "some", "now", "he", "she", "him", "her", "his", "&", "+",
    }
)  # fmt: skip
_NEGATIONS = {"no", "not", "without", "none", "never", "nothing"}
_SINCE = {"since", "for"}
_HOURS = {
    **dict.fromkeys(("hour", "hours", "hrs", "hr"), "h"), **dict.fromkeys(("day", "days"), "d"),
    **dict.fromkeys(("week", "weeks"), "wk"), **dict.fromkeys(("minute", "minutes", "mins"), "min"),
}  # fmt: skip
_BREATHS = re.compile(r"([0-9]{1,3}(?:\.[0-9]+)?)(?:/min|/minute|bpm)?", re.I)
_COUNT = re.compile(r"[0-9]{1,6}")
_MOST_BREATHS = 400
_WORDS_OF_A_READING = 5
_USUAL_WORDS = 2
"""A number and its unit: what is said of a reading that cannot be read is said of these."""


@dataclass(slots=True)
class Heard:
    """The words as far as they are understood."""

    yes: dict[str, None] = field(default_factory=dict)
    no: dict[str, None] = field(default_factory=dict)
    facts: dict[str, list[str]] = field(default_factory=dict)
    named: dict[str, list[str]] = field(default_factory=lambda: {"affected": [], "dying": [], "dead": []})
    breaths: float | None = None
    usual: float | None = None
    hours: float | None = None
    readings: dict[str, TypedReading] = field(default_factory=dict)


class _Listener:
    """Goes through the words once; each problem has its place in the line."""

    def __init__(self, text: str, vocabulary: Vocabulary, heard: Heard, *, denied: bool) -> None:
        self.text, self.vocabulary, self.heard, self.denied = text, vocabulary, heard, denied
        self.found = list(re.finditer(r"[^\s,;]+", text))
        self.words: list[Phrase] = [parts_of(match[0]) for match in self.found]
        self.raw = [match[0].rstrip(".!") for match in self.found]
        self.at, self.negated = 0, denied
        self.problems: list[Problem] = []

    def listen(self) -> None:
        while self.at < len(self.raw):
            try:
                self._one()
            except Wrong as wrong:
                self._report(wrong)
                self.at += max(1, len((wrong.part or "").split()))
                self.negated = self.denied

    def _one(self) -> None:
        word = self.raw[self.at].casefold()
        if self._measured(word):
            return
        matched = self.vocabulary.match(self.words[self.at :])
        if matched is not None:
            self.at += matched[0]
            self._take(matched[1])
            joined = self.at < len(self.raw) and self.raw[self.at].casefold() in ("or", "nor")
            self.at += joined
            self.negated = self.negated if joined else self.denied
        elif word in _NEGATIONS:
            self.negated = True
            self.at += 1
        elif word in _SKIPPED or not self.words[self.at]:
            self.at += 1
        else:
            raise self._unknown()

    def _unknown(self) -> Wrong:
        agent = disease_named(self.words[self.at :])
        if agent is not None:
            shows = ", ".join(f"`{id_}`" for id_, sign in agent.signs.items() if sign.weight == "typical")
            hint = f"what do you see? {agent.short} may show {shows}; say which is there"
            said = self.raw[self.at]
            return Wrong("X658", f"{quoted(said)} is a guess at what it is, and no sign", hint, part=said)
        near = self.vocabulary.near(self.words[self.at :])
        hint = near_hint(near) or "say what is seen, such as `dust`, `gasping`, `white spots`; `pratique signs --help`"
        return Wrong("X650", f"{quoted(self.raw[self.at])} is not a sign that is known", hint, part=self.raw[self.at])

    def _take(self, meaning: Meaning) -> None:
        if meaning.kind == "animal":
            self.heard.named["affected"].append(meaning.id)
        elif meaning.kind == "fact":
            if self.negated:
                raise Wrong(
                    "X650", "a `no` stands before what is not a sign", "say what is, such as `one fish`",
                    part=self.raw[self.at - 1],
                )  # fmt: skip
            self._fact(meaning.id, meaning.value)
        else:
            seen = (meaning.value == "yes") != self.negated
            (self.heard.yes if seen else self.heard.no)[meaning.id] = None

    def _fact(self, name: str, choice: str) -> None:
        known = self.heard.facts.setdefault(name, [])
        if choice not in known:
            known.append(choice)

    def _measured(self, word: str) -> bool:
        """A number with a word before it: true where it was one, and was taken."""
        following = self.raw[self.at + 1] if self.at + 1 < len(self.raw) else ""
        if word in _SINCE and following[:1].isdigit():
            self.at += 1
            hours = self._number("duration")
            self.heard.hours = hours
            self._of_number("came", hours)
        elif word == "size" and following[:1].isdigit():
            self.at += 1
            self._of_number("size", self._number("length"))
        elif word in ("breaths", "breathing", "breath") and following[:1].isdigit():
            self.at += 1
            self.heard.breaths = self._breaths()
            if self.at < len(self.raw) and self.raw[self.at].casefold() in ("usual", "usually", "normal", "normally"):
                self.at += 1
                self.heard.usual = self._breaths()
        elif word in ("count", "counted") and _COUNT.fullmatch(following):
            self.at += 2
            self._fact("number", "countable")
        elif word in ("dying", "dead") and self._name_after(word):
            return True
        elif following[:1].isdigit() and (what := _measure(word)):
            self._reading(what)
        else:
            return False
        return True

    def _name_after(self, word: str) -> bool:
        """`dying NAME`, `dead NAME`."""
        matched = self.vocabulary.match(self.words[self.at + 1 :])
        if matched is None or matched[1].kind != "animal":
            known = [" ".join(p) for p, m in self.vocabulary.meanings.items() if m.kind == "animal"][:6]
            hint = f"name it after the word: {', '.join(known)}" if known else "by the record nobody is in this water"
            raise Wrong("X652", f"who is {word} is missing", hint, part=self.raw[self.at])
        self.at += 1 + matched[0]
        self.heard.named[word].append(matched[1].id)
        return True

    def _number(self, dimension: str) -> float:
        """A figure with its unit in one word or two: hours, or cm."""
        word, unit = self.raw[self.at], self.raw[self.at + 1] if self.at + 1 < len(self.raw) else ""
        tries = ((2, f"{word} {_HOURS.get(unit.casefold(), unit)}"), (1, re.sub(r"([0-9])([a-z]+)$", r"\1 \2", word)))
        error: QuantityError | None = None
        for span, text in tries:
            try:
                value = parse_measure(text, dimension).value
            except QuantityError as caught:
                error = error or caught
                continue
            if value < 0:
                break
            self.at += span
            return value
        example = "`since 2 h`" if dimension == "duration" else "`size 0.5 mm`"
        hint = (error.hint if error is not None else "") or f"write such as {example}"
        typed = f"{word} {unit}".strip()
        raise Wrong("X652", f"{quoted(typed)} cannot be read", hint, part=typed)

    def _of_number(self, name: str, value: float) -> None:
        choice = store.circumstances()[name].of_number(value)
        if choice is not None:
            self._fact(name, choice.id)

    def _breaths(self) -> float:
        word = self.raw[self.at] if self.at < len(self.raw) else ""
        found = _BREATHS.fullmatch(word)
        if found is None or not 0 < float(found[1]) <= _MOST_BREATHS:
            hint = f"count for 30 seconds and double it; write such as `breaths 120/min`, at most {_MOST_BREATHS}"
            raise Wrong("X652", f"{quoted(word)} is not a number of breaths a minute", hint, part=word)
        self.at += 1
        if self.at < len(self.raw) and self.raw[self.at].casefold() in ("a", "per", "/min", "min"):
            self.at += 2 if self.raw[self.at].casefold() in ("a", "per") else 1
        return float(found[1])

    def _reading(self, what: str) -> None:
        start = self.at + 1
        error: Wrong | None = None
        for end in range(min(len(self.raw), start + _WORDS_OF_A_READING), start, -1):
            try:
                quantity = read_quantity(" ".join(self.raw[start:end]), what)  # type: ignore[arg-type]
            except Wrong as wrong:
                error = wrong if error is None or end == start + _USUAL_WORDS else error
                continue
            low = quantity.value if quantity.low is None else quantity.low
            high = quantity.value if quantity.high is None else quantity.high
            value = Measure(quantity.value, quantity.unit, low, high, quantity.text)
            self.heard.readings[what] = TypedReading(what=what, value=value)
            self.at = end
            return
        assert error is not None, "a word with a digit follows"
        self.at, error.part = start, " ".join(self.raw[start : start + _USUAL_WORDS])
        raise error

    def _report(self, wrong: Wrong) -> None:
        index = min(self.at, len(self.found) - 1)
        column = self.found[index].start() + 1
        part = wrong.part if wrong.part and self.text.find(wrong.part, column - 1) == column - 1 else self.raw[index]
        place = Place(file="pratique signs", line=1, column=column, width=len(part), text=self.text)
        self.problems.append(
            Problem(code=wrong.code, message=wrong.message, hint=wrong.hint, note=wrong.note, places=(place,))
        )


def _measure(word: str) -> str:
    return next((name for name, others in MEASURES.items() if word == name or word in others), "")


def hear(text: str, denied: str, vocabulary: Vocabulary, observed: Observed) -> tuple[Observed, tuple[Problem, ...]]:
    """`observed` with what `text` says, and the signs in `denied` looked for in vain. What was typed never raises."""
    heard = Heard()
    problems: list[Problem] = []
    for line, no in ((text, False), (denied, True)):
        listener = _Listener(line, vocabulary, heard, denied=no)
        listener.listen()
        problems += listener.problems
    notes: list[str] = []
    _judge_breaths(heard, notes)
    problems += _contradictions(heard)
    if problems:
        return observed, tuple(problems)
    facts: list[Fact] = [(name, choice) for name, choices in heard.facts.items() for choice in choices]
    found = replace(
        observed,
        present=in_order((*observed.present, *heard.yes)),
        absent=in_order(heard.no),
        affected=_names(heard, "affected"),
        dying=_names(heard, "dying"),
        dead=_names(heard, "dead"),
        breaths=heard.breaths,
        usual=heard.usual,
        hours=heard.hours,
        readings=tuple(heard.readings[what] for what in sorted(heard.readings)),
        notes=tuple(notes),
    )
    return found.with_facts(facts), ()


def _names(heard: Heard, kind: str) -> tuple[str, ...]:
    return tuple(sorted(set(heard.named[kind])))


def _judge_breaths(heard: Heard, notes: list[str]) -> None:
    """A count of breaths made into a sign, where it can be: by the animal's usual count, else by two limits (M)."""
    if heard.breaths is None:
        return
    known = store.scoring()
    if heard.usual is not None:
        limit = heard.usual * known.of("breaths_rise") / 100
        fast: bool | None = heard.breaths >= limit
        notes.append(f"{heard.breaths:g} breaths a minute beside the usual {heard.usual:g}: fast from {limit:.0f} (M)")
    else:
        span = known.needed("breaths_fast")
        fast = True if heard.breaths >= span.high else False if heard.breaths < span.low else None
        notes.append(
            f"{heard.breaths:g} breaths a minute: taken as fast from {span.high:g}, as not fast under {span.low:g}"
            " (from memory); write `usual` and its usual count to be surer"
        )
    if fast is not None:
        (heard.yes if fast else heard.no)["fast-breathing"] = None


def _contradictions(heard: Heard) -> list[Problem]:
    both = [store.signs()[sign].title for sign in heard.yes if sign in heard.no]
    found = [
        Problem(code="X651", message=f"{quoted(title)} is said to be there and not to be there", hint="leave one out")
        for title in both
    ]
    for name, choices in heard.facts.items():
        circumstance = store.circumstances()[name]
        if len(choices) > 1 and not circumstance.several:
            said = " and ".join(quoted(circumstance.choice(choice).title) for choice in choices)
            message = f"{circumstance.title} is answered twice: {said}"
            found.append(Problem(code="X653", message=message, hint="keep the one that is so"))
    return found
