"""The answers behind `pratique water`: strings to values, one call, and the page or the object."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NoReturn, cast

import click

from pratique.cli.salinity import answer_salinity
from pratique.cli.session import Session, choose
from pratique.cli.water_values import read_grams, read_pour, read_put_in, read_reading, read_salt_level
from pratique.dosing.asking import nominal_problems, refuse, volume_problems
from pratique.dosing.facts import HYPOSALINE_BELOW, Planned
from pratique.dosing.kits import kit_reading
from pratique.dosing.salinity_limits import low_water_problems
from pratique.dosing.salinity_plan import SalinityRequest
from pratique.export import water_json as export
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.logbook.quotes import shell_line
from pratique.problem import Problem, Refusal
from pratique.room.resolve import Animal
from pratique.room.values import treatment_for
from pratique.schedule.on_record import in_water
from pratique.schedule.recorded import room_as_recorded
from pratique.sheets.judged import ammonia_sheet, nitrite_sheet
from pratique.sheets.poured import bag_sheet, mix_sheet, salt_sheet
from pratique.sheets.water import state_care, water_sheet
from pratique.water.ammonia import Basis
from pratique.water.judging import NitriteBasis, judge_ammonia, judge_nitrite
from pratique.water.pouring import match_bag, pour_in, salt_batch
from pratique.water.standing import find_standing
from pratique.water.state import Readings, State, look_at

BASES = {"ammonia": ("N", "NH3", "NH4"), "nitrite": ("N", "NO2")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One question about one water, with the options as they were typed."""

    session: Session
    tank: str
    options: dict[str, str]
    because: tuple[str, ...]
    working: bool

    @property
    def next_(self) -> str:
        """The same call with its working."""
        typed = [word for name, text in self.options.items() for word in (f"--{name}", text)]
        typed += [word for reason in self.because for word in ("--because", reason)]
        return shell_line(["pratique", "water", self.tank, *typed, "--working"])

    def state(self) -> State:
        """The water as the file and the readings say; the end where by its measures it may hold none."""
        state = look_at(
            room_as_recorded(self.session.room, self.session.history),
            self.tank,
            Readings(
                salinity=read_salt_level(self.options.get("salinity"), "--salinity"),
                temperature=read_reading(self.options.get("temperature"), "--temperature"),
                ph=read_reading(self.options.get("ph"), "--ph"),
            ),
        )
        empty = tuple(volume_problems(state.volume, state.water.name))
        if empty:
            self.refuse(Refusal(problems=empty))
        self.warn(nominal_problems(self.session.room, state.volume))
        return state

    def animals(self) -> tuple[Animal, ...]:
        """Who is in the water at the moment asked for."""
        return in_water(self.session.history, self.tank)[0]

    def planned(self) -> tuple[Planned, ...]:
        """What the plan has dosed into it by then."""
        return in_water(self.session.history, self.tank)[1]

    def basis(self, question: str) -> str | None:
        """How the test counts; None where it is not said."""
        said = self.options.get("as")
        return None if said is None else choose(said, BASES[question], "way of counting", "--as")

    def refuse(self, refusal: Refusal) -> NoReturn:
        self.session.refuse(refusal, "nothing was worked out")

    def warn(self, problems: Iterable[Problem]) -> None:
        self.session.problems += problems

    def care(self, question: str) -> None:
        self.session.cautions += store.water_care()[question].says


def answer_state(asked: Asked) -> NoReturn:
    session, state = asked.session, asked.state()
    food = read_reading(asked.options.get("food"), "--food")
    standing = find_standing(state, asked.animals(), Figure.of(food) if food is not None else None)
    session.cautions += state_care(standing)
    session.answer(
        lambda: water_sheet(session.room, standing, session.at, next_=asked.next_, working=asked.working),
        lambda: export.water_json(standing),
    )


def answer_ammonia(asked: Asked) -> NoReturn:
    session = asked.session
    reading = read_reading(asked.options["ammonia"], "--ammonia")
    basis = cast("Basis | None", asked.basis("ammonia"))
    assert reading is not None
    state = asked.state()
    total, kit = kit_reading(session.room, "ammonia", reading, session.at)
    answer = judge_ammonia(state, total, basis)
    if isinstance(answer, Refusal):
        asked.refuse(answer)
    asked.warn(answer.problems)
    asked.care("ammonia")
    session.answer(
        lambda: ammonia_sheet(session.room, answer, kit, session.at, next_=asked.next_, working=asked.working),
        lambda: export.ammonia_json(answer, kit),
    )


def answer_nitrite(asked: Asked) -> NoReturn:
    session = asked.session
    reading = read_reading(asked.options["nitrite"], "--nitrite")
    basis = cast("NitriteBasis | None", asked.basis("nitrite"))
    assert reading is not None
    state = asked.state()
    level, _ = kit_reading(session.room, "nitrite", reading, session.at)
    answer = judge_nitrite(state, level, basis)
    if isinstance(answer, Refusal):
        asked.refuse(answer)
    asked.care("nitrite")
    session.answer(
        lambda: nitrite_sheet(session.room, answer, session.at, next_=asked.next_, working=asked.working),
        lambda: export.nitrite_json(answer),
    )


def answer_to(asked: Asked) -> NoReturn:
    session = asked.session
    goal = read_grams(asked.options["to"], "--to")
    assert goal is not None
    put_in = read_put_in(asked.options["with"], "--with") if "with" in asked.options else None
    request = SalinityRequest(
        state=asked.state(),
        treatment=treatment_for(session.room, "hyposalinity"),
        goal=goal,
        at=session.at,
        animals=asked.animals(),
        planned=asked.planned(),
        put_in=put_in,
        because=asked.because,
    )
    answer_salinity(session, request, title=f"Salinity · {asked.tank}", next_=asked.next_, working=asked.working)


def answer_mix(asked: Asked) -> NoReturn:
    session = asked.session
    pour = read_pour(asked.options["mix"], "--mix")
    answer = pour_in(asked.state(), pour, asked.animals())
    if isinstance(answer, Refusal):
        asked.refuse(answer)
    asked.warn(answer.problems)
    asked.care("mix")
    session.answer(
        lambda: mix_sheet(session.room, answer, session.at, next_=asked.next_, working=asked.working),
        lambda: export.mix_json(answer),
    )


def answer_salt(asked: Asked) -> NoReturn:
    session = asked.session
    batch = read_pour(asked.options["salt"], "--salt")
    if batch.salinity <= 0:
        raise click.BadParameter("water without salt needs none", param_hint="--salt")
    said = read_reading(asked.options.get("temperature"), "--temperature")
    warm = said or session.room.water_of(asked.tank).conditions.temperature
    temperature = batch.temperature if batch.temperature is not None else warm.value if warm is not None else None
    answer = salt_batch(session.room, batch.litres, batch.salinity, temperature)
    asked.warn(answer.problems)
    asked.care("salt")
    session.answer(
        lambda: salt_sheet(session.room, answer, session.at, next_=asked.next_, working=asked.working),
        lambda: export.salt_json(asked.tank, answer),
    )


def answer_bag(asked: Asked) -> NoReturn:
    session = asked.session
    bag = read_grams(asked.options["bag"], "--bag")
    assert bag is not None
    state, treatment = asked.state(), treatment_for(session.room, "hyposalinity")
    answer = match_bag(state, bag, _settled(asked))
    if isinstance(answer, Refusal):
        asked.refuse(answer)
    if answer.way == "lower" and bag < HYPOSALINE_BELOW:
        found = low_water_problems(state, treatment, (), session.at)
        refusal = refuse(found)
        if refusal is not None:
            asked.refuse(refusal)
        asked.warn(found)
    asked.care("bag")
    session.answer(
        lambda: bag_sheet(session.room, answer, session.at, working=asked.working),
        lambda: export.bag_json(answer),
    )


def _settled(asked: Asked) -> tuple[Animal, ...]:
    """Who lives in the water already: not the batch that arrives on the day asked for, which is in the bag."""
    room, at = asked.session.room, asked.session.at
    arriving = {
        animal.path
        for batch in room.batches.values()
        if batch.arrives.astimezone(at.tzinfo).date() == at.date()
        for animal in batch.animals
    }
    return tuple(animal for animal in asked.animals() if animal.path not in arriving)


ANSWERS: dict[str, Callable[[Asked], NoReturn]] = {
    "state": answer_state,
    "ammonia": answer_ammonia,
    "nitrite": answer_nitrite,
    "to": answer_to,
    "mix": answer_mix,
    "salt": answer_salt,
    "bag": answer_bag,
}
