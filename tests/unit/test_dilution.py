"""Water changes: by the formula and by mixing many small parts."""

from __future__ import annotations

import pytest

from pratique.water.dilution import after_change, changes_to_reach, share_to_reach


@pytest.mark.parametrize(
    ("level", "share", "incoming", "after"),
    [(50, 0.2, 0, 40), (50, 0.2, 10, 42), (0.4, 0.25, 0.4, 0.4), (1, 1, 0, 0), (1, 0, 9, 1), (0.1, 0.5, 0.3, 0.2)],
)
def test_one_change(level: float, share: float, incoming: float, after: float) -> None:
    assert after_change(level, share, incoming) == pytest.approx(after)


def test_the_share_that_reaches_a_level() -> None:
    assert share_to_reach(0.4, 0.1) == pytest.approx(0.75)
    assert share_to_reach(35, 30, 0) == pytest.approx(1 / 7)
    assert share_to_reach(30, 33, 36) == pytest.approx(0.5)
    assert share_to_reach(5, 5, 1) == 0


@pytest.mark.parametrize(("level", "wanted", "incoming"), [(1, 2, 0), (1, 0.5, 0.6), (1, 1.5, 1), (2, 1, 2)])
def test_what_no_change_can_reach(level: float, wanted: float, incoming: float) -> None:
    with pytest.raises(ValueError, match="no change takes"):
        share_to_reach(level, wanted, incoming)


@pytest.mark.parametrize(("level", "wanted"), [(1, 2), (0, 0.5), (1, -0.1)])
def test_nor_any_number_of_changes(level: float, wanted: float) -> None:
    with pytest.raises(ValueError, match="no change takes"):
        changes_to_reach(level, wanted, 0.5)


@pytest.mark.parametrize(
    ("level", "wanted", "most", "count"),
    [(0.4, 0.2, 0.5, 1), (0.4, 0.1, 0.5, 2), (0.4, 0.175, 0.5, 2), (8, 1, 0.5, 3), (0.21, 0.2, 0.5, 1), (4, 1, 1, 1)],
)
def test_the_fewest_equal_changes(level: float, wanted: float, most: float, count: int) -> None:
    found, share = changes_to_reach(level, wanted, most)
    assert found == count
    assert 0 <= share <= most + 1e-12
    for _ in range(found):
        level = after_change(level, share)
    assert level == pytest.approx(wanted)


def test_nothing_at_all_is_never_quite_reached() -> None:
    with pytest.raises(ValueError, match="any number of changes"):
        changes_to_reach(1, 0, 0.5)


@pytest.mark.parametrize("most", [0, -0.1, 1.1])
def test_a_change_has_to_be_a_part_of_the_water(most: float) -> None:
    with pytest.raises(ValueError, match="not a part"):
        changes_to_reach(1, 0.5, most)
