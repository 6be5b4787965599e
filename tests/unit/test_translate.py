"""The validator's complaints in our words: every kind it can make has a sentence of ours."""

from __future__ import annotations

import pytest
from pydantic import BaseModel, ValidationError

from pratique.room.load import load_room_text
from pratique.room.read import read_bytes
from pratique.room.shape import fields_along, known_keys
from pratique.room.translate import file_path, translate

ROOM = b"room: {time_zone: Europe/Lisbon}\ntanks:\n  q1: {use: ward, volume: {measured: 62 L}}\n"


class Strange(BaseModel):
    tanks: int


def test_a_kind_of_complaint_nobody_expected_still_gets_a_plain_sentence() -> None:
    document, _ = read_bytes("f.yaml", ROOM)
    with pytest.raises(ValidationError) as caught:
        Strange.model_validate({"tanks": "q1"})
    (problem,) = translate(document, caught.value)
    assert problem.code == "F126"
    assert problem.message == "`tanks` cannot be read"
    assert problem.places[0].line == 3


def test_keys_known_at_a_place() -> None:
    assert "tanks" in known_keys(())
    assert "substrate" in known_keys(("tanks", "q1"))
    assert "substrate" in known_keys(("tanks", "volume"))  # a tank may be called so
    assert "nominal" in known_keys(("tanks", "volume", "volume"))
    assert "from" in known_keys(("room", "away", 0))
    assert "from_" not in known_keys(("room", "away", 0))
    assert "treatments" in known_keys(("regimens", "mine", "stages", 2))
    assert known_keys(("vessels", "tub")) == []
    assert known_keys(("nothing", "here")) == []


def test_fields_along_a_path() -> None:
    found = list(fields_along(("tanks", "use", "use")))
    assert [field is not None for field in found] == [True, False, True]


def test_a_complaint_about_the_name_of_an_entry() -> None:
    assert file_path({"loc": ("tanks", "q1", "[key]"), "type": "value_error"}) == (("tanks", "q1"), True)
    assert file_path({"loc": ("tanks", "q1", "[key]"), "type": "extra_forbidden"})[1] is False
    assert file_path({"loc": ("tanks", "[key]"), "type": "missing"}) == (("tanks", "[key]"), False)


@pytest.mark.parametrize("name", ["[key]", "volume", "tanks", "no", "1", "~", "null"])
def test_tanks_with_odd_names(name: str) -> None:
    text = ROOM.decode().replace("q1:", f'"{name}":')
    room, problems = load_room_text(text)
    assert problems == []
    assert room is not None
    assert list(room.tanks) == [name]
    broken = text.replace("use: ward", "use: word")
    (problem,) = load_room_text(broken)[1]
    assert (problem.code, problem.places[0].text[problem.places[0].column - 1 :][:4]) == ("F114", "word")


def test_a_missing_name_is_one_that_exists() -> None:
    text = ROOM.decode() + "  tide pool: {use: display, volume: {measured: 200 L}}\nanimals: [{species: yellow tang}]\n"
    (problem,) = load_room_text(text)[1]
    assert problem.hint == "add a line such as `tank: tide pool`"
    (problem,) = load_room_text(text.replace("tide pool", "tide: pool").replace("  tide: pool", '  "tide: pool"'))[1]
    assert problem.hint == 'add a line such as `tank: "tide: pool"`'
    problems = load_room_text("room: {time_zone: Europe/Lisbon}\nanimals: [{species: yellow tang}]\n")[1]
    assert [problem.hint for problem in problems] == [
        "add a line such as `tanks: {NAME: {use: ward, volume: {measured: 62 L ± 2 %}}}`",
        "add a line such as `tank: reef`",
    ]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (
            "temperature: 25 degC",
            "`temperature` belongs to a water that tanks share or a tank: write `temperature: 25 degC` there",
        ),
        (
            "temperature: degF",
            "`temperature` belongs to the units of the room: write `temperature: degF` below `units:`",
        ),
        (
            "volume: 90 L",
            "`volume` belongs to a tank, a container of mixed water or a syringe: write `volume: 90 L` there",
        ),
        ("time_zone: Europe/Lisbon", "`time_zone` belongs to the room: write `time_zone: Europe/Lisbon` below `room:`"),
        ("length: 60 cm", "`length` belongs to the volume of a tank: write `length: 60 cm` below `volume:`"),
        ("strength: [a, b]", "`strength` belongs to a product on the shelf: write `strength: 10 mg/mL as Cu` there"),
        ("tank: q1", "did you mean `tanks`? nothing was changed"),
    ],
)
def test_a_key_that_belongs_elsewhere_at_the_top(line: str, said: str) -> None:
    (problem,) = load_room_text(ROOM.decode() + line + "\n")[1]
    assert problem.code == "F111"
    assert problem.hint.startswith(said)
    assert problem.note.startswith("known here: ") == ("belongs" in said)


@pytest.mark.parametrize(
    ("key", "said"),
    [
        (
            "animals: [{species: yellow tang}]",
            "`animals` are listed at the top of the file, each with its `tank`: below `animals:` "
            "write `- {tank: q1, species: ocellaris clownfish}`",
        ),
        ("length: 60 cm", "`length` belongs to the volume of a tank: write `length: 60 cm` below `volume:`"),
        ("shelf: {a: b}", "`shelf` stands at the top of the file: `shelf: {blue bottle: {active: copper,"),
        ("batches: {a: b}", "`batches` stand at the top of the file: `batches: {NAME: {trust: untrusted,"),
        (
            "mixed_water: [90 L]",
            "`mixed_water` is listed at the top of the file: below `mixed_water:` write `- {volume: 90 L}`",
        ),
        ("species: yellow tang", "`species` belongs to an animal that lives here or an animal of a batch"),
    ],
)
def test_a_key_that_belongs_elsewhere_under_a_tank(key: str, said: str) -> None:
    (problem,) = load_room_text(ROOM.decode().replace("use: ward", f"{key}, use: ward"))[1]
    assert problem.code == "F111"
    assert problem.hint.startswith(said)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("size: 75 gal_us", "here that is `volume`: how much water is in it, and how that is known"),
        ("type: reef", "here that is `use`: what the program may plan it for"),
        ("temp: 25 degC", "did you mean `temperature`? nothing was changed"),
    ],
)
def test_what_keepers_call_a_key_of_a_tank(line: str, said: str) -> None:
    """A size among the keys of a tank is no length of a fish."""
    (problem,) = load_room_text(ROOM.decode().replace("use: ward", f"use: ward, {line}"))[1]
    assert problem.code == "F111"
    assert problem.hint.startswith(said)


def test_a_missing_word_of_few_has_them_all_and_no_example_to_copy() -> None:
    """`use: ward` under a tank called display would be planned for medicine."""
    (problem,) = load_room_text(ROOM.decode().replace("use: ward, ", ""))[1]
    assert problem.message == "`use` is missing under `q1`"
    assert problem.hint == "add a line `use:` with one of: `display`, `transfer`, `ward`, `observation`, `reserve`"


@pytest.mark.parametrize(
    ("species", "said"),
    [
        ("hippo", "did you mean `hippo tang` (Paracanthurus hepatus) or `hippocampus reidi`"),
        ("clown", "did you mean `ocellaris clownfish` (Amphiprion ocellaris) or `percula clownfish`"),
        ("powder brown tang", "add its `group:`, one of: clownfish, "),
    ],
)
def test_a_name_that_was_cut_short_is_offered_whole_and_no_group_is_picked(species: str, said: str) -> None:
    text = ROOM.decode() + f"animals: [{{species: {species}, tank: q1}}]\n"
    (problem,) = [problem for problem in load_room_text(text)[1] if problem.code == "F113"]
    assert problem.hint.startswith(said)


def test_an_active_that_was_cut_short() -> None:
    text = ROOM.decode() + "shelf: {jar: {active: prazi, strength: 100 % w/w as praziquantel}}\n"
    (problem,) = load_room_text(text)[1]
    assert problem.hint == "did you mean `praziquantel`? nothing was changed"
