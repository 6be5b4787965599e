"""Mutation testing by sample: would the tests notice a small wrong change?

    pip install -e '.[mutation]'
    python tests/mutation/sample.py dosing clocks schedule --number 300 --seed 1

Makes N changes by chance in each package named (`mutants.py`: comparisons, boundaries, numbers, signs, arguments
swapped, statements dropped …), runs for each the tests that execute the changed line until one fails, and prints what
was caught, what survived and what ran out of time. One process imports and collects everything once; each change is
put into a fork of it. A change outside functions gets a process of its own (`--cold` does so for all: slower, and it
sees what is worked out at import).

What each test executes is measured at the first run and kept in the file `--kept`; tests in files that were edited
are measured again, and all of them when the source changed; one such file is for one list of packages. Times are of
the processor, so a busy machine changes no verdict. A survivor is a hole in the tests, or does the same as
the original: those stand with the reason in `equal.yaml` beside this file and are left out of the share. Run it by
hand, on a copy of the tree if you edit meanwhile: a first run takes some ten minutes on one core, then a change takes
a second or two.
"""

from __future__ import annotations

import argparse
import contextlib
import gc
import importlib
import importlib.abc
import importlib.machinery
import json
import os
import pkgutil
import random
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any

import pytest
import yaml

TOP = Path(__file__).resolve().parents[2]
PACKAGES = TOP / "src" / "pratique"
sys.path[:0] = [str(TOP / "src"), str(Path(__file__).parent)]
os.environ["PYTHONPATH"] = os.pathsep.join([str(TOP / "src"), os.environ.get("PYTHONPATH", "")])

from forked import PATIENCE, Kept, first_failure, in_fork, set_limits  # noqa: E402
from mutants import Mutant, mutant_at, mutated, places_of  # noqa: E402

CAUGHT, SURVIVED, TIMEOUT, UNREACHED = "caught", "survived", "timeout", "no test"


class Steady:
    """Property tests try the same examples each time, fewer of them, and spend no time on making a failure small."""

    def pytest_configure(self) -> None:
        from hypothesis import HealthCheck, Phase, settings

        settings.register_profile(
            "mutation",
            derandomize=True,
            database=None,
            deadline=None,
            max_examples=25,
            phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        settings.load_profile("mutation")


class Driver:
    """A pytest plugin that takes the place of the run: everything is imported and collected when it begins."""

    def __init__(self, asked: argparse.Namespace) -> None:
        self.asked = asked
        self.kept = Kept(asked.kept, TOP, [PACKAGES / name for name in asked.packages])
        self.killers: dict[str, Counter[str]] = defaultdict(Counter)
        self.results: list[tuple[Mutant, str, str]] = []

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        for name in self.asked.packages:
            for module in pkgutil.walk_packages([str(PACKAGES / name)], f"pratique.{name}."):
                importlib.import_module(module.name)
        self.items = {item.nodeid: item for item in session.items}
        self.functions = _functions()
        gc.freeze()
        self.kept.measure(session.items, self.asked.longest)
        chosen = [one for name in self.asked.packages for one in _sample(name, self.asked)]
        before = _judged(self.asked.again) if self.asked.again else {}
        begun = time.monotonic()
        for number, mutant in enumerate(chosen, 1):
            verdict, by = before.get(mutant.key) or self._judge(mutant)
            self.results.append((mutant, verdict, by))
            if self.asked.out:
                verdicts = [(mutant.key, verdict, by) for mutant, verdict, by in self.results]
                self.asked.out.write_text(json.dumps(verdicts, ensure_ascii=False, indent=0), "utf-8")
            spent = f"{number}/{len(chosen)} {time.monotonic() - begun:.0f} s"
            print(f"{spent} {verdict:8} {mutant.path}:{mutant.line} {by}", file=sys.__stderr__, flush=True)
        return True

    def _judge(self, mutant: Mutant) -> tuple[str, str]:
        names = self._tests_for(mutant)
        if not names:
            return UNREACHED, ""
        spent = sum(self.kept.rows[name]["seconds"] for name in names)
        if self.asked.cold or not mutant.first:
            return _cold(mutant, names, 30 + 4 * spent)
        code = _code_of(compile(mutated(TOP, mutant), str(TOP / mutant.path), "exec"), mutant)
        key = (code.co_filename, code.co_qualname, code.co_firstlineno)
        functions = self.functions.get(key, [])
        if not functions or code.co_freevars != functions[0].__code__.co_freevars:
            return _cold(mutant, names, 30 + 4 * spent)

        def tried(asked: Sequence[str]) -> Any:
            def run() -> str:
                for function in functions:
                    function.__code__ = code
                return first_failure([self.items[name] for name in asked])

            return in_fork(run, 10 + 4 * spent)

        left, found = names, tried(names)
        while found in left and tried([found]) == "":
            left = left[left.index(found) + 1 :]  # it failed by what a test before it left behind
            found = tried(left)
        if found is None:
            return TIMEOUT, ""
        if found == "":
            return SURVIVED, f"{len(names)} tests, {spent:.0f} s"
        self.killers[mutant.path][str(found)] += 1
        return CAUGHT, str(found)

    def _tests_for(self, mutant: Mutant) -> list[str]:
        """Tests that execute the line: those that caught others in this file; then by turns the one that does least
        elsewhere, and the quickest of each test file.
        """
        lines = set(range(mutant.line, mutant.end + 1))
        ranked: dict[str, list[tuple[float, str]]] = defaultdict(list)
        elsewhere: dict[str, float] = {}
        for name, row in self.kept.rows.items():
            here = row["lines"].get(mutant.path, ())
            runs = here if not mutant.first else not lines.isdisjoint(here)
            if runs and name in self.items and row["seconds"] is not None:
                ranked[name.partition("::")[0]].append((row["seconds"], name))
                elsewhere[name] = sum(map(len, row["lines"].values())) / len(here)
        in_turn = [(rank, *one) for rows in ranked.values() for rank, one in enumerate(sorted(rows))]
        by_turns = zip(sorted(elsewhere, key=elsewhere.__getitem__), (one[2] for one in sorted(in_turn)), strict=True)
        killers = self.killers[mutant.path]
        order = sorted(dict.fromkeys(name for both in by_turns for name in both), key=lambda name: -killers[name])
        chosen: list[str] = []
        spent = 0.0
        for name in order:
            seconds = self.kept.rows[name]["seconds"]
            if not chosen or spent + seconds <= self.asked.budget:
                chosen.append(name)
                spent += seconds
        return chosen


def _functions() -> dict[tuple[str, str, int], list[FunctionType]]:
    found = defaultdict(list)
    for one in gc.get_objects():
        if isinstance(one, FunctionType) and one.__code__.co_filename.startswith(str(PACKAGES)):
            code = one.__code__
            found[(code.co_filename, code.co_qualname, code.co_firstlineno)].append(one)
    return found


def _code_of(module: CodeType, mutant: Mutant) -> CodeType:
    """The code of the outermost function that holds the change."""
    waiting = [module]
    while waiting:
        code = waiting.pop()
        if code.co_firstlineno == mutant.first and mutant.function.startswith(code.co_qualname):
            return code
        waiting += [one for one in code.co_consts if isinstance(one, CodeType)]
    raise LookupError(mutant)


def _sample(package: str, asked: argparse.Namespace) -> Iterator[Mutant]:
    files = [path for path in sorted((PACKAGES / package).rglob("*.py")) if asked.only in path.as_posix()]
    everywhere = [(path, *place) for path in files for place in places_of(path)]
    random.Random(f"{asked.seed} {package}").shuffle(everywhere)
    found = (mutant_at(TOP, *one) for one in everywhere)
    real = (one for one in found if one is not None)
    yield from (one for _, one in zip(range(asked.number), real, strict=False))


def _judged(path: Path) -> dict[tuple[str, ...], tuple[str, str]]:
    """What a run before caught."""
    rows = json.loads(path.read_text("utf-8"))
    return {tuple(key): (verdict, by) for key, verdict, by in rows if verdict in (CAUGHT, TIMEOUT)}


def _cold(mutant: Mutant, names: Sequence[str], seconds: float) -> tuple[str, str]:
    """In a process of its own, where the changed module is imported instead of the file."""
    with tempfile.NamedTemporaryFile("w", suffix=".json") as file:
        json.dump([mutant.path, mutant.place, mutant.change, seconds, list(names)], file)
        file.flush()
        words = [sys.executable, __file__, "--one", file.name]
        try:
            limit = PATIENCE * seconds
            done = subprocess.run(words, cwd=TOP, capture_output=True, text=True, timeout=limit, check=False)
        except subprocess.TimeoutExpired:
            return TIMEOUT, ""
    if done.returncode == -signal.SIGXCPU:
        return TIMEOUT, ""
    last = done.stdout.strip().splitlines()[-1:] or [""]
    return (CAUGHT, last[0][:80]) if done.returncode else (SURVIVED, f"{len(names)} tests in a process of their own")


class _Finder(importlib.abc.MetaPathFinder):
    def __init__(self, mutant: Mutant) -> None:
        self.mutant = mutant
        self.name = mutant.path.removeprefix("src/").removesuffix(".py").replace("/", ".").removesuffix(".__init__")

    def find_spec(self, name: str, path: Any = None, target: ModuleType | None = None) -> Any:
        if name != self.name:
            return None
        spec = importlib.machinery.PathFinder.find_spec(name, path)
        mutant, file = self.mutant, str(TOP / self.mutant.path)

        class Loader(importlib.machinery.SourceFileLoader):
            def get_code(self, fullname: str) -> CodeType:
                return compile(mutated(TOP, mutant), file, "exec")

        assert spec is not None
        spec.loader = Loader(name, file)
        return spec


def _one(file: str) -> int:
    path, place, change, seconds, names = json.loads(Path(file).read_text("utf-8"))
    set_limits(seconds)
    mutant = mutant_at(TOP, TOP / path, place, change)
    assert mutant is not None
    sys.meta_path.insert(0, _Finder(mutant))
    options = ["-x", "-q", "-p", "no:cacheprovider", "--no-header", "--tb=no"]
    return int(pytest.main([*options, *names], plugins=[Steady()]))


def _report(results: Sequence[tuple[Mutant, str, str]]) -> str:
    rows = yaml.safe_load((Path(__file__).parent / "equal.yaml").read_text("utf-8")) or []
    equal = {(row["path"], row["function"], row["before"], row["after"]) for row in rows}
    lines: list[str] = []
    counts: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for mutant, verdict, by in results:
        if verdict in (SURVIVED, UNREACHED) and mutant.key in equal:
            verdict = "equal"
        for name in (mutant.path, mutant.path.split("/")[2]):
            counts[name][verdict] += 1
        if verdict in (SURVIVED, UNREACHED):
            lines.append(f"\n{verdict} {mutant.path}:{mutant.line} {mutant.function} {by}")
            lines += [f"  - {mutant.before}", f"  + {mutant.after}"]
    lines.append("")
    for name, count in sorted(counts.items(), key=lambda one: ("/" not in one[0], one[0])):
        real = count.total() - count["equal"]
        share = 100 * (count[CAUGHT] + count[TIMEOUT]) / real if real else 100
        said = ", ".join(f"{number} {kind}" for kind, number in sorted(count.items()))
        lines.append(f"{name:50} {said}: {share:.1f} %")
    return "\n".join(lines)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("packages", nargs="*", default=["dosing", "clocks", "schedule"])
    parser.add_argument("--number", type=int, default=100, help="changes for each package")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="part of a path: only changes of such files")
    parser.add_argument("--tests", nargs="*", default=["tests"], help="files or folders to collect")
    parser.add_argument("--budget", type=float, default=15, help="processor seconds of tests for one change")
    parser.add_argument("--longest", type=float, default=8, help="tests that take longer are left out")
    parser.add_argument("--cold", action="store_true", help="every change in a process of its own")
    parser.add_argument("--kept", type=Path, default=Path(tempfile.gettempdir()) / "pratique-mutation.json")
    parser.add_argument("--out", type=Path, help="file for the verdicts, for `--again`")
    parser.add_argument("--again", type=Path, help="verdicts of a run before: what was caught then is not tried again")
    parser.add_argument("--one", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        return _one(asked.one)
    driver = Driver(asked)
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(TOP):
        options = ["-q", "-p", "no:cacheprovider", f"--basetemp={folder}/base", f"--rootdir={TOP}"]
        pytest.main([*options, *asked.tests], plugins=[driver, Steady()])
    print(_report(driver.results))
    return 0


if __name__ == "__main__":
    sys.exit(main())
