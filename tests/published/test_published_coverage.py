"""Every worked example is answered by a test here, or stands on the list of those that wait, with its reason."""

from __future__ import annotations

import re
from pathlib import Path

from published_ids import ALL, NOT_YET

HERE = Path(__file__).parent
FILES = [path for path in sorted(HERE.glob("test_*.py")) if path.name != Path(__file__).name]


def answered() -> dict[str, list[str]]:
    """Each id with the files that name it in quotes."""
    found: dict[str, list[str]] = {}
    for path in FILES:
        for id_ in set(re.findall(r'"([a-z0-9]+(?:_[a-zA-Z0-9]+)+)"', path.read_text("utf-8"))) & set(ALL):
            found.setdefault(id_, []).append(path.name)
    return found


def test_every_example_is_answered_or_waits_for_a_reason() -> None:
    assert set(answered()) | set(NOT_YET) == set(ALL)
    assert all(NOT_YET.values())


def test_no_example_waits_that_is_answered() -> None:
    assert not set(answered()) & set(NOT_YET)


def test_each_example_is_answered_once() -> None:
    assert [id_ for id_, files in answered().items() if len(files) > 1] == []


def test_the_list_has_no_doubles() -> None:
    assert len(ALL) == len(set(ALL)) == 97
