"""Tanks gathered into waters, and what may not stand where."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pratique.letters import skeleton
from pratique.problem import quoted
from pratique.room import model
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.known import check_treatment
from pratique.room.things import Tank, Water
from pratique.room.volumes import check_volume

NAMED_SECTIONS = (
    *("tanks", "waters", "batches", "wishes", "shelf"),
    *("kits", "gear", "vessels", "syringes", "prescriptions", "regimens"),
)


def check_look_alikes(findings: Findings) -> None:
    """Names of one section that can be taken for each other."""
    for section in NAMED_SECTIONS:
        seen: dict[str, str] = {}
        for name in findings.named.get(section, ()):
            shape = skeleton(name)
            if shape in seen:
                place = findings.place((section, name), key=True)
                first = findings.place((section, seen[shape]), key=True, label="first here")
                message = f"{quoted(name)} and {quoted(seen[shape])} can be taken for each other"
                hint = "rename one, so that a label cannot be misread"
                findings.report("F119", place, message, hint, first)
            else:
                seen[shape] = name


def gather_tanks(findings: Findings) -> dict[str, Tank]:
    written = findings.written
    tanks = {}
    for name, tank in written.tanks.items():
        path: Path_ = ("tanks", name)
        if tank.water is None:
            if name in findings.named.get("waters", ()) and not findings.document.was_cut(path, "water"):
                message = f"{quoted(name)} is also the name of a water, which this tank does not share"
                hint = f"add `water: {name}` to the tank, or rename one"
                findings.report("F119", findings.place(path, key=True), message, hint)
        else:
            findings.check_name(tank.water, written.waters, "water", (*path, "water"), section="waters")
            _refuse_conditions(findings, tank, tank.water, path)
        check_volume(findings, name, tank)
        tanks[name] = Tank(name=name, water=tank.water or name, written=tank, path=path)
    return tanks


def _refuse_conditions(findings: Findings, tank: model.Tank, water: str, path: Path_) -> None:
    for key in model.CONDITION_KEYS:
        if key in tank.model_fields_set:
            other = findings.place((*path, "water"), label="this tank shares that water")
            message = f"`{key}` belongs to the water {quoted(water)}, not to one tank in it"
            hint = f"move the line to `waters:` under `{water}`"
            findings.report("F120", findings.place((*path, key), key=True), message, hint, other)


def gather_waters(
    findings: Findings, tanks: Mapping[str, Tank], shared_by_refused: set[str]
) -> dict[str, Water]:
    """`shared_by_refused`: waters that a refused tank shares, so that they are not called empty."""
    written = findings.written
    members: dict[str, list[Tank]] = {name: [] for name in written.waters}
    for tank in tanks.values():
        members.setdefault(tank.water, []).append(tank)
    found = {}
    for name, inside in members.items():
        shared = written.waters.get(name)
        path: Path_ = ("waters", name) if shared is not None else ("tanks", name)
        if inside:
            conditions: model.Conditions = shared if shared is not None else inside[0].written
            sump = shared.sump if shared is not None else None
            found[name] = Water(name=name, conditions=conditions, tanks=tuple(inside), sump=sump, path=path)
        elif name not in shared_by_refused:
            hint = f"add `water: {name}` to its tanks, or delete it"
            findings.report(
                "F129", findings.place(path, key=True), f"no tank is in the water {quoted(name)}", hint
            )
    for path, one in _all_conditions(written):
        _check_holds(findings, one, path)
    return found


def _all_conditions(written: model.RoomFile) -> Iterator[tuple[Path_, model.Conditions]]:
    for name, water in written.waters.items():
        yield ("waters", name), water
    for name, tank in written.tanks.items():
        yield ("tanks", name), tank


def _check_holds(findings: Findings, conditions: model.Conditions, path: Path_) -> None:
    for index, holds in enumerate(conditions.holds):
        at: Path_ = (*path, "holds", index)
        check_treatment(findings, holds.treatment, (*at, "treatment"))
        findings.moment(holds.since, (*at, "since"))
