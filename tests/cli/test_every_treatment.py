"""Every treatment on file answers `dose`, `dip` and `why`: with a sheet, or with a refusal that says what to do."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pratique.cli.main import cli
from pratique.knowledge import store

HARBOUR = str(Path(__file__).parents[2] / "examples/harbour-lane/fishroom.yaml")
TREATMENTS = store.treatment_ids()
MOMENTS = ("2027-03-08T06:30", "2027-11-05T19:00")


def call(*words: str, at: str = MOMENTS[0]) -> Result:
    return CliRunner().invoke(cli, [*words, "--room", HARBOUR, "--at", at])


def assert_answered(result: Result) -> None:
    """An answer, or a refusal with code and way out; a bug would be status 3, a slip of the tester status 2."""
    assert result.exit_code in (0, 1), result.stdout + result.stderr
    assert result.exception is None or isinstance(result.exception, SystemExit)
    if result.exit_code == 1:
        assert result.stdout == ""
        assert re.search(r"^error\[[A-Z]\d{3}\]: ", result.stderr, re.M)
        assert "= hint: " in result.stderr
    else:
        assert result.stdout.strip()


@pytest.mark.parametrize("at", MOMENTS)
@pytest.mark.parametrize("tank", ["ward", "reef", "long tank", "blue tub"])
@pytest.mark.parametrize("treatment", TREATMENTS)
def test_dose(treatment: str, tank: str, at: str) -> None:
    assert_answered(call("dose", tank, treatment, "--working", at=at))


@pytest.mark.parametrize("treatment", TREATMENTS)
def test_dip(treatment: str) -> None:
    cleans = store.treatment(treatment).kind == "disinfection"
    assert_answered(call("dip", treatment, "--for", "red set" if cleans else "Lemon", "--working"))


@pytest.mark.parametrize("treatment", TREATMENTS)
def test_json(treatment: str) -> None:
    found = json.loads(call("dose", "ward", treatment, "--json").stdout)
    assert (found["result"] is None) is (found["refusal"] is not None)
    if found["refusal"] is not None:
        assert all(found["refusal"][key] for key in ("code", "message", "hint"))
    else:
        assert found["result"]["treatment"] == treatment or treatment == "hyposalinity"


@pytest.mark.parametrize("treatment", TREATMENTS)
def test_why(treatment: str) -> None:
    result = CliRunner().invoke(cli, ["why", treatment])
    assert result.exit_code == 0
    assert treatment in result.stdout
    for name in store.treatment(treatment).names:
        assert CliRunner().invoke(cli, ["why", name]).exit_code == 0


@pytest.mark.parametrize("prescribed", [id_ for id_ in TREATMENTS if store.treatment(id_).decided_by])
def test_what_somebody_else_decides_is_never_given_a_number_of_ours(prescribed: str) -> None:
    """Without a prescription for it there is no amount, whatever is typed."""
    result = call("dose", "blue tub", prescribed, "--target", "10 mg/L")
    assert result.exit_code == 1
    assert re.search(r"error\[D(454|532|534)\]", result.stderr)
