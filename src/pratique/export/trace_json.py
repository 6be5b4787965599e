"""The answer about contacts as JSON: one object for each water, source, hold and set of gear."""

from __future__ import annotations

from typing import Any

from pratique.contacts.model import ClockEffect, HeldItem, Hop, Reached, Source, ToClean, Trace, Unexposed
from pratique.export.json import moment_json, number
from pratique.history.events import Stay


def trace_json(trace: Trace) -> dict[str, Any]:
    """`strength` is `direct` (the same water, or a fish moved), `wet` or `possible`."""
    return {
        "asked": {"name": trace.origin.name, "kind": trace.origin.kind, "waters": list(trace.origin.waters)},
        "agent": trace.agent or None,
        "since": trace.since.isoformat(),
        "since_why": trace.since_why,
        "seen": trace.seen.isoformat(),
        "seen_why": trace.seen_why,
        "from_log": trace.from_log,
        "exposed": [_reached(found) for found in trace.reached],
        "not_exposed": [_unexposed(entry) for entry in trace.unexposed],
        "sources": [_source(source) for source in trace.sources],
        "held": [_held(item) for item in trace.held],
        "to_disinfect": [_clean(item) for item in trace.to_clean],
        "notes": list(trace.notes),
    }


def _stays(stays: tuple[Stay, ...]) -> list[dict[str, Any]]:
    return [
        {"animal": stay.animal, "count": stay.count, "batch": stay.batch or None, "tank": stay.tank} for stay in stays
    ]


def _hop(hop: Hop) -> dict[str, Any]:
    return {
        "from": hop.from_,
        "to": hop.to,
        "at": hop.at.isoformat(),
        "by": hop.way,
        "strength": hop.level,
        "text": hop.text,
        "entry": hop.entry_id or None,
    }


def _reached(found: Reached) -> dict[str, Any]:
    return {
        "water": found.water,
        "tanks": list(found.tanks),
        "asked": found.is_origin,
        "strength": found.level,
        "since": found.since.isoformat(),
        "last": found.last.isoformat(),
        "goes_on": found.goes_on,
        "until": moment_json(found.until),
        "ended": found.ended or None,
        "path": [_hop(hop) for hop in found.path],
        "near": [near.other if found.water == near.one else near.one for near in found.drops],
        "latest": None if found.latest is None else _hop(found.latest),
        "animals": _stays(found.here),
        "clocks": [_clock(effect) for effect in found.clocks],
    }


def _clock(effect: ClockEffect) -> dict[str, Any]:
    return {
        "batch": effect.batch or None,
        "clock": effect.clock,
        "at": effect.at.isoformat(),
        "cost": None if effect.cost is None else {"value": number(effect.cost), "unit": "d"},
        "counted": effect.counted,
        "text": effect.says,
    }


def _unexposed(entry: Unexposed) -> dict[str, Any]:
    return {
        "water": entry.water, "tanks": list(entry.tanks), "animals": _stays(entry.here), "why": list(entry.why)
    }  # fmt: skip


def _source(source: Source) -> dict[str, Any]:
    return {
        "name": source.name,
        "kind": source.kind,
        "strength": source.level,
        "latest": source.latest.isoformat(),
        "path": [_hop(hop) for hop in source.path],
        "text": source.says or None,
        "signs": list(source.signs),
    }


def _held(item: HeldItem) -> dict[str, Any]:
    return {
        "what": item.what,
        "water": item.water,
        "since": item.since.isoformat(),
        "until": moment_json(item.until),
        "until_warm": moment_json(item.until_warm),
        "begins_when_taken_out": item.waits,
        "text": item.says,
        "source": item.source or None,
    }


def _clean(item: ToClean) -> dict[str, Any]:
    return {
        "what": item.what,
        "kind": item.kind,
        "strength": item.level,
        "since": item.since.isoformat(),
        "ready": item.ready.isoformat(),
        "text": item.says,
        "commands": list(item.commands),
    }
