"""Waters that were not reached, and why: what came into them, and what it was worth."""

from __future__ import annotations

import datetime as dt
from collections.abc import Collection, Iterator

from pratique.contacts.model import Contact, Item, Node, Unexposed, Way
from pratique.contacts.near import Drops, Pair, cm
from pratique.contacts.spread import Spread
from pratique.contacts.whereabouts import Whereabouts
from pratique.dates import shown_day
from pratique.room.resolve import Room

Ways = dict[Way, Contact]


def unexposed_waters(
    room: Room, where: Whereabouts, items: Collection[Item], spread: Spread, drops: Drops, since: dt.datetime
) -> Iterator[Unexposed]:
    """Each water that `spread` (over contacts of every strength) does not hold."""
    left: dict[Node, Ways] = {("water", name): {} for name in room.waters if ("water", name) not in spread}
    begin = since.timestamp()
    for item in items:
        if isinstance(item, Contact) and item.to in left and item.at.timestamp() >= begin and item.way != "arrival":
            own = item.way in ("gear", "hands") and item.to == item.from_
            if not own:
                left[item.to][item.way] = item
    for node, ways in left.items():
        reasons = tuple(_reasons(ways, spread)) or ("no contact with an exposed water is on record",)
        reasons += tuple(_apart(node[1], spread, drops))
        tanks = tuple(tank.name for tank in room.waters[node[1]].tanks)
        yield Unexposed(water=node[1], tanks=tanks, here=where.standing(room, node[1]), why=reasons)


def _reasons(ways: Ways, spread: Spread) -> Iterator[str]:
    for way, contact in ways.items():
        match way:
            case "gear":
                said = _of_gear(contact, spread)
                if said:
                    yield said
            case "hands":
                yield "hands: seen to before the exposed waters in each round, or in another round"
            case "fish" | "animal" | "water" | "thing":
                from_ = contact.from_[1] if contact.from_ is not None else "elsewhere"
                exposed = contact.from_ in spread
                when = "before it was exposed, or after it was clean" if exposed else "which was not exposed"
                yield f"{contact.what} came from {from_} on {shown_day(contact.at)}, {when}"


def _of_gear(contact: Contact, spread: Spread) -> str:
    held = spread.get(contact.from_, ()) if contact.from_ is not None else ()
    ended = [e for e in held if e.until is not None and e.until.timestamp() <= contact.at.timestamp()]
    if ended:
        return f"{ended[-1].ended} before it was used here on {shown_day(contact.at)}"
    if held:
        return f"{contact.what} was here on {shown_day(contact.at)}, before it was in an exposed water"
    return ""


def _apart(water: str, spread: Spread, drops: Drops) -> Iterator[str]:
    for pair in drops.pairs:
        if water not in (pair.one, pair.other) or drops.limit is None:
            continue
        other = pair.other if water == pair.one else pair.one
        if ("water", other) in spread and not pair.reached:
            yield _far(pair, other, cm(drops.limit))


def _far(pair: Pair, other: str, limit: float) -> str:
    if pair.barrier:
        return f"something stands between it and {other}, so no drop passes"
    return f"{pair.gap / 100:g} m from {other}: drops go {limit / 100:g} m"
