"""Which entries are in effect, and where they are found."""

from __future__ import annotations

import datetime as dt
from typing import Any

from pratique.logbook.amount import read_quantity
from pratique.logbook.book import Log, build_log
from pratique.logbook.entry import Arrival, Common, Correction, Done, Move, Note, Reading, TopOff
from pratique.logbook.ids import Ids

AT = dt.datetime(2027, 3, 8, 18, 30, tzinfo=dt.UTC)
IDS = Ids()


def made(model: type[Common], minutes: int = 0, **fields: Any) -> Any:
    moment = AT + dt.timedelta(minutes=minutes)
    return model.model_validate({"id": IDS.new(AT), "at": moment, "written": moment, **fields})


def top_off(tank: str, minutes: int = 0) -> TopOff:
    found: TopOff = made(TopOff, minutes, tank=tank, volume=read_quantity("3 L", "volume"))
    return found


def log_of(*entries: Common) -> Log:
    log, findings = build_log(entries)
    assert findings == []
    return log


def test_entries_stand_in_the_order_of_what_happened() -> None:
    sunday = dt.datetime(2027, 3, 14, 20, tzinfo=dt.UTC)
    late = top_off("ward", 60).model_copy(update={"written": sunday})
    early = top_off("ward", 10).model_copy(update={"written": sunday + dt.timedelta(minutes=5)})
    assert log_of(late, early).entries == (early, late)


def test_offsets_do_not_change_the_order() -> None:
    east = top_off("ward").model_copy(
        update={"at": dt.datetime(2027, 3, 8, 20, tzinfo=dt.timezone(dt.timedelta(hours=2)))}
    )
    west = top_off("ward").model_copy(update={"at": dt.datetime(2027, 3, 8, 18, 15, tzinfo=dt.UTC)})
    assert log_of(west, east).entries == (east, west)


def test_indexes() -> None:
    arrival = made(Arrival, 0, batch="tangs", tank="tub")
    move = made(Move, 1, batch="tangs", **{"from": "tub"}, to="ward")
    reading = made(Reading, 2, tank="ward", what="ph", value=read_quantity("8.1", "ph"))
    done = made(Done, 3, task="tangs/transfers/transfer/1")
    log = log_of(done, reading, move, arrival)
    assert log.by_tank == {"tub": (arrival, move), "ward": (move, reading)}
    assert log.of(Done) == (done,)
    assert log.of(Reading) == (reading,)
    assert log.of(Note) == ()
    assert set(log.by_kind) == {"arrival", "move", "reading", "done"}


def test_trying_an_entry_leaves_the_log_as_it_was() -> None:
    first, second = top_off("ward"), top_off("reef", 1)
    log = log_of(first)
    assert log.plus([second]).entries == (first, second)
    assert log.plus([made(Correction, 2, of=first.id)]).entries == ()
    assert log.entries == (first,)


class TestCorrections:
    def test_takes_the_place_of_what_it_corrects(self) -> None:
        wrong = top_off("ward")
        right = wrong.model_copy(update={"tank": "reef"})
        log = log_of(wrong, made(Correction, 5, of=wrong.id, instead=right))
        assert log == log_of(right)
        assert log.by_id[wrong.id] == wrong
        assert log.entries == (right,)
        assert len(log.written) == 2

    def test_the_latest_written_holds(self) -> None:
        wrong = top_off("ward")
        first = made(Correction, 5, of=wrong.id, instead=wrong.model_copy(update={"tank": "reef"}))
        second = made(Correction, 6, of=wrong.id, instead=wrong.model_copy(update={"tank": "tub"}))
        assert [entry.__dict__["tank"] for entry in log_of(second, wrong, first).entries] == ["tub"]

    def test_a_withdrawn_entry_can_be_set_right_after_all(self) -> None:
        wrong = top_off("ward")
        away = made(Correction, 5, of=wrong.id)
        back = made(Correction, 6, of=wrong.id, instead=wrong)
        assert log_of(wrong, away).entries == ()
        assert log_of(wrong, away, back).entries == (wrong,)

    def test_a_withdrawn_withdrawal_of_a_withdrawal(self) -> None:
        entry = top_off("ward")
        chain: list[Common] = [entry]
        for number in range(1, 8):
            chain.append(made(Correction, number, of=chain[-1].id))
            assert log_of(*chain).entries == ((entry,) if number % 2 == 0 else ())

    def test_a_correction_that_should_have_been_an_entry(self) -> None:
        entry = top_off("ward")
        slip = made(Correction, 5, of=entry.id)
        meant = top_off("reef", 5).model_copy(update={"id": slip.id})
        assert log_of(entry, slip, made(Correction, 6, of=slip.id, instead=meant)).entries == (entry, meant)

    def test_a_long_chain_is_no_deep_recursion(self) -> None:
        chain: list[Common] = [top_off("ward")]
        for number in range(1, 5001):
            chain.append(made(Correction, number, of=chain[-1].id))
        assert len(log_of(*chain).entries) == 1


def test_two_entries_of_one_id_stay_two_and_cannot_be_corrected() -> None:
    one = top_off("ward")
    two = one.model_copy(update={"tank": "reef"})
    correction = made(Correction, 5, of=one.id)
    log, findings = build_log([one, two, correction])
    assert set(map(repr, log.entries)) == {repr(one), repr(two)}
    assert [(index, fault.code) for index, fault in findings] == [(1, "L710"), (2, "L711")]
    assert build_log([two, correction, one])[0] == log
