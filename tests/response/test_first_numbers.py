"""The numbers of a run sheet are those of `pratique dose`, `dip` and the log: one engine, the same interlocks."""

from __future__ import annotations

import json
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from first_rooms import FRIDAY, history, house, house_text, respond
from pratique.cli.main import cli
from pratique.dosing.dip import Dip
from pratique.export.first_json import first_json
from pratique.knowledge import store
from pratique.logbook.book import Log
from pratique.logbook.line import to_line
from pratique.logbook.phrase import parse_entry
from pratique.logbook.scope import Scope
from pratique.response.need import Needs
from pratique.response.scene import case_of, scene_of
from pratique.response.shelf.emergency import emergencies
from pratique.response.suspicion import Suspicion
from pratique.room.resolve import Room

ROOMS: dict[str, dict[str, Any]] = {
    "as it is": {},
    "a lamp": {"tanks": {"ward": {"uv": "yes"}}},
    "a dwarf angelfish": {"animals": [{"species": "coral beauty angelfish", "size": "8 cm", "tank": "reef"}]},
    "ionic": {"shelf": {"chelate": {"form": "ionic", "strength": "1.018 mg/mL as Cu"}}},
    "amine": {"shelf": {"chelate": {"form": "amine"}}},
    "a rough volume": {"tanks": {"ward": {"volume": {"measured": "75 L ± 8 L"}}}},
}


def ask(folder: Path, text: str, command: str, *, at: str = "2027-03-05T17:00") -> dict[str, Any]:
    """The JSON answer of a command of the sheet, with its moves in the log."""
    path = folder / "fishroom.yaml"
    path.write_text(text, encoding="utf-8")
    words = shlex.split(command)[1:]
    result = CliRunner().invoke(cli, [*words, "--room", str(path), "--at", at, "--json"])
    found: dict[str, Any] = json.loads(result.stdout)
    return found


@pytest.mark.parametrize("name", ROOMS)
@pytest.mark.parametrize("agent", ["amyloodinium", "brooklynella"])
def test_a_dose_of_the_sheet_is_that_of_the_command(name: str, agent: str, tmp_path: Path) -> None:
    """The moves come first, as on the sheet: who is in the ward decides how fast it may go."""
    sheet, room = respond(cover=(agent,), changes=ROOMS[name])
    moves = tuple(" ".join(shlex.split(line)[2:]) for line in sheet.log_lines if " move " in line)
    assert moves
    log = history(room, moves).log
    (tmp_path / "fishroom.log.jsonl").write_bytes(b"".join(to_line(entry) + b"\n" for entry in log.entries))
    taken = [option for option in sheet.options if option.chosen]
    assert taken
    for option in taken:
        result = ask(tmp_path, house_text(ROOMS[name]), option.command)["result"]
        if isinstance(option.answer, Dip):
            ours = option.answer.dose.add.value if option.answer.dose is not None else None
            theirs = result["add"]["value"] if result["add"] else None
            assert ours == (theirs if theirs is None else pytest.approx(theirs))
            continue
        assert option.answer is not None
        found = [(step["at"], step["add"]["value"]) for step in result["steps"]]
        assert found == [(s.at.isoformat(), pytest.approx(s.add.value)) for s in option.answer.steps]


def test_the_change_of_the_morning_is_that_of_the_command(tmp_path: Path) -> None:
    sheet, _ = respond()
    act = next(act for act in sheet.acts if act.act == "change-water")
    command = act.command.replace("LEVEL", "'2.00 mg/L'")
    result = ask(tmp_path, house_text(), command, at="2027-03-06T07:00")["result"]
    shown = re.search(r"gets ([0-9.]+) mL", act.text)
    assert shown is not None
    assert result["change"]["volume"]["value"] == pytest.approx(37.5)
    assert 0 <= result["change"]["add"]["value"] - float(shown[1]) <= 0.1  # down to a mark of the syringe
    assert act.amount is not None
    assert act.amount.value == pytest.approx(37.5)


def test_the_copper_is_target_times_litres_over_strength() -> None:
    """By hand: 2.0 mg/L × 75 L ÷ 10 mg/mL; 150 µL/L × 10 L; 2 mg/L × 75 L of powder; 75 mg/L × 10 L ÷ 30 mg/mL."""
    doses = {}
    for agent in ("amyloodinium", "brooklynella", "neobenedenia"):
        for option in respond(cover=(agent,))[0].options:
            answer = option.answer
            if answer is not None and not (isinstance(answer, Dip) and answer.dose is None):
                add = answer.dose.add if isinstance(answer, Dip) else answer.steps[0].add  # type: ignore[union-attr]
                doses[option.treatment] = round(add.value, 3)
    expected = {"copper-chelated": 15.0, "formalin-bath": 1.5, "praziquantel-bath": 0.15, "peroxide-bath": 25.0}
    assert doses == expected


def test_salt_for_the_place_gives_back_its_salinity() -> None:
    """Outside: the sum the other way round, at the purity that was reckoned with."""
    from pratique.response.places import fill_for

    room = house({"mixed_water": None})
    case = case_of(scene_of(room, history(room), FRIDAY), Suspicion(tank="reef", at=FRIDAY))
    fill = fill_for(case, 75.0)
    assert fill.salt is not None
    assert fill.salt.low / (75.0 * 1.02333) == pytest.approx(35.0, rel=2e-3)  # sea water of 35 g/kg: 1.0233 kg/L


def test_log_lines_are_understood_as_they_stand() -> None:
    for cover, signs in ((("amyloodinium",), ("dust",)), (("brooklynella",), ())):
        sheet, room = respond(cover=cover, signs=signs, dead=("Lemon",))
        assert sheet.log_lines
        for line in sheet.log_lines:
            scope = Scope(room=room, at=FRIDAY, written=FRIDAY, log=Log())
            found = parse_entry(shlex.split(line)[2:], scope)
            assert not [p for p in found.problems if p.is_error], (line, found.problems)
            assert len(found.entries) == 1


def test_the_json_has_every_amount_in_canonical_units() -> None:
    sheet, _ = respond(cover=("amyloodinium", "brooklynella"))
    plain = json.loads(json.dumps(first_json(sheet)))
    assert len(plain["now"]) == 3
    units = {act["amount"]["unit"] for act in plain["acts"] if act["amount"]}
    assert units <= {"L", "mL", "g", "tablet"}
    assert plain["to"] == "ward"
    taken = {entry["treatment"]: entry for entry in plain["treatments"] if entry["taken"]}
    assert taken["copper-chelated"]["dose"]["steps"][0]["add"]["value"] == pytest.approx(15.0)


def tonight(room: Room, water: str, agent: str) -> Needs:
    scene = scene_of(room, history(room), FRIDAY)
    return next(needs for needs in emergencies(scene, (agent,)) if needs.water == water)


def test_needs_of_a_room_that_has_nothing() -> None:
    """The bottle that is not there is reckoned with by a usual one: 10 mg/mL, so 2.25 mg/L × 75 L is 16.9 mL.

    15.0 mL come first; of the 1.875 mL after it the syringe gives 1.86.
    """
    room = house({"shelf": None, "mixed_water": None, "salt": None, "kits": None, "gear": None, "vessels": None})
    needs = tonight(room, "reef system", "amyloodinium")
    product = next(need for need in needs.of("product") if need.treatment == "copper-chelated")
    assert product.need is not None
    assert product.active is not None
    assert product.need.value == pytest.approx(16.86)
    assert product.active.value == pytest.approx(168.6)
    assert not product.enough
    assert needs.tank == "ward"
    water = needs.of("mixed water")[0]
    assert (water.need.value, water.have.value) == (112.5, 0.0)  # type: ignore[union-attr]
    assert {need.kind for need in needs.short} >= {"product", "mixed water", "salt", "vessel", "gear", "test"}


def test_every_cause_and_agent_on_file_has_first_steps() -> None:
    known = {steps.id for steps in store.response().causes}
    assert set(store.causes()) <= known
    answered = {answer.agent for answer in store.response().answers}
    assert answered == set(store.pathogen_ids())
    assert {answer.treatment for answer in store.response().answers} <= set(store.treatment_ids())
