"""Walks every record of the knowledge files: who says so, how surely, in what unit, and with what holes."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from importlib import resources
from itertools import pairwise
from typing import Any, NamedTuple

import pytest
import yaml
from pydantic import ValidationError

from pratique.knowledge import animals, model, store
from pratique.quantity import CANONICAL

DATA = resources.files("pratique.knowledge") / "data"
TREATMENTS = store.treatment_ids()
PATHOGENS = store.pathogen_ids()
COPPERS = ("copper-ionic", "copper-amine", "copper-chelated")
DECIDED = tuple(id_ for id_ in TREATMENTS if store.treatment(id_).decided_by)
DISINFECTION = tuple(id_ for id_ in TREATMENTS if store.treatment(id_).kind == "disinfection")
DRUGS = tuple(id_ for id_ in TREATMENTS if store.treatment(id_).active not in ("", "antibiotic"))
WHOLE_FILES = ("sources", "signs", "groups", "species", "substances", "volume", "routine", "feed")

NOT_YET_CITED = {
    "AP08": "not read; nothing was taken from it",
    "EIFAC": "introducing new species, not a matter of a fish room",
    "FA181": "only its abstract was read; nothing was taken from it",
}
"""Keys no file cites yet, each with the reason. A key that comes to be cited must leave this list."""


def raw(name: str) -> Any:
    return yaml.load((DATA / name).read_text("utf-8"), Loader=yaml.BaseLoader)


def yaml_files() -> list[str]:
    folders = ("", "treatments/", "pathogens/")
    return sorted(
        folder + file.name
        for folder in folders
        for file in (DATA / folder.rstrip("/") if folder else DATA).iterdir()
        if file.name.endswith(".yaml")
    )


class Claim(NamedTuple):
    """Anything a source answers for, and where it stands in the files."""

    place: str
    source: str
    confidence: str
    where: str | None


def known_records() -> Iterator[model.Known]:
    yield from map(store.treatment, TREATMENTS)
    yield from map(store.pathogen, PATHOGENS)
    yield from (store.volume_figures(), store.routine(), store.feed())
    yield from builds()


def builds() -> tuple[animals.Build, ...]:
    return tuple({build.id: build for build in store.length_weight().values()}.values())


def numbers() -> Iterator[tuple[str, str, tuple[model.Sourced, ...]]]:
    for record in known_records():
        for name, ranked in record.numbers.items():
            yield record.id, name, ranked


def claims_in(tree: Any, place: str) -> Iterator[Claim]:
    """Every mapping with a `source`, however deep, in any knowledge file."""
    if isinstance(tree, list):
        for index, entry in enumerate(tree):
            yield from claims_in(entry, f"{place}[{index}]")
    elif isinstance(tree, dict):
        if "source" in tree:
            yield Claim(place, tree["source"], tree.get("confidence", ""), tree.get("where"))
        for key, entry in tree.items():
            yield from claims_in(entry, f"{place}.{key}")


def claims() -> Iterator[Claim]:
    for name in yaml_files():
        yield from claims_in(raw(name), name)
    for id_ in PATHOGENS:
        for sign, weight in store.pathogen(id_).signs.items():
            yield Claim(f"{id_}.signs.{sign}", weight.source, weight.confidence, None)


def cited_keys() -> set[str]:
    keys = {claim.source for claim in claims()}
    for name in yaml_files():
        if name == "codes.yaml":
            keys |= {key for page in raw(name) for key in page.get("sources", [])}
    return keys


def faults_over_temperature(ranked: tuple[model.Sourced, ...]) -> list[str]:
    """Gaps, overlaps and fallbacks in a list of values that hold at certain temperatures.

    Where the default depends on temperature, each later value either begins where the span ends, or is a
    competitor wholly inside the span. A value without bounds behind it would answer where nothing is known.
    """
    first = ranked[0]
    if first.from_ is None and first.below is None:
        return []
    inf = float("inf")
    faults: list[str] = []
    spans: list[tuple[float, float]] = []
    for entry in ranked:
        if entry.from_ is None and entry.below is None:
            faults.append(f"{entry.value:g} holds everywhere, behind values that do not")
            continue
        low = -inf if entry.from_ is None else entry.from_
        high = inf if entry.below is None else entry.below
        if low >= high:
            faults.append(f"{low:g} to {high:g} is empty")
        elif all(high <= s or low >= e for s, e in spans):
            spans.append((low, high))
        elif not (min(s for s, _ in spans) <= low and high <= max(e for _, e in spans)):
            faults.append(f"{low:g} to {high:g} overlaps only in part")
    spans.sort()
    faults += [f"nothing from {a[1]:g} to {b[0]:g}" for a, b in pairwise(spans) if a[1] != b[0]]
    return faults


# --- every file ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("id_", TREATMENTS)
def test_a_treatment_loads_under_its_file_name(id_: str) -> None:
    assert store.treatment(id_).id == id_


@pytest.mark.parametrize("id_", PATHOGENS)
def test_a_pathogen_loads_under_its_file_name(id_: str) -> None:
    assert store.pathogen(id_).id == id_


def test_the_ids_of_the_design_are_on_file() -> None:
    promised = (
        "tank-transfer praziquantel-bath freshwater-dip formalin-bath peroxide-bath acriflavine-bath "
        "chloroquine-immersion methylene-blue-bath hyposalinity metronidazole-food metronidazole-bath "
        "antibiotic-course observation"
    )
    assert {*COPPERS, *promised.split()} <= set(TREATMENTS)
    agents = (
        "cryptocaryon amyloodinium brooklynella uronema neobenedenia gill-flukes gyrodactylus paravortex "
        "lymphocystis vibrio spironucleus ichthyobodo nematodes"
    )
    assert set(agents.split()) == set(PATHOGENS)


@pytest.mark.parametrize("name", WHOLE_FILES)
def test_a_list_loads_whole(name: str) -> None:
    """A repeated key would vanish in the mapping the store returns."""
    loaded = {
        "sources": store.sources,
        "signs": store.signs,
        "groups": store.groups,
        "species": store.species,
        "substances": store.substances,
    }
    single = {"volume": store.volume_figures, "routine": store.routine, "feed": store.feed}
    if name in single:
        assert single[name]().numbers
    else:
        assert len(loaded[name]()) == len(raw(f"{name}.yaml"))


@pytest.mark.parametrize("name", yaml_files())
def test_no_key_is_given_twice(name: str) -> None:
    def walk(node: yaml.Node) -> Iterator[str]:
        if isinstance(node, yaml.MappingNode):
            keys = Counter(key.value for key, _ in node.value)
            yield from (key for key, count in keys.items() if count > 1)
            for _, value in node.value:
                yield from walk(value)
        elif isinstance(node, yaml.SequenceNode):
            for value in node.value:
                yield from walk(value)

    assert list(walk(yaml.compose((DATA / name).read_text("utf-8"), yaml.BaseLoader))) == []


@pytest.mark.parametrize("name", yaml_files())
def test_no_path_of_a_machine_is_in_a_file(name: str) -> None:
    assert not re.search(r"/(work|tmp|home|usr|Users)/|[A-Z]:\\", (DATA / name).read_text("utf-8"))


# --- who says so --------------------------------------------------------------------------------------


def test_every_source_resolves() -> None:
    unknown = [claim for claim in claims() if claim.source not in store.sources()]
    assert unknown == []


def test_every_source_is_cited_or_says_why_not() -> None:
    uncited = set(store.sources()) - cited_keys()
    assert uncited - set(NOT_YET_CITED) == set(), "cite these, or say in NOT_YET_CITED why not"


def test_no_excuse_outlives_its_need() -> None:
    assert set(NOT_YET_CITED) & cited_keys() == set(), "cited now: take these out of NOT_YET_CITED"
    assert set(NOT_YET_CITED) - set(store.sources()) == set(), "no such key"
    assert all(NOT_YET_CITED.values())


def test_every_claim_has_a_confidence_and_every_quoted_one_a_place() -> None:
    assert [claim for claim in claims() if claim.confidence not in tuple("VQCMD")] == []
    assert [claim for claim in claims() if claim.where is not None and not claim.where.strip()] == []


def test_a_code_fits_its_source() -> None:
    """Nobody read a source listed as not read; custom and memory have keys of their own."""
    own = {"COMMON": "CD", "TESTCHEM": "CD", "MEMORY": "M", "DERIVED": "D"}
    wrong = []
    for claim in claims():
        unread = store.sources()[claim.source].depth.startswith("not read")
        allowed = own.get(claim.source, "QMD" if unread else "VQMD")
        if claim.confidence not in allowed:
            wrong.append(claim)
    assert wrong == []


PLACED = ("treatments/", "pathogens/", "groups", "substances", "volume", "feed", "lengthweight")


def test_a_place_is_a_place() -> None:
    """What is custom, memory or derived names a section of the reference; the rest a part that was read."""
    named = r"\b(treatments|agents|practice) [0-9A-Z]|^treatments, "
    section = re.compile(named + "|not in our reference|^custom of the trade: ")
    part_read = re.compile(r"(abstract|opening|page|heading)")
    wrong = []
    for claim in claims():
        if claim.where is None or not claim.place.startswith(PLACED):
            continue
        if claim.where.startswith(("by definition", "atomic weights")):
            continue
        part = part_read.match(claim.where)
        if part and claim.confidence == "V":
            placed = part[1] in store.sources()[claim.source].depth
        elif claim.confidence in "VQ":
            placed = bool(section.search(claim.where) or re.match(r"at second hand|p \d", claim.where))
        else:
            placed = bool(section.search(claim.where))
        if not placed:
            wrong.append(claim)
    assert wrong == []


def test_species_state_their_confidence_themselves() -> None:
    assert [entry for entry in raw("species.yaml") if not {"source", "confidence"} <= set(entry)] == []


# --- numbers ------------------------------------------------------------------------------------------

UNIT_RULES = (
    (r"_per_(body|food)$", "mg/kg"),
    (r"_per_chlorine$|^growth_per_day$|^(factor|power)$", "count"),
    (r"temperature", "degC"),
    (r"_salinity$|^salinity_", "g/kg"),
    (r"^ph(_|$)", "pH"),
    (r"_uv$", "mJ/cm2"),
    (r"^spray_distance", "m"),
    (r"_(length|height)$|^(tape|fill)_error$", "cm"),
    (r"_(count|steps)$|(^|_)moves(_|$)", "count"),
    (r"^(predilute|oxygen_per|exposed_kinds_that_died|rock_litres_per_kg)$", "count"),
    (r"^(change_after|eggs_hatch_after_dip|institutions_with_minimum|strength)$", "%"),
    (r"^nominal_|_share$|^(measured_error|sand_solids)$", "%"),
    (r"^air_|^prolonged(_practice)?$|^harmful_to_|^(seahorse|salmonid)_level$", "uL/L"),
    (r"_(chlorine|ozone)$|^kit_|^oxygen_(floor|keep|survival)$|^(first_step|outlier_not_for_use)$", "mg/L"),
    (r"^(tolerated_by_most|density|stock_strength|formaldehyde_per_100uL|high_bath)$", "mg/L"),
    (r"(^|_)level$|^(kingfish_deaths|velvet_snapper|gill_fluke_grouper)$", "mg/L"),
    (r"(^|_)(interval|course|minutes|fallow|cycle|hatch|persistence|dose|minimum)(_|$)", "h"),
    (r"_(time|hours|life|release|ramp|drying|freezing|freshwater|margin|peak|stay|exposure)$", "h"),
    (r"_(signs|light|after|arrival|before|returns|watched|division|typical|harvestable)$", "h"),
    (r"_(infective|free|skin|at_target)$|^harmed_at_", "h"),
    (r"^(days|dry|grace|alert|immunity|maturity|half_released|all_released_30)$", "h"),
    (r"^(rest|change_every|between_batches)$", "h"),
)


def expected_unit(record: model.Known, name: str) -> str | None:
    if name in ("target", "floor", "ceiling"):
        return getattr(record, "unit", "") or "h"
    return next((unit for pattern, unit in UNIT_RULES if re.search(pattern, name)), None)


@pytest.mark.parametrize("record", [*known_records()], ids=lambda record: record.id)
def test_a_number_has_the_unit_of_its_name(record: model.Known) -> None:
    for name, ranked in record.numbers.items():
        unit = expected_unit(record, name)
        assert unit is not None, f"{name}: add it to UNIT_RULES"
        assert unit in CANONICAL.values()
        assert {entry.unit for entry in ranked} == {unit}, name


def test_a_number_lies_within_its_range() -> None:
    for id_, name, ranked in numbers():
        assert ranked, f"{id_}.{name} is an empty list"
        for entry in ranked:
            assert entry.low <= entry.value <= entry.high, f"{id_}.{name}"
            assert entry.unit == "degC" or entry.low >= 0, f"{id_}.{name}"


SAID = {"source": "COMMON", "where": "here", "confidence": "C"}
GOOD = {"value": "2 mg/L", "low": "1 mg/L", "high": "3 mg/L", **SAID}


def test_the_good_number_of_the_next_test_is_good() -> None:
    assert model.Sourced.model_validate(GOOD).high == 3


@pytest.mark.parametrize(
    "change",
    [
        {"source": None},
        {"source": ""},
        {"where": None},
        {"where": ""},
        {"confidence": None},
        {"confidence": "X"},
        {"value": "4 mg/L"},
        {"low": "2.5 mg/L"},
        {"high": "1.5 mg/L"},
        {"low": "1 uL/L"},
        {"value": "2"},
        {"value": "2 ppm"},
        {"value": "2 mg/l"},
        {"value": "nan mg/L"},
        {"value": None, "low": None, "high": None},
        {"from": "21"},
        {"certainty": "high"},
    ],
    ids=str,
)
def test_a_faulty_number_cannot_be_built(change: dict[str, str | None]) -> None:
    data = {key: value for key, value in (GOOD | change).items() if value is not None}
    with pytest.raises((ValidationError, ValueError)):
        model.Sourced.model_validate(data)


def test_temperature_tables_have_no_gap_overlap_or_fallback() -> None:
    faults = {f"{id_}.{name}": faults_over_temperature(ranked) for id_, name, ranked in numbers()}
    assert {place: fault for place, fault in faults.items() if fault} == {}


def entry(value: int, *, start: float | None = None, below: float | None = None) -> model.Sourced:
    bounds = {"from": start, "below": below}
    figures = {"value": value, "unit": "h", "low": value, "high": value}
    return model.Sourced.model_validate(SAID | figures | bounds)


@pytest.mark.parametrize(
    ("ranked", "fault"),
    [
        ((entry(1, start=20, below=22), entry(2, start=23, below=26)), "nothing from 22 to 23"),
        ((entry(1, start=20, below=24), entry(2, start=22, below=26)), "overlaps only in part"),
        ((entry(1, below=21), entry(2)), "holds everywhere"),
        ((entry(1, start=22, below=22),), "is empty"),
    ],
)
def test_a_faulty_temperature_table_is_found(ranked: tuple[model.Sourced, ...], fault: str) -> None:
    assert fault in "; ".join(faults_over_temperature(ranked))


def test_a_sound_temperature_table_passes() -> None:
    ranked = (entry(1, below=21), entry(2, start=21), entry(3, start=22))
    assert faults_over_temperature(ranked) == []


DOSES_AND_LIMITS = (
    *("target", "floor", "ceiling", "first_step", "minutes", "minutes_ceiling"),
    *("interval", "cautious_interval", "moves", "minimum", "course", "second_dose", "third_dose"),
    *("level", "contact_time", "dry", "pentahydrate_per_chlorine", "anhydrous_per_chlorine"),
    *("pulse_salinity", "pulse_time", "lowering_time", "raising_per_day_salinity"),
)


def test_no_dose_and_no_limit_is_from_memory() -> None:
    for id_ in TREATMENTS:
        for name in DOSES_AND_LIMITS:
            for value in store.treatment(id_).numbers.get(name, ()):
                assert value.confidence != "M", f"{id_}.{name}"


# --- treatments ---------------------------------------------------------------------------------------

ALWAYS = {
    **dict.fromkeys(
        COPPERS,
        "target floor ceiling ramp_steps ramp_interval guarded_ramp_steps guarded_ramp_interval course "
        "course_same_tank test_interval_first test_interval",
    ),
    "freshwater-dip": "minutes ceiling aerate_before temperature_tolerance ph",
    "formalin-bath": "minutes minutes_ceiling temperature_ceiling temperature_warn oxygen_floor oxygen_keep "
    "oxygen_per oxygen_hours predilute formaldehyde_per_100uL density",
    "peroxide-bath": "target ceiling minutes",
    "praziquantel-bath": "target persistence persistence_repeat",
    "tank-transfer": "grace dry",
    "observation": "days minimum",
    "methylene-blue-bath": "target ceiling course",
    "hyposalinity": "target ceiling course lowering_time lowering_count lowering_step_salinity "
    "raising_per_day_salinity ph_correction_per_day test_interval instrument_step_salinity pulse_salinity "
    "pulse_time pulse_count pulse_interval",
    "chlorine-disinfection": "level contact_time harmed_level bleach_share",
    "drying": "dry drying_margin total_time",
    "thiosulfate-neutralising": "pentahydrate_per_chlorine anhydrous_per_chlorine",
}
BY_TEMPERATURE = {
    "tank-transfer": (
        "interval cautious_interval moves cautious_moves minimum",
        (20, 21.9, 22, 25.9, 26, 30.9),
    ),
    "praziquantel-bath": ("second_dose third_dose", (20, 22, 24.9, 25, 26, 28.9, 29, 30.9)),
    "formalin-bath": ("target ceiling", (10, 20.9, 21, 26, 30)),
}


@pytest.mark.parametrize("id_", ALWAYS)
def test_the_numbers_the_code_needs_are_there(id_: str) -> None:
    for name in ALWAYS[id_].split():
        assert store.treatment(id_).number(name) is not None, name


@pytest.mark.parametrize("id_", BY_TEMPERATURE)
def test_the_numbers_that_hang_on_temperature_are_there(id_: str) -> None:
    names, temperatures = BY_TEMPERATURE[id_]
    for name in names.split():
        for temperature in temperatures:
            assert store.treatment(id_).number(name, temperature) is not None, (name, temperature)
        assert store.treatment(id_).number(name) is None, f"{name}: an answer without a temperature"


def test_the_copper_bands_are_in_order_and_apart() -> None:
    bands = []
    for id_ in COPPERS:
        record = store.treatment(id_)
        target, floor, ceiling = (record.needed(name) for name in ("target", "floor", "ceiling"))
        assert floor.value <= target.low <= target.high <= ceiling.value, id_
        assert record.needed("course").value <= record.needed("course_same_tank").value
        assert record.needed("test_interval_first").value <= record.needed("test_interval").value
        bands.append((target.low, target.high))
    assert all(below[1] < above[0] for below, above in pairwise(sorted(bands)))


@pytest.mark.parametrize("id_", COPPERS)
def test_no_copper_target_is_over_the_ceiling_and_a_guarded_ramp_is_slower(id_: str) -> None:
    record = store.treatment(id_)
    assert all(target.high <= record.needed("ceiling").value for target in record.numbers["target"])
    plain = (record.needed("ramp_steps").value - 1) * record.needed("ramp_interval").value
    guarded = (record.needed("guarded_ramp_steps").value - 1) * record.needed("guarded_ramp_interval").value
    assert guarded > plain


@pytest.mark.parametrize("temperature", [18, 20.9, 21, 22, 25, 29])
def test_formalin_defaults_stay_under_the_ceiling(temperature: float) -> None:
    record = store.treatment("formalin-bath")
    target, ceiling = (record.needed(name, temperature) for name in ("target", "ceiling"))
    assert target.high <= ceiling.value == (250 if temperature < 21 else 150)
    assert record.needed("minutes").high <= record.needed("minutes_ceiling").value


def test_the_other_defaults_stay_under_their_ceilings() -> None:
    peroxide, dip = store.treatment("peroxide-bath"), store.treatment("freshwater-dip")
    assert peroxide.needed("target").high < peroxide.needed("ceiling").value < 150, "150 mg/L harmed fish"
    assert all(minutes.high <= dip.needed("ceiling").value for minutes in dip.numbers["minutes"])


@pytest.mark.parametrize("temperature", [20, 22, 25, 26, 27, 30])
def test_transfers_last_as_long_as_they_must(temperature: float) -> None:
    record = store.treatment("tank-transfer")
    minimum = record.needed("minimum", temperature).value
    interval = record.needed("interval", temperature).value
    cautious = record.needed("cautious_interval", temperature).value
    assert cautious <= interval <= 72
    assert interval * record.needed("moves", temperature).value >= minimum
    assert cautious * record.needed("cautious_moves", temperature).value >= minimum
    if temperature >= 26:
        release = store.pathogen("cryptocaryon").needed("earliest_release")
        assert cautious <= release.low < interval, "the warm-water warning no longer holds"


@pytest.mark.parametrize("temperature", [15, 19.9, 31, 34])
def test_transfers_have_no_figure_outside_the_table(temperature: float) -> None:
    record = store.treatment("tank-transfer")
    for name in ("interval", "cautious_interval", "moves", "cautious_moves", "minimum"):
        assert record.number(name, temperature) is None


@pytest.mark.parametrize("temperature", [20, 21, 22, 24, 25, 26, 28, 29, 30])
def test_the_second_fluke_dose_falls_after_the_hatch_and_before_the_laying(temperature: float) -> None:
    drug, fluke = store.treatment("praziquantel-bath"), store.pathogen("neobenedenia")
    second, third = drug.needed("second_dose", temperature), drug.needed("third_dose", temperature)
    hatch, laying = fluke.needed("hatch_first", temperature), fluke.needed("laying_after", temperature)
    assert hatch.high <= second.low < second.value < second.high <= laying.value
    assert hatch.high <= third.low - second.value < third.value - second.value < third.high - second.value
    assert third.high - second.value <= laying.value


# --- where somebody else decides ----------------------------------------------------------------------


def test_a_veterinarian_decides_where_the_reference_has_no_usable_number() -> None:
    assert DECIDED == (
        "acriflavine-bath",
        "antibiotic-course",
        "chloroquine-immersion",
        "fenbendazole-bath",
        "fenbendazole-food",
        "levamisole-bath",
        "metronidazole-bath",
        "metronidazole-food",
    )
    assert {store.treatment(id_).decided_by for id_ in DECIDED} == {"a veterinarian"}


@pytest.mark.parametrize("id_", DECIDED)
def test_what_somebody_else_decides_has_no_target_and_says_why(id_: str) -> None:
    record = store.treatment(id_)
    assert {"target", "floor", "ceiling", "minutes", "course"} & set(record.numbers) == set()
    assert [name for name in record.numbers if "used_" in name], "what is in use is listed for the veterinarian"
    assert "on purpose" in (DATA / f"treatments/{id_}.yaml").read_text("utf-8").split("\nid:")[0]
    assert "veterinarian" in record.steps[0].text


@pytest.mark.parametrize("id_", [id_ for id_ in DRUGS if id_ not in {*DECIDED, *DISINFECTION}])
def test_a_drug_that_nobody_else_decides_has_a_target_from_its_own_codes(id_: str) -> None:
    targets = store.treatment(id_).numbers["target"]
    assert "M" not in {target.confidence for target in targets}


def test_chloroquine_is_kept_from_people_and_counted_as_the_salt() -> None:
    record = store.treatment("chloroquine-immersion")
    people = " ".join(statement.text for statement in record.people)
    assert "a person died" in people
    assert "lock it away" in people
    assert record.active == "chloroquine phosphate"
    used, harmed = record.needed("used_level"), record.needed("harmed_level")
    assert harmed.value <= used.low, "the published level is over the one at which fish were lost: no target"


# --- salinity, disinfection ---------------------------------------------------------------------------


def test_low_salinity_stays_under_what_is_not_safe() -> None:
    record = store.treatment("hyposalinity")
    target, ceiling = record.needed("target"), record.needed("ceiling")
    assert all(ranked.high <= ceiling.value for ranked in record.numbers["target"])
    assert ceiling.value < record.needed("not_safe_salinity").value
    step = record.needed("instrument_step_salinity").value
    assert target.low <= target.value - step < target.value + step <= target.high
    assert record.needed("lowest_salinity").value <= target.low
    lowering, steps = record.needed("lowering_step_salinity").value, record.needed("lowering_count").value
    assert 35 - lowering * steps <= 16, "the example of four changes goes down from the sea"


def test_the_climb_back_takes_ten_days_and_a_half() -> None:
    record = store.treatment("hyposalinity")
    days = (35 - record.needed("ceiling").value) / record.needed("raising_per_day_salinity").value
    assert days == 10.5
    assert any("10.5 days" in step.text for step in record.steps)


def test_low_salinity_is_told_alike_in_treatment_and_agents() -> None:
    record, crypto = store.treatment("hyposalinity"), store.pathogen("cryptocaryon")
    for name in ("salinity", "time", "count", "interval"):
        told = crypto.needed(f"hyposalinity_pulse_{name}")
        assert record.needed(f"pulse_{name}").value == told.value
        assert record.needed(f"pulse_{name}").source == told.source
    capsalids = store.pathogen("neobenedenia")
    for name in ("salinity", "time"):
        assert record.needed(f"capsalid_{name}").value == capsalids.needed(f"hyposalinity_eggs_{name}").value
    assert "velvet" in record.not_against[0].text


@pytest.mark.parametrize("id_", DISINFECTION)
def test_a_disinfection_has_nothing_to_dose_into_a_tank_with_fish(id_: str) -> None:
    record = store.treatment(id_)
    assert {"target", "ceiling"} & set(record.numbers) == set(), "a target can be dosed"
    if record.active:
        assert "animal" in record.cautions[0].text
        assert record.needed("harmed_level").value == 0.05


def test_the_disinfection_is_as_strong_as_the_hardest_agent_asks() -> None:
    chlorine, drying = store.treatment("chlorine-disinfection"), store.treatment("drying")
    agents = [store.pathogen(id_) for id_ in PATHOGENS]
    asked = {
        kind: [
            n.value for agent in agents for name in agent.numbers if name.endswith(kind) for n in agent.numbers[name]
        ]
        for kind in ("_chlorine", "_chlorine_time", "_drying")
    }
    assert all(asked.values())
    assert chlorine.needed("level").value >= max(asked["_chlorine"])
    assert chlorine.needed("level").value > chlorine.needed("survived_level").high
    assert chlorine.needed("contact_time").value >= max(asked["_chlorine_time"])
    assert drying.needed("dry").value >= max(asked["_drying"])


def test_drying_is_told_alike_in_both_treatments() -> None:
    drying, transfer = store.treatment("drying"), store.treatment("tank-transfer")
    for name in ("dry", "drying_margin"):
        assert drying.needed(name).value == transfer.needed(name).value
    assert drying.needed("total_time").value == sum(drying.needed(n).value for n in ("dry", "drying_margin"))


def test_thiosulfate_follows_from_the_book_and_leaves_no_chlorine() -> None:
    record = store.treatment("thiosulfate-neutralising")
    book = record.needed("used_level").value / store.treatment("chlorine-disinfection").needed("level").value
    crystal, plain = (record.needed(f"{hydrate}_per_chlorine").value for hydrate in ("pentahydrate", "anhydrous"))
    assert crystal == pytest.approx(book, rel=0.001)
    fraction = store.substances()["sodium-thiosulfate-pentahydrate"].fraction
    assert plain == pytest.approx(crystal * fraction, rel=0.002)
    needs = 2 * (158.10 + 5 * 18.015) / (2 * 35.45)
    assert needs == pytest.approx(record.numbers["pentahydrate_per_chlorine"][1].value, rel=0.002)
    assert crystal > needs
    assert plain > needs * fraction


def test_methylene_blue_follows_from_its_recipe() -> None:
    target = store.treatment("methylene-blue-bath").needed("target")
    by_recipe = 5 * 23 / (10 * 3.785411784)
    assert target.value == pytest.approx(by_recipe, rel=0.03)
    assert target.value <= store.treatment("methylene-blue-bath").needed("ceiling").value


def test_drug_in_food_follows_from_the_ration() -> None:
    record = store.treatment("antibiotic-course")
    ration = store.feed().needed("ration_share").value / 100
    body, food = (record.needed(f"kanamycin_used_per_{what}") for what in ("body", "food"))
    assert body.high / ration == pytest.approx(food.value, rel=0.02)


@pytest.mark.parametrize("id_", [id_ for id_ in TREATMENTS if id_ != "fishless-hold"])
def test_a_treatment_defers_to_law_and_veterinarian(id_: str) -> None:
    record = store.treatment(id_)
    cautions = " ".join(caution.text for caution in record.cautions)
    assert "local law and your veterinarian" in cautions
    assert "local rules" in cautions
    assert record.targets
    assert record.not_against
    assert record.steps
    assert record.stop
    if record.active and record.kind != "disinfection":
        assert "never for fish meant to be eaten" in cautions
    if record.active:
        assert "data sheet" in cautions
        assert record.people
        assert record.unit


def test_formalin_warns_the_people() -> None:
    words = " ".join(statement.text for statement in store.treatment("formalin-bath").people)
    assert "carcinogen" in words
    assert "0.75 ppm" in words
    assert "ventilation" in words


# --- pathogens, signs, animals ------------------------------------------------------------------------


def test_signs_resolve_and_are_all_used() -> None:
    weighed = {sign for id_ in PATHOGENS for sign in store.pathogen(id_).signs}
    by_causes = {sign for cause in store.causes().values() for sign in cause.signs}
    assert (weighed | by_causes) - set(store.signs()) == set()
    for_the_log = {"unwell"}
    unweighed = set(store.signs()) - weighed - for_the_log
    assert unweighed == {"open-wounds", "at-surface"}, "an interlock, and causes, ask for them"
    assert set(store.signs()) - weighed - by_causes == for_the_log


def test_a_sign_is_asked_in_one_question() -> None:
    for sign in store.signs().values():
        assert sign.ask.count("?") == 1
        assert sign.ask.endswith("?")


NO_SIGNS = {
    "gyrodactylus": "the reference weighs the signs of gill flukes only",
    "nematodes": "the reference names none",
}


@pytest.mark.parametrize("id_", PATHOGENS)
def test_a_pathogen_has_a_short_name_a_tempo_and_a_typical_sign(id_: str) -> None:
    record = store.pathogen(id_)
    assert record.short
    assert record.kills_within
    assert record.facts
    assert ("typical" in {weight.weight for weight in record.signs.values()}) == (id_ not in NO_SIGNS)


def test_names_of_pathogens_and_of_treatments_are_unique() -> None:
    for records in (map(store.pathogen, PATHOGENS), map(store.treatment, TREATMENTS)):
        seen = Counter(name.lower() for record in records for name in {record.id, *record.names})
        assert [name for name, count in seen.items() if count > 1] == []


NO_FALLOW = {
    **dict.fromkeys(("uronema", "vibrio"), "it lives without fish"),
    "lymphocystis": "it stays in carriers; none is defined",
    "spironucleus": "none is defined",
    "ichthyobodo": "none is defined",
    "nematodes": "nothing was found",
}


def test_what_has_no_fallow_is_listed_and_the_others_have_one() -> None:
    for id_ in PATHOGENS:
        assert (store.pathogen(id_).number("fallow") is None) == (id_ in NO_FALLOW), id_
    crypto = store.pathogen("cryptocaryon")
    assert crypto.needed("fallow").value == 76 * 24
    assert crypto.number("fallow_warm", 26.9) is None
    assert crypto.needed("fallow_warm", 27).value == 45 * 24


def test_species_are_unique_and_their_groups_resolve() -> None:
    seen = Counter(name.lower() for entry in raw("species.yaml") for name in (entry["scientific"], *entry["names"]))
    assert [name for name, count in seen.items() if count > 1] == []
    assert set(seen) & set(store.groups()) == set(), "a species named like a group"
    for record in store.species().values():
        assert record.group in store.groups()
        assert [name for name in record.names if name != name.lower()] == []
        assert re.fullmatch(r"[A-Z][a-z]+ [a-z]+", record.scientific)
    assert store.species_index()["yellow tang"] == "Zebrasoma flavescens"


def test_jumping_is_stated_in_words_the_model_reads() -> None:
    assert {entry["jumps"] for entry in raw("species.yaml")} == {"yes", "no"}
    assert store.species()["Nemateleotris magnifica"].jumps
    assert not store.species()["Hippocampus reidi"].jumps


def test_animals_without_bones_and_sharks_are_told_off_copper() -> None:
    for group in store.groups().values():
        if group.kind != "bony fish":
            copper = [fact.text for fact in group.facts if fact.text.startswith("copper: ")]
            assert copper, group.id
            assert copper[0].endswith("Never")


# --- substances ---------------------------------------------------------------------------------------


def test_substances_are_unique_and_state_a_usable_fraction() -> None:
    seen = Counter(name.lower() for record in store.substances().values() for name in record.names)
    assert [name for name, count in seen.items() if count > 1] == []
    over_one = {record.id for record in store.substances().values() if record.fraction > 1}
    assert over_one == {"chloroquine-base"}
    assert all(record.fraction > 0 for record in store.substances().values())


@pytest.mark.parametrize("id_", DRUGS)
def test_every_drug_has_a_substance_that_counts_fully(id_: str) -> None:
    active = store.treatment(id_).active
    assert 1 in {record.fraction for record in store.substances().values() if record.active == active}


@pytest.mark.parametrize(
    ("id_", "part", "whole"),
    [
        ("copper-sulfate-pentahydrate", 63.546, 63.546 + 32.06 + 4 * 15.999 + 5 * 18.015),
        ("copper-sulfate-anhydrous", 63.546, 63.546 + 32.06 + 4 * 15.999),
        ("sodium-hypochlorite", 2 * 35.45, 22.990 + 35.45 + 15.999),
        ("sodium-thiosulfate-pentahydrate", 158.10, 158.10 + 5 * 18.015),
    ],
)
def test_fractions_follow_from_atomic_weights(id_: str, part: float, whole: float) -> None:
    assert store.substances()[id_].fraction == pytest.approx(part / whole, rel=0.001)


def test_the_copper_stock_follows_from_its_recipe() -> None:
    fraction = store.substances()["copper-sulfate-pentahydrate"].fraction
    strength = store.treatment("copper-ionic").needed("stock_strength").value
    assert strength == pytest.approx(1000 * fraction / 0.250, rel=0.001)


def test_no_substance_is_without_a_treatment() -> None:
    used = {store.treatment(id_).active for id_ in TREATMENTS} | {"bicarbonate"}  # it buffers the freshwater dip
    assert {record.active for record in store.substances().values()} <= used


# --- food and mass ------------------------------------------------------------------------------------


def test_the_ammonia_of_a_feed_follows_from_its_protein() -> None:
    """2 g a day in 75.7 L without a filter: 83 mg a day, 1.1 mg/L a day."""
    feed = store.feed()
    ammonia = 2000 * feed.needed("protein_share").value / 100 * feed.needed("ammonia_share").value / 100
    assert round(ammonia) == 83
    assert round(ammonia / 75.7, 1) == 1.1


def test_every_bony_fish_has_one_build_and_nothing_else_has() -> None:
    listed = Counter(group for build in raw("lengthweight.yaml") for group in build["groups"])
    assert [group for group, count in listed.items() if count > 1] == []
    assert set(listed) == {group.id for group in store.groups().values() if group.kind == "bony fish"}
    assert set(store.length_weight()) == set(listed)
    assert len(builds()) == len(raw("lengthweight.yaml"))


@pytest.mark.parametrize("build", builds(), ids=lambda build: build.id)
def test_a_mass_from_a_length_is_from_memory_and_may_be_out_by_two(build: animals.Build) -> None:
    for name in ("factor", "power"):
        assert {(n.source, n.confidence) for n in build.numbers[name]} == {("MEMORY", "M")}
    for length in (3.0, 10.0, 30.0):
        mass = build.mass(length)
        assert mass.unit == "g"
        assert (mass.low, mass.high) == pytest.approx((mass.value / 2, mass.value * 2))
        assert build.mass(2 * length).value / mass.value == pytest.approx(2 ** build.needed("power").value)


def test_a_stouter_build_is_heavier() -> None:
    masses = [build.mass(10).value for build in builds()]
    assert masses == sorted(masses)
    assert [round(mass, 1) for mass in masses] == [1.3, 5.0, 11.0, 20.0, 28.0]


def test_the_short_way_to_an_active_agrees_with_the_files() -> None:
    for id_ in store.treatment_ids():
        active = store.treatment(id_).active
        assert id_ in store.treatments_with(active)
