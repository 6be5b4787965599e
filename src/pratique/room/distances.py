"""Distances between tanks: the names in them, and pairs that cannot be."""

from __future__ import annotations

from collections.abc import Mapping

from pratique.problem import quoted
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.things import Tank


def check_distances(findings: Findings, tanks: Mapping[str, Tank]) -> None:
    """Every name is a tank or a water, the two are not one water, and no pair stands twice."""
    written = findings.written
    known = (*written.tanks, *written.waters)
    seen: dict[frozenset[str], Path_] = {}
    for index, distance in enumerate(written.room.distances):
        path: Path_ = ("room", "distances", index, "between")
        found = [findings.check_name(name, known, "tank", path, section="tanks") for name in distance.between]
        if not all(found):
            continue
        waters = frozenset(tanks[name].water if name in tanks else name for name in distance.between)
        one, other = distance.between
        if len(waters) == 1:
            message = f"{quoted(one)} and {quoted(other)} share one water, so no drop has to go from one to the other"
            hint = "delete the entry, or name tanks of two waters"
            findings.report("X620", findings.place(path), message, hint)
            continue
        pair = frozenset(distance.between)
        if pair in seen:
            message = f"the distance between {quoted(one)} and {quoted(other)} is given twice"
            also = findings.place(seen[pair], label="first here")
            findings.report("X621", findings.place(path), message, "delete one of the two", also)
        seen.setdefault(pair, path)
