"""What wet hands type, what is understood by it, and what is refused."""

from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.typed import AT, TASKS, demo, room, said, scope, understood
from pratique.logbook.book import build_log
from pratique.logbook.entry import Correction
from pratique.logbook.line import read_line, to_line
from pratique.logbook.phrase import parse_entry, parse_lines
from pratique.logbook.say import spoken
from pratique.room.load import load_room_text

UNDERSTOOD = {
    "reading ward copper 2.1 mg/L": {"tank": "ward", "what": "copper", "value": "2.1 mg/L", "kit": "copper meter"},
    "Reading WARD Copper 2.1 mg/L with copper meter": {
        "tank": "ward", "what": "copper", "value": "2.1 mg/L", "kit": "copper meter"},
    "reading ward pH 8.1": {"tank": "ward", "what": "ph", "value": "8.1"},
    "reading ward temp 25.5 degC": {"tank": "ward", "what": "temperature", "value": "25.5 degC"},
    "reading blue tub sg 1.025 sg at 25 degC": {"tank": "blue tub", "what": "salinity", "value": "1.025 sg at 25 degC"},
    "reading blue-tub nh3 0.25 mg/L ± 0.1 mg/L": {
        "tank": "blue tub", "what": "ammonia", "value": "0.25 mg/L ± 0.1 mg/L", "kit": "ammonia kit"},
    "dose ward copper-chelated 3.2 mL of copper bottle": {
        "tank": "ward", "treatment": "copper-chelated", "product": "copper bottle", "amount": "3.2 mL", "into": "tank"},
    "dose ward chelated copper 3.2mL copper bottle into new water": {
        "tank": "ward", "treatment": "copper-chelated", "product": "copper bottle", "amount": "3.2mL",
        "into": "new-water"},
    "dose ward 3 drops of peroxide": {
        "tank": "ward", "product": "peroxide", "amount": "0.15 mL", "into": "tank", "note": "3 drops at 20 drops/mL"},
    "change ward 20 L": {"tank": "ward", "volume": "20 L"},
    "change ward 25 % with 4 mL of copper bottle": {
        "tank": "ward", "volume": "25 %", "product": "copper bottle", "amount": "4 mL"},
    "top-off reef 3 L": {"tank": "reef", "volume": "3 L"},
    "top off reef 1 gal_us": {"tank": "reef", "volume": "1 gal_us"},
    "move spring tangs ward": {"batch": "spring tangs", "to": "ward"},
    "move spring tangs from blue tub to green tub": {"batch": "spring tangs", "from": "blue tub", "to": "green tub"},
    "moved kole tang from blue tub ward": {
        "batch": "spring tangs", "animals": ("kole tang",), "from": "blue tub", "to": "ward"},
    "move 2 ocellaris clownfish from reef to ward": {
        "animals": ("ocellaris clownfish",), "from": "reef", "to": "ward", "count": 2},
    "move rock from reef to long tank": {"things": ("rock",), "from": "reef", "to": "long tank"},
    "arrived spring tangs blue tub": {"batch": "spring tangs", "tank": "blue tub"},
    "arrived spring tangs in blue tub": {"batch": "spring tangs", "tank": "blue tub"},
    "death ward kole tang": {"tank": "ward", "animal": "kole tang", "batch": "spring tangs", "count": 1},
    "died reef 2 cleaner shrimp": {"tank": "reef", "animal": "cleaner shrimp", "count": 2},
    "death reef yellow tang": {"tank": "reef", "animal": "Lemon", "count": 1},
    "found reef 2 small damselfish": {"tank": "reef", "animal": "small damselfish", "count": 2},
    "sign ward dust fast-breathing": {"tank": "ward", "signs": ("dust", "fast-breathing")},
    "sign ward gold dust and lying on the bottom": {"tank": "ward", "signs": ("dust", "lethargy")},
    "sign ward clamped fins": {"tank": "ward", "signs": ("unwell",)},
    "sign ward 2 kole tang dust, fast breathing and scratching": {
        "tank": "ward", "animal": "kole tang", "batch": "spring tangs", "count": 2,
        "signs": ("dust", "fast-breathing", "scratching")},
    "fed reef": {"tank": "reef"},
    "fed ward metronidazole-food with soaked pellets": {
        "tank": "ward", "treatment": "metronidazole-food", "food": "soaked pellets"},
    "look ward": {"tank": "ward", "how": "eye"},
    "look reef, 6 heads, eating, 80 breaths": {
        "tank": "reef", "heads": 6, "eating": True, "breaths": 80, "how": "eye"},
    "looked spring tangs 2 heads not eating dust and scratching": {
        "batch": "spring tangs", "heads": 2, "eating": False, "signs": ("dust", "scratching"), "how": "eye"},
    "look blue tub kole tang dust microscope: round cells, no tails": {
        "tank": "blue tub", "batch": "spring tangs", "animal": "kole tang", "signs": ("dust",), "how": "microscope",
        "findings": "round cells, no tails"},
    "look spring tangs necropsy pale gills": {
        "batch": "spring tangs", "how": "necropsy", "findings": "pale gills"},
    "dip Lemon freshwater-dip": {"animals": ("Lemon",), "treatment": "freshwater-dip"},
    "dip Lemon from reef freshwater-dip for 4.5min because it scratches": {
        "animals": ("Lemon",), "tank": "reef", "treatment": "freshwater-dip", "minutes": 4.5, "note": "it scratches"},
    "dip spring tangs peroxide-bath for 30 minutes with 225 mL of peroxide": {
        "batch": "spring tangs", "treatment": "peroxide-bath", "minutes": 30.0, "product": "peroxide",
        "amount": "225 mL"},
    "done 3": {"task": TASKS[3]},
    "done spring-tangs/look/look/2": {"task": "spring-tangs/look/look/2"},
    "skipped 4 because the tub leaks, sadly": {"task": TASKS[4], "why": "the tub leaks, sadly"},
    "gear red set in ward": {"gear": "red set", "tank": "ward"},
    "cleaned ward": {"tank": "ward"},
    "dried red set": {"gear": "red set"},
    "opened copper bottle": {"product": "copper bottle"},
    "bought fluke powder 25 g": {"product": "fluke powder", "amount": "25 g"},
    "spoiled formalin": {"product": "formalin"},
    "spoiled formalin 20 mL because the cap was off": {
        "product": "formalin", "amount": "20 mL", "note": "the cap was off"},
    "note ward anything, dose it at 08:30 because why": {
        "tank": "ward", "note": "anything, dose it at 08:30 because why"},
    "note the ward smells": {"note": "the ward smells"},
}  # fmt: skip


@pytest.mark.parametrize("words", UNDERSTOOD)
def test_short_forms(words: str) -> None:
    (entry,) = understood(words)
    assert said(entry) == UNDERSTOOD[words]
    assert entry.at == entry.written == AT
    assert read_line(to_line(entry)) == entry


@pytest.mark.parametrize("words", UNDERSTOOD)
def test_what_is_shown_back_would_write_the_same(words: str) -> None:
    (entry,) = understood(words)
    for again in (spoken(entry), spoken(entry, room().zone)):
        (other,) = understood(again)
        assert other.model_copy(update={"id": entry.id}) == entry, again


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        ("06:45 done 3, done 4", [45, 45]),
        ("06:45 fed reef; 06:50 fed ward, fed blue tub", [45, 50, 50]),
        ("06:45 reading ward copper 2 mg/L, ph 8.1", [45, 45]),
        ("06:45 fed reef, fed ward at 06:55, fed blue tub", [45, 55, 45]),
        ("fed reef, 06:50 fed ward", [30, 50]),
    ],
)
def test_a_time_before_an_entry_holds_for_those_after_it(line: str, minutes: list[int]) -> None:
    """What was written without any time is of the moment of asking, 18:30."""
    assert [entry.at.minute for entry in understood(line)] == minutes


class TestSeveralOnOneLine:
    def test_parted_by_semicolons_and_commas(self) -> None:
        found = understood("fed reef; fed ward, top-off reef 3 L,  note all is well, it seems; done 3, 4")
        assert [entry.kind for entry in found] == ["fed", "fed", "top-off", "note", "done", "done"]
        assert found[3].note == "all is well, it seems"
        assert [entry.id for entry in found] == sorted({entry.id for entry in found})

    def test_measures_after_a_reading_are_of_the_same_tank(self) -> None:
        found = understood("reading ward copper 2.1 mg/L, ammonia 0.25 mg/L, ph 8.1, fed ward")
        assert [said(entry).get("what") for entry in found] == ["copper", "ammonia", "ph", None]
        assert {said(entry)["tank"] for entry in found} == {"ward"}

    @pytest.mark.parametrize(
        ("line", "when", "note"),
        [
            ("note ward foam on top at yesterday 18:00", "07 18:00", "foam on top"),
            ("note foam at 2027-03-05T08:30", "05 08:30", "foam"),
            ("note lights off at 18:00", "08 18:30", "lights off at 18:00"),
            ("note the vet comes on 2027-03-20", "08 18:30", "the vet comes on 2027-03-20"),
            ("yesterday 18:00 note foam at 2027-03-05T08:30", "07 18:00", "foam at 2027-03-05T08:30"),
        ],
    )
    def test_a_day_and_a_time_at_the_end_of_a_note_are_its_time(self, line: str, when: str, note: str) -> None:
        (entry,) = understood(line)
        assert (f"{entry.at:%d %H:%M}", entry.note) == (when, note)

    @pytest.mark.parametrize(
        ("line", "times"),
        [
            ("reading ward copper 2.1 mg/L, ammonia 0.25 mg/L, ph 8.1 at 06:50", ["06:50", "06:50", "06:50"]),
            ("reading ward copper 2.1 mg/L; ph 8.1 at 06:50; fed ward", ["06:50", "06:50", "18:30"]),
            ("reading ward copper 2.1 mg/L at 06:40, ph 8.1 at 06:50", ["06:40", "06:50"]),
            ("reading ward copper 2.1 mg/L, ammonia 0.25 mg/L at 06:40, ph 8.1 at 06:50", ["18:30", "06:40", "06:50"]),
            ("07:00 reading ward copper 2.1 mg/L, ph 8.1 at 06:50", ["07:00", "06:50"]),
            ("07:00 fed ward, reading ward copper 2.1 mg/L, ph 8.1 at 06:50", ["07:00", "06:50", "06:50"]),
            ("reading ward copper 2.1 mg/L, ph 8.1 because I was late at 06:50", ["18:30", "18:30"]),
            ("fed ward, reading ward ph 8.1 at 06:50", ["18:30", "06:50"]),
        ],
    )
    def test_the_time_at_the_end_is_that_of_all_measures_where_none_has_its_own(
        self, line: str, times: list[str]
    ) -> None:
        assert [f"{entry.at:%H:%M}" for entry in understood(line)] == times

    def test_one_mistake_is_one_problem_and_the_rest_is_understood(self) -> None:
        found = parse_entry(["reading wadr copper 2 mg/L, ph 8.1, fed reef; fed raef"], scope())
        assert [entry.kind for entry in found.entries] == ["fed"]
        assert [problem.code for problem in found.problems] == ["L732", "L732"]
        assert [problem.places[0].column for problem in found.problems] == [9, 51]

    def test_a_text_of_many_lines(self) -> None:
        text = "# Sunday, from paper\n\n2027-03-07 08:30 fed reef\n2027-03-07T20:00 reading ward copper 2\nfed ward\n"
        found = parse_lines(text, scope(), file="paper.txt")
        assert [entry.kind for entry in found.entries] == ["fed", "fed"]
        (problem,) = found.problems
        assert (problem.code, problem.places[0].file, problem.places[0].line) == ("U206", "paper.txt", 4)


class TestTimes:
    @pytest.mark.parametrize(
        ("words", "at"),
        [
            ("fed reef at 08:30", "2027-03-08T08:30:00+00:00"),
            ("08:30 fed reef", "2027-03-08T08:30:00+00:00"),
            ("8.30, fed reef", "2027-03-08T08:30:00+00:00"),
            ("yesterday 20:00 fed reef", "2027-03-07T20:00:00+00:00"),
            ("fed reef at yesterday at 20:00", "2027-03-07T20:00:00+00:00"),
            ("fed reef at 2027-03-05T08:30", "2027-03-05T08:30:00+00:00"),
            ("2027-03-05 8:30 fed reef", "2027-03-05T08:30:00+00:00"),
            ("fed reef at 08:30 because late", "2027-03-08T08:30:00+00:00"),
            ("reading ward sg 1.025 sg at 25 degC at 08:30", "2027-03-08T08:30:00+00:00"),
            ("fed reef at 2027-03-08T12:30+03:00", "2027-03-08T09:30:00+00:00"),
        ],
    )
    def test_when(self, words: str, at: str) -> None:
        (entry,) = understood(words)
        assert entry.at == dt.datetime.fromisoformat(at)
        assert entry.written == AT

    def test_the_moment_given_for_all(self) -> None:
        earlier = AT - dt.timedelta(hours=3)
        (entry,) = understood("fed reef", at=earlier)
        assert (entry.at, entry.written) == (earlier, AT)

    def test_a_repeated_hour_with_its_offset(self) -> None:
        late = dt.datetime(2027, 11, 2, tzinfo=dt.UTC)
        first, second = understood(
            "2027-10-31T01:30+01:00 fed reef; 2027-10-31T01:30+00:00 fed reef", at=late, written=late
        )
        assert (second.at - first.at).total_seconds() == 3600

    @pytest.mark.parametrize(
        ("words", "code"),
        [
            ("fed reef at 18:31", "L734"),
            ("fed reef at 2028-01-01T10:00", "L734"),
            ("fed reef at 2027-03-05", "L731"),
            ("fed reef at 8pm", "F115"),
            ("fed reef at 25:00", "F115"),
            ("fed reef at 05/03/2027 08:30", "F115"),
            ("fed reef at 2026-03-29T01:30", "F116"),
            ("fed reef at 2026-10-25T01:30", "F117"),
            ("08:30 fed reef at 09:30", "L735"),
        ],
    )
    def test_times_that_cannot_be(self, words: str, code: str) -> None:
        found = parse_entry([words], scope())
        assert [problem.code for problem in found.problems] == [code]
        assert found.entries == ()


class TestRefusals:
    @pytest.mark.parametrize(
        ("words", "code", "part", "hint"),
        [
            ("", "L730", "", "an entry begins with one of"),
            ("undo", "L730", "undo", "`withdraw ID because …` takes one back"),
            ("done all", "L738", "all", "write the numbers of the day's lines, such as `1 2`"),
            ("redaing ward copper 2", "L730", "redaing", "`reading`"),
            ("fed\u200breef", "L730", "\u200b", "type it again"),
            ("reading", "L731", "", "known: `reef`"),
            ("reading ward", "L731", "", "known: `copper`"),
            ("reading ward copper", "L731", "", "such as `2.1 mg/L`"),
            ("dose ward copper-chelated", "L731", "", "3.2 mL of copper bottle"),
            ("dose ward copper-chelated 3.2 mL", "L731", "", "write `3.2 mL of copper bottle`"),
            ("move spring tangs", "L731", "", "known: `reef`"),
            ("sign ward kole tang", "L731", "", "known: `white-spots`"),
            ("done", "L731", "", "done 3"),
            ("bought fluke powder", "L731", "", "40 g"),
            ("note ward", "L731", "", "worth keeping"),
            ("correct", "L731", "", ""),
            ("reading wadr copper 2 mg/L", "L732", "wadr", "`ward`"),
            ("reading blue tubb copper 2 mg/L", "L732", "blue tubb", "`blue tub`"),
            ("reading xyz copper 2 mg/L", "L732", "xyz", "known: `reef`"),
            ("reading ward coper 2 mg/L", "L732", "coper", "`copper`"),
            ("dose ward copper-chelatet 3 mL of copper bottle", "L732", "copper-chelatet", "`copper-chelated`"),
            ("dose ward 3 mL of coper bottle", "L732", "coper bottle", "`copper bottle`"),
            ("move sprin tangs ward", "L732", "sprin tangs", "`spring tangs`"),
            ("death ward kole tag", "L732", "kole tag", "`kole tang`"),
            ("sign ward dustt", "L732", "dustt", "`dust`"),
            ("sign ward clampd fins", "L732", "clampd fins", "`unwell` (clamped fins)"),
            ("dose ward copper 3.2 mL", "L731", "", "write `3.2 mL of copper bottle`"),
            ("death ward tang", "L732", "tang", "did you mean `kole tang`"),
            ("death 2 kole tang in ward", "L732", "2", "the tank comes first, then how many"),
            ("reading ward ph 8.1 with ph metr", "L732", "ph", "known: `copper meter`"),
            ("fed reef flakes", "L735", "flakes", "because"),
            ("opened formalin today", "L735", "today", ""),
            ("reading ward copper 2 mg/L with ammonia kit", "L736", "ammonia kit", "leave it out"),
            ("dose ward copper-chelated 3 mL of formalin", "L736", "formalin", "name the bottle"),
            ("dose ward copper-ionic 3 mL of copper bottle", "L736", "copper bottle", "name the bottle"),
            ("dose ward 3 g of copper bottle", "L736", "copper bottle", "in mL"),
            ("dose ward 1 oz of copper bottle", "L736", "copper bottle", "`fl oz` a volume"),
            ("bought copper bottle 3 g", "L736", "copper bottle", "in mL"),
            ("move spring tangs from ward to ward", "L736", "", "two tanks"),
            ("withdraw k7m2q9x", "L737", "k7m2q9x", ""),
            ("correct k7m2q9x fed reef", "L737", "k7m2q9x", ""),
            ("done 9", "L738", "9", "pratique day"),
            ("done 99999999999", "L738", "99999999999", "pratique day"),
            ("done everything", "L738", "everything", "pratique plan"),
            ("done 3, , 4", "L738", "", "pratique plan"),
            ("reading ward copper 2.1", "U206", "2.1", "`2.1 mg/L`"),
            ("reading ward copper 2,1 mg/L", "U203", "2,1", "`2.1 mg/L`"),
            ("reading ward copper 2.1 Mg/L", "U208", "Mg/L", "`mg/L`"),
            ("reading ward copper 2.1 ppm", "U208", "ppm", "`mg/L`"),
            ("reading ward copper 2.1 L", "U209", "L", "`mg/L`"),
            ("reading ward copper -2 mg/L", "U212", "-2 mg/L", ""),
            ("change ward 20", "U206", "20", ""),
            ("change ward 120 %", "U212", "120 %", ""),
            ("top-off reef 5 gal", "U208", "gal", "gal_us"),
            ("dose ward 3 of copper bottle", "U206", "3", ""),
            ("dose ward 3 drops of formalin", "U208", "drops", "dropper"),
            ("dose ward 0 mL of formalin", "U212", "0 mL", ""),
            ("death reef 0 cleaner shrimp", "U212", "0", ""),
            ("note " + "x" * 1001, "L708", "", "1,000"),
            ("x" * 30_000, "L730", "", ""),
        ],
    )
    def test_code_place_and_hint(self, words: str, code: str, part: str, hint: str) -> None:
        found = parse_entry([words], scope())
        assert found.entries == ()
        (problem,) = found.problems
        assert problem.code == code, problem
        assert hint in problem.hint
        place = problem.places[0]
        assert place.text == words or len(words) > 4000
        if part:
            assert words[place.column - 1 :][: place.width] == part

    def test_a_name_for_two_animals_is_asked_about(self) -> None:
        text = demo().replace(
            "animals:\n  - {species: yellow tang",
            "animals:\n  - {species: yellow tang, name: Lime, tank: reef}\n  - {species: yellow tang",
            1,
        )
        other, problems = load_room_text(text)
        assert other is not None, problems
        (problem,) = parse_entry(["death reef yellow tang"], scope(room=other)).problems
        assert problem.code == "L733"
        assert "`Lime`" in problem.hint
        assert "`Lemon`" in problem.hint

    def test_an_active_is_the_treatment_of_the_one_bottle_there_is_and_asked_about_where_there_are_two(self) -> None:
        words = "dose ward copper 3.2 mL of copper bottle"
        assert said(understood(words)[0])["treatment"] == "copper-chelated"
        blue = "shelf:\n  blue bottle: {active: copper, form: ionic, strength: 5 mg/mL as Cu}\n"
        other, problems = load_room_text(demo().replace("shelf:\n", blue, 1))
        assert other is not None, problems
        (problem,) = parse_entry([words], scope(room=other)).problems
        assert problem.code == "L733"
        assert problem.hint == "write one of: `copper-chelated`, `copper-ionic`"

    def test_a_name_for_a_tank_and_for_gear_is_asked_about(self) -> None:
        other, problems = load_room_text(demo().replace("  red set: {", "  ward: {"))
        assert other is not None, problems
        (problem,) = parse_entry(["cleaned ward"], scope(room=other)).problems
        assert problem.code == "L733"
        for words, key in (("cleaned tank ward", "tank"), ("cleaned gear ward", "gear")):
            assert said(understood(words, room=other)[0]) == {key: "ward"}

    def test_a_task_that_is_not_in_the_plan(self) -> None:
        (problem,) = parse_entry(["done spring-tangs/transfers/transfer/2"], scope(task_ids=TASKS.values())).problems
        assert problem.code == "L738"
        assert "`spring-tangs/transfers/transfer/1`" in problem.hint

    def test_without_a_sheet_no_number_is_a_task(self) -> None:
        assert parse_entry(["done 3"], scope(task_of=None)).problems[0].code == "L738"


class TestCorrecting:
    def setup_method(self) -> None:
        earlier = AT - dt.timedelta(days=1)
        self.entry = understood("reading ward copper 2.1 mg/L at 08:30", at=earlier, written=earlier, by="Kim")[0]
        self.log = build_log([self.entry])[0]

    def test_the_same_words_again(self) -> None:
        (found,) = understood(
            f"correct {self.entry.id.upper()} reading ward copper 2.3 mg/L because misread", log=self.log
        )
        assert isinstance(found, Correction)
        assert found.of == self.entry.id
        assert found.why == "misread"
        assert found.at == found.written == AT
        assert found.instead is not None
        assert found.instead.at == self.entry.at
        assert found.instead.written == self.entry.written
        assert found.instead.by == "Kim"
        assert said(found.instead)["value"] == "2.3 mg/L"
        assert self.log.plus([found]).entries == (found.instead,)

    def test_another_time_and_another_kind(self) -> None:
        (found,) = understood(f"correct {self.entry.id} fed reef at 2027-03-06T08:00", log=self.log)
        assert isinstance(found, Correction)
        assert found.instead is not None
        assert found.instead.kind == "fed"
        assert found.instead.at == dt.datetime(2027, 3, 6, 8, tzinfo=dt.UTC)

    def test_into_a_note(self) -> None:
        (found,) = understood(f"correct {self.entry.id} note ward smells, because of salt at 08:30", log=self.log)
        assert isinstance(found, Correction)
        assert found.instead is not None
        assert found.instead.note == "smells, because of salt at 08:30"

    def test_withdrawing(self) -> None:
        (found,) = understood(f"withdraw {self.entry.id} because typo", log=self.log)
        assert isinstance(found, Correction)
        assert (found.instead, found.why) == (None, "typo")
        assert self.log.plus([found]).entries == ()

    def test_correcting_a_correction_corrects_what_it_was_of(self) -> None:
        (first,) = understood(f"correct {self.entry.id} reading ward copper 2.3 mg/L", log=self.log)
        log = self.log.plus([first])
        (second,) = understood(f"correct {first.id} reading ward copper 2.2 mg/L", log=log)
        assert [said(entry)["value"] for entry in log.plus([second]).entries] == ["2.2 mg/L"]
        (back,) = understood(f"withdraw {first.id}", log=log)
        assert log.plus([back]).entries == (self.entry,)

    @pytest.mark.parametrize(
        ("rest", "code"),
        [("", "L731"), ("reading ward copper 2.3", "U206"), ("done 3 4", "L735"), ("withdraw x", "L730")],
    )
    def test_what_cannot_stand_instead(self, rest: str, code: str) -> None:
        (problem,) = parse_entry([f"correct {self.entry.id} {rest}"], scope(log=self.log)).problems
        assert problem.code == code

    def test_near_ids_are_offered(self) -> None:
        typed = self.entry.id[:-1] + ("x" if self.entry.id[-1] != "x" else "y")
        (problem,) = parse_entry([f"withdraw {typed}"], scope(log=self.log)).problems
        assert f"`{self.entry.id}`" in problem.hint

    def test_new_ids_keep_clear_of_the_log(self) -> None:
        taken = understood("fed reef; fed ward")
        found = understood("fed reef", log=build_log(taken)[0])
        assert found[0].id not in {entry.id for entry in taken}

    def test_what_is_shown_back_of_a_correction(self) -> None:
        (found,) = understood(f"correct {self.entry.id} reading ward copper 2.3 mg/L because misread", log=self.log)
        (again,) = understood(spoken(found), log=self.log)
        assert again.model_copy(update={"id": found.id}) == found


WORDS = """
reading dose change top-off move arrived death found sign fed done skipped gear cleaned dried opened bought spoiled
note correct withdraw reef ward blue tub green long tank spring tangs kole tang copper ammonia ph bottle formalin
fluke powder red set dust 2.1 3 25 % mg/L mL L g of with from to in into new water at 08:30 yesterday because , ;
k7m2q9x 2027-03-05T08:30 -1 0 x3 ± drops é
"""
VOCABULARY = st.sampled_from([*WORDS.split(), "\u200b", "\udcff"])


@settings(deadline=None, max_examples=400)
@given(st.lists(VOCABULARY, max_size=14))
def test_no_words_raise(words: list[str]) -> None:
    found = parse_entry(words, scope())
    for entry in found.entries:
        assert read_line(to_line(entry)) == entry
        assert entry.at <= entry.written
    for problem in found.problems:
        assert problem.places[0].column >= 1
    assert found.entries or found.problems


@settings(deadline=None, max_examples=200)
@given(st.text(max_size=60))
def test_no_text_raises(text: str) -> None:
    found = parse_entry([text], scope())
    assert found.entries or found.problems


@settings(deadline=None, max_examples=200)
@given(st.lists(VOCABULARY, max_size=10))
def test_whatever_is_understood_can_be_shown_back(words: list[str]) -> None:
    for entry in parse_entry(words, scope()).entries:
        text = spoken(entry, room().zone)
        if ";" not in text and not (isinstance(entry.note, str) and entry.kind == "note"):
            (again,) = understood(text)
            assert again.model_copy(update={"id": entry.id}) == entry
