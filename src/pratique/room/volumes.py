"""Whether a volume is given in one way, whole and without contradiction."""

from __future__ import annotations

from pratique.problem import Place, quoted
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.model import Tank, VolumeSpec
from pratique.room.volume_spec import MEASURES, OUTSIDE

_WAYS = ("measured", "nominal", "shape")
_SIDES = ("length", "width", "bow", "diameter")
_ONLY_WITH_SHAPE = (*_SIDES, "fill", "glass", "sand", "rock", "displacement")


def check_volume(findings: Findings, name: str, tank: Tank) -> None:
    spec = tank.volume
    path: Path_ = ("tanks", name, "volume")

    def at(key: str, label: str = "") -> Place:
        return findings.place((*path, key), key=True, label=label)

    given = [key for key in (*_WAYS, *_ONLY_WITH_SHAPE) if findings.has(path, key, getattr(spec, key))]
    ways = [way for way in _WAYS if way in given]
    one = "give exactly one of `measured`, `nominal` or `shape`"
    if not ways:
        message = f"the volume of {quoted(name)} is not given"
        findings.report("F124", findings.place(path, key=True), message, one)
    elif len(ways) > 1:
        message = f"the volume of {quoted(name)} is given by {' and '.join(quoted(way) for way in ways)}"
        findings.report("F124", at(ways[1], "another"), message, one, at(ways[0], "one way"))
    elif ways == ["shape"] and spec.shape is not None:
        _check_shape(findings, spec, given, path)
        _check_contents(findings, tank, path)
    elif ways != ["shape"]:
        extra = [key for key in given if key in _ONLY_WITH_SHAPE]
        if extra:
            message = f"{quoted(extra[0])} stands beside {quoted(ways[0])}, which is already the whole answer"
            hint = f"delete it, or give `shape` and the dimensions instead ({OUTSIDE})"
            findings.report("F124", at(extra[0]), message, hint, at(ways[0]))


def _check_shape(findings: Findings, spec: VolumeSpec, given: list[str], path: Path_) -> None:
    needed = MEASURES[str(spec.shape)]
    all_needed = ", ".join(f"`{name}`" for name in needed)
    for name in needed:
        if name not in given:
            hint = f"give {all_needed}; `fill` is the height of the water, not of the glass; {OUTSIDE}"
            findings.report("F124", findings.place((*path, "shape")), f"a {spec.shape} needs `{name}`", hint)
    for name in _SIDES:
        if name in given and name not in needed:
            hint = f"a {spec.shape} is given by {all_needed}"
            place = findings.place((*path, name), key=True)
            findings.report("F124", place, f"a {spec.shape} has no `{name}`", hint)
    _check_glass(findings, spec, "glass" in given, path)
    if spec.bow is not None and spec.width is not None and spec.bow.value < spec.width.value:
        hint = "`bow` is measured from the back to the foremost point, `width` from the back at the side"
        place, other = findings.place((*path, "bow")), findings.place((*path, "width"))
        findings.report("F124", place, "the `bow` is less deep than the side of the tank", hint, other)
    if spec.sand is not None and spec.fill is not None and spec.sand.value >= spec.fill.value:
        place, other = findings.place((*path, "sand")), findings.place((*path, "fill"))
        findings.report("F124", place, "the sand is as deep as the water", "check both numbers", other)


def _check_glass(findings: Findings, spec: VolumeSpec, glass_given: bool, path: Path_) -> None:
    outside = spec.dimensions == "outside"
    if outside and not glass_given:
        hint = "add `glass: 6 mm`, or measure inside"
        message = "outside dimensions need the thickness of the glass"
        findings.report("F124", findings.place((*path, "dimensions")), message, hint)
    if glass_given and not outside and not findings.has(path, "dimensions", None):
        hint = "add `dimensions: outside` if they were measured outside, or delete `glass`"
        message = "a thickness of glass is given, but the dimensions count as inside"
        findings.report("F124", findings.place((*path, "glass"), key=True), message, hint)
    if outside and spec.glass is not None:
        for name in ("length", "width", "diameter"):
            side = getattr(spec, name)
            if side is not None and side.value <= 2 * spec.glass.value:
                place, other = findings.place((*path, "glass")), findings.place((*path, name))
                message = f"the glass takes up the whole {name}"
                findings.report("F124", place, message, "check both numbers", other)


def _check_contents(findings: Findings, tank: Tank, path: Path_) -> None:
    """Sand and rock in the volume, and what the tank says of them."""
    above = path[:-1]
    for name, key, value, none in (
        ("sand", "substrate", tank.substrate, "bare"),
        ("rock", "rock", tank.rock, "none"),
    ):
        if getattr(tank.volume, name) is None or value != none or findings.document.was_cut(above, key):
            continue
        label = f"`{none}`, if nothing is said" if key not in tank.model_fields_set else ""
        other = findings.place((*above, key), key=label != "", label=label)
        hint = f"add `{key}: calcareous` (or `inert`) to the tank, or delete `{name}` from the volume"
        message = f"there is {name} in the volume, but the tank's `{key}` is `{none}`"
        findings.report("F120", findings.place((*path, name), key=True), message, hint, other)
