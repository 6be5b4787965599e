"""Who may share a water: what the keeper keeps apart, animals without a backbone from fish, and companions.

Nothing published says which species of the trade can be kept together in quarantine, or how large one has to be to eat
another; so the program knows only what the room file says under `apart`.
"""

from __future__ import annotations

from collections.abc import Iterable

from pratique.room.resolve import Animal, Room


def clash(room: Room, some: Iterable[Animal], others: Iterable[Animal]) -> str:
    """Why these may not share a water, or empty."""
    theirs = list(others)
    for one in some:
        for other in theirs:
            if one.group.is_fish != other.group.is_fish:
                return f"{one.label} and {other.label}: fish and animals without a backbone"
            for apart in room.written.apart:
                first, second = (word.lower() for word in apart.between)
                mine, his = names_of(one), names_of(other)
                if (first in mine and second in his) or (second in mine and first in his):
                    because = f" ({apart.because})" if apart.because else ""
                    return f"{one.label} and {other.label} are kept apart{because}"
    return ""


def names_of(animal: Animal) -> frozenset[str]:
    """What an animal may be called under `apart`: its name, species and group."""
    from pratique.knowledge import store

    known = store.species().get(animal.scientific)
    trade = known.names if known is not None else ()
    words = (animal.label, animal.name, animal.scientific, animal.group.id, *trade)
    return frozenset(word.lower() for word in words if word)


def clash_within(room: Room, animals: tuple[Animal, ...]) -> str:
    """Why the animals of one arrival may not share a water, or empty; alike ones in one line count as two."""
    for number, animal in enumerate(animals):
        rest = animals[number + 1 :] if animal.count == 1 else animals[number:]
        found = clash(room, [animal], rest)
        if found:
            return found
    return ""
