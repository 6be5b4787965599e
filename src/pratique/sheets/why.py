"""The long page behind a code, a treatment, a figure, an agent, a regimen, a sign or a source."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pratique.knowledge import store
from pratique.knowledge.interlock import Interlock
from pratique.knowledge.model import (
    CONFIDENCE,
    CodePage,
    Known,
    Pathogen,
    Regimen,
    Statement,
    Treatment,
)
from pratique.sheets import words
from pratique.sheets.figures import numbers_table, plain_name, shown_number
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Lines, Part, Sheet, Table


def why_sheet(word: str) -> Sheet | None:
    """The page for `word`, or None where nothing here has that name."""
    for find in _FINDERS:
        sheet = find(word)
        if sheet is not None:
            return sheet
    return None


def known_words() -> Iterator[str]:
    """Everything that has a page, for near names."""
    yield from store.codes()
    yield from (rule.code for rule in store.interlocks())
    yield from store.treatment_ids()
    yield from store.pathogen_ids()
    yield from store.regimens()
    yield from store.sources()
    yield from store.signs()
    from pratique.room.describe import key_names

    yield from key_names()


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
    lower = name.lower()
    if lower in store.treatment_ids():
        return store.treatment(lower)
    if lower in store.pathogen_ids():
        return store.pathogen(lower)
    for id_ in store.treatment_ids():
        if lower in (n.lower() for n in store.treatment(id_).names):
            return store.treatment(id_)
    for id_ in store.pathogen_ids():
        agent = store.pathogen(id_)
        if lower in (agent.short.lower(), *(n.lower() for n in agent.names)):
            return agent
    return None


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
    parts.append(numbers_table(treatment, tuple(treatment.numbers)))
    return Sheet(
        title=f"{treatment.id} · {treatment.title}",
        parts=tuple(parts),
        next=f"pratique why {treatment.id}.target" if "target" in treatment.numbers else "",
    )


def _pathogen_page(agent: Pathogen) -> Sheet:
    signs = tuple(
        (Cell(store.signs()[key].title), Cell(weight.weight), Cell(f"{weight.source} ({weight.confidence})", "muted"))
        for key, weight in agent.signs.items()
    )
    parts: list[Part] = [
        Facts(
            pairs=(
                ("called", Cell(", ".join((agent.short, *agent.names)))),
                ("kills within", Cell(agent.kills_within or "not known")),
            )
        ),
        _statements("Facts", agent.facts),
        Table(
            title="Signs (never a diagnosis)",
            columns=(Column("Sign", "text", lead=True), Column("Weight", "id"), Column("Source", "id")),
            rows=signs,
        ),
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
    regimen: Regimen | None = store.regimens().get(word.lower())
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


def _sign(word: str) -> Sheet | None:
    sign = store.signs().get(word.lower())
    if sign is None:
        return None
    rows = []
    for id_ in store.pathogen_ids():
        agent = store.pathogen(id_)
        weight = agent.signs.get(sign.id)
        if weight is not None:
            rows.append(
                (
                    Cell(agent.short),
                    Cell(weight.weight),
                    Cell("; ".join(p for p in (f"{weight.source} ({weight.confidence})", weight.note) if p)),
                )
            )
    columns = (Column("Agent", "id", lead=True), Column("Weight", "id"), Column("Source", "prose"))
    return Sheet(
        title=f"{sign.id} · {sign.title}",
        parts=(
            Lines(lines=(Cell(sign.ask),)),
            Table(title="Who shows it (never a diagnosis)", columns=columns, rows=tuple(rows)),
        ),
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
    from pratique.sheets.keys import key_page  # the shape of the room file is read for keys only

    return key_page(word)


_FINDERS: tuple[Callable[[str], Sheet | None], ...] = (_code, _number, _record, _regimen, _sign, _source, _key)
