"""The next question worth asking, by how much its answer is expected to tell (in bits), and when to stop asking.

The shares behind it (scoring.yaml, `ask_…`) are ours and serve only to choose the question; no answer shows them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from pratique.knowledge import store
from pratique.knowledge.model import SignWeight
from pratique.response.cover import cover_of, fastest, is_unspecific
from pratique.response.observed import Observed
from pratique.response.ranking import Ranking

_PER_POINT = math.log(2)
"""A point doubles the odds; only for choosing a question."""

_LEAST_GAIN = 0.01
_NEEDS_A_TRIAL = frozenset({"flakes-after-dip"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A sign (no choices: yes, no, not known) or a circumstance with its choices; `gain` in bits."""

    id: str
    ask: str
    choices: tuple[tuple[str, str], ...]
    gain: float

    @property
    def is_sign(self) -> bool:
        return not self.choices


def next_question(observed: Observed, ranking: Ranking, asked: frozenset[str]) -> Question | None:
    """The most telling question that was not put yet; None where nothing tells any more."""
    shares = _shares(ranking)
    found = list(_open_questions(observed, shares, asked))
    best = max(found, key=lambda question: question.gain, default=None)
    return best if best is not None and best.gain >= _LEAST_GAIN else None


def is_enough(observed: Observed, ranking: Ranking, asked: frozenset[str]) -> str:
    """Why asking stops, in words: the picture is clear, or it may be the fast killer. Empty while it goes on.

    While nothing was seen that points anywhere it goes on as long as a question tells anything.
    """
    scoring = store.scoring()
    if len(asked) >= scoring.points("ask_most") and not is_unspecific(observed):
        return "that is enough to go on"
    clear, close = scoring.points("clear"), scoring.points("close")
    fits = sorted((*ranking.agents, *ranking.causes), key=lambda fit: -fit.points)
    feared = ranking.fit(fastest())
    if feared.points >= clear and feared.id in cover_of(observed, ranking):
        return f"it may be {feared.title}, and that does not wait"
    if fits[0].points >= clear and fits[0].points - fits[1].points > close:
        return "the picture is clear"
    if fits[0].water and fits[0].points >= clear and fits[0].points - ranking.best > close:
        return "that points to the water itself"
    return ""


def _shares(ranking: Ranking) -> dict[str, float]:
    fits = (fit for fit in (*ranking.agents, *ranking.causes) if _is_weighed(fit.id))
    weights = {fit.id: math.exp(_PER_POINT * fit.points) for fit in fits}
    total = sum(weights.values())
    return {id_: weight / total for id_, weight in weights.items()}


def _is_weighed(id_: str) -> bool:
    """False for agents of which the reference names no sign: no question tells anything of them."""
    return bool(_signs_of(id_))


def _signs_of(id_: str) -> Mapping[str, SignWeight]:
    return store.causes()[id_].signs if id_ in store.causes() else store.pathogen(id_).signs


def _open_questions(observed: Observed, shares: dict[str, float], asked: frozenset[str]) -> Iterator[Question]:
    known = {*observed.present, *observed.absent, *asked, *_NEEDS_A_TRIAL}
    for sign in store.signs().values():
        if sign.id not in known:
            yes = {id_: _share_of(_signs_of(id_).get(sign.id)) for id_ in shares}
            answers = (yes, {id_: 1 - part for id_, part in yes.items()})
            yield Question(id=sign.id, ask=sign.ask, choices=(), gain=_gain(shares, answers))
    for circumstance in store.circumstances().values():
        fits = not circumstance.only_with or set(circumstance.only_with) & set(observed.present)
        if circumstance.id in asked or observed.chosen(circumstance.id) or not fits:
            continue
        raw = [{id_: _share_of(choice.weights.get(id_)) for id_ in shares} for choice in circumstance.choices]
        totals = {id_: sum(part[id_] for part in raw) for id_ in shares}
        parts = tuple({id_: part[id_] / totals[id_] for id_ in shares} for part in raw)
        choices = tuple((choice.id, choice.title) for choice in circumstance.choices)
        yield Question(id=circumstance.id, ask=circumstance.ask, choices=choices, gain=_gain(shares, parts))


def _share_of(weight: SignWeight | None) -> float:
    return store.scoring().of(f"ask_{weight.weight if weight is not None else 'unsaid'}") / 100


def _gain(shares: dict[str, float], answers: tuple[dict[str, float], ...]) -> float:
    """Expected fall in entropy over the answers, each with its share of cases for every suspect."""
    expected = 0.0
    for answer in answers:
        joint = {id_: shares[id_] * answer[id_] for id_ in shares}
        total = sum(joint.values())
        if total > 0:
            expected += total * _entropy(part / total for part in joint.values())
    return _entropy(shares.values()) - expected


def _entropy(parts: Iterable[float]) -> float:
    return -sum(part * math.log2(part) for part in parts if part > 0)
