"""A chain of exposures as steps from water to water, with the carrier between them in words."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from pratique.contacts.model import Contact, Hop, Node
from pratique.contacts.spread import Exposure

SOMEWHERE = "a water nobody named"


def hops_to(exposure: Exposure) -> tuple[Hop, ...]:
    """The path by which a node was first reached, from the origin on."""
    chain = exposure.chain()
    found: list[Hop] = []
    carrier: tuple[Exposure, str] | None = None
    for before, step in pairwise(chain):
        assert step.via is not None
        if step.node[0] in ("gear", "hands"):
            carrier = (step, before.node[1])
            continue
        from_ = carrier[1] if carrier is not None else name_of(before.node)
        taken = (step.taken or carrier[0].at) if carrier is not None else None
        found.append(_hop(step.via, from_, step.node, taken))
        carrier = None
    return tuple(found)


def latest_hop(exposure: Exposure) -> Hop | None:
    """The latest contact that brought it again, where that is not the first."""
    if exposure.last_via is None or exposure.last_from is None or exposure.last_via is exposure.via:
        return None
    return _hop(exposure.last_via, name_of(exposure.last_from.node), exposure.node, None)


def hops_from(exposure: Exposure) -> tuple[Hop, ...]:
    """Of a walk backward: the path from this node to where it was looked for."""
    found: list[Hop] = []
    step = exposure
    taken: tuple[str, Contact] | None = None
    while step.before is not None:
        assert step.via is not None
        target = step.before
        if target.node[0] in ("gear", "hands") and target.before is not None:
            taken = (name_of(step.node), step.via)
        elif taken is not None:
            found.append(_hop(step.via, taken[0], target.node, taken[1].at))
            taken = None
        else:
            found.append(_hop(step.via, name_of(step.node), target.node, None))
        step = target
    return tuple(found)


def name_of(node: Node) -> str:
    """What a keeper calls it."""
    return node[1] if node[0] != "hands" else "hands"


def _hop(via: Contact, from_: str, to: Node, taken: dt.datetime | None) -> Hop:
    from_ = from_ if via.from_ is not None else SOMEWHERE
    return Hop(
        from_=from_, to=name_of(to), at=via.at, way=via.way, level=via.level, text=_text(via, from_, taken),
        entry_id=via.entry_id,
    )  # fmt: skip


def _text(via: Contact, from_: str, taken: dt.datetime | None) -> str:
    match via.way:
        case "fish" | "animal":
            return f"{via.what} moved"
        case "arrival":
            return f"{via.what} came from outside"
        case "water" | "thing":
            return f"{via.what} carried over"
        case "unnamed":
            return f"{via.what} carried in from nobody knows where"
        case "gear":
            return f"{via.what} used" if from_ == via.what else f"{via.what} wet{_taken(taken, via.at, from_)}"
        case "hands":
            who = f"hands of {via.what}" if via.what else "hands"
            return f"{who}{_taken(taken, via.at, from_)}"
        case "spray":
            return f"drops, {via.what}"
        case "set":
            return f"{via.what} is used in both, and nobody wrote when"


def _taken(taken: dt.datetime | None, at: dt.datetime, from_: str) -> str:
    if taken is None:
        return f" after {from_}"
    hours = (at - taken).total_seconds() / 3600
    return f", {_spoken(hours)} after {from_}"


def _spoken(hours: float) -> str:
    if hours < 1:
        return f"{round(hours * 60)} min"
    return f"{round(hours, 1):g} h"
