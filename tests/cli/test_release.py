"""`pratique release` as its user meets it: yes, not yet or no, with the evidence, and what is not proven."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest

from release_rooms import ARRIVED, DAYS, Quarantine, coppered, watch_lines, watched
from schedule_rooms import batch

SCREENS = Path(__file__).parents[1] / "terminal" / "screens"
BEGUN = ("2027-03-05 18:30 arrived pair in ward", "2027-03-05 19:00 dose ward copper-chelated 13.3 mL of copper bottle")


@pytest.fixture
def watch(tmp_path: Path) -> Quarantine:
    return Quarantine(tmp_path, watched())


@pytest.fixture
def copper(tmp_path: Path) -> Quarantine:
    return Quarantine(tmp_path, coppered())


def read(day: int, level: str, kit: str = "with copper meter") -> str:
    return f"2027-03-{day:02d} 08:00 reading ward copper {level} mg/L {kit}".rstrip()


def unmet(answer: dict[str, Any]) -> list[str]:
    return [entry["condition"] for entry in answer["conditions"] if not entry["met"]]


def evidence(answer: dict[str, Any], word: str) -> str:
    return " | ".join(" | ".join(e["evidence"]) for e in answer["conditions"] if word in e["condition"])


class TestWatch:
    def test_every_day_looked_at_is_a_yes(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), by="Kim")
        answer = watch.answer()
        assert (answer["answer"], answer["into"], unmet(answer)) == ("yes", "reef", [])
        assert answer["reasons"] == []
        assert f"on {DAYS + 1} of {DAYS + 1} days" in evidence(answer, "looked at")
        assert f"looks by Kim {DAYS + 1}" in evidence(answer, "looked at")
        assert "Fri 28 May 19:10" in evidence(answer, "eating")
        assert any("no sign for three months" in text for text in answer["not_proven"])
        assert any("microscope" in text for text in answer["not_proven"])
        assert any("1 torch coral" in text for text in answer["last_steps"])
        salinity, temperature = answer["match"]
        assert (salinity["here"], salinity["there"], salinity["difference"]) == (35.0, 34.0, -1.0)
        assert temperature["difference"] == 0.5

    def test_how_far_two_waters_lie_apart_is_no_temperature(self, tmp_path: Path) -> None:
        data = watched()
        data["room"]["units"] = {"temperature": "degF"}
        place = Quarantine(tmp_path, data)
        place.write(*watch_lines())
        page = " ".join(place.ask(width=120).stdout.split())
        assert "77.0 °F (25.0 °C) 77.9 °F (25.5 °C) +0.9 °F (0.5 °C)" in page

    def test_the_day_before_is_not_yet(self, watch: Quarantine) -> None:
        watch.write(*watch_lines())
        answer = watch.answer("2027-05-27T20:00")
        assert answer["answer"] == "not yet"
        assert answer["earliest"] == "2027-05-28T19:30:00+01:00"
        assert answer["last_steps"] == []

    def test_a_reading_of_the_day_comes_before_the_room_file(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), "2027-05-28 18:00 reading reef temperature 26.5 degC")
        assert watch.answer()["match"][1]["there"] == 26.5

    def test_days_nobody_looked_are_said(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(skip=[29, 30, 31, 40]))
        answer = watch.answer()
        assert answer["answer"] == "yes"
        looked = evidence(answer, "looked at")
        assert "nobody on record: Sat 3 Apr to Mon 5 Apr | nobody on record: Wed 14 Apr" in looked
        assert any(text.startswith("4 days of observation without a look") for text in answer["not_proven"])

    @pytest.mark.parametrize("skip", [range(1, 70), range(80, 85)], ids=["on few days", "not of late"])
    def test_too_few_looks_are_no_yes(self, watch: Quarantine, skip: range) -> None:
        watch.write(*watch_lines(skip=skip))
        answer = watch.answer()
        assert answer["answer"] == "not yet"
        assert "looked at in observation, and of late" in unmet(answer)

    def test_a_sign_is_a_no(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), "2027-05-20 20:00 sign long ocellaris clownfish fast-breathing")
        answer = watch.answer()
        assert answer["answer"] == "no"
        assert "fast-breathing on ocellaris clownfish" in answer["reasons"][0]
        assert answer["earliest"] == "2027-08-12T20:00:00+01:00"

    def test_a_medicine_in_the_water_is_a_no(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), "2027-05-27 20:00 dose long copper-chelated 5 mL of copper bottle")
        answer = watch.answer()
        assert answer["answer"] == "no"
        assert any("still in long" in text for text in answer["reasons"])

    def test_a_batch_in_two_waters_is_a_no(self, tmp_path: Path) -> None:
        data = watched()
        data["batches"]["pair"]["animals"] = [{"species": "ocellaris clownfish", "count": 3}]
        place = Quarantine(tmp_path, data)
        place.write(*watch_lines(), "2027-05-27 20:00 move 1 ocellaris clownfish from long to ward")
        answer = place.answer()
        assert answer["answer"] == "no"
        assert any("in two waters (2 in long and 1 in ward)" in text for text in answer["reasons"])

    def test_looks_written_as_looks_are_evidence_of_who_looked_and_that_they_ate(self, watch: Quarantine) -> None:
        days = [ARRIVED + dt.timedelta(days=number) for number in range(DAYS + 1)]
        looks = [f"{day} 19:00 look long 1 heads eating 70 breaths" for day in days]
        watch.write("2027-03-05 18:30 arrived pair in long", *looks, by="Kim")
        watch.write("2027-05-20 21:00 look long ocellaris clownfish microscope two gill clips, nothing seen")
        answer = watch.answer()
        assert (answer["answer"], unmet(answer)) == ("yes", [])
        assert f"looks by Kim {DAYS + 1}; 1 without a name" in evidence(answer, "looked at")
        assert "under the microscope, ocellaris clownfish, Thu 20 May 21:00: two gill clips" in evidence(
            answer, "looked at"
        )
        assert "seen eating on Fri 28 May 19:00, by Kim | 70 breaths a minute" in evidence(answer, "eating")
        assert not any("that they ate is the word" in text for text in answer["not_proven"])
        assert any("what was on that slide" in text for text in answer["not_proven"])

    def test_not_eating_at_the_last_look_is_a_sign(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), "2027-05-27 21:00 look long 1 heads not eating")
        assert watch.answer()["answer"] == "no"

    def test_what_an_opened_body_showed_is_said_beside_the_death(self, tmp_path: Path) -> None:
        data = watched()
        data["batches"]["pair"]["animals"] = [{"species": "ocellaris clownfish", "count": 2}]
        place = Quarantine(tmp_path, data)
        opened = "2027-03-20 20:30 look pair necropsy gills pale, no trophonts"
        place.write(*watch_lines(), "2027-03-20 20:00 death long ocellaris clownfish", opened)
        assert any("gills pale, no trophonts" in text for text in place.answer()["not_proven"])

    def test_a_death_without_an_examination_is_not_proven(self, tmp_path: Path) -> None:
        data = watched()
        data["batches"]["pair"]["animals"] = [{"species": "ocellaris clownfish", "count": 2}]
        place = Quarantine(tmp_path, data)
        place.write(*watch_lines(), "2027-03-20 20:00 death long ocellaris clownfish")
        assert any("1 ocellaris clownfish died on Sat 20 Mar" in text for text in place.answer()["not_proven"])

    def test_once_gone_it_is_answered_for_the_moment_before(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), "2027-05-28 20:00 moved pair reef")
        answer = watch.answer("2027-06-20T12:00")
        assert answer["answer"] == "yes"
        assert answer["left"] == "went into reef on Fri 28 May 20:00"
        page = watch.ask("pair", "--certificate", at="2027-06-20T12:00").stdout
        assert "out       went into reef on Fri 28 May 20:00" in page


class TestCopper:
    def test_a_low_reading_is_not_yet(self, copper: Quarantine) -> None:
        copper.write(*BEGUN, *(read(day, "2.25") for day in range(6, 13)), read(13, "1.6"), read(14, "2.25"))
        answer = copper.answer("2027-03-14T12:00")
        assert answer["answer"] == "not yet"
        assert "lowest end 1.55 mg/L on Sat 13 Mar 08:00" in evidence(answer, "copper:")
        assert "below the floor" in evidence(answer, "copper:")
        assert answer["reasons"][0].startswith("copper: ")
        assert any("flukes, brooklynella" in text for text in answer["not_proven"])

    def test_a_count_that_has_to_begin_again_is_a_no(self, tmp_path: Path) -> None:
        data = coppered()
        data["room"]["clocks"] = {"below_floor": "restart"}
        place = Quarantine(tmp_path, data)
        place.write(*BEGUN, *(read(day, "2.25") for day in range(6, 13)), read(13, "1.6"))
        assert place.answer("2027-03-13T12:00")["answer"] == "no"
        place.write(read(14, "2.25"))
        assert place.answer("2027-03-14T12:00")["answer"] == "not yet"

    def test_after_copper_the_last_steps_keep_it_out_of_the_display(self, tmp_path: Path) -> None:
        data = coppered()
        data["animals"] = [{"species": "cleaner shrimp", "tank": "reef"}]
        data["values"] = {"observation.days": {"value": "30 d", "reason": "a short one"}}
        place = Quarantine(tmp_path, data)
        place.write(*BEGUN, *(read(day, "2.25") for day in range(6, 21)), "2027-03-20 08:30 moved pair long")
        days = [dt.date(2027, 3, 20) + dt.timedelta(days=number) for number in range(31)]
        place.write(*(f"{day} 19:00 done pair/observation/look/1/{day}" for day in days))
        place.write(*(f"{day} 19:10 fed long" for day in days))
        answer = place.answer("2027-04-19T20:00")
        assert (answer["answer"], unmet(answer)) == ("yes", [])
        assert "15 readings by a suited kit" in evidence(answer, "copper:")
        assert any("for cleaner shrimp die of copper" in text for text in answer["last_steps"])

    def test_what_is_read_while_the_copper_goes_out_is_no_evidence_of_the_count(self, tmp_path: Path) -> None:
        data = coppered()
        del data["tanks"]["long"]
        place = Quarantine(tmp_path, data)
        first = dt.date(2027, 3, 6)
        held = [first + dt.timedelta(days=number) for number in range(32)]
        place.write(*BEGUN, *(f"{day} 08:00 reading ward copper 2.25 mg/L with copper meter" for day in held))
        place.write("2027-04-06 20:00 change ward 90 %", "2027-04-07 08:00 reading ward copper 0.2 mg/L")
        told = evidence(place.answer("2027-04-07T12:00"), "copper:")
        assert "31 readings by a suited kit, Sat 6 Mar 08:00 to Mon 5 Apr 08:00; lowest end 2.18 mg/L" in told

    def test_no_reading_by_a_suited_kit_is_not_proven(self, copper: Quarantine) -> None:
        copper.write(*BEGUN)
        answer = copper.answer("2027-03-08T12:00")
        assert answer["answer"] == "not yet"
        assert "copper in copper was never read by a kit that suits its form" in answer["not_proven"]

    def test_left_before_its_time_is_a_no(self, copper: Quarantine) -> None:
        copper.write(*BEGUN, *(read(day, "2.25") for day in range(6, 12)), "2027-03-11 20:00 moved pair long")
        answer = copper.answer("2027-03-12T12:00")
        assert (answer["answer"], answer["earliest"]) == ("no", None)
        assert "copper was left" in answer["reasons"][0]


class TestCourse:
    """Doses of an anthelmintic for a shark: eight days, then seven, by the eggs."""

    DOSES = ("2027-03-06 18:30", "2027-03-14 18:30", "2027-03-21 18:30")

    def given(self, tmp_path: Path, *moments: str) -> Quarantine:
        data = watched()
        data["batches"]["pair"] = batch("2027-03-05T18:30", "untrusted", "bamboo shark", into="reef")
        place = Quarantine(tmp_path, data)
        doses = (f"{moment} dose ward praziquantel-bath 0.126 g of fluke powder" for moment in moments)
        place.write("2027-03-05 18:30 arrived pair in ward", *doses)
        return place

    def test_every_dose_in_its_window(self, tmp_path: Path) -> None:
        place = self.given(tmp_path, *self.DOSES)
        place.write("2027-03-24 19:00 moved pair long")
        answer = place.answer("2027-03-25T12:00")
        assert answer["answer"] == "not yet"
        assert answer["conditions"][0]["met"] is True
        assert "3 of 3 doses that count" in evidence(answer, "anthelmintic")

    def test_left_after_two_doses_is_a_no(self, tmp_path: Path) -> None:
        place = self.given(tmp_path, *self.DOSES[:2])
        place.write("2027-03-17 19:00 moved pair long")
        answer = place.answer("2027-03-18T12:00")
        assert (answer["answer"], answer["conditions"][0]["met"]) == ("no", False)
        assert "anthelmintic was left after 2 of 3 doses" in answer["reasons"][0]

    def test_a_dose_too_early_does_not_count(self, tmp_path: Path) -> None:
        place = self.given(tmp_path, self.DOSES[0], "2027-03-09 18:30")
        answer = place.answer("2027-03-10T12:00")
        assert answer["conditions"][0]["met"] is False
        assert "1 of 3 doses that count" in evidence(answer, "anthelmintic")
        assert "1 outside the window" in evidence(answer, "anthelmintic")


class TestEdges:
    def test_without_a_log(self, watch: Quarantine) -> None:
        answer = watch.answer()
        assert answer["answer"] == "not yet"
        assert {entry["met"] for entry in answer["conditions"]} == {None}
        page = watch.ask()
        assert page.exit_code == 0
        assert "not yet: nothing is written down" in page.stdout
        assert "pratique log arrived pair in long" in page.stdout

    def test_an_unknown_batch(self, watch: Quarantine) -> None:
        result = watch.ask("pear")
        assert result.exit_code == 2
        assert "did you mean `pair`?" in result.stderr

    def test_a_batch_without_a_plan(self, tmp_path: Path) -> None:
        data = watched()
        data["tanks"] = {"reef": data["tanks"]["reef"]}
        result = Quarantine(tmp_path, data).ask()
        assert result.exit_code == 1
        assert "nothing was judged" in result.stderr
        assert result.stdout == ""

    def test_no_page_promises_anything(self, watch: Quarantine) -> None:
        watch.write(*watch_lines())
        for more in ((), ("--certificate",)):
            page = watch.ask("pair", *more).stdout.lower()
            assert "safe" not in page
            assert "guarantee" not in page
            assert "cured" not in page

    def test_the_certificate_of_what_may_not_go(self, copper: Quarantine) -> None:
        copper.write(*BEGUN)
        page = copper.ask("pair", "--certificate", at="2027-03-08T12:00").stdout
        assert "NOT RELEASED: not yet" in page


@pytest.mark.parametrize("width", [80, 40])
def test_screens(width: int, tmp_path: Path, golden) -> None:
    quiet = Quarantine(tmp_path, watched())
    quiet.write(*watch_lines(skip=[29, 30, 31]), by="Kim")
    golden(SCREENS / f"release-yes-{width}.txt", quiet.ask(width=width).stdout)
    golden(SCREENS / f"release-certificate-{width}.txt", quiet.ask("pair", "--certificate", width=width).stdout)
    golden(SCREENS / f"release-not-yet-{width}.txt", quiet.ask(at="2027-04-20T20:00", width=width).stdout)


class TestDips:
    DIPPED = ("2027-03-06 18:31 dip pair freshwater-dip for 5 min", "2027-03-06 18:36 out pair after 3.5 min distress")

    def test_a_dip_on_record_is_evidence_on_both_pages(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), *self.DIPPED)
        said = "Sat 6 Mar 18:31: freshwater dip of all, 3.5 min, cut short at a stop sign"
        assert watch.answer()["dips"] == [said]
        assert said in watch.ask("pair", width=120).stdout
        assert said in watch.ask("pair", "--certificate", width=120).stdout

    def test_a_dip_that_was_shorter_than_meant_is_not_called_whole(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), self.DIPPED[0], "2027-03-06 18:36 out pair after 4 min")
        assert watch.answer()["dips"] == ["Sat 6 Mar 18:31: freshwater dip of all, 4 min of the 5 min that were meant"]

    def test_a_dip_without_an_end_is_not_proven(self, watch: Quarantine) -> None:
        watch.write(*watch_lines(), self.DIPPED[0])
        answer = watch.answer()
        assert answer["dips"] == ["Sat 6 Mar 18:31: freshwater dip of all, its end is not on record"]
        assert any("how long the freshwater dip of all of Sat 6 Mar 18:31 was" in text for text in answer["not_proven"])

    def test_dips_of_others_and_of_later_are_not_its_own(self, watch: Quarantine) -> None:
        watch.write(
            *watch_lines(), "2027-05-28 21:00 dip pair freshwater-dip", "2027-03-06 18:31 dip Lemon freshwater-dip"
        )
        assert watch.answer()["dips"] == []


class TestHowToWrite:
    def test_an_arrival_is_never_to_be_written_before_it_comes(self, watch: Quarantine) -> None:
        page = watch.ask(at="2027-03-01T08:00", width=120).stdout
        assert "pratique log arrived pair in long, once it is in the water" in page
        assert "2027-03-05T18:30" not in page

    def test_one_that_should_have_come_is_written_with_its_moment(self, watch: Quarantine) -> None:
        assert (
            "pratique log arrived pair in long at 2027-03-05T18:30"
            in watch.ask(at="2027-03-06T08:00", width=120).stdout
        )
