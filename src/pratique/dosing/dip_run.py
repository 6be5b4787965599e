"""A dip while it is done: what each key does, and when the bell rings. Plain data in, plain data out.

    before  ->  in  ->  out

The fish goes in once every act before it is ticked off; from then on the clock runs and cannot be halted. Seconds
are those of a clock that only ever goes forward.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from pratique.dosing.dip import Dip, DipStep

Key = Literal["tick", "untick", "in", "out", "distress", "longer", "shorter", "quit"]
How = Literal["whole", "early", "distress"]
MINUTE = 60.0
REMIND = 15.0
"""Seconds between two bells once the time is over and the fish is still in (D)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DipRun:
    """How a dip stands. `goal` is the time meant, in minutes; moments are seconds of the clock.

    `ticked` has the moment of each act that is done, in their order; `asked` is the key that would do now what it
    did not do at first; `said` the answer to the last key. `rung` is how far (s since the fish went in) bells have been
    rung.
    """

    dip: Dip
    goal: float
    ticked: tuple[float, ...] = ()
    began: float | None = None
    ended: float | None = None
    how: How | None = None
    left: bool = False
    asked: str = ""
    said: str = ""
    rung: float = 0.0

    @property
    def before(self) -> tuple[DipStep, ...]:
        return tuple(step for step in self.dip.steps if step.phase == "before")

    @property
    def is_over(self) -> bool:
        """True where nothing more is to be asked or shown."""
        return self.left or self.ended is not None

    def seconds_in(self, now: float) -> float:
        """Seconds since the fish went in; 0 before."""
        return 0.0 if self.began is None else max((self.ended or now) - self.began, 0.0)


def begin_run(dip: Dip) -> DipRun:
    return DipRun(dip=dip, goal=dip.minutes.value)


def resume_run(dip: Dip, goal: float, seconds: float, now: float) -> DipRun:
    """The run of a dip that began `seconds` before `now`; bells that are past stay silent."""
    run = DipRun(dip=dip, goal=min(goal, dip.ceiling), began=now - seconds, rung=seconds)
    return replace(run, ticked=(now,) * len(run.before), said="this dip was running already: the clock goes on")


def press(run: DipRun, key: Key, now: float) -> DipRun:
    """What `key` does at the moment `now`."""
    if run.is_over:
        return run
    again, run = run.asked == key, replace(run, asked="", said="")
    if key == "quit":
        return _quit(run, again)
    return _before(run, key, now, again) if run.began is None else _while_in(run, key, now, again)


def _quit(run: DipRun, again: bool) -> DipRun:
    if again:
        return replace(run, left=True)
    said = "nothing has begun; q once more leaves"
    if run.began is not None:
        said = "the fish is still in! q once more leaves it there"
    return replace(run, asked="quit", said=said)


def _before(run: DipRun, key: Key, now: float, again: bool) -> DipRun:
    to_do = len(run.before) - len(run.ticked)
    match key:
        case "tick" if to_do:
            return replace(run, ticked=(*run.ticked, now))
        case "untick" if run.ticked:
            return replace(run, ticked=run.ticked[:-1])
        case "in" if to_do:
            return replace(run, said=f"not yet: {to_do} to tick off first")
        case "in":
            aired = aerated(run, now)
            if aired is not None and aired < run.dip.aerate_before and not again:
                said = f"aerated {aired:.0f} of {run.dip.aerate_before:g} min by this clock; i once more: fish in"
                return replace(run, asked="in", said=said)
            return replace(run, began=now)
        case "tick":
            return replace(run, said="all is ticked off: i when the fish goes in")
        case "untick":
            return replace(run, said="nothing is ticked off yet")
        case _:
            return replace(run, said="the fish is not in yet")


def aerated(run: DipRun, now: float) -> float | None:
    """Minutes since the act of aerating was ticked off; None where there is none, or it is not."""
    at = next((moment for step, moment in zip(run.before, run.ticked, strict=False) if step.minute is not None), None)
    return None if at is None else (now - at) / MINUTE


def _while_in(run: DipRun, key: Key, now: float, again: bool) -> DipRun:
    elapsed = run.seconds_in(now)
    match key:
        case "distress":
            return replace(run, ended=now, how="distress")
        case "out" if elapsed >= run.goal * MINUTE:
            return replace(run, ended=now, how="whole")
        case "out" if again:
            return replace(run, ended=now, how="early")
        case "out":
            return replace(run, asked="out", said=f"{run.goal:g} min are not over; o once more: it is out")
        case "longer" if run.goal < run.dip.ceiling:
            return _with_goal(run, min(run.goal + 1, run.dip.ceiling))
        case "longer":
            return replace(run, said=f"{run.dip.ceiling:g} min is the limit")
        case "shorter":
            return _with_goal(run, max(run.goal - 1, min(elapsed / MINUTE, run.goal)))
        case "in":
            return replace(run, said="it is in: the clock runs")
        case _:
            return run


def _with_goal(run: DipRun, goal: float) -> DipRun:
    return replace(run, goal=goal, said=f"now {goal:.3g} min")


def ring(run: DipRun, now: float) -> tuple[DipRun, tuple[str, ...]]:
    """Why the bell rings at `now`, and the run that knows it has rung. Of bells of one sort that were missed, one."""
    if run.is_over:
        return run, ()
    elapsed = run.seconds_in(now)
    found = {what: said for at, what, said in _bells(run, elapsed) if run.rung < at <= elapsed}
    if "limit" in found or "over" in found:
        found.pop("still", None)
        found.pop("look", None)
    return replace(run, rung=max(elapsed, run.rung)), tuple(found.values())


def _bells(run: DipRun, elapsed: float) -> list[tuple[float, str, str]]:
    """Every bell up to `elapsed`: seconds, its sort, its words."""
    dip, goal = run.dip, run.goal * MINUTE
    every = dip.look_every * MINUTE
    looks = [(every * count, "look", look_now(dip)) for count in range(1, int(elapsed // every) + 1)]
    bells = [bell for bell in looks if bell[0] < goal]
    for step in dip.steps:
        if step.phase == "in" and step.minute and step.minute * MINUTE < goal:
            bells.append((step.minute * MINUTE, step.text, step.text))
    bells.append((goal, "over", f"{run.goal:.3g} min are over: net it out, even if all looks well"))
    last = goal + (elapsed - goal) // REMIND * REMIND
    if last > goal:
        bells.append((last, "still", "net it out now"))
    bells.append((dip.ceiling * MINUTE, "limit", f"{dip.ceiling:g} min is the limit: out at once"))
    return bells


def look_now(dip: Dip) -> str:
    return "look now: " + (dip.watch[0].split(":")[0] if dip.watch else "at the fish")


def next_look(run: DipRun, now: float) -> float | None:
    """Seconds to the next look; None once the time is over."""
    every, elapsed = run.dip.look_every * MINUTE, run.seconds_in(now)
    if run.began is None or run.is_over or elapsed >= run.goal * MINUTE:
        return None
    return min(every - elapsed % every, run.goal * MINUTE - elapsed)
