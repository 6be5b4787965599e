"""Problems as a keeper reads them: the sentence, the place, the keeper's own line, then what to do."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from pratique.problem import Place, Problem, plural
from pratique.render.excerpt import Fix, excerpt
from pratique.render.lines import hang, write_line
from pratique.render.measure import READING_MOST
from pratique.render.signs import clean_text, to_ascii

_LEAST_GUTTER = 2
_UNDER = 4
_FOLDED_FROM = 3
_MOST_LISTED = 20
_MOST_SHOWN = 100
_QUOTED = re.compile("`[^`]*`")


def render_problems(
    problems: Iterable[Problem],
    *,
    unicode: bool = True,
    file_word: str = "",
    outcome: str = "",
    width: int | None = None,
) -> str:
    """All of them in the order given, one kind in many places folded, and the summary last.

    `file_word` names the file in the summary (empty: the places say it); `outcome` is the last clause of
    the summary, such as `nothing was worked out`. `width` None leaves every line as long as it is; else none
    is wider, save where the name of a file or one number is.
    """
    found = list(problems)
    if not found:
        return ""
    folded = fold_problems(found)
    blocks = [render_problem(problem, unicode=unicode, width=width) for problem in folded[:_MOST_SHOWN]]
    if len(folded) > _MOST_SHOWN:
        blocks.append(f"and {len(folded) - _MOST_SHOWN:,} more; set right what is listed first")
    summary = _fix(unicode)(_summary(folded, file_word) + (f"; {outcome}" if outcome else ""))
    return "\n\n".join([*blocks, "\n".join(_hang("", summary, width))])


def render_problem(problem: Problem, *, unicode: bool = True, width: int | None = None) -> str:
    """One problem. Up to two places are shown with the keeper's lines, more as a list."""
    fix = _fix(unicode)
    places = problem.places
    numbers = [len(str(place.line)) for place in places]
    gutter = max(_LEAST_GUTTER, *numbers) if numbers else _LEAST_GUTTER
    bar = " " * (gutter + 1) + "|"
    lead = f"{problem.severity}[{problem.code}]: " if problem.code else f"{problem.severity}: "
    lines = _hang(lead, fix(problem.message), width)
    if len(places) >= _FOLDED_FROM:
        lines += _listed(places, gutter, fix, width)
    else:
        for place, arrow, sign in zip(places, ("-->", ":::"), "^-", strict=False):
            lines.append(f"{' ' * gutter}{arrow} {_spot(place, fix)}")
            lines += excerpt(place, sign, gutter, fix, width)
            lines += [bar] if place is not places[-1] else []
    said = [("note", problem.note), ("source", problem.source), ("hint", problem.hint)]
    remarks = [
        line for kind, text in said if text for line in _hang(f"{' ' * (gutter + 1)}= {kind}: ", fix(text), width)
    ]
    if places and remarks:
        lines.append(bar)
    return "\n".join([*lines, *remarks])


def _hang(lead: str, text: str, width: int | None) -> list[str]:
    """`text` after `lead`, its further lines under its first: no longer than is easy to read."""
    reading = None if width is None else min(width, READING_MOST)
    return [write_line(line) for line in hang([(lead, "")], text, "", reading, below=_UNDER)]


def fold_problems(problems: Sequence[Problem]) -> list[Problem]:
    """Where three or more differ only in place and in the keeper's word: one problem with all places."""
    kinds: dict[tuple[str, ...], list[Problem]] = {}
    for problem in problems:
        kinds.setdefault(_kind(problem), []).append(problem)
    folded = []
    for problem in problems:
        alike = kinds[_kind(problem)]
        if len(problem.places) != 1 or len(alike) < _FOLDED_FROM:
            folded.append(problem)
        elif problem is alike[0]:
            folded.append(_merged(alike))
    return folded


def _kind(problem: Problem) -> tuple[str, ...]:
    pattern = _QUOTED.sub("``", problem.message)
    places = str(len(problem.places))
    return problem.severity, problem.code, pattern, problem.note, problem.source, problem.hint, places


def _merged(alike: list[Problem]) -> Problem:
    first = alike[0]
    words = [_QUOTED.findall(problem.message) for problem in alike]
    differing = [index for index, column in enumerate(zip(*words, strict=True)) if len(set(column)) > 1]
    places = tuple(
        replace(problem.places[0], label=", ".join(said[index][1:-1] for index in differing))
        for problem, said in zip(alike, words, strict=True)
    )
    more = f"and {len(alike) - 1} more like it" if differing else f"in {len(alike)} places"
    return replace(first, message=f"{first.message}, {more}", places=places)


def _fix(unicode: bool) -> Fix:
    return clean_text if unicode else lambda text: to_ascii(clean_text(text))


def _spot(place: Place, fix: Fix) -> str:
    return f"{fix(place.file)}:{place.line}:{place.column}"


def _listed(places: Sequence[Place], gutter: int, fix: Fix, width: int | None) -> list[str]:
    shown = places[:_MOST_LISTED]
    leads = [f"{' ' * gutter}--> {_spot(place, fix)}" for place in shown]
    lines = [
        line
        for lead, place in zip(leads, shown, strict=True)
        for line in (_hang(f"{lead}  ", fix(place.label), width) if place.label else [lead])
    ]
    if len(places) > len(shown):
        lines.append(f"{' ' * gutter}    and {len(places) - len(shown)} more places")
    return lines


def _summary(problems: Sequence[Problem], file_word: str) -> str:
    counts = []
    for severity in ("error", "warning"):
        count = sum(problem.severity == severity for problem in problems)
        if count:
            counts.append(plural(count, severity))
    files = {problem.places[0].file for problem in problems if problem.places}
    where = file_word or (files.pop() if len(files) == 1 else "")
    places = sum(len(problem.places) if len(problem.places) >= _FOLDED_FROM else 1 for problem in problems)
    if places > len(problems):
        return f"{', '.join(counts)}, in {places} places" + (f" of {where}" if where else "")
    return ", ".join(counts) + (f" in {where}" if where else "")
