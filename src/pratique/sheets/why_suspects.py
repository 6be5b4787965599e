"""The pages of a sign, of a cause that is no disease, and of a circumstance: what points where, and who says so."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from pratique.knowledge import store
from pratique.knowledge.model import Sign, SignWeight
from pratique.knowledge.suspects import Cause, Choice, Circumstance
from pratique.logbook.words import folded
from pratique.sheets.rows import Cell, Column, Facts, Lines, Part, Sheet, Table

SIGNS = "Signs (never a diagnosis)"


def suspect_words() -> Iterator[str]:
    """What these pages are found by."""
    for sign in store.signs().values():
        yield from (sign.id, sign.title)
    for cause in store.causes().values():
        yield from (cause.id, cause.title)
    for id_, one in store.circumstances().items():
        yield from (id_, one.title, *(f"{id_}.{choice.id}" for choice in one.choices))


def signs_table(signs: Mapping[str, SignWeight]) -> Table:
    """What an agent or a cause shows, and how it weighs."""
    columns = (Column("Sign", "text", lead=True), Column("Weight", "id"), Column("Source", "prose"))
    rows = tuple((Cell(store.signs()[key].title), *_weight(weight)) for key, weight in signs.items())
    return Table(title=SIGNS, columns=columns, rows=rows)


def _weight(weight: SignWeight) -> tuple[Cell, Cell]:
    said = f"{weight.source} ({weight.confidence})"
    return Cell(weight.weight), Cell(f"{said}; {weight.note}" if weight.note else said, "muted")


def _named(word: str, *names: str) -> bool:
    return folded(word) in map(folded, names)


def _suspects(weight_of: Callable[[str], SignWeight | None]) -> Table:
    """Every agent and cause that has a weight here."""
    shorts = {id_: store.pathogen(id_).short for id_ in store.pathogen_ids()}
    names = {**shorts, **{cause.id: cause.title for cause in store.causes().values()}}
    found = ((name, weight_of(id_)) for id_, name in names.items())
    rows = tuple((Cell(name), *_weight(weight)) for name, weight in found if weight is not None)
    columns = (Column("Suspect", "text", lead=True), Column("Weight", "id"), Column("Source", "prose"))
    return Table(title="Who shows it (never a diagnosis)", columns=columns, rows=rows)


def sign_sheet(word: str) -> Sheet | None:
    """The page of a sign, by its id, title or another word for it."""
    sign: Sign | None = next(
        (sign for sign in store.signs().values() if _named(word, sign.id, sign.title, *sign.words)), None
    )
    if sign is None:
        return None

    def weight_of(id_: str) -> SignWeight | None:
        causes = store.causes()
        return (causes[id_].signs if id_ in causes else store.pathogen(id_).signs).get(sign.id)

    facts = Facts(pairs=(("asked as", Cell(sign.ask)), ("also called", Cell(", ".join(sign.words) or "—"))))
    return Sheet(title=f"{sign.id} · {sign.title}", parts=(facts, _suspects(weight_of)))


def cause_sheet(word: str) -> Sheet | None:
    """The page of a cause that is no disease."""
    cause = next((cause for cause in store.causes().values() if _named(word, cause.id, cause.title)), None)
    if cause is None:
        return None
    needs = ", ".join(_choice_title(need) for need in cause.needs)
    pairs = [("settled by", Cell(cause.look))]
    if needs:
        pairs.append(("weighed only where", Cell(f"{needs}, or a reading says so")))
    parts: list[Part] = [Facts(pairs=tuple(pairs)), signs_table(cause.signs), _around(cause)]
    return Sheet(
        title=f"{cause.id} · {cause.title}",
        parts=tuple(part for part in parts if not (isinstance(part, Table) and not part.rows)),
        next="pratique signs TANK SIGN …",
    )


def _choice_title(need: str) -> str:
    circumstance, _, choice = need.partition(".")
    known = store.circumstances()[circumstance]
    return f"{known.title}: {known.choice(choice).title}"


def _around(cause: Cause) -> Table:
    rows = tuple(
        (Cell(f"{known.title}: {choice.title}"), *_weight(choice.weights[cause.id]))
        for known in store.circumstances().values()
        for choice in known.choices
        if cause.id in choice.weights
    )
    columns = (Column("Circumstance", "text", lead=True), Column("Weight", "id"), Column("Source", "prose"))
    return Table(title="What surrounds it", columns=columns, rows=rows)


def circumstance_sheet(word: str) -> Sheet | None:
    """All of one, or of one answer to it (`came.hours`)."""
    for known in store.circumstances().values():
        if _named(word, known.id, known.title):
            return _answers(known, known.choices)
        for choice in known.choices:
            if _named(word, f"{known.id}.{choice.id}"):
                return _answers(known, (choice,))
    return None


def _answers(known: Circumstance, choices: tuple[Choice, ...]) -> Sheet:
    parts: list[Part] = [Lines(lines=(Cell(known.ask),))]
    for choice in choices:
        table = _suspects(choice.weights.get)
        said = f"{choice.title} ({known.id}.{choice.id})"
        if choice.words:
            said += f", typed as: {', '.join(choice.words)}"
        parts.append(Table(title=said, columns=table.columns, rows=table.rows) if table.rows else _weighs_nothing(said))
    one = f".{choices[0].id}" if len(choices) == 1 else ""
    return Sheet(title=f"{known.id}{one} · {known.title}", parts=tuple(parts))


def _weighs_nothing(title: str) -> Lines:
    return Lines(title=title, lines=(Cell("it speaks for nobody, and against nobody"),))
