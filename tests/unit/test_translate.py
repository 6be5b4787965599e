"""The validator's complaints in our words: every kind it can make has a sentence of ours."""

from __future__ import annotations

import pytest
from pydantic import BaseModel, ValidationError

from pratique.room.load import load_room_text
from pratique.room.model import RoomFile
from pratique.room.read import read_bytes
from pratique.room.shape import fields_along, known_keys
from pratique.room.translate import EXAMPLES, file_path, translate

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


def test_examples_of_missing_keys_are_for_keys_that_are_needed() -> None:
    needed: set[str] = set()

    def walk(model: type[BaseModel]) -> None:
        from pratique.room.shape import keys_of, model_within

        for key, field in keys_of(model).items():
            if field.is_required():
                needed.add(key)
            inner = model_within(field.annotation)
            if inner is not None:
                walk(inner)

    walk(RoomFile)
    assert set(EXAMPLES) <= needed
    assert needed - set(EXAMPLES) == {"tanks", "stages"}  # which no one line can show
