"""The first response: a timed run sheet from what was seen, for these animals in these tanks with this shelf.

    room + log + suspicion  ->  first_response(...)  ->  RunSheet

What is wrong with the water itself comes before any medicine. Every number is the dosing engine's, every interlock in
force: what it refuses is shown as refused, with its reason, and the next option is looked at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pratique.dates import shown_day
from pratique.history.fold import History
from pratique.knowledge import store
from pratique.knowledge.model import Statement
from pratique.problem import Problem
from pratique.response.after import later, tomorrow, tonight
from pratique.response.causes import cause_now, cause_then
from pratique.response.chosen import Chosen, choose_place
from pratique.response.evening import first_hours, first_minutes
from pratique.response.exits import goings_for, tank_for_rays
from pratique.response.gaps import gaps_for
from pratique.response.lines import log_lines_for
from pratique.response.model import Act, RunSheet
from pratique.response.moments import Moments, moments_of
from pratique.response.need import Needs
from pratique.response.needs import needs_of
from pratique.response.scene import Case, case_of, scene_of
from pratique.response.suspicion import Suspicion
from pratique.response.ways import ways_for
from pratique.room.resolve import Room


def first_response(room: Room, history: History, suspicion: Suspicion) -> RunSheet:
    """The run sheet for `suspicion`, beginning at its moment. KeyError for a tank that is not in the room.

    Amounts in mL, g or tablets, L of water, g of salt. Sources: those of the doses and of `response.yaml`.
    """
    case = case_of(scene_of(room, history, suspicion.at), suspicion)
    when = moments_of(room, suspicion.at)
    chosen = choose_place(case)
    agent = suspicion.cover[0] if suspicion.cover else ""
    needs = needs_of(case, chosen, agent)
    if not suspicion.cover:
        items = (*needs.of("mixed water"), *needs.of("salt"))
        needs = Needs(water=needs.water, pathogen="", at=needs.at, tank="", items=items)
    now = cause_now(case, suspicion.causes[0], when) if suspicion.causes else first_minutes(case, chosen, when)
    gaps = gaps_for(case, chosen, needs, when) if suspicion.cover or suspicion.causes else ()
    return RunSheet(
        suspicion=suspicion,
        water=case.water.name,
        tanks=tuple(tank.name for tank in case.water.tanks),
        place=chosen.place.tank if suspicion.cover and chosen.place.kind != "here" else "",
        now=now,
        gaps=gaps,
        goings=goings_for(case, chosen),
        acts=tuple(_acts(case, chosen, when)),
        options=chosen.options,
        ways=ways_for(case, chosen),
        uncovered=chosen.uncovered,
        shopping=tuple(dict.fromkeys(gap.buy for gap in gaps if gap.buy)),
        log_lines=log_lines_for(case, chosen if suspicion.cover else None),
        needs=needs,
        cautions=tuple(_cautions(chosen)),
        problems=tuple(dict.fromkeys(_problems(case, chosen, when))),
    )


def _acts(case: Case, chosen: Chosen, when: Moments) -> Iterator[Act]:
    """After the first minutes: the faults of the water, then the disease, each in the order of work."""
    causes = case.suspicion.causes
    yield from cause_then(case, causes, when)
    if not case.cover:
        yield Act(phase="tomorrow", act="look", text="count heads, look again at every fish", at=when.tomorrow)
        return
    if causes:
        yield Act(phase="hours", act="wait", text="no medicine before the water is right; then, if the signs stay:")
        for act in first_minutes(case, chosen, when):
            yield Act(phase="hours", act=act.act, text=act.text, tank=act.tank, amount=act.amount, source=act.source)
    begun = bool(causes)
    for act in first_hours(case, chosen, when):
        yield act if begun or act.at is not None else replace(act, at=when.hours)
        begun = True
    yield from tonight(case, chosen, when)
    yield from tomorrow(case, chosen, when)
    yield from later(case, chosen)


def _cautions(chosen: Chosen) -> Iterator[Statement]:
    """What holds for every sheet, then how people are hurt by what was taken, then the rest of its cautions."""
    yield from store.response().said("always")
    answers = [option.answer for option in chosen.options if option.chosen and option.answer is not None]
    seen = {text for statement in store.response().said("always") for text in (statement.text, statement.where)}
    for statement in (
        *(said for answer in answers for said in answer.treatment.people),
        *(said for answer in answers for said in answer.treatment.cautions),
    ):
        if not seen & {statement.text, statement.where}:
            seen.add(statement.text)
            yield statement


def _problems(case: Case, chosen: Chosen, when: Moments) -> Iterator[Problem]:
    place = (case.room.place(case.water.path, key=True),)
    water = case.water.name
    if not case.cover:
        return
    for option in chosen.options:
        if option.chosen and option.answer is not None:
            yield from option.answer.problems
    if chosen.uncovered:
        agents = ", ".join(store.pathogen(agent).short for agent in chosen.uncovered)
        yield Problem(
            code="X680", severity="warning", places=place,
            message=f"nothing that can be given tonight in `{water}` is used against {agents}",
            hint="the sheet says what comes nearest, and what to buy in the morning",
        )  # fmt: skip
    if not case.movers and not case.rays:
        yield Problem(
            code="X685", severity="warning", places=place,
            message=f"no fish is on record in `{water}`, so no medicine was worked out for any",
            hint="write who lives there under `animals:`, or log the arrival, then ask again",
        )  # fmt: skip
    if case.movers and chosen.place.kind == "tub":
        yield Problem(
            code="X681", severity="warning", places=place,
            message=f"no clean tank is free for the fish of `{water}`",
            hint="the sheet uses a tub; write a tank with `use: reserve` into the file once there is one",
        )  # fmt: skip
    fill = chosen.place.fill
    if case.movers and fill is not None and fill.own > 0:
        yield Problem(
            code="X682", severity="warning", places=place,
            message=f"{fill.own:.0f} L for `{chosen.place.tank}` can neither be poured nor mixed from what is on file",
            hint="write `mixed_water:` and `salt:`; keep the one filled, and enough of the other",
        )  # fmt: skip
    if not when.attended:
        yield Problem(
            code="X683", severity="warning",
            message=f"nobody is there on {shown_day(when.tomorrow)}, the next day",
            hint="find somebody for a reading and a look, and name them as `stand_in`; else no copper is begun tonight",
        )  # fmt: skip
    if case.rays and not tank_for_rays(case, chosen):
        yield Problem(
            code="X684", severity="warning", places=place,
            message=f"sharks or rays stay in `{water}`, so its time without fish does not begin",
            hint="a second clean tank for them, without any medicine, begins it",
        )  # fmt: skip
