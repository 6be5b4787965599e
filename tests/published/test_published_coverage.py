"""Every worked example is answered by a test, or stands on the list of those that wait, with its reason."""

from __future__ import annotations

import re
from pathlib import Path

from published_ids import ALL, NOT_YET

HERE = Path(__file__)


def answered() -> set[str]:
    """The ids that a test file names: in quotes, in a docstring, or in the name of a test."""
    files = [path for path in HERE.parent.parent.rglob("test_*.py") if path != HERE]
    text = "\n".join(path.read_text("utf-8") for path in files)
    return {id_ for id_ in ALL if re.search(rf"(?<![a-zA-Z0-9]){id_}(?![a-zA-Z0-9])", text)}


def test_every_example_is_answered_or_waits_for_a_reason() -> None:
    assert answered() | set(NOT_YET) == set(ALL)
    assert all(NOT_YET.values())


def test_no_example_waits_that_is_answered() -> None:
    assert not answered() & set(NOT_YET)


def test_the_list_has_no_doubles() -> None:
    assert len(ALL) == len(set(ALL)) == 87
