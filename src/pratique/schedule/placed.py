"""A stage in its tanks with its dates: what an attempt finds, and what a plan is written from."""

from __future__ import annotations

from dataclasses import dataclass

from pratique.clocks.state import ClockState
from pratique.knowledge.model import StagePlan, Treatment
from pratique.problem import Problem
from pratique.quantity import Measure
from pratique.room.resolve import Tank
from pratique.schedule.reckoned import Reckoned, TooHigh
from pratique.schedule.timeline import Timeline


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A stage in its tanks, in order. `stays_on`: the next stage has to be in the same tank.

    Of a stage that has begun by the record, `clock` is how it stands. `over`: it has ended too. `must_leave`: its time
    is up and the fish are still in its tank, so the next stage is in another. `given` of its doses or moves are on
    record, `reading` is the level that holds now, `reckoned` the one that doses and changes since then make, and `high`
    one that by reckoning is above its ceiling. `read_first`: the reading is too old to dose by, or of before a change.
    `stuck`: why nothing after it can be dated. `counted` of the doses that a course needs count.
    """

    stage: StagePlan
    treatment: Treatment
    tanks: tuple[Tank, ...]
    line: Timeline
    stays_on: bool = False
    clock: ClockState | None = None
    over: bool = False
    must_leave: bool = False
    given: int = 0
    counted: int | None = None
    reading: Measure | None = None
    read_first: bool = False
    reckoned: Reckoned | None = None
    high: TooHigh | None = None
    problems: tuple[Problem, ...] = ()
    stuck: Problem | None = None

    @property
    def tank(self) -> Tank:
        """The first tank of a transfer series; of any other stage the only one, or the one the fish are in by now."""
        return self.tanks[0 if self.stage.kind == "transfers" else -1]

    @property
    def dosed_by(self) -> Measure | None:
        """The level that the next dose is worked out from: as read, else as reckoned; None where neither is known."""
        if self.reading is not None or self.reckoned is None:
            return self.reading
        return self.reckoned.measure

    @property
    def is_too_high(self) -> bool:
        """True where there is more in the water than is allowed, by a reading or by reckoning."""
        read = self.reading is not None and self.reading.value > self.treatment.needed("ceiling").value
        return read or self.high is not None

    @property
    def last_tank(self) -> Tank:
        """The tank the fish are in at the end of the stage."""
        return self.tanks[-1]
