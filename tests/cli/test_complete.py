"""Completion as a shell asks for it: the names it is offered, and a real bash where there is one."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from pratique.cli.main import COMMANDS, cli
from pratique.knowledge import store
from pratique.logbook.kinds import GRAMMAR

TOP = Path(__file__).parents[2]
HARBOUR = TOP / "examples/harbour-lane/fishroom.yaml"


def offered(*words: str, shell: str = "zsh", room: str | None = str(HARBOUR)) -> list[str]:
    """What the shell gets for the last of `words`, which is only begun."""
    env = {"_PRATIQUE_COMPLETE": f"{shell}_complete", "COMP_WORDS": " ".join(["pratique", *words])}
    env |= {"COMP_CWORD": words[-1] if shell == "fish" else str(len(words))}
    env |= {"PRATIQUE_ROOM": room} if room else {}
    result = CliRunner().invoke(cli, [], prog_name="pratique", env=env)
    assert result.exit_code == 0, result.output
    lines = result.stdout.splitlines()
    if shell == "zsh":
        return lines[1::3]
    return [line.partition(",")[2].partition("\t")[0] for line in lines]


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (["dose", "w"], ["ward"]),
        (["water", ""], ["reef", "blue tub", "green tub", "ward", "long tank"]),
        (["dose", "ward", "copper-"], ["copper-amine", "copper-chelated", "copper-ionic"]),
        (["plan", "s"], ["spring tangs"]),
        (["release", "late"], ["late angel"]),
        (["dip", "fresh"], ["freshwater-dip"]),
        (["dip", "freshwater-dip", "--for", "Lem"], ["Lemon"]),
        (["dip", "drying", "--for", "red"], ["red set"]),
        (["dip", "freshwater-dip", "--vessel", "d"], ["dip bucket"]),
        (["dose", "ward", "copper-chelated", "--product", "cop"], ["copper bottle"]),
        (["why", "D404"], ["D404"]),
        (["log", "rea"], ["reading"]),
        (["log", "fed", "re"], ["reef", "red set"]),
        (["rele"], ["release"]),
    ],
)
def test_names_that_may_follow(words: list[str], wanted: list[str]) -> None:
    for shell in ("zsh", "fish"):
        found = offered(*words, shell=shell)
        assert [name for name in found if name in wanted] == wanted
        assert all(name.casefold().startswith(words[-1].casefold()) for name in found)


def test_bash_gets_names_with_spaces_in_quotes() -> None:
    assert offered("plan", "s", shell="bash") == ['"spring tangs"']


HARMFUL = ["a $(touch pwned)", "a `touch pwned`", "a; touch pwned", 'a"; touch pwned; "', "a & touch pwned", "a !!"]


def test_no_name_of_a_strange_file_becomes_a_command(tmp_path: Path) -> None:
    """What bash is given runs nothing when it is typed as it stands, and is the name again."""
    room = tmp_path / "room.yaml"
    names = [*HARMFUL, "a's $HOME", "a\\b $x", "a\x1b[2J", "a\u202eb", "a\nb"]
    room.write_text(json.dumps({"tanks": {name: {"use": "a\n\x1b[2Jward"} for name in names}}), "utf-8")
    for shell in ("zsh", "fish"):
        assert offered("dose", "a", shell=shell, room=str(room)) == names[:8]
    words = offered("dose", "a", shell="bash", room=str(room))
    assert len(words) == len(HARMFUL)
    bash = shutil.which("bash")
    if bash is None:
        pytest.skip("no bash on this system to read the words")
    for word, name in zip(words, HARMFUL, strict=True):
        line = f"printf %s {word}"
        done = subprocess.run([bash, "-c", line], capture_output=True, text=True, cwd=tmp_path, check=True)
        assert done.stdout == name
    assert [file.name for file in tmp_path.iterdir()] == ["room.yaml"]


def test_completion_never_waits_for_a_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for name in (str(tmp_path / "pipe"), "/dev/zero", str(tmp_path)):
        assert offered("dose", "", room=name) == []


def test_every_treatment_code_and_kind_can_be_completed() -> None:
    assert set(offered("dose", "ward", "")) == set(store.treatment_ids())
    known = {*store.codes(), *(rule.code for rule in store.interlocks())}
    assert known <= set(offered("why", ""))
    assert set(offered("log", "")) == {*GRAMMAR, "correct", "withdraw"}


def test_dips_are_offered_for_dips() -> None:
    dips = {id_ for id_ in store.treatment_ids() if store.treatment(id_).kind in ("dip", "bath", "disinfection")}
    assert dips <= set(offered("dip", ""))


def test_the_room_file_may_be_named_broken_or_missing(tmp_path: Path) -> None:
    broken = tmp_path / "room.yaml"
    broken.write_text("tanks:\n  tub one: {use: nonsense}\n  12: {}\n", "utf-8")
    assert offered("dose", "--room", str(broken), "t", room=None) == ["tub one"]
    for text in ("tanks: [", "- 1", "", "tanks: 7", "a: &a [*a]"):
        broken.write_text(text, "utf-8")
        assert offered("dose", "", room=str(broken)) == []
    assert offered("dose", "", room=str(tmp_path / "none.yaml")) == []


def test_nothing_heavy_is_loaded_between_two_keys() -> None:
    code = (
        "import sys, os, io, contextlib\n"
        "os.environ.update(_PRATIQUE_COMPLETE='bash_complete', COMP_WORDS='pratique dose w', COMP_CWORD='2')\n"
        "from pratique.cli.main import cli\n"
        "with contextlib.redirect_stdout(io.TextIOWrapper(io.BytesIO())):\n"
        "    try: cli.main([], prog_name='pratique')\n"
        "    except SystemExit: pass\n"
        "print([m for m in ('pint', 'rich', 'gsw', 'numpy', 'jinja2') if m in sys.modules])"
    )
    env = {**os.environ, "PRATIQUE_ROOM": str(HARBOUR)}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_lines_of_the_page_give_a_script(shell: str) -> None:
    page = (TOP / "docs/how-to/completion.md").read_text("utf-8")
    assert f"_PRATIQUE_COMPLETE={shell}_source pratique" in page
    result = CliRunner().invoke(cli, [], prog_name="pratique", env={"_PRATIQUE_COMPLETE": f"{shell}_source"})
    assert result.exit_code == 0
    assert "pratique" in result.stdout
    path = shutil.which(shell)
    if path is None:
        pytest.skip(f"no {shell} on this system to read the script")
    done = subprocess.run([path, "-n"], input=result.stdout, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.skipif(shutil.which("bash") is None, reason="no bash on this system")
def test_in_a_real_bash(tmp_path: Path) -> None:
    program = tmp_path / "pratique"
    program.write_text(f"#!{sys.executable}\nfrom pratique.cli.main import run\nrun()\n", "utf-8")
    program.chmod(0o755)
    script = (
        'eval "$(_PRATIQUE_COMPLETE=bash_source pratique)"\n'
        "COMP_WORDS=(pratique plan s); COMP_CWORD=2\n"
        'function_name=$(complete -p pratique | sed "s/.*-F \\([^ ]*\\) .*/\\1/")\n'
        '"$function_name" pratique s plan\n'
        'printf "%s\\n" "${COMPREPLY[@]}"\n'
    )
    env = {**os.environ, "PATH": f"{tmp_path}:{os.environ['PATH']}", "PRATIQUE_ROOM": str(HARBOUR)}
    env["PYTHONPATH"] = str(TOP / "src")
    done = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False, env=env)
    assert done.stdout.splitlines() == ['"spring tangs"'], done.stderr


def test_every_command_with_a_tank_or_a_batch_completes_it() -> None:
    usage = {name: CliRunner().invoke(cli, [name, "--help"]).stdout.split("\n\n")[0] for name in COMMANDS}
    for name, text in usage.items():
        if re.search(r" TANK(?: |$)", text.replace("\n", " ")):
            assert "ward" in offered(name, ""), name
