"""Invented sheets as they stand on wide, narrow and plain screens."""

from __future__ import annotations

import re

import pytest
from golden_file import FOLDER, check_golden
from terminal_sheets import SHEETS

from pratique.render.terminal import render_plain, render_sheet

WIDTHS = {"120": 120, "80": 80, "60": 60, "40": 40, "34": 34, "piped": None}
SGR = re.compile(r"\x1b\[[\d;]*m")


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("label", WIDTHS)
def test_sheet_at_width(name: str, label: str) -> None:
    check_golden(f"{name}-{label}.txt", render_sheet(SHEETS[name](), width=WIDTHS[label]))


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("label", ["80", "34", "piped"])
def test_sheet_in_ascii(name: str, label: str) -> None:
    text = render_sheet(SHEETS[name](), width=WIDTHS[label], unicode=False)
    assert text.isascii()
    check_golden(f"{name}-{label}-ascii.txt", text)


@pytest.mark.parametrize("name", SHEETS)
def test_sheet_for_other_programs(name: str) -> None:
    check_golden(f"{name}-plain.txt", render_plain(SHEETS[name]()))


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("width", WIDTHS.values())
def test_colour_changes_no_text(name: str, width: int | None) -> None:
    painted = render_sheet(SHEETS[name](), width=width, color=True)
    assert SGR.search(painted)
    assert SGR.sub("", painted) == render_sheet(SHEETS[name](), width=width)


def test_each_golden_file_belongs_to_a_sheet() -> None:
    for path in FOLDER.iterdir():
        assert path.name.split("-")[0] in SHEETS
