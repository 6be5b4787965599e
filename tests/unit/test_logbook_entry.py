"""Ids, quantities and entries: what they take, and what they will not."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from pydantic import ValidationError

from pratique.logbook.amount import agrees, read_quantity
from pratique.logbook.entry import KINDS, Correction, Move, Note, Reading
from pratique.logbook.ids import LETTERS, Ids, meant_id, spell
from pratique.logbook.line import find_part, read_line, to_line
from pratique.room.wrong import Wrong

AT = dt.datetime(2027, 3, 8, 18, 30, tzinfo=dt.UTC)


def common(**fields: Any) -> dict[str, Any]:
    return {"id": "k7m2q9x", "at": AT, "written": AT, **fields}


def line_of(**fields: Any) -> bytes:
    said = {"id": "k7m2q9x", "at": "2027-03-08T18:30:00+00:00", "written": "2027-03-08T18:30:00+00:00", **fields}
    return json.dumps(said).encode()


class TestIds:
    def test_later_ones_sort_after_earlier_ones(self) -> None:
        ids = Ids()
        moments = [AT + dt.timedelta(seconds=step * step) for step in range(1, 300)]
        given = [ids.new(moment) for moment in moments]
        assert given == sorted(given)
        assert len(set(given)) == len(given)

    def test_those_of_one_moment_keep_their_order_and_never_meet(self) -> None:
        taken = {Ids().new(AT)}
        ids = Ids(taken)
        given = [ids.new(AT) for _ in range(500)] + [ids.new(AT - dt.timedelta(days=9)), ids.new(AT)]
        assert given[:500] == sorted(given[:500])
        assert len({*given, *taken}) == 503

    def test_seven_letters_without_look_alikes_from_1990_to_2149(self) -> None:
        for year in (1990, 2149):
            found = Ids().new(dt.datetime(year, 12, 31, tzinfo=dt.UTC))
            assert len(found) == 7
            assert set(found) <= set(LETTERS)
        assert not set("01ilosuz") & set(LETTERS)
        assert sorted(LETTERS) == list(LETTERS)

    def test_an_id_typed_with_wet_hands_is_understood(self) -> None:
        assert meant_id("K7M2-Q9X") == "k7m2q9x"
        assert meant_id("zsu") == "25v"

    def test_a_number_too_large_is_a_bug(self) -> None:
        with pytest.raises(ValueError, match="too late"):
            spell(28**7)


class TestQuantities:
    @pytest.mark.parametrize(
        ("text", "sort", "value", "unit"),
        [
            ("2.1 mg/L", "copper", 2.1, "mg/L"),
            ("150 ug/L", "ammonia", 0.15, "mg/L"),
            ("8.1", "ph", 8.1, "pH"),
            ("77 degF", "temperature", 25.0, "degC"),
            ("35 g/kg", "salinity", 35.0, "g/kg"),
            ("1.025 sg at 25 degC", "salinity", 1.025, "sg"),
            ("5 gal_us", "volume", 18.927, "L"),
            ("25 %", "share", 25.0, "%"),
            ("20 L", "share", 20.0, "L"),
            ("3.2  mL", "amount", 3.2, "mL"),
            ("40 g", "amount", 40.0, "g"),
            ("2 tablets", "amount", 2.0, "tablet"),
        ],
    )
    def test_words_and_figure_are_both_kept(self, text: str, sort: Any, value: float, unit: str) -> None:
        found = read_quantity(text, sort)
        assert found.text == " ".join(text.split())
        assert found.value == pytest.approx(value, rel=1e-4)
        assert found.unit == unit
        assert agrees(found, sort)

    def test_a_written_error_is_kept(self) -> None:
        found = read_quantity("2.1 mg/L ± 0.1 mg/L", "copper")
        assert (found.low, found.high) == (pytest.approx(2.0), pytest.approx(2.2))
        assert read_quantity("2.1 mg/L", "copper").low is None

    @pytest.mark.parametrize(
        ("text", "sort", "code"),
        [
            ("2.1", "copper", "U206"),
            ("2.1 Mg/L", "copper", "U208"),
            ("2 ppm", "copper", "U208"),
            ("-1 mg/L", "copper", "U212"),
            ("20", "ph", "U212"),
            ("25 C", "temperature", "U208"),
            ("1.025", "salinity", "U206"),
            ("1.025 sg", "salinity", "U213"),
            ("5 gal", "volume", "U208"),
            ("0 L", "volume", "U212"),
            ("120 %", "share", "U212"),
            ("0 %", "share", "U212"),
            ("0 mL", "amount", "U212"),
            ("-3 mL", "amount", "U212"),
            ("3 drops", "amount", "U208"),
            ("2000 L", "amount", "U212"),
            ("nan mg/L", "copper", "U202"),
        ],
    )
    def test_what_the_room_file_refuses_is_refused_here(self, text: str, sort: Any, code: str) -> None:
        with pytest.raises(Wrong) as caught:
            read_quantity(text, sort)
        assert caught.value.code == code

    def test_words_changed_by_hand_no_longer_agree(self) -> None:
        found = read_quantity("2.1 mg/L", "copper")
        for change in ({"text": "21 mg/L"}, {"value": 2.2}, {"unit": "L"}, {"low": 2.0}, {"text": "about two"}):
            assert not agrees(found.model_copy(update=change), "copper")


class TestEntries:
    def test_every_kind_has_its_own_name(self) -> None:
        assert len(KINDS) == 23
        assert all(model.model_fields["kind"].default == kind for kind, model in KINDS.items())

    @pytest.mark.parametrize(
        "fields",
        [
            {"id": "K7M2Q9X"},
            {"id": "k7m2q9"},
            {"id": "k7m2q9l"},
            {"at": dt.datetime(2027, 3, 8)},  # noqa: DTZ001
            {"at": dt.datetime(1989, 12, 31, tzinfo=dt.UTC)},
            {"at": dt.datetime(2150, 1, 1, tzinfo=dt.UTC)},
            {"at": "2027-03-08T18:30:00+00:00"},
            {"by": ""},
            {"by": " Kim"},
            {"by": "K\u200bim"},
            {"by": "x" * 61},
            {"note": "two\nlines"},
            {"note": "x" * 1001},
            {"unknown": "x"},
        ],
    )
    def test_what_no_entry_takes(self, fields: dict[str, Any]) -> None:
        with pytest.raises(ValidationError):
            Note.model_validate({**common(note="x"), **fields})

    def test_an_entry_cannot_be_changed(self) -> None:
        with pytest.raises(ValidationError):
            Note.model_validate(common(note="x")).note = "y"

    def test_moments_of_a_repeated_hour_stay_two(self) -> None:
        zone = ZoneInfo("Europe/Lisbon")
        first = dt.datetime(2027, 10, 31, 1, 30, tzinfo=zone)
        one, two = (Note.model_validate(common(note="x", at=first.replace(fold=fold))) for fold in (0, 1))
        assert (two.at - one.at).total_seconds() == 3600
        for entry in (one, two):
            assert read_line(to_line(entry)) == entry

    def test_a_move_needs_somebody_and_two_tanks(self) -> None:
        for fields in ({"to": "ward"}, {"batch": "b", "from": "ward", "to": "ward"}):
            with pytest.raises(ValidationError):
                Move.model_validate(common(**fields))

    def test_a_correction_is_of_another_and_keeps_its_id(self) -> None:
        for fields in ({"of": "k7m2q9x"}, {"of": "2222222", "instead": Note.model_validate(common(note="x"))}):
            with pytest.raises(ValidationError):
                Correction.model_validate(common(**fields))


class TestFaultsOfALine:
    READING = line_of(kind="reading", tank="w", what="copper", value={"text": "2 mg/L", "value": 2, "unit": "mg/L"})

    def test_the_line_itself_is_right(self) -> None:
        assert isinstance(read_line(self.READING), Reading)

    @pytest.mark.parametrize(
        ("old", "new", "code", "part"),
        [
            (b'"copper"', b'"coper"', "L708", '"what"'),
            (b'"what"', b'"waht"', "L706", '"waht"'),
            (b', "tank": "w"', b"", "L707", ""),
            (b'"value": 2,', b'"value": "2",', "L708", '"value"'),
            (b'"value": 2,', b'"value": true,', "L708", '"value"'),
            (b'"value": 2,', b'"value": 3,', "L709", "2 mg/L"),
            (b'"unit": "mg/L"', b'"unit": "g/kg"', "L709", "2 mg/L"),
            (b'"unit": "mg/L"', b'"unit": "ppm"', "L708", '"unit"'),
            (b'"w"', b'"w", "tank": "x"', "L702", '"tank"'),
            (b'"w"', b'"w", "\\u0074ank": "x"', "L702", '"tank"'),
            (b'"w"', b'" w"', "L708", '"tank"'),
            (b'"w"', b"5", "L708", '"tank"'),
            (b'"at": "2027-03-08T18:30:00+00:00"', b'"at": "2027-03-08T18:30:00"', "L708", '"at"'),
            (b'"at": "2027-03-08T18:30:00+00:00"', b'"at": "2027-02-30T18:30:00Z"', "L708", '"at"'),
            (b'"at": "2027-03-08T18:30:00+00:00"', b'"at": "1804530600"', "L708", '"at"'),
            (b'"at": "2027-03-08T18:30:00+00:00"', b'"at": 1804530600', "L708", '"at"'),
            (b'"kind": "reading"', b'"kind": "raeding"', "L705", '"raeding"'),
        ],
    )
    def test_code_and_place(self, old: bytes, new: bytes, code: str, part: str) -> None:
        assert old in self.READING
        line = self.READING.replace(old, new)
        found = read_line(line)
        assert isinstance(found, list)
        assert found[0].code == code
        assert found[0].hint or found[0].note
        column, width = find_part(line.decode(), found[0])
        if part:
            assert line.decode()[column - 1 :].startswith(part)
            assert width >= len(part)

    @pytest.mark.parametrize(
        "moment", ["2027-03-08T18:30Z", "2027-03-08T18:30:00.5+01:00", "2027-03-08T18:30:00-03:30"]
    )
    def test_moments_that_other_hands_may_write(self, moment: str) -> None:
        assert not isinstance(read_line(self.READING.replace(b"2027-03-08T18:30:00+00:00", moment.encode())), list)

    def test_the_inside_of_a_correction_is_looked_at_too(self) -> None:
        inner = json.loads(self.READING)
        outer = {"kind": "correction", "id": "k7m2q9y", "of": inner["id"]}
        assert not isinstance(read_line(line_of(**outer, instead=inner)), list)
        for wrong, code in (
            ({"tank": 5}, "L708"),
            ({"extra": 5}, "L706"),
            ({"kind": "correction"}, "L705"),
            ({"id": "2222222"}, "L708"),
            ({"value": {"text": "2 mg/L", "value": 3, "unit": "mg/L"}}, "L709"),
        ):
            found = read_line(line_of(**outer, instead={**inner, **wrong}))
            assert isinstance(found, list)
            assert found[0].code == code, (wrong, found)

    def test_a_newer_version_is_named_as_a_cause(self) -> None:
        found = read_line(self.READING.replace(b'"tank"', b'"strain"'))
        assert isinstance(found, list)
        assert any("newer version" in fault.note for fault in found)

    @pytest.mark.parametrize(
        "end", ["", ",", ', "note"', ', "note": "x\\', ', "note": "\\u00e', ', "count": 1e-', ', "x": tru']
    )
    def test_a_line_that_breaks_off_is_told_from_one_that_is_spoiled(self, end: str) -> None:
        begun = self.READING[:-1] + end.encode()
        for line, code in ((begun, "L701"), (begun + b"}" + self.READING, "L702"), (begun + b"@ }", "L702")):
            found = read_line(line)
            assert isinstance(found, list)
            assert found[0].code == code or (code == "L702" and '"x\\' in end), (line, found)

    def test_an_entry_glued_to_a_broken_one_is_an_error_not_a_torn_line(self) -> None:
        for length in range(1, len(self.READING)):
            found = read_line(self.READING[:length] + self.READING)
            assert isinstance(found, list)
            if not self.READING[:length].rstrip().endswith(b":"):  # there an object could begin
                assert (found[0].code, found[0].severity) == ("L702", "error")
