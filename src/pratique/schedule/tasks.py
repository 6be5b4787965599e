"""A stage's moments turned into acts with amounts already worked out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field

from pratique.dosing.dose import Addition, Dose, Request
from pratique.dosing.facts import EQUIPMENT
from pratique.dosing.work import work_out
from pratique.figure import Figure
from pratique.knowledge import store
from pratique.knowledge.model import Sourced, Treatment
from pratique.problem import Problem
from pratique.room.phrases import Change
from pratique.room.resolve import Batch, Room, Tank
from pratique.schedule.calendar import Calendar, plus_hours
from pratique.schedule.model import Routine, Task
from pratique.schedule.timeline import Due, Timeline
from pratique.water.volume import net_volume

SWITCHED_OFF = {"carbon": "take the carbon out", "uv": "switch the UV lamp off", "ozone": "switch the ozone off", "skimmer": "switch the skimmer off"}


@dataclass(slots=True)
class TaskList:
    """Gathers the tasks of one batch, numbering them so that an id stays the same while the plan does."""

    room: Room
    batch: Batch
    calendar: Calendar
    tasks: list[Task] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    _counts: dict[str, int] = field(default_factory=dict)

    def add(self, stage: str, act: str, at: dt.datetime, tank: str, text: str, *, until: dt.datetime | None = None, amount: Figure | None = None,
            refused: str = "", sources: tuple[str, ...] = (), reason: str = "", deadline: bool = False) -> None:
        key = f"{self.batch.name}/{stage}/{act}".replace(" ", "-")
        self._counts[key] = self._counts.get(key, 0) + 1
        self.tasks.append(Task(
            id=f"{key}/{self._counts[key]}", at=at, until=until or self._end_of_window(at), tank=tank, batch=self.batch.name, act=act, text=text,
            amount=amount, refused=refused, sources=sources, reason=reason, deadline=deadline, who=self.calendar.who_at(at),
        ))

    def _end_of_window(self, at: dt.datetime) -> dt.datetime:
        for window in self.calendar.windows(at.date()):
            if window.start <= at <= window.end:
                return window.end
        return at

    def day_before(self, at: dt.datetime) -> dt.datetime:
        """The evening before `at`, or the last hour anybody is there before it."""
        eve = self.calendar.opening(at.date() - dt.timedelta(days=1), last=True)
        if eve is not None:
            return eve
        return self.calendar.latest_between(plus_hours(at, -24 * 14), plus_hours(at, -1)) or plus_hours(at, -24)


def cite(number: Sourced) -> str:
    return f"{number.source}, {number.where} ({number.confidence})"


def prepare(work: TaskList, stage: str, tank: Tank, at: dt.datetime, treatment: Treatment | None, *, set_up: bool = True) -> None:
    """The day before a tank is needed: matched water in the amount it takes, and the tank made ready."""
    eve = work.day_before(at)
    conditions = work.room.waters[tank.water].conditions
    match = [conditions.salinity.text] if conditions.salinity else []
    match += [conditions.temperature.text] if conditions.temperature else []
    wanted = f", {', '.join(match)}" if match else ""
    volume = net_volume(work.room.waters[tank.water]).figure
    if conditions.cycled:
        work.add(stage, "test", eve, tank.name, f"the water that stands in it: ammonia, pH, salinity, temperature{wanted and ' (on file:' + wanted[1:] + ')'}",
                 until=at, reason="a tank with a living filter keeps its water; it is tested a day before")
    else:
        work.add(stage, "prepare-water", eve, tank.name, f"mix salt water{wanted}; heat it and aerate it overnight", amount=volume,
                 until=at, reason=f"the tank is needed on {at:%a %d %b %H:%M}; new water is mixed a day before")
    if not set_up:
        return
    text = ["set up dry: heater, air, hiding places of plain pipe" if tank.use != "observation" else "check heater, flow, sand and rock"]
    if not tank.written.lid:
        text.append("cover it: there is no lid on file")
    if treatment is not None and treatment.kind in ("immersion", "bath"):
        text += [words for name, words in SWITCHED_OFF.items() if getattr(conditions, name)]
    work.add(stage, "set-up", eve, tank.name, "; ".join(text), until=at, reason="a tank is made ready before the animal comes, not after")


def strip(work: TaskList, stage: str, tank: Tank, at: dt.datetime, dry: Sourced, needed: dt.datetime | None) -> None:
    work.add(stage, "strip", at, tank.name, "empty it down the drain local rules allow, scrub, disinfect, rinse tank and gear",
             sources=(cite(dry),), reason="cysts stay behind on glass and gear")
    hours = f"{dry.value:g} h"
    text = f"leave tank, net, heater and hoses visibly dry, then {hours} more" + (f", by {needed:%a %d %b %H:%M}" if needed else "")
    work.add(stage, "dry", at, tank.name, text, until=needed or plus_hours(at, dry.value * 2), sources=(cite(dry),), reason="a wet net carries more than a fish does")


def transfers(work: TaskList, stage: str, tanks: tuple[Tank, ...], after: Tank, line: Timeline, treatment: Treatment, reason: str) -> None:
    """Moves between dry tanks; `after` is where the last one goes."""
    path = [tanks[index % len(tanks)] for index in range(len(line.moves))] + [after]
    interval, dry = treatment.needed("interval", _temperature(work.room, tanks[0])), treatment.needed("dry")
    for index, move in enumerate(line.moves):
        old, new = path[index], path[index + 1]
        if new is not after:
            prepare(work, stage, new, move.at, None, set_up=index == 0)
        work.add(stage, "transfer", move.at, new.name, f"move every fish here from {old.name} with a clean, dry net or cup; carry over as little water as can be",
                 until=move.until, sources=(cite(interval),), deadline=True,
                 reason=f"{reason}: at most {line.interval:g} elapsed hours after the last, move {index + 1} of {len(line.moves)}")
        again = next((line.moves[later - 1].at for later in range(index + 2, len(path)) if path[later] is old), None)
        strip(work, stage, old, move.at, dry, again)


def _temperature(room: Room, tank: Tank) -> float | None:
    conditions = room.waters[tank.water].conditions
    return conditions.temperature.value if conditions.temperature else None


def hold(work: TaskList, stage: str, tank: Tank, line: Timeline, treatment: Treatment) -> None:
    """Copper: doses in steps, readings between them, the last reading of the course."""
    answer = _dose(work, tank, treatment, line.doses[0].at)
    additions = answer.steps if isinstance(answer, Dose) else ()
    _doses(work, stage, tank, line.doses, additions, answer, treatment, "each later step only after a reading")
    target = treatment.needed("target")
    assert line.in_band is not None
    assert line.counted is not None
    work.add(stage, "test", line.in_band, tank.name, f"copper: in band from {target.low:g} to {target.high:g} {target.unit}? the days count from this reading, not from the first dose",
             sources=(cite(target),), reason="the clock starts at the first reading in band")
    course = treatment.needed("course")
    work.add(stage, "test", line.counted, tank.name, f"copper: last reading of the course; {(line.counted - line.in_band).days} days are counted if every reading was in band",
             sources=(cite(course),), reason="counted from the first reading in band")
    change = treatment.number("change_after")
    if change is not None:
        volume = net_volume(work.room.waters[tank.water]).figure.times(change.value / 100)
        work.add(stage, "change-water", line.counted, tank.name, f"change {change.value:g} % of the water, no copper into the new water", amount=volume,
                 sources=(cite(change),), reason="after the course, before the fish is moved")


def course(work: TaskList, stage: str, tank: Tank, line: Timeline, treatment: Treatment) -> None:
    """The anthelmintic: whole doses in windows set by the eggs; the drug is not taken to persist."""
    answer = _dose(work, tank, treatment, line.doses[0].at)
    additions = tuple(answer.steps[0] for _ in line.doses) if isinstance(answer, Dose) and answer.steps else ()
    second = treatment.number("second_dose", _temperature(work.room, tank))
    window = f"after eggs have hatched, before the new worms lay ({cite(second)})" if second else ""
    _doses(work, stage, tank, line.doses, additions, answer, treatment, window)


def _dose(work: TaskList, tank: Tank, treatment: Treatment, at: dt.datetime) -> Dose | Problem:
    answer = work_out(Request(room=work.room, tank=tank.name, treatment=treatment, at=at, animals=work.batch.animals, off=frozenset(EQUIPMENT)))
    if isinstance(answer, Dose):
        work.problems.extend(answer.problems)
        return answer
    work.problems.extend(answer.problems)
    return answer.first


def _doses(work: TaskList, stage: str, tank: Tank, dues: tuple[Due, ...], additions: tuple[Addition, ...], answer: Dose | Problem,
           treatment: Treatment, rule: str) -> None:
    for index, due in enumerate(dues):
        act = "dose" if index == 0 else "redose"
        if isinstance(answer, Problem):
            work.add(stage, act, due.at, tank.name, f"{treatment.title}: not worked out, see {answer.code}", until=due.until, refused=answer.code, reason=answer.message)
            continue
        if index >= len(additions):
            continue  # the volume's error left nothing safe to add by the calendar: a reading decides
        addition = additions[index]
        unit = "µL/L" if addition.after.unit == "uL/L" else addition.after.unit
        text = f"{treatment.title}, step {index + 1} of {len(dues)}: {answer.product}, to {addition.after.value:.3g} {unit}"
        if index and treatment.form:
            text += "; read first, and dose what `pratique dose … --reading` then says"
        work.add(stage, act, due.at, tank.name, text, until=due.until, amount=addition.add, sources=tuple(cite(s) for s in answer.sources[:1]),
                 reason=rule if index else "a day of rest before any drug; begin when it eats")


def routines(work: TaskList, tank: Tank, line: Timeline, treatment: Treatment, kind: str) -> tuple[Routine, ...]:
    """What is done every day, or every few days, for as long as the stage lasts."""
    room = work.room
    water = room.waters[tank.water]
    found = [
        Routine(act="look", tank=tank.name, start=line.start, end=line.end, text="count heads; breathing, skin, eyes, eating; a dead one out at once",
                sources=("HADF11, abstract (V)",), reason="looked at every day; all public aquaria asked do"),
        Routine(act="feed", tank=tank.name, start=line.start, end=line.end, evening=True, text="feed a little, note who eats; leftovers out",
                reason="what is not eaten becomes ammonia"),
    ]
    if kind == "hold":
        test = treatment.needed("test_interval")
        for evening, end in ((False, line.counted or line.end), (True, line.in_band or line.end)):
            found.append(Routine(act="test", tank=tank.name, start=line.doses[0].at, end=end, evening=evening,
                                 text="copper: write the reading; too low, correct with `--reading`; too high, change water",
                                 sources=(cite(test),), reason="twice a day until the level holds, then daily"))
    if not water.conditions.cycled and kind != "transfers":
        found.append(Routine(act="test", tank=tank.name, start=line.start, end=line.end, text="ammonia, pH, temperature; a medicine may falsify the ammonia test",
                             sources=("COMMON, practice A7 (C)",), reason="a tank without a living filter fouls within hours to two days"))
        found += _changes(work, tank, line, treatment, kind)
    elif kind == "transfers":
        found.append(Routine(act="test", tank=tank.name, start=line.start, end=line.end, text="ammonia, temperature, of the tank the fish are in now",
                             sources=("COMMON, practice A7 (C)",), reason="bare tanks foul fast"))
    return tuple(found)


def _changes(work: TaskList, tank: Tank, line: Timeline, treatment: Treatment, kind: str) -> list[Routine]:
    volume = net_volume(work.room.waters[tank.water]).figure
    habit = tank.written.change
    sources: tuple[str, ...] = ()
    if habit is None:
        share, every = store.routine().needed("change_share"), store.routine().needed("change_every")
        habit, sources = Change("", share.value / 100, every.value), (cite(share),)
    days = max(round(habit.hours / 24), 1)
    percent = f"{habit.share * 100:g} %"
    reason = "no living filter: this is what takes the ammonia out; sooner if a test says so"
    first = plus_hours(line.start, 24 * days)
    found = [Routine(act="change-water", tank=tank.name, start=first, end=line.end, every=days, text=f"change {percent}, matched and aerated",
                     amount=volume.times(habit.share), sources=sources, reason=reason)]
    if kind == "hold" and line.in_band is not None and line.counted is not None:
        answer = work_out(Request(room=work.room, tank=tank.name, treatment=treatment, at=line.in_band, animals=work.batch.animals,
                                  off=frozenset(EQUIPMENT), change_share=habit.share))
        if isinstance(answer, Dose) and answer.change is not None:
            start = first
            while start < line.in_band:
                start = plus_hours(start, 24 * days)
            found.append(Routine(act="redose", tank=tank.name, start=start, end=line.counted, every=days, amount=answer.change.add,
                                 text=f"{answer.product} into the new water of the {percent} change; none into top-off water",
                                 reason="a change without it lowers the level by its share"))
    return found
