"""From bytes to a tree: what stops the reading, and where it is said to stand."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
import yaml

from pratique.problem import Problem
from pratique.room import read, syntax
from pratique.room.load import load_room, load_room_text
from pratique.room.read import MOST_BYTES, read_bytes, read_document

ROOM = "room:\n  time_zone: Europe/Lisbon\ntanks:\n  q1:\n    use: ward\n    volume: {measured: 62 L ± 2 %}\n"


@pytest.fixture(params=["C", "Python"])
def loader(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Both readers: the one in C is not everywhere."""
    if request.param == "Python":
        monkeypatch.setattr(syntax, "LOADER", yaml.BaseLoader)
        monkeypatch.setattr(read, "LOADER", yaml.BaseLoader)
    return str(request.param)


def read_problems(raw: bytes) -> list[Problem]:
    document, problems = read_bytes("f.yaml", raw)
    assert (document.data is None) == bool(problems)
    return problems


def only(raw: bytes) -> tuple[str, int, int]:
    """Code, line and column of the one problem."""
    problems = read_problems(raw)
    assert len(problems) == 1
    place = problems[0].place
    assert place is not None
    return problems[0].code, place.line, place.column


def test_every_scalar_stays_the_text_that_was_typed(loader: str) -> None:
    raw = b"a: 8:30\nb: no\nc: 0123\nd: 1e3\ne: 1_000\nf: 2027-03-05\ng: ~\nh: 'x'\ni:\nj: 0x1F\nk: .inf\n"
    document, problems = read_bytes("f.yaml", raw)
    assert problems == []
    assert document.data == {
        "a": "8:30",
        "b": "no",
        "c": "0123",
        "d": "1e3",
        "e": "1_000",
        "f": "2027-03-05",
        "g": "~",
        "h": "x",
        "i": "",
        "j": "0x1F",
        "k": ".inf",
    }


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_are_counted_as_an_editor_counts_them(loader: str, end: str) -> None:
    text = "a: 1\n\nb:\n  c: ±\n  d: [x, y]\n".replace("\n", end)
    document, problems = read_bytes("f.yaml", text.encode())
    assert problems == []
    place = document.place(("b", "d", 1))
    assert (place.line, place.column, place.width, place.text) == (5, 10, 1, "  d: [x, y]")


def test_a_byte_order_mark_is_no_mistake() -> None:
    assert load_room_text("\ufeff" + ROOM)[1] == []


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_other_encodings_of_unicode(encoding: str) -> None:
    assert only(ROOM.encode(encoding)) == ("F102", 1, 1)


def test_a_byte_that_is_not_utf_8_is_pointed_at() -> None:
    raw = ROOM.encode().replace("±".encode(), b"\xb1")
    code, line, column = only(raw)
    assert (code, line, column) == ("F102", 6, 29)
    assert read_problems(raw)[0].places[0].text == "    volume: {measured: 62 L \ufffd 2 %}"


def test_the_column_of_a_bad_byte_counts_letters_not_bytes() -> None:
    assert only("a: ± ".encode() + b"\xff") == ("F102", 1, 6)


def test_a_lone_surrogate_in_a_text_is_no_crash() -> None:
    assert [problem.code for problem in load_room_text("a: \ud800\n")[1]] == ["F102"]


@pytest.mark.parametrize(
    "char",
    [
        "\x00",
        "\x07",
        "\x0b",
        "\x0c",
        "\x1b",
        "\x1c",
        "\x7f",
        "\x85",
        "\x9b",
        "\xad",
        "\u200b",
        "\u202e",
        "\u2028",
        "\u2066",
        "\ufeff",
        "\ufffe",
        "\U000e0041",
    ],
)
@pytest.mark.parametrize("where", ["a: x{}y\n", "# a remark{}\na: 1\n", "{}: 1\n"])
def test_characters_that_do_not_show(char: str, where: str) -> None:
    text = where.format(char)
    if text.startswith("\ufeff"):
        return  # a byte order mark
    assert only(text.encode()) == ("F121", 1, where.index("{") + 1)


def test_what_joins_letters_is_allowed() -> None:
    assert read_problems("a: 👩\u200d🔬 \u0646\u200c\u0645\n".encode()) == []


@pytest.mark.parametrize("written", ['"\\e[31m"', '"\\x1b"', '"\\0"', '"\\u202e"', '"\\N"'])
def test_characters_that_do_not_show_written_as_escapes(loader: str, written: str) -> None:
    assert only(f"a: {written}\n".encode())[:2] == ("F121", 1)
    assert only(f"{written}: a\n".encode())[:2] == ("F121", 1)


@pytest.mark.parametrize("raw", [b"a:\n\tb: 1\n", b"a:\n  \tb: 1\n", b"\ta: 1\n", b"a: 1\n\t\n"])
def test_tabs_in_the_indentation(raw: bytes) -> None:
    code, line, column = only(raw)
    assert code == "F103"
    assert raw.split(b"\n")[line - 1][column - 1 : column] == b"\t"


def test_tabs_in_texts_and_remarks_are_no_mistake(loader: str) -> None:
    assert read_problems(b"b: 'x\ty'\n# a\tremark\n") == []
    expected = [] if loader == "C" else ["F103"]  # the other reader takes no tab before a remark
    assert [problem.code for problem in read_problems(b"a: 1\t# a remark\n")] == expected


def test_every_tab_is_reported() -> None:
    assert [problem.code for problem in read_problems(b"a:\n\tb: 1\n\tc: 2\n\td: 3\n")] == ["F103"] * 3


@pytest.mark.parametrize(
    "raw", [b"", b"\n\n", b"   \n", b"# only\n# remarks\n", b"---\n", b"---\n...\n", b'""\n']
)
def test_an_empty_file(loader: str, raw: bytes) -> None:
    assert only(raw)[0] == "F105"


@pytest.mark.parametrize(
    ("raw", "line", "said"),
    [
        (b'a: "b\nc: d\n', 1, "quote"),
        (b"a: [b, c\nd: e\n", 1, "bracket"),
        (b"a: {b: c\nd: e\n", 1, "bracket"),
        (b"a: b: c\n", 1, "colon"),
        (b"a:\n  b: 1\n c: 2\n", 3, "does not fit"),
        (b"a: 'it's'\n", 1, "does not fit"),
        (b"a: @x\n", 1, "sign"),
        (b'a: "\\q"\n', 1, "backslash"),
        (b"a: - b\n", 1, "list"),
        (b"{a: b}: c\n", 1, "plain word"),
        (b"? [a, b]\n: c\n", 1, "plain word"),
        (b"%YAML 3.0\n---\na: b\n", 1, ""),
    ],
)
def test_slips_of_syntax(loader: str, raw: bytes, line: int, said: str) -> None:
    problem = read_problems(raw)[0]
    assert problem.code == "F104"
    assert problem.places[0].line == line
    assert problem.hint
    if loader == "C":  # the other reader words a few of its complaints differently
        assert said in problem.message


def test_a_second_document(loader: str) -> None:
    assert only(b"a: 1\n---\nb: 2\n") == ("F122", 2, 1)


@pytest.mark.parametrize("value", ["!x y", "!!int 3", "!!python/object:os.system x", "!<tag:x> y", "!e!x y"])
def test_tags(loader: str, value: str) -> None:
    assert only(f"a: 1\nb: {value}\n".encode())[:2] == ("F123", 2)


@pytest.mark.parametrize(
    "raw", [b"a: &x 1\nb: 2\n", b"a: &x [1, *x]\n", b"a: *x\n", b"<<: {a: 1}\n", b"<<: *x\n"]
)
def test_anchors_aliases_and_merge_keys(loader: str, raw: bytes) -> None:
    assert only(raw)[:2] == ("F108", 1)


def test_an_anchor_bomb_is_refused_at_once(loader: str) -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]" for n in range(1, 30)]
    start = time.process_time()
    assert only("\n".join(lines).encode())[0] == "F108"
    assert time.process_time() - start < 1


def test_an_ampersand_in_a_text_is_no_anchor(loader: str) -> None:
    assert read_problems(b"a: fish & coral, 5 * 3 # & *\nb: '&c *d'\n") == []


@pytest.mark.parametrize(
    "text",
    [
        "[" * 100_000,
        "{a: " * 100_000,
        "a: " + "[" * 100_000 + "]" * 100_000,
        "- " * 100_000 + "x",
        "? " * 100_000 + "x",
        "\n".join(" " * n + "a:" for n in range(1000)),
        "\n".join(" " * n + "-" for n in range(1000)),
        "# ]]]]]]]\n" + "[" * 50_000,
    ],
    ids=[
        "open brackets",
        "open braces",
        "brackets",
        "dashes",
        "questions",
        "keys",
        "list lines",
        "closed in a remark",
    ],
)
def test_very_deep_nesting_neither_crashes_nor_hangs(loader: str, text: str) -> None:
    start = time.process_time()
    assert only(text.encode())[0] == "F109"
    assert time.process_time() - start < 5


def test_many_brackets_side_by_side_are_not_deep(loader: str) -> None:
    assert read_problems(("a: [" + "[b], " * 200 + "]\n").encode()) == []


def test_twelve_steps_are_read_and_thirteen_are_not(loader: str) -> None:
    def nested(steps: int) -> bytes:
        return (
            "".join("  " * n + f"k{n}:\n" for n in range(steps - 1)).encode()
            + b"  " * (steps - 1)
            + b"k: v\n"
        )

    assert read_problems(nested(11)) == []
    assert only(nested(13))[0] == "F109"


def test_duplicate_keys_are_all_reported_with_both_lines(loader: str) -> None:
    problems = read_problems(b"a: 1\nb: 2\na: 3\nc: {d: 1, d: 2}\n")
    found = {(problem.code, problem.places[0].line, problem.places[1].line) for problem in problems}
    assert found == {("F107", 3, 1), ("F107", 4, 4)}


def test_a_file_of_5_mb_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    path.write_bytes(b"# " + b"x" * 5_000_000)
    problem = read_document(path)[1][0]
    assert problem.code == "F106"
    assert "5.0 MB" in problem.message
    assert read_problems(b"#" * (MOST_BYTES + 1))[0].code == "F106"


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    room, problems = load_room(tmp_path / "fishroom.yaml")
    assert room is None
    assert [problem.code for problem in problems] == ["F101"]
    assert "pratique start" in problems[0].hint


def test_a_folder(tmp_path: Path) -> None:
    assert "is a folder" in load_room(tmp_path)[1][0].message


def test_a_pipe_is_not_opened_and_so_cannot_hang(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    assert "a pipe or a device" in load_room(pipe)[1][0].message


@pytest.mark.parametrize("device", ["/dev/null", "/dev/zero", "/dev/stdin"])
def test_a_device_is_not_opened(device: str, tmp_path: Path) -> None:
    if not Path(device).exists():
        pytest.skip(f"no {device} here")
    link = tmp_path / "room.yaml"
    link.symlink_to(device)
    assert load_room(link)[1][0].code in ("F101", "F105")


def test_links_that_lead_in_a_circle(tmp_path: Path) -> None:
    one, two = tmp_path / "one.yaml", tmp_path / "two.yaml"
    one.symlink_to(two)
    two.symlink_to(one)
    problem = load_room(one)[1][0]
    assert problem.code == "F101"
    assert "circle" in problem.message


def test_a_link_to_nothing(tmp_path: Path) -> None:
    link = tmp_path / "link.yaml"
    link.symlink_to(tmp_path / "nowhere.yaml")
    assert "there is no room file" in load_room(link)[1][0].message


def test_a_link_to_a_good_file_is_followed(tmp_path: Path) -> None:
    (tmp_path / "real.yaml").write_text(ROOM, encoding="utf-8")
    link = tmp_path / "link.yaml"
    link.symlink_to("real.yaml")
    room, problems = load_room(link)
    assert problems == []
    assert room is not None


@pytest.mark.parametrize(
    "name", ["a" * 5000, "a/" * 3000 + "b", "bad\x00name", "file.yaml/inside.yaml", "\ud800"]
)
def test_names_no_file_can_have(tmp_path: Path, name: str) -> None:
    (tmp_path / "file.yaml").write_text(ROOM, encoding="utf-8")
    room, problems = load_room(tmp_path / name)
    assert room is None
    assert [problem.code for problem in problems] == ["F101"]
    assert len(problems[0].message) < 200


def test_a_file_one_may_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "fishroom.yaml"
    path.write_text(ROOM, encoding="utf-8")

    def deny(*_args: object, **_more: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", deny)
    problem = load_room(path)[1][0]
    assert problem.code == "F101"
    assert "its permissions forbid it" in problem.message


def test_a_file_that_grows_while_it_is_read_is_cut_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "fishroom.yaml"
    path.write_text(ROOM, encoding="utf-8")
    monkeypatch.setattr(read, "MOST_BYTES", 20)
    assert load_room(path)[1][0].code == "F106"


@pytest.mark.parametrize(
    ("path", "key", "word", "spot"),
    [
        (("room", "time_zone"), False, "", (2, 14, 13)),
        (("room", "time_zone"), True, "", (2, 3, 9)),
        (("room", "time_zone"), False, "Lisbon", (2, 21, 6)),
        (("room", "time_zone"), False, "Madrid", (2, 14, 13)),  # a word that is not there: the whole value
        (("tanks", "q1"), False, "", (5, 5, 3)),  # keys below: the first of them
        (("tanks", "q1", "lid"), False, "", (4, 3, 2)),  # missing: at its parent's name
        (("tanks", "q9", "lid"), False, "", (3, 1, 5)),
        (("nothing",), False, "", (1, 1, 4)),
        ((), False, "", (1, 1, 4)),
        (("tanks", "q1", "volume", "measured"), False, "", (6, 24, 10)),
    ],
)
def test_places(path: tuple[str | int, ...], key: bool, word: str, spot: tuple[int, int, int]) -> None:
    document, _ = read_bytes("f.yaml", ROOM.encode())
    place = document.place(path, key=key, word=word)
    assert (place.line, place.column, place.width) == spot


@pytest.mark.parametrize("before", ["é", "日", "🐠", "e\u0301"])
def test_columns_count_letters_whatever_their_size(loader: str, before: str) -> None:
    document, problems = read_bytes("f.yaml", f"{before}: {{x: word}}\n".encode())
    assert problems == []
    place = document.place((before, "x"))
    assert place.text[place.column - 1 :][: place.width] == "word"


def test_a_word_of_a_list_on_one_line_is_found() -> None:
    document, _ = read_bytes("f.yaml", b"signs: gasping, white spots , slime\n")
    place = document.place(("signs", 1))
    assert place.text[place.column - 1 :][: place.width] == "white spots"
