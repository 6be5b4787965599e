"""What fits the signs, in order: a plain sum of points with a reason for each. Never a diagnosis, never a probability.

    points = Σ (sign seen: typical +3, possible +1, unusual −2) + Σ (usual sign looked for in vain: −1)
           + the same for circumstances + hosts (+1, −1) + readings (±6)

The points are in scoring.yaml, ours (D); the words typical, possible, unusual and their sources are those of the
pathogen files (agents 12). A sign nobody looked for adds nothing; a host counts only beside a sign that fits. Ties go
to what may kill sooner; among causes, which are listed apart, to the one that stands first in their file.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from pratique.knowledge import store
from pratique.knowledge.model import SignWeight
from pratique.response.observed import Observed
from pratique.response.readings import Finding
from pratique.room.resolve import Animal

Kind = Literal["sign", "absent", "circumstance", "host", "reading"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One thing for (points over nought) or against: what it is, how it weighs, who says so."""

    kind: Kind
    what: str
    weight: str
    points: int
    source: str
    confidence: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One agent or cause. `measured`: a reading shows it; `water`: it is in the water, and no agent."""

    id: str
    title: str
    kind: Literal["agent", "cause"]
    points: int
    reasons: tuple[Reason, ...]
    tempo: str = ""
    measured: bool = False
    water: bool = False

    @property
    def for_(self) -> tuple[Reason, ...]:
        """What speaks for it, the heaviest first."""
        return tuple(reason for reason in self.reasons if reason.points > 0)

    @property
    def against(self) -> tuple[Reason, ...]:
        """What speaks against it, the heaviest first."""
        return tuple(reason for reason in self.reasons if reason.points < 0)

    @property
    def says(self) -> str:
        """How well it fits, in a word."""
        scoring = store.scoring()
        if self.measured:
            return "shown by a reading"
        if self.points >= scoring.points("clear"):
            return "fits well"
        if self.points >= scoring.points("typical_seen"):
            return "fits"
        return "fits a little" if self.points > 0 else "does not fit"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranking:
    """Everything that was weighed, best first, each list by itself."""

    agents: tuple[Fit, ...]
    causes: tuple[Fit, ...]

    @property
    def best(self) -> int:
        """The points of the agent that fits best; 0 where none fits."""
        return max((fit.points for fit in self.agents), default=0)

    @property
    def first_causes(self) -> tuple[Fit, ...]:
        """Causes that come before any agent: shown by a reading, or with a usual sign and no fewer points.

        Agents are taken without their hosts: who lives in it says nothing of the water. Of causes that no reading
        shows, only what cannot be told apart from the best of them.
        """
        scoring = store.scoring()
        agents = max((_sum(r for r in fit.reasons if r.kind != "host") for fit in self.agents), default=0)
        best = max((fit.points for fit in self.causes if not fit.measured), default=0)
        least = max(scoring.points("cause_first"), agents, best - scoring.points("close"))
        return tuple(fit for fit in self.causes if fit.measured or fit.points >= least)

    def fit(self, id_: str) -> Fit:
        """KeyError where it was not weighed."""
        return {fit.id: fit for fit in (*self.agents, *self.causes)}[id_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """What is held against each suspect beside the signs: who is concerned, and the readings."""

    observed: Observed
    animals: tuple[Animal, ...] = ()
    findings: tuple[Finding, ...] = field(default=())


def rank(weighing: Weighing) -> Ranking:
    """Every agent and every cause, ordered by its points. The order in which things were said is nothing."""
    agents = [_agent(id_, weighing) for id_ in store.pathogen_ids()]
    causes = [_cause(id_, weighing) for id_ in store.causes()]
    return Ranking(agents=tuple(sorted(agents, key=_order)), causes=tuple(sorted(causes, key=_order)))


def _order(fit: Fit) -> tuple[bool, int, float, str]:
    tempo = store.tempo().get(fit.id)
    later = tempo.hours if tempo is not None else float(list(store.causes()).index(fit.id))
    return (not fit.measured, -fit.points, later, fit.id)


def _agent(id_: str, weighing: Weighing) -> Fit:
    record = store.pathogen(id_)
    reasons = [*_by_signs(record.signs, weighing.observed), *_by_facts(id_, weighing.observed)]
    if any(reason.kind == "sign" and reason.points > 0 for reason in reasons):
        reasons += _by_hosts(id_, weighing)
    tempo = store.tempo().get(id_)
    return Fit(
        id=id_, title=record.short, kind="agent", points=_sum(reasons), reasons=_heaviest_first(reasons),
        tempo=tempo.text if tempo is not None else "",
    )  # fmt: skip


def _cause(id_: str, weighing: Weighing) -> Fit:
    cause = store.causes()[id_]
    measured = [finding for finding in weighing.findings if finding.cause == id_]
    facts = {f"{name}.{choice}" for name, choice in weighing.observed.facts}
    reasons: list[Reason] = []
    if not cause.needs or measured or facts & set(cause.needs):
        reasons += [*_by_signs(cause.signs, weighing.observed), *_by_facts(id_, weighing.observed)]
        reasons += [_of_finding(finding) for finding in measured]
    return Fit(
        id=id_, title=cause.title, kind="cause", points=_sum(reasons), reasons=_heaviest_first(reasons),
        measured=any(finding.verdict == "shows" for finding in measured), water=cause.water,
    )  # fmt: skip


def _sum(reasons: Iterable[Reason]) -> int:
    return sum(reason.points for reason in reasons)


def _heaviest_first(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    return tuple(sorted(reasons, key=lambda reason: -abs(reason.points)))


def points_of(weight: str) -> int:
    """What a weight adds where the sign is seen.

    >>> points_of("typical"), points_of("possible"), points_of("unusual")
    (3, 1, -2)
    """
    points = store.scoring().points(f"{weight}_seen")
    return -points if weight == "unusual" else points


def _by_signs(weights: Mapping[str, SignWeight], observed: Observed) -> Iterator[Reason]:
    titles = store.signs()
    for sign in observed.present:
        if sign in weights:
            yield _reason("sign", titles[sign].title, weights[sign], points_of(weights[sign].weight))
    for sign in observed.absent:
        if sign in weights and weights[sign].weight == "typical":
            points = -store.scoring().points("typical_absent")
            yield _reason("absent", f"no {titles[sign].title}", weights[sign], points)


def _by_facts(id_: str, observed: Observed) -> Iterator[Reason]:
    for name, choice_id in observed.facts:
        choice = store.circumstances()[name].choice(choice_id)
        weight = choice.weights.get(id_)
        if weight is not None:
            title = f"{store.circumstances()[name].title}: {choice.title}"
            yield _reason("circumstance", title, weight, points_of(weight.weight))


def _reason(kind: Kind, what: str, weight: SignWeight, points: int) -> Reason:
    return Reason(
        kind=kind, what=what, weight=weight.weight, points=points, source=weight.source,
        confidence=weight.confidence, note=weight.note,
    )  # fmt: skip


def _by_hosts(id_: str, weighing: Weighing) -> Iterator[Reason]:
    """Once for it where an animal concerned is a named host; once against where all of them take it seldom."""
    fish = [animal for animal in weighing.animals if animal.group.is_fish]
    names = weighing.observed.affected
    concerned = [animal for animal in fish if animal.label in names] or fish
    links = [host for host in store.hosts() if host.agent == id_]
    more = [host for host in links if host.weight == "more" and any(_is(animal, host.of) for animal in concerned)]
    less = [host for host in links if host.weight == "less"]
    scoring = store.scoring()
    if more:
        yield Reason(
            kind="host", what=more[0].text, weight="more", points=scoring.points("host_more"),
            source=more[0].source, confidence=more[0].confidence, note=more[0].where,
        )  # fmt: skip
    elif concerned and all(any(_is(animal, host.of) for host in less) for animal in concerned):
        host = next(host for host in less if _is(concerned[0], host.of))
        yield Reason(
            kind="host", what=host.text, weight="less", points=-scoring.points("host_less"),
            source=host.source, confidence=host.confidence, note=host.where,
        )  # fmt: skip


def _is(animal: Animal, of: str) -> bool:
    return of in (animal.group.id, animal.scientific)


def _of_finding(finding: Finding) -> Reason:
    scoring = store.scoring()
    measured = scoring.points("measured")
    points = {"shows": measured, "may": scoring.points("possible_seen"), "clears": -measured}[finding.verdict]
    return Reason(
        kind="reading", what=finding.text, weight=finding.verdict, points=points, source=finding.source,
        confidence=finding.confidence, note=finding.where,
    )  # fmt: skip
