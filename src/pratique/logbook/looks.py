"""A look among typed words: `look ward 3 heads eating 80 breaths dust`, `look ward kole tang microscope cells`."""

from __future__ import annotations

import re
from collections.abc import Sequence

from pratique.logbook.bottle import Fields
from pratique.logbook.scope import Scope
from pratique.logbook.words import Names, Words
from pratique.problem import quoted
from pratique.room.wrong import Wrong

_INSTRUMENTS = {"microscope": "microscope", "scope": "microscope", "necropsy": "necropsy", "autopsy": "necropsy"}
_HEADS = ("heads", "head", "alive", "fish", "animals")
_BREATHS = ("breaths a minute", "breaths per minute", "breaths/min", "breaths", "bpm")
_MOST_BREATHS = 600


def look_fields(words: Words, scope: Scope) -> Sequence[Fields]:
    """`TANK|BATCH [ANIMAL] [3 heads] [eating|not eating] [80 breaths] [SIGN…] [microscope|necropsy WORDS]`."""
    words.need("where somebody looked", "name a tank or a batch, such as `look ward 3 heads eating`")
    findings = _findings(words)
    fields = _whom(words, scope)
    signs: list[str] = []
    while words.left:
        if not _told(words, fields) and not words.try_word("and", "with", "no signs"):
            signs.append(words.name(scope.signs))
    return [{**fields, "signs": tuple(dict.fromkeys(signs)), **findings}]


def _findings(words: Words) -> Fields:
    """The free words at the end, taken off; the commas before them part nothing."""
    lower = [word.casefold().rstrip(":,") for word in words.items]
    at = next((index for index in range(words.at, len(lower)) if lower[index] in _INSTRUMENTS), None)
    found = " ".join(words.items[at + 1 :]) if at is not None else ""
    if at is not None and not found:
        raise Wrong("L731", f"what the {lower[at]} showed is missing", f"such as `{lower[at]} nothing seen`")
    words.items = [word.rstrip(",") for word in words.items[:at] if word != ","]
    return {"how": _INSTRUMENTS[lower[at]], "findings": found} if at is not None else {}


def _whom(words: Words, scope: Scope) -> Fields:
    batch = None if scope.tanks.longest(words.left) else words.try_name(scope.batches)
    tank = None
    if batch is None:
        words.try_word("tank", "in")
        tank = words.try_name(scope.tanks)
        if tank is None:
            raise Names("tank or batch", (*scope.tanks.all, *scope.batches.all)).unknown(words.left)
        batch = words.try_name(scope.batches)
    animal = words.try_name(scope.animals)
    if animal is not None and batch is None:
        batch = words.name(scope.batches) if words.try_word("of") else scope.batch_of(animal)
    return {"tank": tank, "batch": batch, "animal": animal}


def _told(words: Words, fields: Fields) -> bool:
    """Goes past a count of heads or breaths, or a word on eating."""
    if words.try_word("not eating", "does not eat", "eats not"):
        fields["eating"] = False
        return True
    if words.try_word("eating", "eats", "all eating"):
        fields["eating"] = True
        return True
    if not words.left or not re.fullmatch(r"[0-9]{1,7}", words.left[0]):
        return False
    number, text = int(words.left[0]), words.left[0]
    words.at += 1
    if words.try_word(*_BREATHS):
        if not 0 < number <= _MOST_BREATHS:
            raise Wrong("L731", f"{quoted(text)} breaths a minute cannot be", "count for 30 s and double it", part=text)
        fields["breaths"] = number
    elif words.try_word(*_HEADS) and number > 0:
        fields["heads"] = number
    else:
        hint = "write `3 heads` or `80 breaths`; none alive is a death: `pratique log death`"
        raise Wrong("L731", f"{quoted(text)} does not say of what", hint, part=text)
    return True
