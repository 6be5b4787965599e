"""What would tell apart what fits: looks and trials that show one thing of one suspect and another of the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from pratique.knowledge import store
from pratique.knowledge.suspects import Shown, Trial
from pratique.response.ranking import Fit, Ranking

_MOST_TRIALS = 3
_MOST_SUSPECTS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """One look, and what it shows of each suspect it can tell from another."""

    trial: Trial
    shows: tuple[tuple[str, Shown], ...]


def candidates(ranking: Ranking, cover: Sequence[str]) -> tuple[Fit, ...]:
    """What is worth telling apart: the causes that come first, what is covered, and what else fits best."""
    chosen = [*ranking.first_causes, *(ranking.fit(id_) for id_ in cover)]
    chosen += [fit for fit in ranking.agents if fit.points > 0]
    return tuple({fit.id: fit for fit in chosen}.values())[: max(_MOST_SUSPECTS, len(cover))]


def tell_apart(suspects: Sequence[Fit]) -> tuple[Apart, ...]:
    """The looks that tell the most of `suspects` apart, the most telling first; none where one alone fits."""
    found = []
    for trial in store.trials().values():
        shows = tuple((fit.title, trial.shows[fit.id]) for fit in suspects if fit.id in trial.shows)
        kinds = {shown.text for _, shown in shows}
        if len(kinds) > 1:
            found.append((len(kinds), Apart(trial=trial, shows=shows)))
    found.sort(key=lambda entry: -entry[0])
    return tuple(apart for _, apart in found[:_MOST_TRIALS])
