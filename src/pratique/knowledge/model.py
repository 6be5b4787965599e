"""The shapes of what is known. A number without a source, a place in it and a confidence cannot be built."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Literal, NamedTuple, Protocol

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from pratique.quantity import CANONICAL, SPELLINGS, Measure, parse_measure, parse_number

Confidence = Literal["V", "Q", "C", "M", "D", "K"]
CONFIDENCE = {
    "V": "read in the source or its abstract",
    "Q": "quoted at second hand",
    "C": "common practice, no published source",
    "M": "from memory, unverified",
    "D": "derived here",
    "K": "the keeper's own value",
}

_DIMENSION_OF_UNIT = {unit: dimension for dimension, units in SPELLINGS.items() for unit in units}


def read_figure(text: str) -> Measure:
    """A knowledge figure such as `0.15 mg/L`; its unit alone decides the dimension."""
    unit = text.split(" ", 1)[1] if " " in text else ""
    dimension = "length" if unit == "cm" else _DIMENSION_OF_UNIT.get(unit)
    if dimension is None:
        raise ValueError(f"no such unit: {text!r}")
    return parse_measure(text, dimension)


class Record(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


class Sourced(Record):
    """One value somebody vouches for, in canonical units, with its range and where it holds.

    `from` and `below` bound the water temperature (degC) at which it holds, as a half-open interval.
    """

    value: float
    unit: str
    low: float
    high: float
    source: str
    where: str
    confidence: Confidence
    from_: float | None = Field(default=None, alias="from")
    below: float | None = None
    note: str = ""

    @model_validator(mode="before")
    @classmethod
    def _read_figures(cls, data: Any) -> Any:
        if not isinstance(data, Mapping) or "unit" in data:
            return data
        out = dict(data)
        figures = {key: read_figure(out[key]) for key in ("value", "low", "high") if key in out}
        if not figures:
            raise ValueError("no figure: give `value`, `low` or `high`")
        units = {figure.unit for figure in figures.values()}
        if len(units) != 1:
            raise ValueError(f"units differ: {sorted(units)}")
        low = figures.get("low", figures.get("value"))
        high = figures.get("high", figures.get("value"))
        low, high = low or high, high or low
        assert low is not None
        assert high is not None
        value = figures["value"].value if "value" in figures else (low.value + high.value) / 2
        out.update(value=value, unit=units.pop(), low=low.value, high=high.value)
        for key in ("from", "below"):
            if key in out:
                out[key] = parse_measure(out[key], "temperature").value
        return out

    @model_validator(mode="after")
    def _ordered(self) -> Sourced:
        if not self.low <= self.value <= self.high:
            raise ValueError(f"{self.value} is outside its own range {self.low} to {self.high}")
        if self.unit not in CANONICAL.values():
            raise ValueError(f"{self.unit} is not canonical")
        if not self.source or not self.where:
            raise ValueError("a source and a place in it are needed")
        return self

    def holds_at(self, temperature: float | None) -> bool:
        if temperature is None:
            return self.from_ is None and self.below is None
        above = self.from_ is None or temperature >= self.from_
        return above and (self.below is None or temperature < self.below)


Numbers = dict[str, tuple[Sourced, ...]]
"""Name to the competing values, ranked: the first that holds is the default."""


def _as_list(data: Any) -> Any:
    if isinstance(data, Mapping):
        return {name: [entry] if isinstance(entry, Mapping) else entry for name, entry in data.items()}
    return data


NumbersField = Annotated[Numbers, BeforeValidator(_as_list)]


class Cited(Protocol):
    """Whatever says who says so."""

    @property
    def source(self) -> str: ...

    @property
    def where(self) -> str: ...

    @property
    def confidence(self) -> str: ...


def cite(known: Cited) -> str:
    """Who says so, where, and how sure: what a footnote is made of."""
    return f"{known.source}, {known.where} ({known.confidence})"


class Statement(Record):
    """A sourced sentence: a rule, a caution or a fact without a number."""

    text: str
    source: str
    where: str
    confidence: Confidence


class Known(Record):
    """Anything with an id, names and numbers."""

    id: str
    title: str
    names: tuple[str, ...] = ()
    numbers: NumbersField = {}

    def number(self, name: str, temperature: float | None = None) -> Sourced | None:
        """The first ranked value of `name` that holds at `temperature` (degC), or None."""
        return next((n for n in self.numbers.get(name, ()) if n.holds_at(temperature)), None)

    def needed(self, name: str, temperature: float | None = None) -> Sourced:
        """As `number`, but a missing value is a hole in the knowledge files: KeyError."""
        found = self.number(name, temperature)
        if found is None:
            raise KeyError(f"{self.id} has no number `{name}` at {temperature}")
        return found


TreatmentKind = Literal["dip", "bath", "immersion", "food", "transfers", "salinity", "watching", "disinfection"]


class Treatment(Known):
    """What is done against a pathogen. Where `decided_by` is set there is no usable dose.

    `no_stock` says why no stock solution is made of it.
    """

    kind: TreatmentKind
    active: str = ""
    form: str = ""
    unit: str = ""
    targets: tuple[Statement, ...] = ()
    not_against: tuple[Statement, ...] = ()
    steps: tuple[Statement, ...] = ()
    stop: tuple[Statement, ...] = ()
    cautions: tuple[Statement, ...] = ()
    people: tuple[Statement, ...] = ()
    no_stock: Statement | None = None
    decided_by: str = ""


class Pathogen(Known):
    """A disease agent: its life off and on the fish as numbers, its signs as weights with sources."""

    short: str
    kills_within: str = ""
    facts: tuple[Statement, ...] = ()
    signs: dict[str, SignWeight] = {}


class SignWeight(NamedTuple):
    weight: Literal["typical", "possible", "unusual"]
    source: str
    confidence: Confidence
    note: str = ""


class Sign(Record):
    """What a keeper can see. `words` are other words for it, `denied` words that say that it is not so.

    `general`: it says that a fish is unwell, and by itself nothing of what.
    """

    id: str
    title: str
    ask: str
    words: tuple[str, ...] = ()
    denied: tuple[str, ...] = ()
    general: Literal["yes", ""] = ""


class Group(Record):
    """Animals that share a sensitivity."""

    id: str
    title: str
    kind: Literal["bony fish", "cartilaginous fish", "invertebrate", "coral"]
    facts: tuple[Statement, ...] = ()

    @property
    def is_fish(self) -> bool:
        """True for all with a backbone: bony fish, sharks and rays."""
        return self.kind in ("bony fish", "cartilaginous fish")


class Substance(Record):
    """A way of stating strength: the mass fraction of `active` in one gram of it."""

    id: str
    names: tuple[str, ...] = ()
    active: str
    fraction: float
    source: str
    where: str
    confidence: Confidence

    @model_validator(mode="before")
    @classmethod
    def _fraction(cls, data: Any) -> Any:
        if isinstance(data, Mapping) and isinstance(data.get("fraction"), str):
            return {**data, "fraction": parse_number(data["fraction"])}
        return data


class Source(Record):
    key: str
    citation: str
    depth: str
    address: str = ""


StageKind = Literal["transfers", "hold", "course", "observation"]


class StagePlan(Record):
    """One stage of a regimen. `treatments` are alternatives, best first; the shelf decides."""

    name: str
    kind: StageKind
    use: tuple[str, ...]
    treatments: tuple[str, ...]
    only_with_signs: bool = False
    why: str

    @model_validator(mode="before")
    @classmethod
    def _words(cls, data: Any) -> Any:
        if not isinstance(data, Mapping):
            return data
        out = dict(data)
        for key in ("use", "treatments"):
            if isinstance(out.get(key), str):
                out[key] = [out[key]]
        if isinstance(out.get("only_with_signs"), str):
            out["only_with_signs"] = out["only_with_signs"] == "yes"
        return out


class Regimen(Record):
    id: str
    title: str
    why: str
    suits: str = ""
    misses: str = ""
    stages: tuple[StagePlan, ...]
    source: str = "COMMON"
    confidence: Confidence = "C"
    own: bool = False


Pathogen.model_rebuild()
