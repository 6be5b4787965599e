"""Single rules of the terminal form: alignment, wrapping, ASCII, what a stream can show."""

from __future__ import annotations

import doctest
import importlib
import io
import os
import subprocess
import sys

import pytest
from rich.cells import cell_len
from terminal_sheets import doses

from pratique.render import measure
from pratique.render.measure import text_width, wrap_text
from pratique.render.screen import look_at
from pratique.render.signs import clean_text, to_ascii
from pratique.render.terminal import print_sheet, render_plain, render_sheet
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Lines, Sheet, Table


class Stream(io.StringIO):
    """A stdout that says of itself what a test wants."""

    def __init__(self, *, terminal: bool, encoding: str = "utf-8") -> None:
        super().__init__()
        self._terminal, self._encoding = terminal, encoding

    def isatty(self) -> bool:
        return self._terminal

    @property
    def encoding(self) -> str:  # type: ignore[override]
        return self._encoding


def column_of(*texts: str, head: str = "Add") -> list[str]:
    rows = tuple((Cell(text) if text != "—" else EMPTY,) for text in texts)
    table = Table(columns=(Column(head, "number"),), rows=rows)
    return render_sheet(Sheet(title="", parts=(table,)), width=None).splitlines()[2:]


def test_numbers_align_on_the_point_and_units_follow() -> None:
    assert column_of("620.0 L", "12.45 g", "≤ 0.20 mg/L", "2 fish", "3.2–4.1", "—") == [
        "  620.0 L",
        "   12.45 g",
        "  ≤ 0.20 mg/L",
        "    2 fish",
        "    3.2–4.1",
        "            —",
    ]


def test_head_wider_than_its_numbers_stands_over_their_end() -> None:
    assert column_of("1.5", "10", head="Left, mL") == ["       1.5", "      10"]


def test_separated_thousands_are_one_number() -> None:
    assert column_of("1\u202f200.5", "3.25") == ["  1\u202f200.5", "      3.25"]


def test_markup_is_text() -> None:
    table = Table(columns=(Column("Tank", "id"),), rows=((Cell("Q1 [upper]"),), (Cell("1:a:2"),)))
    for color in (False, True):
        text = render_sheet(Sheet(title="[red]", parts=(table,)), width=40, color=color)
        assert all(name in text for name in ("[red]", "Q1 [upper]", "1:a:2"))


def test_refused_figure_is_shown_in_both_forms() -> None:
    for width in (None, 34):
        lines = render_sheet(doses(), width=width).splitlines()
        assert any(line.rstrip().endswith("—") or " — " in line for line in lines)


def test_total_widens_the_table_where_blank_cells_do_not_suffice() -> None:
    table = Table(
        columns=(Column("Tank", "id"), Column("Add", "number")),
        rows=((Cell("q1"), Cell("12.4 g")),),
        total=(Cell("3 tanks, 2 doses"), Cell("12.4 g")),
    )
    lines = render_sheet(Sheet(title="", parts=(table,)), width=40).splitlines()
    assert lines[-1] == "  3 tanks, 2 doses   12.4 g"
    assert len(lines[1]) == len(lines[-1]) + 1
    assert lines[0].index("Add") == lines[-1].index(".4 g") + 1


def test_empty_table_says_so() -> None:
    table = Table(columns=(Column("Tank", "id"),), rows=())
    assert render_sheet(Sheet(title="", parts=(table,)), width=40) == "  Tank\n ──────\n  —\n"


def test_a_number_keeps_its_unit_while_there_is_room() -> None:
    assert wrap_text("620.0 L × 2.0 mg/L ÷ 10 % ¹", 12) == ["620.0 L", "× 2.0 mg/L", "÷ 10 % ¹"]
    assert wrap_text("on Sun 1 Nov", 9) == ["on", "Sun 1 Nov"]


def test_a_long_word_is_broken_beside_its_numbers() -> None:
    assert wrap_text("abcdefg123.45klm", 10) == ["abcdefg", "123.45klm"]
    assert wrap_text("水" * 6, 5) == ["水水", "水水", "水水"]


def test_a_line_to_write_on_is_shortened() -> None:
    assert wrap_text("_" * 30, 12) == ["_" * 12]


def test_a_label_too_long_for_its_column_has_a_line_of_its_own() -> None:
    pairs = (("Batch", Cell("b7")), ("Earliest release", Cell("Sat 19 Dec, if all holds")))
    assert render_sheet(Sheet(title="", parts=(Facts(pairs=pairs),)), width=34).splitlines() == [
        "  Batch   b7",
        "  Earliest release",
        "          Sat 19 Dec, if all holds",
    ]


def test_lines_and_facts_hang() -> None:
    sheet = Sheet(
        title="",
        parts=(
            Lines(bullet="1.", lines=(Cell("look at each fish before the lights are on"),)),
            Facts(pairs=(("Batch", Cell("3 lantern gobies and 1 reed wrasse")),)),
        ),
    )
    assert render_sheet(sheet, width=32).splitlines() == [
        "  1. look at each fish before",
        "     the lights are on",
        "",
        "  Batch   3 lantern gobies and",
        "          1 reed wrasse",
    ]


def test_sentences_stay_readable_on_a_very_wide_screen() -> None:
    sheet = Sheet(title="", parts=(Lines(lines=(Cell("word " * 60),)),))
    assert max(map(len, render_sheet(sheet, width=200).splitlines())) <= 100


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("3.2 ± 0.1 — 5 × 2 µg ≤ 1 −2 °C", "3.2 +/- 0.1 - 5 x 2 ug <= 1 -2 degC"),
        ("10 % ¹ ²", "10 % [1] [2]"),
        ("10 % ¹²", "10 % [12]"),
        ("NH₃, C₁₂, 2·5, m², ☐ ☑", "NH3, C12, 2|5, m^2, [ ] [x]"),
        ("épée 水 1½", "epee ? 1 1/2"),
    ],
)
def test_ascii_signs(text: str, shown: str) -> None:
    assert to_ascii(text) == shown


@pytest.mark.parametrize("width", range(40, 100, 7))
def test_a_name_is_not_cut_into_single_words(width: int) -> None:
    """`rock`, `and`, `sand`, `of`, `reef` one below the other: the records are stacked before it comes to that."""
    kinds = ("What", "text"), ("In", "id"), ("Not before", "id"), ("Why", "prose")
    columns = tuple(Column(head, kind, lead=head == "What") for head, kind in kinds)
    why = "76 d, 42 d if it is 27 °C or more throughout, while no fish goes in"
    row = tuple(map(Cell, ("rock and sand of reef", "reef system", "Fri 5 Feb 2027", why)))
    shown = render_sheet(Sheet(title="Held", parts=(Table(columns=columns, rows=(row,)),)), width=width)
    assert "rock and" in shown


def test_control_characters_become_dots() -> None:
    assert clean_text("a\x1b[31m\n\t\x7f\x9b\u202eb\u2028\ud800") == "a·[31m·····b··"
    assert clean_text("👩\u200d🔬") == "👩\u200d🔬"
    assert clean_text("1\u200d2") == "1·2"


def test_plain_form_gives_each_record_its_sources() -> None:
    first, second, third = render_plain(doses()).splitlines()
    assert first.split("\t")[-2:] == ["620.0 L × 2.0 mg/L ÷ 10 %", "EX24 table 3 p. 118"]
    assert len({line.count("\t") for line in (first, second, third)}) == 1


def test_own_widths_agree_with_the_library() -> None:
    assert all(cell_len(sign) == 1 for sign in measure._NARROW)
    assert [text_width(text) for text in ("水", "e\u0301", "⚠\ufe0f")] == [2, 1, 2]


@pytest.mark.parametrize(
    ("terminal", "environ", "width", "color"),
    [
        (False, {}, None, False),
        (False, {"COLUMNS": "64"}, 64, False),
        (False, {"COLUMNS": "wide"}, None, False),
        (False, {"COLUMNS": "0"}, None, False),
        (True, {"TERM": "xterm"}, 80, True),
        (True, {"TERM": "xterm", "COLUMNS": "64"}, 64, True),
        (True, {"TERM": "xterm", "NO_COLOR": "1"}, 80, False),
        (True, {"TERM": "xterm", "NO_COLOR": ""}, 80, True),
        (True, {"TERM": "dumb"}, 80, False),
    ],
)
def test_what_a_stream_can_show(terminal: bool, environ: dict[str, str], width: int, color: bool) -> None:
    screen = look_at(Stream(terminal=terminal), environ)
    assert (screen.width, screen.color, screen.unicode) == (width, color, True)


@pytest.mark.skipif(os.name == "nt", reason="needs a pseudo-terminal")
def test_width_of_a_real_terminal() -> None:
    import fcntl
    import struct
    import termios

    ours, theirs = os.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 57, 0, 0))
    with os.fdopen(theirs, "w") as stream:
        assert look_at(stream, {}).width == 57
    os.close(ours)


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "cp1252", "no-such"])
def test_poor_encodings_get_ascii(encoding: str) -> None:
    stream = Stream(terminal=False, encoding=encoding)
    print_sheet(doses(), stream=stream)
    assert stream.getvalue() == render_sheet(doses(), width=None, unicode=False)


def test_print_writes_plain_records(capsys: pytest.CaptureFixture[str]) -> None:
    print_sheet(doses(), plain=True)
    assert capsys.readouterr().out == render_plain(doses())


def test_piped_text_needs_no_rich() -> None:
    script = (
        "import sys\n"
        "from pratique.render.terminal import render_sheet\n"
        "from terminal_sheets import SHEETS\n"
        "for make in SHEETS.values():\n"
        "    for width in (None, 80, 34):\n"
        "        render_sheet(make(), width=width)\n"
        "assert not [name for name in sys.modules if name.startswith('rich')]\n"
    )
    folder = os.path.dirname(__file__)
    subprocess.run([sys.executable, "-c", script], check=True, cwd=folder)


@pytest.mark.parametrize("name", ["lines", "measure", "screen", "signs", "stacked", "terminal", "tidy", "wide"])
def test_worked_examples(name: str) -> None:
    assert doctest.testmod(importlib.import_module(f"pratique.render.{name}")).failed == 0
