"""The words that signs, circumstances and animals go by, the longest first."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from pratique.knowledge import store
from pratique.knowledge.model import Pathogen
from pratique.problem import near_names
from pratique.room.resolve import Animal

_JOINERS = re.compile(r"[-_–/]+")


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a phrase means: a sign seen or not, a choice of a circumstance, or an animal. `said`: its plain name."""

    kind: Literal["sign", "fact", "animal"]
    id: str
    value: str = "yes"


Phrase = tuple[str, ...]


def parts_of(word: str) -> Phrase:
    """A typed word in small letters, parted at hyphens, without the marks around it.

    >>> parts_of("White-Spots,")
    ('white', 'spots')
    """
    plain = word.casefold().replace("\u2019", "'").strip(",.;:!()\"'")
    return tuple(part for part in _JOINERS.split(plain) if part)


def disease_named(words: Sequence[Phrase]) -> Pathogen | None:
    """The agent whose name `words` begin with: a guess at what it is, where only what is seen can be weighed."""
    said = tuple(part for word in words for part in word)
    for id_ in store.pathogen_ids():
        agent = store.pathogen(id_)
        for name in (id_, agent.title, agent.short, *agent.names):
            phrase = tuple(part for piece in name.split() for part in parts_of(piece))
            if phrase and said[: len(phrase)] == phrase:
                return agent
    return None


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Phrases and their meanings."""

    meanings: Mapping[Phrase, Meaning]
    longest: int

    def match(self, words: Sequence[Phrase]) -> tuple[int, Meaning] | None:
        """The longest phrase that `words` begin with: how many of the words, and what it means."""
        for span in range(min(self.longest, len(words)), 0, -1):
            meaning = self.meanings.get(tuple(part for word in words[:span] for part in word))
            if meaning is not None:
                return span, meaning
        return None

    def near(self, words: Sequence[Phrase]) -> list[str]:
        """Known phrases that are nearly what `words` begin with, the longest span first."""
        names = {" ".join(phrase) for phrase, meaning in self.meanings.items() if meaning.kind != "animal"}
        for span in range(min(3, len(words)), 0, -1):
            text = " ".join(part for word in words[:span] for part in word)
            found = near_names(text, names) if len(text) > 2 else []
            if found:
                return found
        return []


def vocabulary(animals: Iterable[Animal] = (), elsewhere: Iterable[Animal] = ()) -> Vocabulary:
    """Ids, titles and other words of all signs and circumstances, and names of animals, those in the water first."""
    found: dict[Phrase, Meaning] = {}
    for sign in store.signs().values():
        _add(found, (sign.id, sign.title, *sign.words), Meaning("sign", sign.id, "yes"))
        _add(found, sign.denied, Meaning("sign", sign.id, "no"))
    for circumstance in store.circumstances().values():
        for choice in circumstance.choices:
            _add(found, (choice.title, *choice.words), Meaning("fact", circumstance.id, choice.id))
    for phrase, meaning in list(found.items()):
        if len(phrase) == 2 and meaning.kind == "sign":
            found.setdefault((phrase[1], phrase[0]), meaning)  # "eyes cloudy"
    _add_animals(found, tuple(animals))
    _add_animals(found, tuple(elsewhere))
    return Vocabulary(found, max(map(len, found)))


def _add(found: dict[Phrase, Meaning], words: Iterable[str], meaning: Meaning) -> None:
    for word in words:
        phrase = tuple(part for piece in word.split() for part in parts_of(piece))
        if phrase:
            found.setdefault(phrase, meaning)


def _add_animals(found: dict[Phrase, Meaning], animals: tuple[Animal, ...]) -> None:
    """By label, name and species; by its group or the last word of a name where that means one animal only."""
    loose: dict[str, set[str]] = {}
    for animal in animals:
        record = store.species().get(animal.scientific)
        names = (animal.label, animal.name, animal.scientific, *(record.names if record else ()))
        _add(found, (name for name in names if name), Meaning("animal", animal.label))
        for word in {animal.group.id, *(name.split()[-1] for name in names if name)}:
            loose.setdefault(word, set()).add(animal.label)
    for word, labels in loose.items():
        if len(labels) == 1:
            _add(found, (word,), Meaning("animal", next(iter(labels))))
