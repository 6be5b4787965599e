"""Bleach, thiosulfate and dry air: enough at the worst, with nothing alive in it, and dates that hold."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from cleaning_rooms import cleaning, cleaning_refusal, empty_room
from dosing_rooms import AT, codes
from pratique.cli.main import cli
from pratique.dosing.cleaning.asking import enough_of
from pratique.dosing.cleaning.chlorine import strongest
from pratique.dosing.cleaning.drying import drying, ready_after
from pratique.dosing.product import active_of
from pratique.knowledge import store

HARBOUR = str(Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml")
AGENTS = [store.pathogen(id_) for id_ in store.pathogen_ids()]
ALIVE = {"animals": [{"species": "royal gramma", "tank": "q1"}]}


class TestChlorine:
    def test_the_sum(self) -> None:
        """cl_05: 3.81 mL of 5.25 % to the litre for 200 mg/L."""
        answer = cleaning("chlorine-disinfection")
        assert answer.add is not None
        assert answer.add.value / 200 == pytest.approx(3.81, rel=0.01)
        exact = 200 * 200 / 52.5
        assert answer.add.value == pytest.approx(exact, rel=0.005)
        assert answer.add.value >= exact, "rounded up"

    def test_a_label_in_hypochlorite_takes_a_twentieth_more(self) -> None:
        bleach = {"active": "chlorine", "strength": "5.25 % w/v as NaOCl"}
        more = cleaning("chlorine-disinfection", empty_room(shelf__bleach=bleach)).add
        plain = cleaning("chlorine-disinfection").add
        assert more is not None
        assert plain is not None
        assert more.value / plain.value == pytest.approx(1 / 0.9525, rel=0.005)

    def test_the_strongest_figure_on_file_is_taken(self) -> None:
        level, hours = strongest("level"), strongest("contact_time")
        for agent in AGENTS:
            for name, ranked in agent.numbers.items():
                if name.endswith("_chlorine"):
                    assert level.value >= max(number.value for number in ranked)
                if name.endswith("_chlorine_time"):
                    assert hours.value >= max(number.value for number in ranked)
        assert (level.value, hours.value) == (200, 1)
        answer = cleaning("chlorine-disinfection")
        assert {agent.name for agent in answer.agents} >= {"white spot", "velvet"}
        assert all(agent.times >= 1 for agent in answer.agents)

    @given(st.floats(0, 20), st.floats(0, 40))
    @settings(deadline=None, max_examples=25)
    def test_the_level_is_reached_at_the_worst(self, litres_off: float, percent_off: float) -> None:
        room = empty_room(
            tanks__q1__volume={"measured": f"200 L ± {litres_off:.2f} L"}, shelf__bleach__error=f"{percent_off:.1f} %"
        )
        answer = cleaning("chlorine-disinfection", room)
        assert answer.after is not None
        assert answer.after.low >= 200 - 1e-6
        assert answer.after.low <= answer.after.value <= answer.after.high

    def test_what_is_neutralised_is_all_that_went_in(self) -> None:
        answer = cleaning("chlorine-disinfection")
        step = next(step for step in answer.steps if step.text.startswith("stir in"))
        assert step.add is not None
        assert answer.after is not None
        crystals = step.add.value * 0.99
        assert crystals == pytest.approx(answer.after.high * 200 * 7.4 / 1000, rel=0.01)
        none = cleaning("chlorine-disinfection", empty_room(shelf__crystals=None))
        bought = next(step for step in none.steps if step.text.startswith("stir in"))
        assert bought.add is not None
        assert bought.add.value == pytest.approx(crystals, rel=0.01)
        assert any("buy it first" in note for note in none.notes)

    def test_the_hours(self) -> None:
        answer = cleaning("chlorine-disinfection")
        timed = [(step.at - AT) / dt.timedelta(hours=1) for step in answer.steps if step.at is not None]
        assert timed == [0, 1, 1, 25, 49]
        assert answer.ready - AT == dt.timedelta(hours=49)

    def test_the_order(self) -> None:
        said = [step.text for step in cleaning("chlorine-disinfection").steps]
        wanted = ["take every animal out", "clean first", "gloves on", "check the level", "1 h over", "stir in",
                  "test to zero", "look: no drop", "24 h dry", "read chlorine once more"]  # fmt: skip
        found = [next(index for index, text in enumerate(said) if text.startswith(beginning)) for beginning in wanted]
        assert found == sorted(found)

    @pytest.mark.parametrize("treatment", ["chlorine-disinfection", "thiosulfate-neutralising", "drying"])
    def test_never_with_an_animal(self, treatment: str) -> None:
        found = cleaning_refusal(treatment, empty_room(**ALIVE), because=("it is only a snail",))
        assert codes(found)[0] == "D520"
        assert {"D491", "D492", "D496"} & set(codes(found))

    def test_never_into_a_medicine(self) -> None:
        held = {"tanks__q1__holds": [{"treatment": "formalin-bath"}]}
        assert codes(cleaning_refusal("chlorine-disinfection", empty_room(**held))) == ["D493"]

    def test_what_only_warns(self) -> None:
        room = empty_room(tanks__q1__cycled="yes", shelf__bleach__expires="2027-03-01", shelf__bleach__left="100 mL")
        assert sorted(codes(cleaning("chlorine-disinfection", room))) == ["D457", "D494", "D495"]

    def test_without_bleach_there_is_no_amount(self) -> None:
        assert codes(cleaning_refusal("chlorine-disinfection", empty_room(shelf__bleach=None))) == ["D449"]

    def test_people_come_first(self) -> None:
        said = [statement.text for statement in cleaning("chlorine-disinfection").cautions]
        assert "chlorine gas" in said[0]
        assert "chloramines" in said[1]
        assert "gloves" in said[2]


class TestGear:
    def test_bleach_for_a_bucket(self) -> None:
        answer = cleaning("chlorine-disinfection", gear="red set")
        assert answer.add is not None
        assert answer.add.value == pytest.approx(38.1, rel=0.01)
        assert not any(step.text.startswith("take every animal out") for step in answer.steps)
        assert "until then use white set" in answer.notes
        stir = next(step.text for step in answer.steps if step.text.startswith("stir in"))
        assert "`pratique dip thiosulfate-neutralising --for 'red set' --reading …`" in stir

    def test_drying(self) -> None:
        answer = cleaning("drying", gear="red set")
        assert answer.ready - AT == dt.timedelta(hours=48)
        assert answer.add is None
        assert answer.water is None
        assert [source.source for source in answer.sources] == ["COMMON", "HIR03"]

    def test_drying_across_a_clock_change_counts_elapsed_hours(self) -> None:
        evening = dt.datetime(2027, 3, 27, 18, tzinfo=AT.tzinfo)
        ready = ready_after(evening, drying())
        assert (ready.astimezone(dt.UTC) - evening.astimezone(dt.UTC)) == dt.timedelta(hours=48)
        assert ready.hour == 19

    def test_sand_and_rock_do_not_dry_with_the_glass(self) -> None:
        room = empty_room(tanks__q1__substrate="calcareous")
        assert any("sand and rock of q1 stay damp" in note for note in cleaning("drying", room).notes)


class TestThiosulfate:
    def test_by_a_reading(self) -> None:
        answer = cleaning("thiosulfate-neutralising", reading="30 mg/L")
        assert answer.add is not None
        assert answer.add.value * 0.99 * 0.6371 == pytest.approx(30 * 200 * 4.72 / 1000, rel=0.005)

    def test_without_one_all_that_a_disinfection_puts_in(self) -> None:
        answer = cleaning("thiosulfate-neutralising")
        assert answer.level is not None
        assert answer.level.value == 200
        assert any("`--reading`" in note for note in answer.notes)
        held = {"tanks__q1__holds": [{"treatment": "chlorine-disinfection", "level": "120 mg/L"}]}
        told = cleaning("thiosulfate-neutralising", empty_room(**held)).level
        assert told is not None
        assert told.value == 120

    def test_a_reading_of_nothing_takes_nothing(self) -> None:
        answer = cleaning("thiosulfate-neutralising", reading="0 mg/L")
        assert answer.add is not None
        assert answer.add.value == 0
        assert any("nothing to add" in note for note in answer.notes)
        assert not any("dissolve" in step.text for step in answer.steps)

    def test_a_trace_of_chlorine_is_still_neutralised(self) -> None:
        """treatments 21: 0.05 mg/L can kill fish, a tenth of this."""
        answer = cleaning("thiosulfate-neutralising", reading="0.5 mg/L")
        assert answer.add is not None
        assert answer.add.value * 0.99 * 0.6371 == pytest.approx(0.5 * 200 * 4.72 / 1000, rel=0.02)
        assert not any("nothing to add" in note for note in answer.notes)

    def test_the_error_of_a_reading_is_met(self) -> None:
        plain, wide = (cleaning("thiosulfate-neutralising", reading=text) for text in ("30 mg/L", "30 mg/L ± 5 mg/L"))
        assert plain.add is not None
        assert wide.add is not None
        assert wide.add.value / plain.add.value == pytest.approx(35 / 30, rel=0.01)

    def test_the_anhydrous_salt_takes_less(self) -> None:
        dry = {"active": "sodium thiosulfate", "strength": "99 % w/w as sodium thiosulfate anhydrous"}
        less = cleaning("thiosulfate-neutralising", empty_room(shelf__crystals=dry), reading="30 mg/L").add
        more = cleaning("thiosulfate-neutralising", reading="30 mg/L").add
        assert less is not None
        assert more is not None
        assert less.value / more.value == pytest.approx(0.6371, rel=0.01)


def test_enough_is_rounded_up_to_three_figures() -> None:
    bleach = active_of(empty_room(), "bleach")
    assert [enough_of(mg, bleach) for mg in (0, 52.5, 52.6, 530.2, 5250.1, 123456.7)] == [0, 1.0, 1.01, 10.1, 101, 2360]


class TestPages:
    def run(self, *words: str) -> tuple[int, str]:
        result = CliRunner().invoke(
            cli, [*words, "--room", HARBOUR, "--at", "2027-03-08T06:30"], env={"COLUMNS": "100"}
        )
        return result.exit_code, result.stdout + result.stderr

    @pytest.mark.parametrize(
        ("words", "said"),
        [
            (("dose", "ward", "chlorine-disinfection"), "323 mL of bleach"),
            (("dose", "ward", "thiosulfate-neutralising", "--reading", "30 mg/L"), "17.3 g of thiosulfate crystals"),
            (("dose", "ward", "drying"), "in use again   Wed 10 Mar 06:30"),
            (("dip", "chlorine-disinfection", "--for", "red set"), "Clean · red set in dip bucket"),
            (("dip", "drying", "--for", "white set"), "until then use red set"),
            (("dip", "thiosulfate-neutralising", "--for", "red set", "--reading", "50 mg/L"), "thiosulfate crystals"),
            (("dip", "chlorine-disinfection", "--for", "red set", "--volume", "5 L"), "--volume '5 L' --working"),
        ],
    )
    def test_a_page(self, words: tuple[str, ...], said: str) -> None:
        status, page = self.run(*words)
        assert status == 0, page
        assert said in page or said in " ".join(page.split())

    def test_json(self) -> None:
        _, text = self.run("dose", "ward", "chlorine-disinfection", "--json")
        result = json.loads(text)["result"]
        assert {"tank", "treatment", "product", "water", "target", "active", "add", "after", "steps", "sources"} <= set(
            result
        )
        assert result["contact"] == {"value": 1.0, "unit": "h"}
        assert result["agents"][0]["times"] >= 1

    @pytest.mark.parametrize(
        "words",
        [
            ("dose", "ward", "chlorine-disinfection", "--target", "100 mg/L"),
            ("dose", "ward", "chlorine-disinfection", "--reading", "100 mg/L"),
            ("dose", "ward", "drying", "--change", "25 %"),
            ("dose", "ward", "drying", "--prescription", "gut flagellates"),
            ("dip", "chlorine-disinfection", "--for", "red sett"),
            ("dip", "chlorine-disinfection", "--for", "red set", "--minutes", "5"),
            ("dip", "freshwater-dip", "--for", "Lemon", "--reading", "5 mg/L"),
        ],
    )
    def test_a_wrong_command_line(self, words: tuple[str, ...]) -> None:
        assert self.run(*words)[0] == 2
