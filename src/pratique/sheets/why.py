"""The long page behind a code, a treatment, a figure, an agent, an active, a regimen, a sign, a cause or a source."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

from pratique.knowledge import store
from pratique.knowledge.interlock import Interlock
from pratique.knowledge.model import (
    CONFIDENCE,
    Known,
    Pathogen,
    Regimen,
    Statement,
    Treatment,
)
from pratique.knowledge.pages import CodePage
from pratique.logbook.words import folded
from pratique.problem import near_names
from pratique.sheets import words
from pratique.sheets.figures import numbers_table, plain_name, shown_number
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Lines, Part, Sheet, Table
from pratique.sheets.why_active import active_sheet, active_words, may_not_meet
from pratique.sheets.why_suspects import cause_sheet, circumstance_sheet, sign_sheet, signs_table, suspect_words


def why_sheet(word: str) -> Sheet | None:
    """The page for `word`, or None where nothing here has that name."""
    for find in _FINDERS:
        sheet = find(word)
        if sheet is not None:
            return sheet
    return None


def known_words() -> Iterator[str]:
    """Everything that has a page, by all its names."""
    from pratique.room.describe import key_names  # the shape of the room file is read for keys only

    yield from store.codes()
    yield from (rule.code for rule in store.interlocks())
    for known in _all_known():
        yield from _names_of(known)
    for regimen in store.regimens().values():
        yield from (regimen.id, regimen.title)
    yield from store.sources()
    yield from suspect_words()
    yield from active_words()
    yield from key_names()


def near_words(word: str) -> list[str]:
    """What may have been meant: names that hold the word whole or begin with it, then those a slip away."""
    typed = folded(word)
    known = {folded(name): name for name in reversed(list(known_words()))}
    holding = [name for key, name in known.items() if f" {typed} " in f" {key} "]
    begun = [name for key, name in known.items() if len(typed) >= _LEAST_BEGUN and key.startswith(typed)]
    near = [known[key] for key in near_names(typed, known)]
    return list(dict.fromkeys((*sorted(holding, key=len), *sorted(begun), *near)))[:_MOST_OFFERED]


_LEAST_BEGUN = 3
_MOST_OFFERED = 3


def _code(word: str) -> Sheet | None:
    rule = next((rule for rule in store.interlocks() if rule.code == word.upper()), None)
    if rule is not None:
        return _interlock_page(rule)
    page = store.codes().get(word.upper())
    return _code_page(page) if page is not None else None


def _code_page(page: CodePage) -> Sheet:
    parts: list[Part] = [
        Lines(title="Why", lines=(Cell(page.why),)),
        Lines(title="Example", lines=tuple(Cell(line) for line in page.example.splitlines())),
        Lines(title="Instead", lines=tuple(Cell(line) for line in page.instead.splitlines())),
    ]
    if page.sources:
        parts.append(Lines(title="Sources", lines=tuple(Cell(source) for source in page.sources)))
    return Sheet(title=f"{page.code} · {page.severity} · {page.title}", parts=tuple(parts))


def _interlock_page(rule: Interlock) -> Sheet:
    severity = "error" if rule.verdict == "block" else "warning"
    weight = "the dose is given with a warning"
    if rule.verdict == "block":
        weight = f"the dose is refused; {_set_aside(rule)}"
    return Sheet(
        title=f"{rule.code} · {severity} · {rule.message.replace(' ({subject})', '')}",
        parts=(
            Lines(title="Why", lines=(Cell(rule.reason),)),
            Lines(
                title="When",
                lines=(Cell(f"{', '.join(rule.treatments)} meets {rule.meets.replace('-', ' ')}: {weight}"),),
            ),
            Lines(title="Instead", lines=(Cell(rule.instead),)),
            Lines(
                title="Source",
                lines=(
                    Cell(f"{words.source_line(rule.source, rule.where, rule.confidence)}; {_citation(rule.source)}"),
                ),
            ),
        ),
    )


def _set_aside(rule: Interlock) -> str:
    if rule.override == "no":
        return "no reason sets it aside"
    but = f", but not for {', '.join(rule.never_with)}" if rule.never_with else ""
    return f"`--because` sets it aside{but}"


def _citation(key: str) -> str:
    source = store.sources().get(key)
    return source.citation if source is not None else key


def _number(word: str) -> Sheet | None:
    record, dot, name = word.partition(".")
    known = _known(record)
    if not dot or known is None or name not in known.numbers:
        return None
    shown = shown_number(known.numbers[name][0])
    return Sheet(
        title=f"{known.title} · {plain_name(name)}",
        parts=(
            numbers_table(known, (name,)),
            Lines(
                title="To use another",
                lines=(
                    Cell(
                        f"in the room file, under `values:`, write `{record}.{name}: {{value: {shown}, reason: why}}`"
                    ),
                    Cell("or name a source's key instead of a value: `{use: KEY, reason: why}`"),
                ),
            ),
        ),
    )


def _known(name: str) -> Known | None:
    """The treatment or agent of that id, else of that name."""
    typed = folded(name)
    id_ = typed.replace(" ", "-")
    if id_ in store.treatment_ids():
        return store.treatment(id_)
    if id_ in store.pathogen_ids():
        return store.pathogen(id_)
    return next((known for known in _all_known() if typed in map(folded, _names_of(known))), None)


def _names_of(known: Known) -> tuple[str, ...]:
    if isinstance(known, Pathogen):
        return (known.id, known.short, *known.names)
    return (known.id, known.title, *known.names, known.form) if isinstance(known, Treatment) else ()


def _record(word: str) -> Sheet | None:
    known = _known(word)
    if isinstance(known, Treatment):
        return _treatment_page(known)
    return _pathogen_page(known) if isinstance(known, Pathogen) else None


def _treatment_page(treatment: Treatment) -> Sheet:
    lists = (
        ("Against", treatment.targets),
        ("Not against", treatment.not_against),
        ("How", treatment.steps),
        ("Stop when", treatment.stop),
        ("Cautions", treatment.cautions),
        ("People", treatment.people),
        ("No stock is made of it", (treatment.no_stock,) if treatment.no_stock is not None else ()),
    )
    parts: list[Part] = [_statements(title, statements) for title, statements in lists if statements]
    parts.insert(
        0,
        Facts(
            pairs=(
                ("kind", Cell(treatment.kind)),
                ("names", Cell(", ".join(treatment.names)) if treatment.names else EMPTY),
            )
        ),
    )
    parts += [*may_not_meet((treatment,)), numbers_table(treatment, tuple(treatment.numbers))]
    return Sheet(
        title=f"{treatment.id} · {treatment.title}",
        parts=tuple(parts),
        next=f"pratique why {treatment.id}.target" if "target" in treatment.numbers else "",
    )


def _pathogen_page(agent: Pathogen) -> Sheet:
    parts: list[Part] = [
        Facts(
            pairs=(
                ("called", Cell(", ".join(dict.fromkeys((agent.short, *agent.names))))),
                ("kills within", Cell(agent.kills_within or "not known")),
            )
        ),
        _statements("Facts", agent.facts),
        signs_table(agent.signs),
        numbers_table(agent, tuple(agent.numbers)),
    ]
    return Sheet(title=f"{agent.id} · {agent.title}", parts=tuple(parts))


def _statements(title: str, statements: tuple[Statement, ...]) -> Lines:
    return Lines(
        title=title,
        bullet="·",
        lines=tuple(Cell(f"{s.text} [{words.source_line(s.source, s.where, s.confidence)}]") for s in statements),
    )


def _regimen(word: str) -> Sheet | None:
    typed = folded(word)
    named = (one for one in store.regimens().values() if typed in (folded(one.id), folded(one.title)))
    regimen: Regimen | None = next(named, None)
    if regimen is None:
        return None
    rows = tuple(
        (
            Cell(stage.name),
            Cell(", ".join(stage.use)),
            Cell(", ".join(stage.treatments)),
            Cell("only where signs were seen; " * stage.only_with_signs + stage.why),
        )
        for stage in regimen.stages
    )
    columns = (
        Column("Stage", "id", lead=True),
        Column("Tank", "text"),
        Column("Treatment, best first", "text"),
        Column("Why", "prose"),
    )
    pairs = (
        ("suits", Cell(regimen.suits)),
        ("why", Cell(regimen.why)),
        ("misses", Cell(regimen.misses)),
        ("source", Cell(CONFIDENCE[regimen.confidence])),
    )
    return Sheet(
        title=f"{regimen.id} · {regimen.title}",
        parts=(Facts(pairs=pairs), Table(title="Stages", columns=columns, rows=rows)),
    )


def _source(word: str) -> Sheet | None:
    source = store.sources().get(word.upper())
    if source is None:
        return None
    uses = [
        f"{known.id}.{name}"
        for known in _all_known()
        for name, numbers in known.numbers.items()
        if any(n.source == source.key for n in numbers)
    ]
    pairs = (
        ("citation", Cell(source.citation)),
        ("how much was read", Cell(source.depth)),
        ("where", Cell(source.address) if source.address else EMPTY),
        ("figures from it", Cell(", ".join(dict.fromkeys(uses))) if uses else EMPTY),
    )
    return Sheet(title=f"{source.key} · source", parts=(Facts(pairs=pairs),))


def _all_known() -> Iterator[Known]:
    yield from (store.treatment(id_) for id_ in store.treatment_ids())
    yield from (store.pathogen(id_) for id_ in store.pathogen_ids())


def _key(word: str) -> Sheet | None:
    from pratique.sheets.keys import key_page

    return key_page(word)


_FINDERS: tuple[Callable[[str], Sheet | None], ...] = (
    _code,
    _number,
    partial(active_sheet, several=True),
    _record,
    _regimen,
    sign_sheet,
    cause_sheet,
    partial(active_sheet, several=False),
    _source,
    _key,
    circumstance_sheet,
)
