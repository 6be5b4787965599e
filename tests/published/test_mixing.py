"""Mixing, salt and water changes against printed and derived examples."""

from __future__ import annotations

import pytest

from pratique.figure import Figure
from pratique.water import changes, dilution, hyposalinity, mixing
from validation import percent_off, record

US_GALLON = 3.785411784
POUND = 453.59237


def test_sal_mix_01() -> None:
    """21.43 L by shares of volume. By mass it takes 2.2 % more; 21.43 L would end 0.11 g/kg short."""
    swap = mixing.swap_to_reach(150, 35, 30, 0)
    record(
        "fresh water to swap, 35 to 30 g/kg",
        "rule of shares of volume (sal_mix_01)",
        percent_off(swap.out, 21.43),
        "%",
        subject="dilution",
    )
    assert percent_off(swap.out, 21.43) == pytest.approx(2.2, abs=0.1)
    short = mixing.after_swap(150, 35, 21.43, 0) - 30
    record(
        "salinity after a swap by shares of volume",
        "our mixing by mass, 35 to 30 g/kg (sal_mix_01)",
        short,
        "g/kg",
        subject="dilution",
    )
    assert 0 < short < 0.15
    assert percent_off(30 + short, 30) < 0.5


def test_salt_01() -> None:
    """1 lb in 100 US gal: 1.25 by the rounded rule, 1.198 g/L, 1.200 g/kg."""
    pure = Figure.exact(100, "%")
    by_rule, by_sum = (mixing.salt_for(100 * US_GALLON, salinity, purity=pure).salt.value for salinity in (1.25, 1.2))
    assert by_rule == pytest.approx(POUND, rel=0.05)
    assert by_sum == pytest.approx(POUND, rel=0.003)
    off = percent_off(by_rule, POUND)
    record("salt for 100 US gal of 1.25 g/kg", "rounded rule in print: 1 lb (salt_01)", off, "%", subject="salinity")
    off = percent_off(by_sum, POUND)
    record("salt for 100 US gal of 1.2 g/kg", "arithmetic: 1 lb (salt_01)", off, "%", subject="salinity")


def test_wc_01_and_wc_02() -> None:
    assert dilution.after_change(50, 25 / 125) == 40
    assert dilution.after_change(50, 25 / 125, 10) == 42
    off = percent_off(dilution.after_change(50, 25 / 125), 40)
    record("level after a change of a fifth", "arithmetic (wc_01)", off, "%", subject="dilution")
    off = percent_off(dilution.after_change(50, 25 / 125, 10), 42)
    record("level after a change of a fifth, some in the new water", "arithmetic (wc_02)", off, "%", subject="dilution")


def test_wc_04() -> None:
    assert changes.share_to_hold(20, 10) == 0.5
    off = percent_off(changes.share_to_hold(20, 10), 0.5)
    record("share to change so that a level halves", "arithmetic (wc_04)", off, "%", subject="dilution")


def test_wc_06() -> None:
    assert 1 - dilution.after_change(1, 0.5) == 0.5
    level = 1.0
    for _ in range(1000):
        level = dilution.after_change(level, 0.5 / 1000)
    assert 1 - level == pytest.approx(0.39, rel=0.01)
    off = percent_off(1 - level, 0.39)
    what = "part taken away by half a volume in a thousand small changes"
    record(what, "printed: 39 % by a flow (wc_06)", off, "%", subject="dilution")
    off = percent_off(1 - dilution.after_change(1, 0.5), 0.5)
    record("part taken away by a change of a half", "printed: 50 % (wc_06)", off, "%", subject="dilution")


def test_wc_08() -> None:
    assert changes.to_put_back(0.4, 120 * 0.25) == 12
    assert dilution.after_change(0.4, 0.25) == pytest.approx(0.3)
    off = percent_off(changes.to_put_back(0.4, 120 * 0.25), 12)
    record("drug to put back after a change of a quarter", "arithmetic (wc_08)", off, "%", subject="dilution")


def test_hyposalinity_goes_down_in_four_changes_of_about_five() -> None:
    """Treatments 11: four changes over 2 d of about 5 g/kg each; at 14 g/kg the gravity is 1.0105 (sal_hypo_01)."""
    rows = hyposalinity.salinity_table(100, start=35, low=14, hold=28 * 24, end=35, salt_water=40)
    down = [row for row in rows if row.leg == "down"]
    assert [row.hours for row in down] == [0, 12, 24, 36]
    assert [row.salinity for row in down] == pytest.approx([29.75, 24.5, 19.25, 14])
    assert down[-1].gravity == pytest.approx(1.0105, abs=0.0001)
    off = down[-1].gravity - 1.0105
    against = "EOS-80, computed and rounded (sal_hypo_01)"
    record("specific gravity at the end of the way down to 14 g/kg", against, off, "sg", subject="salinity")


def test_hyposalinity_takes_ten_and_a_half_days_up() -> None:
    """Treatments 11: 14 to 35 at 2 g/kg a day is 10.5 d, not about a week."""
    up = hyposalinity.salinity_steps(100, 14, 35, 40, pace=hyposalinity.raising_pace())
    assert len(up) == 11
    assert up[-1].hours == 240
    halves = hyposalinity.salinity_steps(100, 14, 35, 40, pace=hyposalinity.raising_pace(2))
    assert len(halves) == 21
