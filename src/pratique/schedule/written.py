"""A placed batch written out: its stages with their routines, its tasks in the order of work, its release."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from pratique.clocks.state import ClockState
from pratique.history.events import Seen
from pratique.knowledge import store
from pratique.knowledge.model import cite
from pratique.problem import Problem
from pratique.room.resolve import Batch
from pratique.schedule import medicine, moving, tank_work
from pratique.schedule.basis import Basis
from pratique.schedule.calendar import elapsed_hours, instant, shown
from pratique.schedule.cautions import Outlook, cautions
from pratique.schedule.clock_line import clock_line
from pratique.schedule.feeds import cut
from pratique.schedule.ledger import can_dry
from pratique.schedule.model import BatchPlan, Release, Stage, work_order
from pratique.schedule.occupants import SUSPECT_FOR
from pratique.schedule.outcome import find_release
from pratique.schedule.placed import Placed
from pratique.schedule.propose import NO_SIGNS, Proposal, velvet_signs
from pratique.schedule.routines import routines
from pratique.schedule.tasks import TaskList
from pratique.schedule.track import Track

DATED_BY = {
    "transfers": ("interval", "moves", "minimum"),
    "hold": ("target", "course"),
    "course": ("second_dose", "third_dose"),
    "observation": ("days", "minimum"),
}
"""The numbers that date a stage of each kind."""


def write_plan(
    basis: Basis,
    batch: Batch,
    proposal: Proposal,
    placed: list[Placed],
    chosen_by: str,
    *,
    track: Track | None = None,
    stuck: Problem | None = None,
) -> BatchPlan:
    """The whole plan of one batch; `placed` is not empty. `track`: it has arrived; `stuck`: why the plan breaks off."""
    work = TaskList(basis, batch)
    moving.arrive(work, placed[0].stage.name, placed[0].tanks[0], placed[0].treatment, done=track is not None)
    stages = tuple(_write_stage(work, placed, index) for index in range(len(placed)))
    all_dead = track is not None and track.ended is not None
    release = find_release(basis, batch, placed) if stuck is None and not all_dead else None
    if track is not None and track.closed is not None:
        _gone(work, placed[-1], track)
    elif release is not None:
        _leave(work, placed[-1], release)
    seen = tuple(_signs_on_record(basis, track))
    signs = [sign for entry in seen for sign in entry.signs if sign in store.signs()]
    shows = replace(batch, signs=tuple(dict.fromkeys([*batch.signs, *signs])))
    outlook = Outlook(basis=basis, batch=shows, regimen=proposal.regimen, placed=placed, stages=stages)
    return BatchPlan(
        batch=batch,
        regimen=proposal.regimen,
        chosen_by=chosen_by,
        why=(*(_since(text, seen) for text in proposal.why), proposal.regimen.why),
        stages=stages,
        tasks=tuple(sorted(work.tasks, key=work_order)),
        release=release,
        problems=tuple(dict.fromkeys([*([stuck] if stuck else []), *cautions(outlook), *work.problems])),
        misses=(proposal.regimen.misses,),
        begun=track is not None,
        as_of=basis.history.at if track is not None and basis.history is not None else None,
        over=_how_it_ended(track),
        seen=seen,
    )


def _signs_on_record(basis: Basis, track: Track | None) -> Iterator[Seen]:
    """The signs of the last month in the waters a batch was in, for which it may want another answer."""
    history = basis.history
    if history is None or track is None or track.closed is not None:
        return
    month = instant(history.at) - SUSPECT_FOR
    for visit in track.visits:
        water = basis.room.tanks[visit.tank].water
        yield from cut(history.of_water(water).signs, (max(visit.start, month, key=instant), visit.end))


def _since(why: str, seen: tuple[Seen, ...]) -> str:
    """A reason that counted on no signs, once there are some."""
    if not seen or NO_SIGNS not in why:
        return why
    return why.replace(NO_SIGNS, f"it was chosen before signs were seen ({shown(seen[0].at)})")


def _how_it_ended(track: Track | None) -> str:
    if track is None or track.closed is None:
        return ""
    if track.gone is not None:
        return f"went into {track.gone.tank} on {shown(track.gone.start)}"
    return f"all of it has died, the last {shown(track.closed)}: this batch is closed"


def _gone(work: TaskList, last: Placed, track: Track) -> None:
    """The day it left quarantine, as it is on record; and the tank it left, or died in, that is still wet."""
    tank, at = last.last_tank, track.closed
    assert at is not None
    if track.gone is not None:
        text = f"from {tank.name} into {track.gone.tank}"
        work.add(last.stage.name, "release", at, tank.name, text, until=at, done_at=at)
    if track.gone is None or (can_dry(tank) and not work.basis.room.waters[tank.water].conditions.cycled):
        tank_work.clear_up(work, last.stage.name, tank, at)


def _write_stage(work: TaskList, placed: list[Placed], index: int) -> Stage:
    entry = placed[index]
    stage, treatment, tank, line = entry.stage, entry.treatment, entry.tank, entry.line
    following = placed[index + 1].tanks[0] if index + 1 < len(placed) else None
    other = following if following is not None and following.water != entry.last_tank.water else None
    if index and placed[index - 1].last_tank.water != entry.tanks[0].water:
        tank_work.make_ready(work, stage.name, entry.tanks[0], line.start, treatment)
    if stage.kind == "hold":
        medicine.hold(work, entry, at_once=bool(velvet_signs(work.batch)))
    elif stage.kind == "course":
        stays = other is None and entry.stuck is None and (following is not None or not entry.over)
        medicine.course(work, entry, stays=stays)
    if stage.kind == "transfers":
        path = (*entry.tanks, following) if following is not None else entry.tanks
        moving.transfers(work, stage.name, path, line, treatment, stage.why)
    elif other is not None:
        moving.move_on(work, stage.name, tank, other, line.end, due=line.due_end, done=entry.over)
    return Stage(
        name=stage.name,
        kind=stage.kind,
        treatment=treatment.id,
        tanks=tuple(each.name for each in entry.tanks),
        start=line.start,
        end=line.end,
        clock=_clock(entry),
        reason=stage.why,
        sources=_sources(entry, work.basis.temperature(tank)),
        routines=routines(work, entry),
        state=entry.clock,
        over=entry.over,
    )


def _clock(entry: Placed) -> str:
    if entry.clock is not None:
        return _standing(entry, entry.clock)
    line, kind = entry.line, entry.stage.kind
    if kind == "transfers" and not line.interval:
        return "moves: nothing on file says how soon the next has to be made"
    if kind == "transfers":
        return f"{len(line.moves)} moves, each within {line.interval:g} h of the last"
    if kind == "hold":
        assert line.in_band is not None
        assert line.counted is not None
        days = round(elapsed_hours(line.in_band, line.counted) / 24)
        text = f"{days} d from the first reading in band, planned {shown(line.in_band)}"
        return text + (f"; then the copper out until {shown(line.end)}" if line.changes else "")
    if kind == "course":
        return f"{len(line.doses)} doses, the later ones timed by the eggs"
    days = round(elapsed_hours(line.start, line.end) / 24)
    if entry.treatment.id == "fishless-hold":
        return f"{days} d without a fish in this water; one fish starts it again"
    return f"{days} d without a sign; a new animal in this water starts it again"


def _standing(entry: Placed, state: ClockState) -> str:
    """What is counted, and how it stands by the record."""
    if entry.stage.kind == "transfers":
        return f"moves, each within {entry.line.interval:g} h of the last: {clock_line(state)}"
    days = f"{(state.needed or 0.0) / 24:g} d"
    if entry.stage.kind == "hold":
        since = f", {shown(state.started)}" if state.started is not None else ""
        text = f"{days} from the first reading in band{since}: {clock_line(state)}"
        out = entry.line.changes and not entry.over
        return text + (f"; then the copper out until {shown(entry.line.end)}" if out else "")
    return f"{days} without a sign and without a new animal in this water: {clock_line(state)}"


def _sources(entry: Placed, temperature: float | None) -> tuple[str, ...]:
    names = [
        "course_same_tank" if name == "course" and entry.line.changes else name for name in DATED_BY[entry.stage.kind]
    ]
    numbers = [entry.treatment.number(name, temperature) for name in names]
    return tuple(dict.fromkeys(cite(number) for number in numbers if number is not None))


def _leave(work: TaskList, last: Placed, release: Release) -> None:
    """The earliest day out, and what becomes of the tank."""
    where, tank = release.into or "the display", last.last_tank
    sources = (cite(last.treatment.needed("days")),)
    text = f"the earliest day from {tank.name} into {where}, if every condition holds; match salinity and temperature"
    if last.treatment.id != "fishless-hold":
        text += ", lights low, feed the others first"
    text += "" if can_dry(tank) else f"; on any sign none goes, and {tank.name} is an infected water"
    work.add(
        last.stage.name,
        "release",
        release.earliest,
        tank.name,
        text,
        sources=sources,
        reason="the end of the last stage",
    )
    if can_dry(tank) and not work.basis.room.waters[tank.water].conditions.cycled:
        tank_work.clear_up(work, last.stage.name, tank, release.earliest)
