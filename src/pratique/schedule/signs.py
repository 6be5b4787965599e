"""What the signs seen on an arriving batch ask of its regimen: each a warning that can be acted on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pratique.dosing.facts import VELVET_SIGNS, WOUNDS
from pratique.knowledge import store
from pratique.knowledge.model import Pathogen, Regimen
from pratique.problem import Problem
from pratique.room.resolve import Batch, Room
from pratique.schedule.calendar import elapsed_hours, shown
from pratique.schedule.placed import Placed
from pratique.schedule.propose import velvet_signs


@dataclass(frozen=True, slots=True)
class _Seen:
    room: Room
    batch: Batch
    regimen: Regimen
    placed: list[Placed]

    def warning(self, *, code: str, message: str, note: str, hint: str) -> Problem:
        """What the signs of the batch ask for, at the place where they stand."""
        place = self.room.place((*self.batch.path, "signs"))
        return Problem(code=code, severity="warning", message=message, places=(place,), note=note, hint=hint)


def about_signs(room: Room, batch: Batch, regimen: Regimen, placed: list[Placed]) -> Iterator[Problem]:
    """Fast killers that are not answered first, or too slowly; signs that point elsewhere; wounds."""
    seen = _Seen(room, batch, regimen, placed)
    yield from _unanswered(seen)
    yield from _points_elsewhere(seen)
    yield from _too_slow(seen)


def _unanswered(outlook: _Seen) -> Iterator[Problem]:
    """Signs of an agent that kills within days, in a regimen that does not begin with what stops it."""
    velvet = velvet_signs(outlook.batch)
    brook = tuple(sign for sign in outlook.batch.signs if sign in _brook_signs())
    if velvet and outlook.placed[0].treatment.active != "copper":
        others = _also_usual(velvet)
        if others:
            yield _may_be_velvet(outlook, velvet, others)
        else:
            yield _unanswered_by(outlook, velvet, "velvet", "copper in a bare tank is the usual answer, at once")
    if brook:
        yield _unanswered_by(outlook, brook, "brooklynella", "formalin baths are the usual answer, at once")


def _also_usual(velvet: tuple[str, ...]) -> tuple[str, ...]:
    """Who else all of these signs are usual for; empty where one of them alone speaks for velvet."""
    agents = [store.pathogen(id_) for id_ in store.pathogen_ids() if id_ != "amyloodinium"]
    if any(sign in VELVET_SIGNS or not any(_is_usual(agent, sign) for agent in agents) for sign in velvet):
        return ()
    return tuple(agent.short for agent in agents if any(_is_usual(agent, sign) for sign in velvet))


def _points_elsewhere(outlook: _Seen) -> Iterator[Problem]:
    """Signs usual for agents that no stage of the regimen is against; and wounds, which most treatments make worse."""
    given = {entry.treatment.active for entry in outlook.placed} | {entry.treatment.id for entry in outlook.placed}
    agents: dict[str, list[str]] = {}
    for sign in outlook.batch.signs:
        usual = [a for a in map(store.pathogen, store.pathogen_ids()) if _is_usual(a, sign)]
        if usual and not any(_answers(agent.id, given) for agent in usual):
            agents.setdefault(", ".join(agent.short for agent in usual), []).append(store.signs()[sign].title)
        elif sign in WOUNDS:
            agents.setdefault("a wound", []).append(store.signs()[sign].title)
    for names, signs in agents.items():
        yield outlook.warning(
            code="S520",
            message=f"`{outlook.batch.name}` shows {', '.join(signs)}, usual for {names}, "
            f"and nothing in `{outlook.regimen.id}` is meant for that",
            note="a weight of signs is never a diagnosis; a look at skin or gill under a microscope decides",
            hint="ask a veterinarian now; keep it apart whatever it is",
        )


def _is_usual(agent: Pathogen, sign: str) -> bool:
    return sign in agent.signs and agent.signs[sign].weight == "typical"


def _answers(agent: str, given: set[str]) -> bool:
    by = {"cryptocaryon": {"copper", "tank-transfer"}, "amyloodinium": {"copper"}}
    flukes = {"neobenedenia": {"praziquantel"}, "gill-flukes": {"praziquantel"}, "gyrodactylus": {"praziquantel"}}
    return bool({**by, **flukes}.get(agent, set()) & given)


def _too_slow(outlook: _Seen) -> Iterator[Problem]:
    """Copper that reaches its band days after the fast killer may have killed: said, never hidden in a date."""
    first = outlook.placed[0]
    if not velvet_signs(outlook.batch) or first.line.in_band is None or first.high is not None:
        return  # where there is too much in the water, nobody asks whether to go up faster
    hours = elapsed_hours(outlook.batch.arrives, first.line.in_band)
    if hours <= 24 or (first.clock is not None and first.clock.first_started is not None):
        return
    velvet = store.pathogen("amyloodinium")
    what, if_it_is = "may have velvet", "velvet"
    has_come = first.clock is not None
    if _also_usual(velvet_signs(outlook.batch)):
        what = f"shows {_titles(velvet_signs(outlook.batch))}, which may be velvet or something slower"
        if_it_is = "by itself this says little; if it is velvet, it"
    yield outlook.warning(
        code="S519",
        message=f"`{outlook.batch.name}` {what}, and copper reaches its band only on {shown(first.line.in_band)}",
        note=f"{if_it_is} kills within: {velvet.kills_within}; the fish may be dead before",
        hint="ask a veterinarian now whether to go up faster, or whether a freshwater dip or another treatment bridges "
        "the days" + ("" if has_come else "; or do not take a fish that shows this"),
    )


def _brook_signs() -> set[str]:
    """What is typical of brooklynella and not of velvet."""
    brook = store.pathogen("brooklynella")
    return {sign for sign in brook.signs if _is_usual(brook, sign)} - VELVET_SIGNS


def _titles(signs: Iterable[str]) -> str:
    return ", ".join(store.signs()[sign].title for sign in signs)


def _may_be_velvet(outlook: _Seen, seen: tuple[str, ...], others: tuple[str, ...]) -> Problem:
    """Signs that many agents share: velvet is one of several, and the one that would not wait."""
    return outlook.warning(
        code="S518",
        message=f"`{outlook.batch.name}` shows {_titles(seen)}, usual for {', '.join(others)} and for velvet; "
        f"`{outlook.regimen.id}` does not begin with what stops velvet",
        note="by itself this says little; velvet is the one of them that can kill within days",
        hint=f"look today for what would speak for velvet ({_titles(sorted(VELVET_SIGNS))}); if one is there, ask a "
        f"veterinarian at once; `pratique why {seen[0]}` says who shows this sign",
    )


def _unanswered_by(outlook: _Seen, seen: tuple[str, ...], agent: str, answer: str) -> Problem:
    return outlook.warning(
        code="S518",
        message=f"`{outlook.batch.name}` shows what {agent} shows ({_titles(seen)}), "
        f"and `{outlook.regimen.id}` does not begin with what stops it",
        note=f"{agent} can kill within days; {answer}, where the animal may have it",
        hint=f"ask a veterinarian today; `pratique why {seen[0]}` says who shows this sign",
    )
