"""An interlock set aside with a reason is written into the log: the next person at the tank has to know."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

from pratique.logbook.entry import Note
from pratique.logbook.file import LogError, append
from pratique.logbook.ids import Ids

if TYPE_CHECKING:
    from pratique.cli.session import Session
    from pratique.dosing.overrides import Overridden


def record_overrides(session: Session, overridden: Iterable[Overridden], tank: str | None) -> None:
    """One note for each, once a day. Where the log cannot be written that is said, and the answer still given."""
    now = dt.datetime.now(session.room.zone).replace(microsecond=0)
    today = (note for note in session.log.of(Note) if note.at.astimezone(now.tzinfo).date() == now.date())
    known = {(note.tank, note.note) for note in today}
    ids = Ids(session.log.by_id)
    notes = []
    for entry in overridden:
        text = f"overrode {entry.code}: {entry.message}; because: {entry.because}"[:1000].strip()
        if (tank, text) not in known:
            notes.append(Note(id=ids.new(now), at=now, written=now, tank=tank, note=text))
    if not notes:
        return
    try:
        append(session.log_path, notes)
    except LogError as error:
        session.problems.append(replace(error.problem, severity="warning"))
