"""One room, its plan so far and its wishes: the case to be solved, and what the answer means in tanks and days."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from pratique.booking import company
from pratique.booking.case import Case, Leg, Pick, Taken, Want, Way
from pratique.booking.fit import Fitness, coppered
from pratique.booking.plotted import Asked, Plotted, minute
from pratique.booking.solve import NODES, Solved, solve
from pratique.booking.supplies import Supplies, supplies, uses_of
from pratique.booking.ways import Ways
from pratique.booking.wishes import ask, days
from pratique.history.fold import History
from pratique.knowledge.model import Regimen
from pratique.problem import Problem
from pratique.room.resolve import Batch, Room, Tank, Wish
from pratique.schedule.basis import Basis
from pratique.schedule.model import Plan
from pratique.schedule.plan import closed_long_ago, make_plan

Question = tuple[Case, list[list[Plotted]], dict[str, Problem]]
"""A case, what each way of each wish is in tanks and days, and why a wish has no way on a day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """A stage of a booking in its tanks, the first first."""

    stage: str
    kind: str
    treatment: str
    tanks: tuple[str, ...]
    start: dt.datetime
    end: dt.datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Booked:
    """A wish that can come: when, by which regimen, into which tanks. `waits` days after its earliest day.

    `mixed_with` shares its waters; `left_behind`: why its companions do not come along. `way` and `waters` are the pick
    in the case, where it takes waters of its own.
    """

    wish: Wish
    batch: Batch
    regimen: Regimen
    stays: tuple[Stay, ...]
    waits: int
    moves: int
    end: dt.datetime
    mixed_with: str = ""
    left_behind: str = ""
    way: Way
    waters: tuple[int, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """A wish that cannot be met as it is. `problem` where it could not come whatever else is booked."""

    wish: Wish
    regimen: Regimen
    problem: Problem | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Every wish booked or broken, the plan so far that came first, and how good the answer is.

    `case` is the question it answers, its wishes in the order of the file.
    """

    room: Room
    plan: Plan
    at: dt.datetime
    booked: tuple[Booked, ...]
    broken: tuple[Broken, ...]
    solved: Solved
    supplies: Supplies
    case: Case


@dataclass(slots=True)
class Desk:
    """One room while its wishes are booked: plotting a wish is kept, since alternatives ask for it again."""

    room: Room
    history: History | None
    at: dt.datetime
    basis: Basis = field(init=False)
    plan: Plan = field(init=False)
    waters: tuple[str, ...] = field(init=False)
    held: Supplies = field(init=False)
    ways: Ways = field(init=False)
    asked: dict[str, Asked] = field(init=False)
    _tanks: dict[int, Tank] = field(init=False)

    def __post_init__(self) -> None:
        room, history = self.room, self.history
        self.basis = Basis(room, history)
        gone = closed_long_ago(room, history) if history is not None else frozenset()
        self.plan = make_plan(room, history, but=gone, basis=self.basis)
        self.waters = tuple(room.waters)
        self._tanks = {number: room.waters[water].tanks[0] for number, water in enumerate(self.waters)}
        self.held = supplies(self.basis, self.plan, history, self.at)
        numbers = {water: number for number, water in enumerate(self.waters)}
        self.ways = Ways(Fitness(self.basis, coppered(history) | _to_be_coppered(self.plan, room)), numbers)
        self.asked = {name: ask(room, wish) for name, wish in room.wishes.items()}

    def _taken(self) -> tuple[tuple[Taken, ...], ...]:
        """What the plan so far has booked, water by water."""
        bookings = self.basis.ledger.copy()
        return tuple(
            tuple(Taken(minute(b.start), minute(b.end), b.batch) for b in bookings.get(water, ()))
            for water in self.waters
        )

    def case(
        self, asked: Sequence[Asked], until: Mapping[str, dt.date] | None = None
    ) -> Question:
        """The question for these wishes, with the problems of days without a way; `until`: later last days."""
        first = self.at.date()
        plots: list[list[Plotted]] = []
        wants: list[Want] = []
        problems: dict[str, Problem] = {}
        for number, entry in enumerate(asked):
            mine, made = self._ways_of(entry, first, (until or {}).get(entry.wish.name), problems)
            plots.append(mine)
            least = entry.wish.written.least
            wants.append(
                Want(
                    name=entry.wish.name,
                    priority=entry.wish.written.priority,
                    ways=made,
                    mixable=self._mixable(asked, number),
                    least=int(least.value * 1000) if least is not None else 0,
                )
            )
        volumes = tuple(int(self.basis.volume(self._tanks[n]).value * 1000) for n in range(len(self.waters)))
        case = Case(
            waters=self.waters, volumes=volumes, taken=self._taken(), limits=self.held.limits, wants=tuple(wants)
        )
        return case, plots, problems

    def _ways_of(
        self, asked: Asked, first: dt.date, until: dt.date | None, problems: dict[str, Problem]
    ) -> tuple[list[Plotted], tuple[Way, ...]]:
        wish = asked.wish
        plots: list[Plotted] = []
        made: list[Way] = []
        key = (asked.regimen.id, asked.batch.written.treatment)
        for day in days(wish, first, until or wish.latest.date()):
            found = self.ways.of_day(asked, day)
            if isinstance(found, Problem):
                problems.setdefault(wish.name, found)
                if asked.stopped is not None or found.code == "S535":
                    break
                continue
            wait = (day - wish.earliest.date()).days
            for plotted, legs, moves in found:
                uses = uses_of(self.basis, self.held, plotted, legs, self._tanks)
                mix = _mix_key(key, legs) if wish.written.mixing else -1
                plots.append(plotted)
                made.append(Way(wait, moves, legs, uses, mix))
        return plots, tuple(made)

    def _mixable(self, asked: Sequence[Asked], number: int) -> frozenset[int]:
        mine = asked[number]
        if not mine.wish.written.mixing:
            return frozenset()
        return frozenset(
            other
            for other, theirs in enumerate(asked)
            if other != number
            and theirs.wish.written.mixing
            and theirs.regimen.id == mine.regimen.id
            and not company.clash(self.room, mine.batch.animals, theirs.batch.animals)
        )

    def booked(self, asked: Asked, plotted: Plotted, way: Way, pick: Pick, mixed_with: str = "") -> Booked:
        """A pick in tanks and days."""
        stays = []
        for step in plotted.steps:
            tanks = [
                self.ways.tank_in(asked, plotted.batch, step, self.waters[pick.waters[leg]]).name
                for leg in dict.fromkeys(step.legs)
            ]
            stays.append(
                Stay(
                    stage=step.stage.name,
                    kind=step.stage.kind,
                    treatment=step.treatment.id,
                    tanks=tuple(tanks),
                    start=step.line.start,
                    end=step.line.end,
                )
            )
        return Booked(
            wish=asked.wish, batch=plotted.batch, regimen=plotted.regimen, stays=tuple(stays), waits=way.wait,
            moves=way.moves, end=plotted.end, mixed_with=mixed_with, left_behind=asked.left_behind,
            way=way, waters=pick.waters if pick.joins < 0 else None,
        )  # fmt: skip


def _mix_key(kind: tuple[object, ...], legs: Iterable[Leg]) -> int:
    """The same for ways of one regimen with the same dates. A sum that does not hang on the order of anything."""
    import zlib

    text = repr((kind, [(leg.start, leg.end) for leg in legs]))
    return zlib.crc32(text.encode())


def _to_be_coppered(plan: Plan, room: Room) -> frozenset[str]:
    found = set()
    for stage in (stage for batch in plan.batches for stage in batch.stages):
        if stage.treatment.startswith("copper-"):
            found |= {room.tanks[tank].water for tank in stage.tanks}
    return frozenset(found)


def answer_to(
    desk: Desk, asked: Sequence[Asked], question: Question, nodes: int
) -> tuple[list[Booked], list[Broken], Solved]:
    """The best answer to these wishes, who can come and who cannot, by what `Desk.case` gave for them."""
    case, plots, problems = question
    solved = solve(case, nodes=nodes)
    booked, broken = [], []
    for number, entry in enumerate(asked):
        pick = solved.picks.get(number)
        if pick is None:
            none = not case.wants[number].ways
            problem = problems.get(entry.wish.name) if none else None
            broken.append(Broken(wish=entry.wish, regimen=entry.regimen, problem=problem))
            continue
        way = case.wants[number].ways[pick.way]
        partner = next((asked[o].wish.name for o, other in solved.picks.items() if other.joins == number), "")
        partner = asked[pick.joins].wish.name if pick.joins >= 0 else partner
        booked.append(desk.booked(entry, plots[number][pick.way], way, pick, partner))
    booked.sort(key=lambda entry: (entry.batch.arrives, entry.wish.name))
    return booked, broken, solved


def book(room: Room, history: History | None, at: dt.datetime, *, nodes: int = NODES) -> tuple[Answer, Desk]:
    """The best answer to all wishes of the room, beside the plan so far."""
    desk = Desk(room, history, at)
    asked = list(desk.asked.values())
    question = desk.case(asked)
    booked, broken, solved = answer_to(desk, asked, question, nodes)
    answer = Answer(
        room=room, plan=desk.plan, at=at, booked=tuple(booked), broken=tuple(broken), solved=solved,
        supplies=desk.held, case=question[0],
    )  # fmt: skip
    return answer, desk
