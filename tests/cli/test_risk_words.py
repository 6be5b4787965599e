"""What a chance is said with, on pages that have other things to say; and what does not load the model."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from pratique.cli.main import cli

HARBOUR = str(Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml")
AT = "2027-03-01T08:00"


@pytest.mark.parametrize("words", [["plan"], ["day"], ["risk", "--help"]])
def test_what_reckons_no_chance_does_not_load_numpy(words: list[str]) -> None:
    """The model is for those who ask for it: a plan and a day start without it."""
    given = words if "--help" in words else [*words, "--room", HARBOUR, "--at", AT]
    code = f"import sys; from pratique.cli.main import cli; cli({given!r}, standalone_mode=False); " \
        "sys.exit('numpy' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)
    assert found.returncode == 0, found.stderr


class TestWords:
    """What a chance is said with, on pages that have other things to say."""

    def page(self, *words: str) -> str:
        env = {"COLUMNS": "80", "NO_COLOR": "1"}
        result = CliRunner().invoke(cli, [*words, "--room", HARBOUR, "--at", AT], env=env)
        assert result.exit_code == 0, result.output
        return " ".join(result.stdout.split())

    def test_a_plan_that_only_watches_says_so_in_the_same_sentence(self) -> None:
        page = self.page("plan", "pair from the club", "--working")
        sentence = next(part for part in page.split(" · ") if "chance" in part and "%" in part)
        assert sentence.startswith("if they came with white spot, the chance")
        assert "nothing in this plan acts on it" in sentence
        assert "that somebody sees a sign in the watch is not counted" in sentence

    def test_a_plan_that_treats_says_that_seeing_is_not_counted(self) -> None:
        page = self.page("plan", "spring tangs", "--working")
        sentence = next(part for part in page.split(" · ") if "chance" in part and "%" in part)
        assert sentence.startswith("if they came with white spot, the chance")
        assert "nothing in this plan" not in sentence
        assert "sees a sign in the watch is not counted" in sentence
        assert "a model, not a guarantee" in page

    def test_the_curve_of_a_fallow_names_no_source_in_its_head(self) -> None:
        page = self.page("fallow", "reef")
        assert "If another If the late strain" in page
        assert not re.search(r"Days \S*(COL85|PV16B|CHE79|CB97)", page)
        assert page.index("If the late strain") < page.index("a model, not a guarantee")

    def test_watching_is_told_by_what_a_keeper_believes(self) -> None:
        page = self.page("risk", "pair from the club")
        assert "chance that nobody sees it" in page
        assert "nobody has published" in page
