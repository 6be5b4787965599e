"""What a dip leaves in the log: an entry when the fish goes in, another when it is out, however the program ends."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from dataclasses import dataclass, replace
from enum import Enum
from typing import TYPE_CHECKING

from pratique.dosing.dip import Dip
from pratique.dosing.dip_run import MINUTE, DipRun
from pratique.logbook.amount import Quantity
from pratique.logbook.dips import ago, open_dips, unfinished, who
from pratique.logbook.entry import Dip as DipEntry
from pratique.logbook.entry import Out
from pratique.logbook.file import LogError, append, read_log
from pratique.logbook.ids import Ids
from pratique.logbook.say import spoken
from pratique.problem import Problem, Refusal

if TYPE_CHECKING:
    from pratique.cli.session import Session

_MOST_TRIES = 3


class Written(Enum):
    """How much of the dip stands in the log."""

    NOTHING = 0
    BEGUN = 1
    WHOLE = 2


@dataclass(frozen=True, slots=True)
class Running:
    """A dip of the log without an end, and the seconds since it began."""

    entry: DipEntry
    seconds: float


class Record:
    """The entries of one run. A log that cannot be written never stops the clock: it is tried again at the end."""

    def __init__(self, session: Session, dip: Dip) -> None:
        self.session, self.dip = session, dip
        self.written = Written.NOTHING
        self._ids = Ids(session.log.by_id)
        self._dip: DipEntry | None = None
        self._out: Out | None = None
        self._why: Problem | None = None

    def running(self, *, late: float) -> Running | None:
        """The same dip without an end, to go on with; L762 and no timer where it began more than `late` min ago."""
        now, asked = self._now(), self._entry(self._now())
        found = [entry for entry in open_dips(self.session.log, now) if _same(entry, asked)]
        if not found:
            return None
        entry = found[-1]
        seconds = (now - entry.at).total_seconds()
        if seconds > late * MINUTE:
            self.session.refuse(Refusal(problems=(self._never_ended(entry, now),)), "no timer was started")
        said = {unfinished(entry, self.session.at, self.session.room.zone)}
        self.session.problems = [problem for problem in self.session.problems if problem not in said]
        self._dip, self.written = entry, Written.BEGUN
        return Running(entry, seconds)

    def _never_ended(self, entry: DipEntry, now: dt.datetime) -> Problem:
        return Problem(
            code="L762",
            message=f"the last such dip of `{who(entry)}` began {ago(now - entry.at)} ago and has no end in the log",
            hint=f"write how it ended, `pratique log out {entry.id} after MINUTES min`, or take it back with "
            f"`pratique log withdraw {entry.id} because …`; then start the timer",
        )

    def began(self, run: DipRun) -> str:
        """The fish is in: what the screen should say where that could not be written."""
        self._dip = self._entry(self._now()).model_copy(update={"minutes": round(run.goal, 4)})
        return "" if self._save_begin() else "not in the log yet: it is tried again at the end"

    def ended(self, run: DipRun) -> str:
        """The fish is out: the end, and the beginning too where that could not be written."""
        assert self._dip is not None and run.began is not None and run.ended is not None and run.how is not None
        minutes = (run.ended - run.began) / MINUTE
        now = self._now()
        ending = Out(
            id=self._ids.new(now), at=max(now, self._dip.at), written=now, dip=self._dip.id,
            minutes=max(round(minutes, 2), 0.01), how=run.how,
        )  # fmt: skip
        if self.written is not Written.BEGUN and not self._save_begin():
            self._out = ending
            return ""
        self._out = ending.model_copy(update={"dip": self._dip.id})
        if self._ended_elsewhere():
            return ""
        for _ in range(_MOST_TRIES):
            try:
                (id_,) = append(self.session.log_path, [self._out])
            except LogError as error:
                self._why = error.problem
                continue
            self._out = self._out.model_copy(update={"id": id_})
            self.written = Written.WHOLE
            break
        return ""

    def _ended_elsewhere(self) -> bool:
        """True where somebody wrote the end meanwhile, at another screen: one dip has one end."""
        log, _ = read_log(self.session.log_path)
        ends = [out for out in log.of(Out) if self._dip is not None and out.dip == self._dip.id]
        if ends:
            self._out, self.written = ends[-1], Written.WHOLE
        return bool(ends)

    def _save_begin(self) -> bool:
        assert self._dip is not None
        try:
            (id_,) = append(self.session.log_path, [self._dip])
        except LogError as error:
            self._why = error.problem
            return False
        self._dip = self._dip.model_copy(update={"id": id_})
        self.written = Written.BEGUN
        return True

    def lines(self) -> tuple[str, ...]:
        """What stands in the log of it, or what is to be typed where it does not; a problem says why."""
        if self._dip is None:
            return ()
        if self._why is not None and (self._out is not None) > (self.written is Written.WHOLE):
            self.session.problems.append(replace(self._why, severity="warning"))
        begin, end = spoken(self._dip, self.session.room.zone), self._out and spoken(self._out)
        if self.written is Written.WHOLE:
            return tuple(f"{entry.id}  {spoken(entry)}" for entry in (self._dip, self._out) if entry is not None)
        if self.written is Written.BEGUN:
            to_type = (f"type, to end it: pratique log {end}",) if end else ()
            return (f"{self._dip.id}  {spoken(self._dip)}", *to_type)
        minutes = f"{self._out.minutes:g}" if self._out else "MINUTES"
        return (f"type it: pratique log {begin}", f"then: pratique log out {who(self._dip)} after {minutes} min")

    def _entry(self, now: dt.datetime) -> DipEntry:
        dip, room = self.dip, self.session.room
        labels = tuple(dict.fromkeys(animal.label for animal in dip.animals)) or (dip.label,)
        whole = dip.label in room.batches
        batches = {name for name, batch in room.batches.items() for animal in batch.animals if animal.label in labels}
        residents = {animal.label for animal in room.residents} & set(labels)
        batch = dip.label if whole else next(iter(batches)) if len(batches) == 1 and not residents else None
        counts = Counter[str]()
        for animal in dip.animals:
            counts[animal.label] += animal.count
        tanks = {animal.tank or None for animal in dip.animals}
        dose = dip.dose
        amount = None
        if dose is not None:
            shown = float(f"{dose.add.value:.6g}")
            unit = "tablets" if dose.add.unit == "tablet" else dose.add.unit
            amount = Quantity(text=f"{shown:.12g} {unit}", value=shown, unit=dose.add.unit)  # type: ignore[arg-type]
        return DipEntry(
            id=self._ids.new(now), at=now, written=now, treatment=dip.treatment.id, batch=batch,
            animals=() if whole else labels, count=counts[labels[0]] if not whole and counts[labels[0]] > 1 else None,
            tank=tanks.pop() if len(tanks) == 1 else None,
            minutes=round(dip.minutes.value, 4), product=dose.product if dose else None, amount=amount,
        )  # fmt: skip

    def _now(self) -> dt.datetime:
        return dt.datetime.now(self.session.room.zone).replace(microsecond=0)


def _same(one: DipEntry, other: DipEntry) -> bool:
    return (one.treatment, one.batch, one.animals) == (other.treatment, other.batch, other.animals)

