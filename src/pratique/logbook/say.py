"""An entry in the words that would write it: what was understood, shown back in the keeper's own form."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from pratique.logbook import entry as kinds
from pratique.logbook.entry import Common
from pratique.problem import plural


def spoken(entry: Common, zone: ZoneInfo | None = None) -> str:
    """The words after `pratique log`; with a zone, the time stands before them.

    Read again, they give the same entry (its id and its writer apart).
    """
    words = [_words(entry)]
    reason = getattr(entry, "why", None) or (None if isinstance(entry, kinds.Note) else entry.note)
    if reason:
        words.append(f"because {reason}")
    if zone is not None:
        at = entry.at.astimezone(zone)
        words.insert(0, at.isoformat(timespec="seconds" if at.second else "minutes"))
    return " ".join(words)


def _words(entry: Common) -> str:
    match entry:
        case kinds.Reading():
            return _joined("reading", entry.tank, entry.what, entry.value.text, entry.kit and f"with {entry.kit}")
        case kinds.Dose():
            new = "into new water" if entry.into == "new-water" else ""
            return _joined("dose", entry.tank, entry.treatment, _amount(entry), new)
        case kinds.WaterChange():
            return _joined("change", entry.tank, entry.volume.text, entry.product and f"with {_amount(entry)}")
        case kinds.TopOff():
            return _joined("top-off", entry.tank, entry.volume.text)
        case kinds.Done() | kinds.Skipped():
            return _joined(entry.kind, entry.task)
        case kinds.Opened():
            return _joined("opened", entry.product)
        case kinds.Bought() | kinds.Spoiled():
            return _joined(entry.kind, entry.product, entry.amount and entry.amount.text)
        case kinds.Note():
            return _joined("note", entry.tank, entry.note)
        case kinds.Correction():
            if entry.instead is None:
                return _joined("withdraw", entry.of)
            return _joined("correct", entry.of, _words(entry.instead))
        case _:
            return _words_about_animals_and_gear(entry)


def _words_about_animals_and_gear(entry: Common) -> str:
    of: str | None
    match entry:
        case kinds.Move():
            who = entry.animals or entry.things or (entry.batch,)
            of = f"of {entry.batch}" if entry.animals and entry.batch else ""
            source = f"from {entry.from_} to" if entry.from_ else "to"
            return _joined("move", entry.count, *who, of, source, entry.to)
        case kinds.Arrival():
            return _joined("arrived", entry.batch, "in", entry.tank)
        case kinds.Death():
            of = entry.batch and f"of {entry.batch}"
            return _joined("death", entry.tank, entry.count if entry.count > 1 else None, entry.animal, of)
        case kinds.Found():
            return _joined("found", entry.tank, entry.count if entry.count > 1 else None, entry.animal)
        case kinds.Sign():
            of = entry.animal and entry.batch and f"of {entry.batch}"
            return _joined("sign", entry.tank, entry.count, entry.animal, of, *entry.signs)
        case kinds.Fed():
            return _joined("fed", entry.tank, entry.treatment, entry.food and f"with {entry.food}")
        case kinds.Look():
            of = f"of {entry.batch}" if entry.animal and entry.batch and entry.tank else ""
            whom = (entry.animal, of) if entry.tank and entry.animal else (entry.batch, entry.animal)
            heads = entry.heads and plural(entry.heads, "head")
            eating = {True: "eating", False: "not eating", None: ""}[entry.eating]
            breaths = entry.breaths and f"{entry.breaths} breaths"
            found = f"{entry.how} {entry.findings}" if entry.findings else ""
            return _joined("look", entry.tank, *whom, heads, eating, breaths, *entry.signs, found)
        case kinds.Dip():
            of = f"of {entry.batch}" if entry.animals and entry.batch else ""
            who = entry.animals or (entry.batch,)
            home = entry.tank and f"from {entry.tank}"
            time = entry.minutes and f"for {entry.minutes:.12g} min"
            amount = _amount(entry) and f"with {_amount(entry)}"
            return _joined("dip", entry.count, *who, of, home, entry.treatment, time, amount)
        case kinds.Out():
            how = "" if entry.how == "whole" else entry.how
            return _joined("out", entry.dip, f"after {entry.minutes:.12g} min", how)
        case kinds.GearUse():
            return _joined("gear", entry.gear, "in", entry.tank)
        case kinds.Cleaned() | kinds.Dried():
            return _joined(entry.kind, *(("tank", entry.tank) if entry.tank else ("gear", entry.gear)))
        case _:
            raise TypeError(f"no words for {entry.kind}")


def _amount(entry: kinds.Dose | kinds.WaterChange | kinds.Dip) -> str:
    return f"{entry.amount.text} of {entry.product}" if entry.amount else ""


def _joined(*words: object) -> str:
    return " ".join(str(word) for word in words if word)
