"""What holds for any log: order does not matter, a correction leaves no trace, what is written is read."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from logbook.strategies import corrections, events, logs
from pratique.logbook.book import build_log
from pratique.logbook.entry import Common, Correction
from pratique.logbook.file import append, read_log
from pratique.logbook.ids import spell
from pratique.logbook.line import read_line, to_line

SLOW = settings(suppress_health_check=[HealthCheck.too_slow], deadline=None, max_examples=60)


@settings(deadline=None)
@given(events())
def test_an_entry_is_read_as_it_was_written(entry: Common) -> None:
    line = to_line(entry)
    assert b"\n" not in line
    assert read_line(line) == entry


@SLOW
@given(events(), st.data())
def test_a_correction_is_read_as_it_was_written(entry: Common, data: st.DataObject) -> None:
    correction = data.draw(corrections(entry.id))
    assert read_line(to_line(correction)) == correction


@SLOW
@given(events())
def test_the_order_and_spacing_of_keys_do_not_matter(entry: Common) -> None:
    data = json.loads(to_line(entry))
    other = json.dumps(dict(reversed(data.items())), indent=1).replace("\n", " ").encode()
    assert read_line(other) == entry


@SLOW
@given(logs(), st.randoms(use_true_random=False))
def test_entries_in_any_order_give_the_same_log(entries: list[Common], chance: object) -> None:
    log, findings = build_log(entries)
    shuffled = list(entries)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    other, others = build_log(shuffled)
    assert other == log
    assert not findings
    assert not others
    keys = [(entry.at, entry.written, entry.id) for entry in log.entries]
    assert keys == sorted(keys)


@SLOW
@given(logs(), st.data())
def test_a_correction_equals_never_having_erred(entries: list[Common], data: st.DataObject) -> None:
    """Writing `wrong` and correcting it to `right` gives the log in which only `right` was ever written."""
    plain = [entry for entry in entries if not isinstance(entry, Correction)]
    right = data.draw(st.sampled_from(plain))
    wrong = data.draw(events(right.id))
    free = data.draw(corrections(right.id)).id
    while any(entry.id == free for entry in entries):
        free = data.draw(corrections(right.id)).id
    latest = dt.datetime(2149, 12, 31, tzinfo=dt.UTC)
    correction = Correction(id=free, at=latest, written=latest, of=right.id, instead=right)
    others = [entry for entry in entries if entry is not right]
    unaffected = [e for e in others if not (isinstance(e, Correction) and e.of == right.id)]
    erred, _ = build_log([*unaffected, wrong, correction])
    never, _ = build_log([*unaffected, right])
    assert erred == never


@SLOW
@given(logs(), st.data())
def test_a_withdrawn_entry_was_never_there(entries: list[Common], data: st.DataObject) -> None:
    plain = [entry for entry in entries if not isinstance(entry, Correction)]
    doomed = data.draw(events())
    if any(entry.id == doomed.id for entry in plain):
        return
    late = dt.datetime(2149, 12, 31, tzinfo=dt.UTC)
    free = next(i for i in map(spell, range(20)) if i not in {doomed.id, *(e.id for e in plain)})
    withdrawal = Correction(id=free, at=late, written=late, of=doomed.id)
    assert build_log([*plain, doomed, withdrawal])[0] == build_log(plain)[0]


@SLOW
@given(logs())
def test_a_withdrawn_correction_had_no_effect(entries: list[Common]) -> None:
    plain = [entry for entry in entries if not isinstance(entry, Correction)]
    late = dt.datetime(2149, 12, 31, tzinfo=dt.UTC)
    free = [i for i in map(spell, range(20)) if i not in {e.id for e in plain}]
    wrong = Correction(id=free[0], at=late, written=late, of=plain[0].id)
    back = Correction(id=free[1], at=late, written=late, of=wrong.id)
    assert build_log([*plain, wrong, back])[0] == build_log(plain)[0]


@SLOW
@given(logs(), st.integers(0, 12))
def test_what_is_written_is_read(entries: list[Common], split: int) -> None:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "room.log.jsonl"
        ids = append(path, entries[:split]) + append(path, entries[split:])
        log, problems = read_log(path)
    assert not problems
    assert ids == tuple(entry.id for entry in entries)
    assert list(log.written) == entries
    assert log == build_log(entries)[0]


@settings(deadline=None, max_examples=300)
@given(st.binary(max_size=200))
def test_no_bytes_raise(raw: bytes) -> None:
    found = read_line(raw)
    assert isinstance(found, Common) or all(fault.code.startswith("L7") for fault in found)
    assert found


@settings(deadline=None, max_examples=300)
@given(events(), st.integers(0, 400), st.binary(max_size=4), st.integers(0, 6))
def test_a_damaged_line_is_an_entry_or_a_fault(entry: Common, at: int, new: bytes, gone: int) -> None:
    line = to_line(entry)
    damaged = line[:at] + new + line[at + gone :]
    found = read_line(damaged)
    assert isinstance(found, Common) or found


@SLOW
@given(events())
def test_every_beginning_of_a_line_is_known_as_one(entry: Common) -> None:
    line = to_line(entry)
    for length in range(1, len(line)):
        found = read_line(line[:length])
        assert not isinstance(found, Common)
        assert [fault.code for fault in found] == ["L701"], line[:length]
