"""Laws of the ranking: what fits a sign never falls by it, order is nothing, and what is not known changes nothing."""

from __future__ import annotations

import datetime as dt
import math
import random
from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from pratique.knowledge import store
from pratique.response.apart import candidates, tell_apart
from pratique.response.asking import is_enough, next_question
from pratique.response.cover import cover_of, fastest
from pratique.response.hearing import hear
from pratique.response.observed import Fact, Observed, in_order
from pratique.response.ranking import Weighing, points_of, rank
from pratique.response.vocabulary import vocabulary

AT = dt.datetime(2027, 3, 5, 18, tzinfo=dt.UTC)
SIGNS = sorted(store.signs())
FACTS: list[Fact] = [(c.id, choice.id) for c in store.circumstances().values() for choice in c.choices]


@st.composite
def observations(draw: st.DrawFn) -> Observed:
    present = draw(st.sets(st.sampled_from(SIGNS), max_size=6))
    absent = draw(st.sets(st.sampled_from(SIGNS), max_size=4)) - present
    facts = draw(st.lists(st.sampled_from(FACTS), max_size=3))
    found = Observed(tank="ward", at=AT, present=in_order(present), absent=in_order(absent))
    return found.with_facts(facts)


def points(observed: Observed) -> dict[str, int]:
    ranking = rank(Weighing(observed=observed))
    return {fit.id: fit.points for fit in (*ranking.agents, *ranking.causes)}


@given(observations(), st.sampled_from(SIGNS))
def test_a_usual_sign_never_lowers_an_agent_beside_those_it_speaks_against(observed: Observed, sign: str) -> None:
    if sign in observed.absent:
        observed = replace(observed, absent=tuple(other for other in observed.absent if other != sign))
    before, after = points(observed), points(observed.seen(sign))
    weights = {id_: store.pathogen(id_).signs.get(sign) for id_ in store.pathogen_ids()}
    for usual in (id_ for id_, weight in weights.items() if weight and weight.weight == "typical"):
        assert after[usual] >= before[usual]
        for against in (id_ for id_, weight in weights.items() if weight and weight.weight == "unusual"):
            assert after[usual] - after[against] >= before[usual] - before[against]


@given(observations(), st.randoms(use_true_random=False))
def test_the_order_in_which_things_were_typed_is_nothing(observed: Observed, order: random.Random) -> None:
    words = [store.signs()[sign].title for sign in observed.present]
    words += [f"no {store.signs()[sign].title}" for sign in observed.absent]
    shuffled = order.sample(words, len(words))
    empty = Observed(tank="ward", at=AT)
    one, first = hear(", ".join(words), "", vocabulary(), empty)
    other, second = hear(", ".join(shuffled), "", vocabulary(), empty)
    assert first == second == ()
    assert one == other
    assert (one.present, one.absent) == (observed.present, observed.absent)
    assert rank(Weighing(observed=one)) == rank(Weighing(observed=other))


@given(observations())
def test_points_are_the_sum_of_the_reasons_and_ties_go_to_what_kills_sooner(observed: Observed) -> None:
    ranking = rank(Weighing(observed=observed))
    for fit in (*ranking.agents, *ranking.causes):
        assert fit.points == sum(reason.points for reason in fit.reasons)
        assert {*fit.for_, *fit.against} == set(fit.reasons)
    keys = [(-fit.points, store.tempo()[fit.id].hours, fit.id) for fit in ranking.agents]
    assert keys == sorted(keys)


@given(observations(), st.sampled_from(SIGNS))
def test_what_says_nothing_of_an_agent_leaves_it_as_it_was(observed: Observed, sign: str) -> None:
    """A sign the reference does not weigh for an agent, and one looked for in vain that is not usual of it."""
    before = points(observed)
    seen, missed = points(observed.seen(sign)), points(observed.missed(sign))
    for id_ in store.pathogen_ids():
        weight = store.pathogen(id_).signs.get(sign)
        if weight is None:
            assert seen[id_] == before[id_]
        if weight is None or weight.weight != "typical":
            assert missed[id_] == before[id_]


@given(observations(), st.sampled_from(sorted(store.pathogen("amyloodinium").signs)))
def test_a_usual_sign_of_the_fast_killer_never_takes_it_out_of_cover(observed: Observed, sign: str) -> None:
    if store.pathogen(fastest()).signs[sign].weight != "typical":
        return
    if sign in observed.absent:
        observed = replace(observed, absent=tuple(other for other in observed.absent if other != sign))
    more = observed.seen(sign)
    before = cover_of(observed, rank(Weighing(observed=observed)))
    after = cover_of(more, rank(Weighing(observed=more)))
    assert fastest() not in before or fastest() in after


@given(observations())
def test_only_what_fits_is_covered_and_the_best_is(observed: Observed) -> None:
    ranking = rank(Weighing(observed=observed))
    cover = cover_of(observed, ranking)
    assert all(ranking.fit(id_).points > 0 for id_ in cover)
    specific = any(not store.signs()[sign].general for sign in observed.present)
    assert (ranking.agents[0].id in cover) == (specific and ranking.best > 0)


@given(observations())
def test_a_look_that_is_offered_tells_two_of_the_suspects_apart(observed: Observed) -> None:
    ranking = rank(Weighing(observed=observed))
    suspects = candidates(ranking, cover_of(observed, ranking))
    for apart in tell_apart(suspects):
        assert len({shown.text for _, shown in apart.shows}) > 1
        assert {title for title, _ in apart.shows} <= {fit.title for fit in suspects}


def _bits(shares: dict[str, float], answers: list[dict[str, float]]) -> float:
    """Mutual information by its definition, Σ p(x,y) log2 p(x,y) / (p(x) p(y))."""
    total = 0.0
    for answer in answers:
        p_answer = math.fsum(shares[id_] * answer[id_] for id_ in shares)
        total += math.fsum(
            shares[id_] * answer[id_] * math.log2(answer[id_] / p_answer) for id_ in shares if answer[id_] > 0
        )
    return total


@given(observations())
def test_the_next_question_is_the_one_that_tells_most_by_the_definition_of_information(observed: Observed) -> None:
    ranking = rank(Weighing(observed=observed))
    question = next_question(observed, ranking, frozenset())
    fits = [fit for fit in (*ranking.agents, *ranking.causes) if fit.id not in ("gyrodactylus", "nematodes")]
    raw = {fit.id: 2.0**fit.points for fit in fits}
    shares = {id_: value / math.fsum(raw.values()) for id_, value in raw.items()}
    parts = {"typical": 0.7, "possible": 0.3, "unusual": 0.03, "": 0.1}

    def signs(id_: str) -> dict[str, str]:
        record = store.causes()[id_].signs if id_ in store.causes() else store.pathogen(id_).signs
        return {sign: weight.weight for sign, weight in record.items()}

    by_hand = {}
    for sign in set(SIGNS) - {*observed.present, *observed.absent, "flakes-after-dip"}:
        yes = {id_: parts[signs(id_).get(sign, "")] for id_ in shares}
        by_hand[sign] = _bits(shares, [yes, {id_: 1 - part for id_, part in yes.items()}])
    best = max(by_hand.values())
    assert question is None or question.gain >= best - 1e-9
    if question is not None and question.is_sign:
        assert math.isclose(question.gain, by_hand[question.id], abs_tol=1e-9)
    if question is None:
        assert best < 0.01


@given(observations(), st.lists(st.sampled_from("yn?"), min_size=45, max_size=45))
def test_asking_ends_and_never_puts_a_question_twice(observed: Observed, keys: list[str]) -> None:
    asked: frozenset[str] = frozenset()
    for key in keys:
        ranking = rank(Weighing(observed=observed))
        question = None if is_enough(observed, ranking, asked) else next_question(observed, ranking, asked)
        if question is None:
            return
        assert question.id not in asked
        asked |= {question.id}
        if question.is_sign and key != "?":
            observed = observed.seen(question.id) if key == "y" else observed.missed(question.id)
        elif key != "?":
            observed = observed.with_facts([(question.id, question.choices[0][0])])
    raise AssertionError("it goes on asking")


def test_the_points_are_those_of_the_file() -> None:
    assert [points_of(weight) for weight in ("typical", "possible", "unusual")] == [3, 1, -2]
    assert {n.confidence for name in ("typical_seen", "possible_seen", "unusual_seen") for n in
            store.scoring().numbers[name]} == {"D"}  # fmt: skip


@given(st.text(max_size=60))
def test_no_words_crash_the_reader(text: str) -> None:
    _, problems = hear(text, text, vocabulary(), Observed(tank="ward", at=AT))
    assert all(problem.code for problem in problems)


@settings(max_examples=12, deadline=None)
@given(observations())
def test_nothing_is_asked_that_is_known_or_that_no_sign_calls_for(observed: Observed) -> None:
    ranking, asked = rank(Weighing(observed=observed)), set[str]()
    while (question := next_question(observed, ranking, frozenset(asked))) is not None:
        assert question.id not in asked
        asked.add(question.id)
    assert not asked & {*observed.present, *observed.absent}
    for circumstance in (store.circumstances()[id_] for id_ in asked & store.circumstances().keys()):
        assert not observed.chosen(circumstance.id)
        assert not circumstance.only_with or set(circumstance.only_with) & set(observed.present)


def test_asking_stops_after_so_many_questions_once_a_sign_points_somewhere() -> None:
    """scoring, `ask_most`: twelve; while nothing points anywhere it goes on."""
    twelve = frozenset(map(str, range(12)))
    for sign, asked, said in (
        ("scratching", twelve, "that is enough to go on"),
        ("scratching", frozenset(sorted(twelve)[1:]), ""),
        ("unwell", twelve, ""),
    ):
        observed = Observed(tank="ward", at=AT, present=(sign,))
        assert is_enough(observed, rank(Weighing(observed=observed)), asked) == said, (sign, len(asked))
