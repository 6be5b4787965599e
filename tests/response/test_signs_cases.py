"""The order of what fits, held against published descriptions of cases: the signs are those their abstracts give.

Where a pattern has no published source it says so ("common practice, no published source").
"""

from __future__ import annotations

import datetime as dt
from typing import NamedTuple

import pytest

from pratique.knowledge import store
from pratique.response.cover import cover_of, suspect
from pratique.response.hearing import hear
from pratique.response.observed import Observed
from pratique.response.ranking import Ranking, Weighing, rank
from pratique.response.vocabulary import vocabulary
from pratique.room.resolve import Animal

AT = dt.datetime(2027, 3, 5, 18, tzinfo=dt.UTC)


def fish(scientific: str) -> Animal:
    record = store.species()[scientific]
    return Animal(
        label=record.names[0], scientific=scientific, group=store.groups()[record.group], count=1, size=None,
        signs=(), jumps=False, path=(),
    )  # fmt: skip


def heard(text: str, *animals: Animal) -> Observed:
    observed, problems = hear(text, "", vocabulary(animals), Observed(tank="ward", at=AT))
    assert problems == ()
    return observed


def ranked(text: str, *animals: Animal) -> Ranking:
    return rank(Weighing(observed=heard(text, *animals), animals=animals))


class Case(NamedTuple):
    source: str
    says: str
    typed: str
    first: str
    hosts: tuple[str, ...] = ()


CASES = [
    Case(
        "OWA20", "farmed Sardinella: rapid breathing, at outflow and aerators, rubbing, erratic, no appetite",
        "breathing fast, by the air stone, rubbing, erratic, no appetite, spreading", "amyloodinium",
    ),
    Case("LAW80", "spasmodic gasping, uncoordinated before death", "gasping, uncoordinated", "amyloodinium"),
    Case("SRAC4705", "velvet: a fine coat", "velvety, fast breathing", "amyloodinium"),
    Case(
        "BER22", "cohorts die up to the last (signs as in OWA20)",
        "fast breathing, not eating, since 2 d", "amyloodinium",
    ),
    Case("BOW87", "clownfish are readily infected", "dust", "amyloodinium", ("Amphiprion ocellaris",)),
    Case(
        "FA164", "white spots, mucus, ragged fins, cloudy eyes, pale gills",
        "white spots, excess mucus, ragged fins, cloudy eyes, pale gills", "cryptocaryon",
    ),
    Case(
        "GUPPY14", "spots 4 to 5 d after exposure, deaths after 7 to 8 d",
        "white spots, since 7 d, new fish", "cryptocaryon",
    ),
    Case(
        "COL85", "sea bream: trophonts 3 to 7 d on the fish, and back again",
        "spots that come and go, white spots", "cryptocaryon",
    ),
    Case(
        "DIA98", "gill epithelium destroyed and shed", "slime, faded patches, breathing hard, on the gills",
        "brooklynella", ("Amphiprion percula",),
    ),
    Case(
        "BR17", "imported Chromis and Pseudanthias: bloody ulcers and haemorrhage on the body, behaviour disorder",
        "ulcers, haemorrhage, on the body, behaves oddly", "uronema", ("Chromis viridis",),
    ),
    Case("BR20", "ten kinds at a wholesaler: bloody ulcers", "bloody sores, odd behaviour", "uronema"),
    Case(
        "BR19", "imported angels: irritable, cloudy eyes; first seen 10 d into quarantine",
        "irritable, cloudy eyes, scratching, on the eyes", "neobenedenia", ("Pomacanthus imperator",),
    ),
    Case("KAN88", "tilapia: cloudy then ulcerated eye, swollen eye", "cloudy eye, swollen eye", "neobenedenia"),
    Case(
        "UTOKYO-N", "3 to 6 mm transparent worms, scratching, erosion, mucus",
        "transparent worms, size 4 mm, scratching, mucus", "neobenedenia",
    ),
    Case(
        "KENT86", "yellow tangs: dark spots in waves about 10 d apart, focal dermatitis",
        "black spots, in waves, scratching, sores", "paravortex", ("Zebrasoma flavescens",),
    ),
    Case(
        "LCD22", "chronic white nodules on skin and fins",
        "lumps like cauliflower, on the fins, for months", "lymphocystis",
    ),
    Case(
        "FA31", "lethargy and lost appetite, then red skin, sores, pop-eye, ragged fins",
        "lethargic, no appetite, red sores, popeye, fin rot", "vibrio",
    ),
    Case("ICHTHY98", "thickened and dying epidermis", "thickened skin", "ichthyobodo"),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.source)
def test_the_agent_of_a_published_case_comes_first(case: Case) -> None:
    ranking = ranked(case.typed, *(fish(name) for name in case.hosts))
    assert case.source in store.sources()
    assert ranking.agents[0].id == case.first, [(fit.id, fit.points) for fit in ranking.agents[:4]]
    reasons = ranking.agents[0].for_
    assert reasons
    assert all(reason.source in store.sources() for reason in reasons)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.source)
def test_the_agent_of_a_published_case_is_covered(case: Case) -> None:
    animals = tuple(fish(name) for name in case.hosts)
    observed = heard(case.typed, *animals)
    assert case.first in cover_of(observed, rank(Weighing(observed=observed, animals=animals)))


WATER = [
    ("gasping, at the surface, all at once, since 1 h", "low-oxygen"),
    ("gasping, all at once, suddenly, power cut", "stopped-pump"),
    ("fast breathing, at the surface, all at once, uncycled, since 30 h", "ammonia"),
    ("gasping, darting, all at once, after a water change, bleached, suddenly", "chlorine"),
    ("not eating, lethargic, odd swimming, all at once, after copper, since 3 h", "copper-overdose"),
]


@pytest.mark.parametrize(("typed", "cause"), WATER)
def test_the_water_comes_before_any_agent_where_all_fall_ill_at_once(typed: str, cause: str) -> None:
    """Common practice, no published source: everything gasping at once is the water first."""
    ranking = ranked(typed)
    assert cause in [fit.id for fit in ranking.first_causes]
    best = max(fit.points for fit in ranking.causes)
    assert ranking.fit(cause).points == best
    assert best > ranking.best


@pytest.mark.parametrize("coat", ["dust", "white spots countable", "nodules", "transparent worms"])
def test_what_is_seen_on_the_skin_is_not_the_water(coat: str) -> None:
    assert ranked(f"{coat}, since 2 d").first_causes == ()


def test_the_fast_killer_is_covered_while_it_is_in_doubt() -> None:
    """Agents 12, scheduling rule (D): when the two cannot be separated, act on the faster one."""
    observed = heard("white spots, countable, breathing fast, scratching")
    ranking = rank(Weighing(observed=observed))
    assert ranking.agents[0].id == "cryptocaryon"
    assert cover_of(observed, ranking)[0] == "amyloodinium"


def test_spots_that_can_be_counted_alone_do_not_cover_velvet() -> None:
    """Agents 12, rule of thumb (C): spots you can count point to white spot."""
    observed = heard("white spots, countable, scratching")
    assert cover_of(observed, rank(Weighing(observed=observed))) == ("cryptocaryon",)


def test_general_signs_cover_nothing() -> None:
    """FA31 (Q): lethargy and lost appetite are not specific."""
    observed = heard("not eating, lethargic, hiding")
    found = suspect(observed, rank(Weighing(observed=observed)))
    assert found.cover == ()
    assert found.signs == ("not-eating", "lethargy", "avoids-light")


def test_what_is_covered_stands_in_the_order_in_which_it_may_kill() -> None:
    observed = heard("scratching")
    cover = cover_of(observed, rank(Weighing(observed=observed)))
    hours = [store.tempo()[id_].hours for id_ in cover]
    assert cover[0] == "amyloodinium"
    assert {"cryptocaryon", "neobenedenia", "gill-flukes", "paravortex"} <= set(cover)
    assert hours == sorted(hours)


def test_every_agent_has_a_tempo_and_velvet_agrees_with_its_own_file() -> None:
    assert set(store.tempo()) == set(store.pathogen_ids())
    known = store.pathogen("amyloodinium").needed("death_after_first_signs")
    assert store.tempo()["amyloodinium"].hours == known.low


def test_too_much_copper_is_not_weighed_where_there_is_none() -> None:
    assert ranked("gasping, all at once, suddenly").fit("copper-overdose").reasons == ()
    assert ranked("gasping, all at once, suddenly, after copper").fit("copper-overdose").points > 0


def test_who_lives_in_it_does_not_put_an_agent_before_the_water() -> None:
    plain, clownfish = ranked("gasping"), ranked("gasping", fish("Amphiprion ocellaris"))
    assert [fit.id for fit in plain.first_causes] == [fit.id for fit in clownfish.first_causes]
    assert "low-oxygen" in [fit.id for fit in clownfish.first_causes]


def test_a_host_alone_says_nothing() -> None:
    ranking = ranked("not eating", fish("Zebrasoma flavescens"))
    assert ranking.fit("paravortex").reasons == ()


def test_named_hosts_count_once_and_resistant_ones_only_where_all_are() -> None:
    tang, wrasse = fish("Zebrasoma flavescens"), fish("Halichoeres chrysus")
    plain = ranked("white spots").fit("cryptocaryon").points
    assert ranked("white spots", tang).fit("cryptocaryon").points == plain + 1
    assert ranked("white spots", tang, tang).fit("cryptocaryon").points == plain + 1
    assert ranked("white spots", wrasse).fit("cryptocaryon").points == plain - 1
    assert ranked("white spots", wrasse, tang).fit("cryptocaryon").points == plain + 1
    assert ranked("white spots on yellow wrasse", wrasse, tang).fit("cryptocaryon").points == plain - 1
