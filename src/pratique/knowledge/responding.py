"""The shapes of what is done first: answers to agents, first steps for a fault of the water, sentences to say."""

from __future__ import annotations

from pratique.knowledge.model import Confidence, Record, Statement
from pratique.knowledge.watercare import Care


class FirstAnswer(Record):
    """A treatment that is done first against an agent: what it does, and what it leaves alive."""

    agent: str
    treatment: str
    does: str
    leaves: str
    source: str
    where: str
    confidence: Confidence


class Pressing(Record):
    """An agent for which a treatment does not wait for a day of rest, and why."""

    agent: str
    text: str
    source: str
    where: str
    confidence: Confidence


class CauseSteps(Record):
    """The first three steps for a fault of the water, before any medicine, and what follows them."""

    id: str
    first: tuple[Statement, Statement, Statement]
    then: tuple[Statement, ...] = ()


class StandardBottle(Record):
    """A usual product, by which a need is reckoned where the shelf has none; `says`: what to buy, `kit`: its test."""

    treatment: str
    active: str
    form: str | None = None
    strength: str
    says: str
    kit: str = ""


class Response(Record):
    """The whole file."""

    answers: tuple[FirstAnswer, ...]
    pressing: tuple[Pressing, ...]
    causes: tuple[CauseSteps, ...]
    says: tuple[Care, ...]
    standard: tuple[StandardBottle, ...]

    def answers_to(self, agent: str) -> tuple[FirstAnswer, ...]:
        """What is done first against an agent, best first."""
        return tuple(answer for answer in self.answers if answer.agent == agent)

    def presses(self, agent: str) -> Pressing | None:
        """Why an agent leaves no day of rest; None where it does."""
        return next((entry for entry in self.pressing if entry.agent == agent), None)

    def steps_for(self, cause: str) -> CauseSteps:
        """The steps for a cause; those of `other` where none are on file for it."""
        by_id = {steps.id: steps for steps in self.causes}
        return by_id.get(cause, by_id["other"])

    def said(self, id_: str) -> tuple[Statement, ...]:
        """The sentences under an id. KeyError where there are none."""
        return {care.id: care.says for care in self.says}[id_]

    def bottle_for(self, treatment: str) -> StandardBottle | None:
        """The usual product of a treatment, or None."""
        return next((bottle for bottle in self.standard if bottle.treatment == treatment), None)
