"""Names that the room file takes from the knowledge files: treatments, signs, species and groups."""

from __future__ import annotations

from functools import cache

from pratique.knowledge import store
from pratique.knowledge.model import Group
from pratique.problem import near_hint, near_names, quoted
from pratique.room import model
from pratique.room.document import Path_
from pratique.room.findings import Findings

Kind = tuple[str, Group, bool]
"""Scientific name, group, and whether it jumps."""


def check_treatment(findings: Findings, word: str, path: Path_) -> bool:
    known = store.treatment_ids()
    titles = _treatment_titles() if word not in known else {}
    return findings.check_name(word, known, "treatment", path, titles=titles)


@cache
def _treatment_titles() -> dict[str, tuple[str, ...]]:
    """Read only when a treatment is not known: each is a file of its own."""
    records = map(store.treatment, store.treatment_ids())
    return {record.id: (record.title, *record.names) for record in records}


def check_signs(findings: Findings, signs: tuple[str, ...], path: Path_) -> None:
    known = store.signs()
    for index, sign in enumerate(signs):
        if sign not in known:
            titles = {name: (record.title,) for name, record in known.items()}
            findings.check_name(sign, known, "sign", (*path, index), titles=titles)


def look_up_species(findings: Findings, written: model.Animal, path: Path_) -> Kind | None:
    """None where a problem was reported, or where the group that would have helped was refused."""
    groups, index = store.groups(), store.species_index()
    group_known = written.group is None or findings.check_name(
        written.group, groups, "group", (*path, "group")
    )
    scientific = index.get(written.species.lower())
    if not group_known:
        return None
    if scientific is None:
        if written.group is not None:
            return written.species, groups[written.group], False
        if not findings.document.was_cut(path, "group"):
            _unknown_species(findings, written.species, path)
        return None
    record = store.species()[scientific]
    if written.group is not None and written.group != record.group:
        message = f"{quoted(written.species)} is in the group `{record.group}`, not `{written.group}`"
        hint = "delete the line `group`, or check the species"
        findings.report("F120", findings.place((*path, "group")), message, hint)
        return None
    return scientific, groups[record.group], record.jumps


def _unknown_species(findings: Findings, species: str, path: Path_) -> None:
    index = store.species_index()
    titles = {name: (scientific,) for name, scientific in index.items()}
    is_group = species.lower() in store.groups()
    hint, note = "" if is_group else findings.near("species", species, index, titles), ""
    if not hint:
        named = next((word for word in species.lower().split() if word in store.groups()), "")
        groups = ", ".join(store.groups())
        hint = f"add `group: {named}`" if named else f"add its `group:`, one of: {groups}"
        if is_group:
            hint = f"say which, {_some_of(named)}, or {hint}"
        note = "the group decides which treatments it may not have"
    message = f"unknown species {quoted(species)}"
    findings.report("F113", findings.place((*path, "species")), message, hint, note=note)


def _some_of(group: str) -> str:
    """Species of a group as a keeper would write them."""
    names = [record.names[0] for record in store.species().values() if record.group == group and record.names]
    return "such as " + " or ".join(f"`{name}`" for name in names[:3])


def check_zone_name(findings: Findings, key: str) -> None:
    """Report a time zone that is not known."""
    from zoneinfo import available_timezones

    known = sorted(name for name in available_timezones() if "/" in name)
    city = "_".join(key.casefold().split())
    near = near_names(key, known) or [name for name in known if name.casefold().endswith(f"/{city}")]
    hint = near_hint(near[:3]) or "write continent and city, such as `Europe/Lisbon` or `America/New_York`"
    findings.report("F113", findings.place(("room", "time_zone")), f"unknown time zone {quoted(key)}", hint)
