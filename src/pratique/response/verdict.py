"""The whole answer to "what may it be": what was seen, what fits, what tells it apart, what has to be covered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from pratique.history.fold import History
from pratique.problem import Problem
from pratique.response.apart import Apart, candidates, tell_apart
from pratique.response.cover import fastest, in_doubt, is_unspecific, suspect
from pratique.response.environment import Surroundings, look_around
from pratique.response.observed import Observed, in_order
from pratique.response.ranking import Fit, Ranking, Weighing, rank
from pratique.response.readings import Finding, judge_readings, unread
from pratique.response.suspicion import Suspicion
from pratique.room.resolve import Animal

_BREATHING = frozenset({"gasping", "fast-breathing", "at-surface", "in-flow", "gill-only"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Verdict:
    """`observed` is what was typed with what the record adds; `unspecific` where the signs name nothing to act on.

    `unread`: oxygen and ammonia where the pattern asks for them and nobody read them lately.
    """

    observed: Observed
    around: Surroundings
    findings: tuple[Finding, ...]
    ranking: Ranking
    suspects: tuple[Fit, ...]
    apart: tuple[Apart, ...]
    suspicion: Suspicion
    unspecific: bool
    unread: tuple[str, ...]

    @property
    def doubted(self) -> str:
        """The title of the fast killer where it is covered though another fits better; else empty."""
        fit = self.ranking.fit(fastest())
        behind = fit.points < self.ranking.best
        return fit.title if fit.id in self.suspicion.cover and behind and in_doubt(self.observed, fit) else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Background:
    """What does not change while questions are asked: the record and who is in the water."""

    history: History
    tank: str
    animals: tuple[Animal, ...]
    around: Surroundings

    def complete(self, observed: Observed) -> Observed:
        """`observed` with the fresh signs and the facts that are on record; what was typed stands before them."""
        recorded = [sign for seen in self.around.signs for sign in seen.signs]
        present = in_order(sign for sign in (*observed.present, *recorded) if sign not in observed.absent)
        dead = tuple(sorted({*observed.dead, *self.around.dead}))
        return replace(observed, present=present, dead=dead).with_facts(self.around.facts)

    def weighing(self, observed: Observed) -> Weighing:
        """What is typed and on record, to be ranked."""
        findings = judge_readings(self.history, self.tank, observed.readings)
        return Weighing(observed=self.complete(observed), animals=self.animals, findings=findings)


def background_of(history: History, tank: str, animals: tuple[Animal, ...]) -> Background:
    """As it is at the moment of the history; `animals` are those in the water of the tank."""
    return Background(history=history, tank=tank, animals=animals, around=look_around(history, tank, animals))


def judge(background: Background, observed: Observed) -> Verdict:
    """Rank what was seen, and say what follows."""
    weighing = background.weighing(observed)
    complete, ranking = weighing.observed, rank(weighing)
    asks = bool(_BREATHING & set(complete.present)) or bool(ranking.first_causes)
    not_read = unread(background.history, background.tank, observed.readings) if asks else ()
    suspicion = replace(suspect(complete, ranking), unread=not_read)
    suspects = candidates(ranking, suspicion.cover)
    return Verdict(
        observed=complete,
        around=background.around,
        findings=weighing.findings,
        ranking=ranking,
        suspects=suspects,
        apart=tell_apart(suspects),
        suspicion=suspicion,
        unspecific=is_unspecific(complete),
        unread=not_read,
    )


def warnings(background: Background, verdict: Verdict) -> Iterator[Problem]:
    """What the keeper can do about this answer at once."""
    fish = [animal for animal in background.animals if animal.group.is_fish]
    if not fish:
        yield Problem(
            code="X657",
            severity="warning",
            message=f"by the record no fish is in the water of `{background.tank}`",
            hint="check the tank's name; `pratique log found TANK ANIMAL` says who is there",
        )
    here = {animal.label for animal in background.animals}
    named = (*verdict.observed.affected, *verdict.observed.dying)
    for name in dict.fromkeys(name for name in named if name not in here):
        yield Problem(
            code="X655",
            severity="warning",
            message=f"by the record `{name}` is not in the water of `{background.tank}`",
            hint="check the tank; `pratique log move` or `pratique log found` sets the record right",
        )
    if verdict.unread:
        what = " and ".join(verdict.unread)
        yield Problem(
            code="X654",
            severity="warning",
            message=f"{what} {'was' if len(verdict.unread) == 1 else 'were'} not read in the last hours",
            note="too little oxygen and ammonia look like a disease of the gills, and are put right in minutes",
            hint=f"test now and run it again with such as `{verdict.unread[0]} {_EXAMPLE[verdict.unread[0]]}`",
        )


_EXAMPLE = {"oxygen": "6 mg/L", "ammonia": "0.25 mg/L"}
