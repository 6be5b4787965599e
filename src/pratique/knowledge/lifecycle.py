"""The shape of a life cycle as the risk model needs it: strains, what acts on which stage, and what is only assumed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from pydantic import model_validator

from pratique.knowledge.model import Known, Record, Statement
from pratique.quantity import parse_measure

Stage = Literal["on the fish", "cyst", "free"]


class ReleasePoint(Record):
    """A published point: by `after` (h) at `temperature` (degC) a `share` (0 to 1) of the cysts had released."""

    temperature: float
    share: float
    after: float
    source: str
    where: str
    confidence: Literal["V", "Q", "C", "M", "D"]

    @model_validator(mode="before")
    @classmethod
    def _read(cls, data: Any) -> Any:
        if not isinstance(data, Mapping) or not isinstance(data.get("after"), str):
            return data
        return {
            **data,
            "temperature": parse_measure(data["temperature"], "temperature").value,
            "share": parse_measure(data["share"], "fraction").value / 100,
            "after": parse_measure(data["after"], "duration").value,
        }


class Strain(Known):
    """One set of parameters, from one source as far as it goes. Sets are never averaged.

    Numbers: `on_fish` and `release` (h, the first and the last seen), `read_at` (degC) where they were read,
    `kill_cyst_salinity` (g/kg) at or below which its cysts die, `emerge_salinity` below which nothing comes out.
    `title` is a word or two, read as "the … strain"; `seen` what sets it apart.
    """

    seen: Statement
    points: tuple[ReleasePoint, ...] = ()


class Act(Statement):
    """What `treatments` do to one stage; `stage` is the one that is hit.

    `advised` is false where the trade says that it does not clear the agent, whatever a model makes of its numbers.
    """

    treatments: tuple[str, ...]
    stage: Stage
    advised: bool = True


class Limit(Statement):
    """What the model does not know; `about` the one question it matters for, or empty for both."""

    about: Literal["", "plan", "fallow"] = ""


class LifeCycle(Known):
    """A pathogen's cycle. `numbers` are shared by its strains; `assumed` are ranges that nobody has measured.

    `free` and `cyst` name the stages, `limits` what the model leaves out, `no_model` why there is none.
    """

    free: str = ""
    cyst: str = ""
    strains: tuple[Strain, ...] = ()
    acts: tuple[Act, ...] = ()
    assumed: Known | None = None
    limits: tuple[Limit, ...] = ()
    no_model: tuple[Statement, ...] = ()

    def limits_of(self, question: Literal["plan", "fallow"]) -> tuple[Statement, ...]:
        """Those that matter for a plan, or for a water without fish."""
        return tuple(limit for limit in self.limits if limit.about in ("", question))
