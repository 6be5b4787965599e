"""Knowledge files, each read only when it is asked for, each once."""

from __future__ import annotations

import re
from functools import cache
from importlib import resources
from typing import Any, TypeVar

import yaml

from pratique.knowledge import (
    animals,
    clockrule,
    interlock,
    keeping,
    lifecycle,
    model,
    pages,
    responding,
    suspects,
    tracing,
    watercare,
)

_R = TypeVar("_R", bound=model.Record)


class _Loader(getattr(yaml, "CBaseLoader", yaml.BaseLoader)):  # type: ignore[misc]
    """Makes nodes alone: every scalar here is text, so no tag is worked out, which takes half of the time."""

    def resolve(self, kind: Any, value: Any, implicit: Any) -> str:
        return ""


def _data(name: str) -> Any:
    return _plain(_Loader((resources.files("pratique.knowledge") / "data" / name).read_text("utf-8")).get_single_node())


def _plain(node: yaml.Node) -> Any:
    if isinstance(node, yaml.ScalarNode):
        return node.value
    if isinstance(node, yaml.MappingNode):
        return {_plain(key): _plain(value) for key, value in node.value}
    return [_plain(entry) for entry in node.value]


def _ids(folder: str) -> tuple[str, ...]:
    files = (resources.files("pratique.knowledge") / "data" / folder).iterdir()
    return tuple(sorted(file.name[:-5] for file in files if file.name.endswith(".yaml")))


def _records(name: str, kind: type[_R], key: str = "id") -> dict[str, _R]:
    records = [kind.model_validate(entry) for entry in _data(name)]
    return {getattr(record, key): record for record in records}


@cache
def treatment_ids() -> tuple[str, ...]:
    return _ids("treatments")


@cache
def treatment(id_: str) -> model.Treatment:
    """KeyError where no such treatment is on file."""
    if id_ not in treatment_ids():
        raise KeyError(id_)
    return model.Treatment.model_validate(_data(f"treatments/{id_}.yaml"))


@cache
def _actives() -> dict[str, str]:
    """Treatment id to its active, from the one line that says it: parsing every file for a word is slow."""
    folder = resources.files("pratique.knowledge") / "data" / "treatments"
    found = {}
    for id_ in treatment_ids():
        line = re.search(r"^active: *(.+?) *$", (folder / f"{id_}.yaml").read_text("utf-8"), re.M)
        found[id_] = line[1] if line else ""
    return found


def active_of(treatment_id: str) -> str:
    """The active of a treatment; empty where it has none."""
    return _actives()[treatment_id]


def treatments_with(active: str) -> tuple[str, ...]:
    """The ids of the treatments whose active this is."""
    return tuple(id_ for id_, found in _actives().items() if found == active)


@cache
def pathogen_ids() -> tuple[str, ...]:
    return _ids("pathogens")


@cache
def pathogen(id_: str) -> model.Pathogen:
    if id_ not in pathogen_ids():
        raise KeyError(id_)
    return model.Pathogen.model_validate(_data(f"pathogens/{id_}.yaml"))


@cache
def sources() -> dict[str, model.Source]:
    return _records("sources.yaml", model.Source, "key")


@cache
def species() -> dict[str, animals.Species]:
    return _records("species.yaml", animals.Species, "scientific")


@cache
def groups() -> dict[str, model.Group]:
    return _records("groups.yaml", model.Group)


@cache
def signs() -> dict[str, model.Sign]:
    return _records("signs.yaml", model.Sign)


@cache
def causes() -> dict[str, suspects.Cause]:
    """What signs may come from that is no disease."""
    return _records("causes.yaml", suspects.Cause)


@cache
def circumstances() -> dict[str, suspects.Circumstance]:
    """What surrounds the signs, in the order it is asked."""
    return _records("circumstances.yaml", suspects.Circumstance)


@cache
def hosts() -> tuple[suspects.Host, ...]:
    return tuple(suspects.Host.model_validate(entry) for entry in _data("hosts.yaml"))


@cache
def tempo() -> dict[str, suspects.Tempo]:
    """Agent to how soon it may kill."""
    return _records("tempo.yaml", suspects.Tempo, "agent")


@cache
def trials() -> dict[str, suspects.Trial]:
    """The looks and trials that tell agents and causes apart, the most telling first."""
    return _records("apart.yaml", suspects.Trial)


@cache
def scoring() -> suspects.Scoring:
    """The points of signs and readings."""
    return suspects.Scoring.model_validate(_data("scoring.yaml"))


@cache
def substances() -> dict[str, model.Substance]:
    return _records("substances.yaml", model.Substance)


@cache
def regimens() -> dict[str, model.Regimen]:
    return _records("regimens.yaml", model.Regimen)


@cache
def interlocks() -> tuple[interlock.Interlock, ...]:
    return tuple(interlock.Interlock.model_validate(entry) for entry in _data("interlocks.yaml"))


@cache
def codes() -> dict[str, pages.CodePage]:
    return _records("codes.yaml", pages.CodePage, "code")


@cache
def clocks() -> dict[str, clockrule.ClockRule]:
    """The clocks as they are declared, by id: hold, transfers, watch, fallow."""
    return _records("clocks.yaml", clockrule.ClockRule)


@cache
def life_cycles() -> dict[str, lifecycle.LifeCycle]:
    """Pathogen to its life cycle as the risk model needs it."""
    return _records("lifecycle.yaml", lifecycle.LifeCycle)


@cache
def response() -> responding.Response:
    """What is done first: answers to agents and to faults of the water, and the sentences of the sheet."""
    return responding.Response.model_validate(_data("response.yaml"))


@cache
def volume_figures() -> model.Known:
    """Figures for working out a net volume (porosity, displacement, tape error)."""
    return model.Known.model_validate(_data("volume.yaml"))


@cache
def water_figures() -> model.Known:
    """Figures of the water itself: ammonia, oxygen, salt, chlorine."""
    return model.Known.model_validate(_data("water.yaml"))


@cache
def water_care() -> dict[str, watercare.Care]:
    """What is said beside each answer about a water, by the question."""
    return _records("watercare.yaml", watercare.Care)


@cache
def prescribed_care() -> dict[str, watercare.Care]:
    """What is said beside every prescribed dose: `always`, and by the way it is given."""
    return _records("prescribed.yaml", watercare.Care)


@cache
def stock_care() -> dict[str, watercare.Care]:
    """What is said of making a stock: `powder` or `liquid`."""
    return _records("stock.yaml", watercare.Care)


@cache
def routine() -> model.Known:
    """Figures of the daily round: rest before a drug, water changes, margins."""
    return model.Known.model_validate(_data("routine.yaml"))


@cache
def work() -> model.Known:
    """Minutes of hands-on work of each act; our own estimates."""
    return model.Known.model_validate(_data("work.yaml"))


@cache
def contacts() -> tracing.Tracing:
    """Figures and facts of contact tracing."""
    return tracing.Tracing.model_validate(_data("contacts.yaml"))


@cache
def fallow_care() -> keeping.Keeping:
    """What is said of a water without fish, beside the dates of each agent."""
    return keeping.Keeping.model_validate(_data("fallow.yaml"))


@cache
def shelf() -> keeping.Shelf:
    """Figures of the shelf, and the emergency kit."""
    return keeping.Shelf.model_validate(_data("shelf.yaml"))


@cache
def feed() -> model.Known:
    """Figures of food: its protein, the ammonia that comes of it, the usual ration."""
    return model.Known.model_validate(_data("feed.yaml"))


@cache
def length_weight() -> dict[str, animals.Build]:
    """Group id to the build its mass is reckoned by. Sharks, rays and animals without a backbone have none."""
    builds = _records("lengthweight.yaml", animals.Build).values()
    return {group: build for build in builds for group in build.groups}


@cache
def species_index() -> dict[str, str]:
    """Every scientific and trade name in lower case, to the scientific name."""
    index: dict[str, str] = {}
    for record in species().values():
        for name in (record.scientific, *record.names):
            index[name.lower()] = record.scientific
    return index
