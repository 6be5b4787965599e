"""A stage's moments turned into acts: making a tank ready, taking the fish in, moving them, clearing up behind."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field

from pratique.figure import Figure
from pratique.knowledge.model import Sourced, Statement, Treatment
from pratique.logbook.ids import slug as slug
from pratique.problem import Problem
from pratique.room.resolve import Batch, Tank
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import Calendar, instant, plus_hours, shown
from pratique.schedule.ledger import can_dry
from pratique.schedule.model import Task
from pratique.schedule.timeline import Due, Timeline

SWITCHED_OFF = {
    "carbon": "take the carbon out",
    "uv": "switch the UV lamp off",
    "ozone": "switch the ozone off",
    "skimmer": "switch the skimmer off",
}

FARTHEST_EVE = 24.0 * 400
"""Hours looked back for an hour to make a tank ready in."""

MIX_FOR_CHANGE = "mix salt water for tomorrow's change; heat it and aerate it overnight"

NEW_WATER = "the new water as salty and as warm as the tank, and aerated"

IN_THE_BAG = 2.0
"""Hours from arrival in which the animals should be out of the bag."""


def round_task(
    calendar: Calendar,
    at: dt.datetime | None,
    id_: tuple[str, ...],
    tank: str,
    act: str,
    text: str,
    sources: tuple[str, ...] = (),
    *,
    amount: Figure | None = None,
    reason: str = "",
) -> Iterator[Task]:
    """An act for animals of no batch in the round that begins at `at`; none where nobody is there on that day.

    The id is that of `id_` and the date.
    """
    if at is None:
        return
    yield Task(
        id=slug(*id_, at.date().isoformat()),
        at=at,
        until=calendar.end_of_round(at),
        tank=tank,
        batch="",
        act=act,
        text=text,
        amount=amount,
        sources=sources,
        reason=reason,
        who=calendar.who_at(at),
        routine=True,
    )


@dataclass(slots=True)
class TaskList:
    """Gathers the tasks of one batch, numbering them so that an id stays the same while the plan does."""

    basis: Basis
    batch: Batch
    tasks: list[Task] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    _counts: dict[str, int] = field(default_factory=dict)

    def add(
        self,
        stage: str,
        act: str,
        at: dt.datetime,
        tank: str,
        text: str,
        *,
        until: dt.datetime | None = None,
        amount: Figure | None = None,
        product: str = "",
        refused: str = "",
        sources: tuple[str, ...] = (),
        reason: str = "",
        deadline: bool = False,
        urgent: bool = False,
        done_at: dt.datetime | None = None,
    ) -> None:
        """One more task of this batch; without `until` its window is the rest of the round.

        An urgent one is numbered by its day: it is no step of the plan that later ones could be counted after.
        `done_at`: it is on record. What is not, and has a window that has passed, is late.
        """
        key = slug(self.batch.name, stage, act, *([f"urgent-{at.date().isoformat()}"] if urgent else []))
        self._counts[key] = self._counts.get(key, 0) + 1
        self.tasks.append(
            Task(
                id=f"{key}/{self._counts[key]}",
                at=at,
                until=until or self._end_of_window(at),
                tank=tank,
                batch=self.batch.name,
                act=act,
                text=text,
                amount=amount,
                product=product,
                refused=refused,
                sources=sources,
                reason=reason,
                deadline=deadline,
                urgent=urgent,
                who=self.basis.calendar.who_at(at),
                state="done" if done_at is not None else "late" if until is not None and _is_past(at, until) else "",
                done_at=done_at,
            )
        )

    def _end_of_window(self, at: dt.datetime) -> dt.datetime:
        window = self.basis.calendar.window_at(at)
        return self.basis.calendar.local(window.end) if window is not None else at

    def eve_of(self, at: dt.datetime) -> dt.datetime:
        """The evening before `at`, or the last hour anybody is there before it."""
        calendar = self.basis.calendar
        eve = calendar.evening(at.date() - dt.timedelta(days=1))
        if eve is not None:
            return eve
        return calendar.latest_between(plus_hours(at, -FARTHEST_EVE), plus_hours(at, -1)) or at


def _is_past(at: dt.datetime, until: dt.datetime) -> bool:
    return instant(at) > instant(until)


def cite(known: Sourced | Statement) -> str:
    """Who says so, where, and how sure: what a footnote is made of."""
    return f"{known.source}, {known.where} ({known.confidence})"


def copper_removal(basis: Basis) -> Statement:
    """How copper is taken out of a water again; the one sentence on file is with the amine form."""
    return next(step for step in basis.treatment("copper-amine").steps if step.text.startswith("remove it"))


def make_ready(work: TaskList, stage: str, tank: Tank, at: dt.datetime, treatment: Treatment) -> None:
    """The evening before a tank is needed: matched water in the amount it takes, and the tank set up."""
    eve = work.eve_of(at)
    if work.basis.room.waters[tank.water].conditions.cycled:
        wanted = _wanted(work, tank)
        text = "the water that stands in it: ammonia, pH, salinity, temperature"
        text += f" (on file: {wanted})" if wanted else ""
        reason = "a tank with a living filter keeps its water; it is tested a day before"
        work.add(stage, "test", eve, tank.name, text, until=at, reason=reason)
    else:
        mix_water(work, stage, tank, at)
    reason = "a tank is made ready before the animal comes, not after"
    work.add(stage, "set-up", eve, tank.name, _set_up(work, tank, treatment), until=at, reason=reason)
    if treatment.id == "fishless-hold" and tank.use in ("ward", "reserve"):
        text = "copper, if this tank ever held any: nothing may be left of it"
        reason = "animals without a backbone go only into water that reads zero"
        sources = (cite(copper_removal(work.basis)),)
        work.add(stage, "test", eve, tank.name, text, until=at, sources=sources, reason=reason)


def _set_up(work: TaskList, tank: Tank, treatment: Treatment) -> str:
    conditions = work.basis.room.waters[tank.water].conditions
    text = ["clean, dry tank: heater, air, hiding places of plain pipe"]
    if not can_dry(tank):
        text = ["check heater, air and flow, sand and rock"]
    if not conditions.cycled:
        text.append("fill it and let it run overnight")
    if not tank.written.lid:
        text.append("cover it: there is no lid on file")
    if treatment.kind in ("immersion", "bath"):
        text += [words for name, words in SWITCHED_OFF.items() if getattr(conditions, name)]
    return "; ".join(text)


def mix_water(work: TaskList, stage: str, tank: Tank, at: dt.datetime, *, apart: bool = False) -> None:
    """New water for the whole tank, mixed the evening before; `apart`: not in the tank, which is still drying."""
    wanted = _wanted(work, tank)
    text = "mix salt water" + (f", {wanted}" if wanted else "") + "; heat it and aerate it overnight"
    if apart:
        text += f", in a clean container: {tank.name} stays dry until the move"
    reason = f"the tank is needed on {shown(at)}; new water is mixed a day before"
    volume = work.basis.volume(tank)
    work.add(stage, "prepare-water", work.eve_of(at), tank.name, text, amount=volume, until=at, reason=reason)


def _wanted(work: TaskList, tank: Tank) -> str:
    conditions = work.basis.room.waters[tank.water].conditions
    measures = (conditions.salinity, conditions.temperature)
    return ", ".join(measure.text for measure in measures if measure is not None)


def clear_up(work: TaskList, stage: str, tank: Tank, at: dt.datetime, *, again: dt.datetime | None = None) -> None:
    """The tank the fish have left: emptied, cleaned, dried. `again` is when it is needed next, where known."""
    dry = work.basis.treatment("tank-transfer").needed("dry")
    if not can_dry(tank):
        fallow = work.basis.treatment("fishless-hold").needed("minimum")
        text = f"leave it without fish for {fallow.value / 24:g} d at the least, or take all out, disinfect and dry it"
        work.add(
            stage,
            "strip",
            at,
            tank.name,
            text,
            sources=(cite(fallow),),
            reason="sand and rock keep what the fish left in them",
        )
        return
    latest = plus_hours(again, -dry.value) if again is not None else plus_hours(at, 24)
    text = "empty it down the drain local rules allow, scrub, disinfect, rinse tank and gear"
    reason = "cysts stay behind on glass and gear"
    until = max(latest, at, key=instant)
    work.add(stage, "strip", at, tank.name, text, until=until, sources=(cite(dry),), reason=reason)
    text = f"tank, net, heater and hoses: until no drop is left, and {dry.value:g} h dry before they are used again"
    text += f" on {shown(again)}" if again is not None else ""
    work.add(
        stage,
        "dry",
        at,
        tank.name,
        text,
        until=again or plus_hours(at, 2 * dry.value),
        sources=(cite(dry),),
        reason="a wet net carries more than a fish does",
    )


def arrive(work: TaskList, stage: str, tank: Tank, treatment: Treatment, *, done: bool = False) -> None:
    """The tank made ready, and the batch taken in."""
    batch = work.batch
    make_ready(work, stage, tank, batch.arrives, treatment)
    came = work.basis.room.batches[batch.name].head_count if done else batch.head_count
    heads = f"{came} animal{'s' if came != 1 else ''}"
    text = (
        f"{heads} from {batch.written.source} into {tank.name}: worst bag first, lights low; measure the bag's pH, "
        "salinity and temperature and match the tank to it, down rather than up; no bag water into the tank"
    )
    work.add(
        stage,
        "arrive",
        batch.arrives,
        tank.name,
        text,
        until=plus_hours(batch.arrives, IN_THE_BAG),
        sources=("COMMON, practice A11 and B33 (C)",),
        reason="the arrival on record" if done else "the arrival that was announced",
        done_at=batch.arrives if done else None,
    )


def transfers(
    work: TaskList, stage: str, path: tuple[Tank, ...], line: Timeline, treatment: Treatment, reason: str
) -> None:
    """Moves along `path`: the tanks of the series in order, and last the one the next stage is in.

    Where the path is shorter than the moves, nobody knows where the rest of them go.
    """
    temperatures = [work.basis.temperature(tank) for tank in path[:2]]
    intervals = [number for t in temperatures if (number := treatment.number("interval", t)) is not None]
    source = min(intervals, key=lambda number: number.value)
    last = len(line.moves) - 1
    for index, move in enumerate(line.moves[: len(path) - 1]):
        old, new = path[index], path[index + 1]
        if index < last:
            _fill_for_move(work, stage, new, move.at, first=index == 0)
        net = f" ({work.basis.gear[index % len(work.basis.gear)]}, dry)" if work.basis.gear else ", clean and dry"
        when = f"by {shown(move.until)}"
        if move.is_late:
            when = f"{_as_late_as(work, move)}, it was due by {shown(move.until)},"
        text = f"move every fish from {old.name} to {new.name} {when} with net or cup{net}; as little water as can be"
        work.add(
            stage,
            "transfer",
            move.at,
            new.name,
            f"{text}; {move.note}" if move.note else text,
            until=move.until,
            sources=(cite(source),),
            deadline=True,
            reason=f"{reason}: at most {line.interval:g} elapsed hours after the last, move {index + 1} of {last + 1}",
            done_at=move.at if move.done else None,
        )
        back = range(index + 2, min(last + 1, len(path)))
        again = next((line.moves[later - 1].at for later in back if path[later] is old), None)
        clear_up(work, stage, old, move.at, again=again)


def _as_late_as(work: TaskList, move: Due) -> str:
    """Now; or when the tank it goes into is dry, where that is later."""
    history = work.basis.history
    now = work.basis.calendar.first_from(history.at) if history is not None else None
    waits = now is not None and instant(move.at) > instant(now)
    return f"on {shown(move.at)}, when that is dry" if waits else "now"


def _fill_for_move(work: TaskList, stage: str, tank: Tank, at: dt.datetime, *, first: bool) -> None:
    mix_water(work, stage, tank, at, apart=True)
    text = "fill the dry tank with the mixed water; heater, air and pipe in; salinity and temperature as in the other"
    if first and not tank.written.lid:
        text += "; cover it: there is no lid on file"
    work.add(stage, "set-up", at, tank.name, text, until=at, reason="the fish go into a tank that was dry until now")


def move_on(
    work: TaskList,
    stage: str,
    old: Tank,
    new: Tank,
    at: dt.datetime,
    *,
    due: dt.datetime | None = None,
    done: bool = False,
) -> None:
    """From the tank of one stage to that of the next; `due` is when it should have been, where that has passed."""
    text = f"move every fish from {old.name} to {new.name}; drip to match over an hour, none of the old water"
    work.add(
        stage, "move", at, new.name, text, until=due, reason=f"{stage} ends", done_at=at if done else None
    )  # fmt: skip
    clear_up(work, stage, old, at)
