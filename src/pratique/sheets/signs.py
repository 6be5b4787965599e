"""What may it be: what was seen, what fits and why, what would tell it apart, what is covered, and what comes first."""

from __future__ import annotations

from collections.abc import Sequence

from pratique.knowledge import store
from pratique.logbook.quotes import shell_word
from pratique.response.apart import Apart
from pratique.response.ranking import Fit, Reason
from pratique.response.verdict import Verdict
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Meaning, Part, Sheet, Table

_SHOWN = 5
_WEIGHTS = {"typical": "usual", "possible": "possible", "unusual": "seldom or never"}
_POINTS = "points are small sums of our own that put things in order; they are no chances and no diagnosis"
_DECIDES = "only a wet mount of skin or gill decides, and a veterinarian's word comes before this page"


def signs_sheet(
    room: Room,
    verdict: Verdict,
    first: Sequence[Part] = (),
    *,
    log_line: str,
    written: bool = False,
) -> Sheet:
    """The page; the first of `first` stands on top, before the reasons, and the rest of the run sheet below them."""
    notes = Footnotes()
    shown = _shown(verdict)
    parts: list[Part] = [_head(verdict), *first[:1]]
    if shown:
        parts.append(_table(shown))
        parts += [_reasons(fit, notes) for fit in shown if _is_worth_reasons(verdict, fit)]
    if not verdict.unspecific:
        parts += [_apart(apart, notes) for apart in verdict.apart]
    parts += first[1:]
    if log_line and (written or not first):  # the run sheet has its own list of what to write down
        title = "Written down" if written else "To write it down"
        parts.append(Lines(title=title, lines=(Cell(log_line),)))
    return Sheet(
        title=f"Signs · {room.name} · {verdict.observed.tank} · {words.moment(verdict.observed.at)}",
        parts=tuple(parts),
        footnotes=(*notes.lines(), _POINTS, _DECIDES),
        next=_next(verdict, log_line, written=written),
    )


def _shown(verdict: Verdict) -> tuple[Fit, ...]:
    """Causes that come first, then agents that fit and a few other causes, by their points."""
    ranking = verdict.ranking
    first = list(ranking.first_causes)
    agents = [fit for fit in ranking.agents if fit.points > 0 or fit.id in verdict.suspicion.cover]
    agents = agents[: max(_SHOWN, len(verdict.suspicion.cover))]
    others = [fit for fit in ranking.causes if fit.points > 0 and fit not in first]
    others = others[: max(0, _SHOWN - len(first) - len(agents))]
    return (*first, *sorted((*agents, *others), key=lambda fit: -fit.points))


def _is_worth_reasons(verdict: Verdict, fit: Fit) -> bool:
    """What stands far down is in the table only; `--json` has the reasons of everything."""
    first = fit in verdict.ranking.first_causes or fit.id in verdict.suspicion.cover
    return first or fit.points >= max(1, min(store.scoring().points("typical_seen"), verdict.ranking.best))


def _head(verdict: Verdict) -> Facts:
    observed = verdict.observed
    pairs: list[tuple[str, Cell]] = [("seen", Cell(words.sign_names(observed.present)) if observed.present else EMPTY)]
    if observed.absent:
        pairs.append(("not there", Cell(words.sign_names(observed.absent))))
    pairs += [(title, Cell(text)) for title, text in _circumstances(verdict)]
    if observed.affected:
        pairs.append(("on", Cell(", ".join(observed.affected))))
    if observed.dead:
        pairs.append(("found dead", Cell(", ".join(observed.dead), "warning")))
    if observed.dying:
        pairs.append(("near death", Cell(", ".join(observed.dying), "error")))
    if observed.notes:
        pairs.append(("breathing", Cell("; ".join(observed.notes))))
    pairs += _answer(verdict)
    return Facts(title=observed.tank, pairs=tuple(pairs))


def _circumstances(verdict: Verdict) -> list[tuple[str, str]]:
    """What was said or found of each circumstance, with where it was found."""
    found_in = dict(verdict.around.found_in)
    rows: dict[str, list[str]] = {}
    for name, choice_id in verdict.observed.facts:
        if (name, choice_id) == ("filter", "living"):
            continue
        choice = store.circumstances()[name].choice(choice_id)
        found = found_in.get((name, choice_id))
        rows.setdefault(_LABELS.get(name, name), []).append(f"{choice.title} ({found})" if found else choice.title)
    on_record = [f"{words.sign_names(seen.signs)} ({words.moment(seen.at)})" for seen in verdict.around.signs]
    out = [(label, "; ".join(texts)) for label, texts in rows.items()]
    return [*out, *([("in the log", "; ".join(on_record))] if on_record else [])]


_LABELS = {
    "came": "it came", "who": "affected", "number": "spots", "size": "size", "where": "where", "new": "came in",
    "done": "done", "filter": "filter", "pump": "pumps", "holds": "in the water",
}  # fmt: skip


def _answer(verdict: Verdict) -> list[tuple[str, Cell]]:
    cover = [store.pathogen(id_).short for id_ in verdict.suspicion.cover]
    causes = list(verdict.ranking.first_causes)
    pairs: list[tuple[str, Cell]] = []
    if causes:
        meaning: Meaning = "error" if causes[0].measured else "due"
        shown = ", ".join(fit.title for fit in causes)
        pairs.append(("look first", Cell(f"at the water: {shown}" if causes[0].water else shown, meaning)))
    if cover:
        pairs.append(("may be", Cell(_may_be(verdict, cover), "due")))
    elif verdict.unspecific and verdict.observed.present:
        pairs.append(("may be", Cell("many things: these signs say that a fish is unwell, and not of what", "due")))
        pairs.append(("look for", Cell("fast breathing, dust, spots, slime, sores; run it again with what is seen")))
    elif not causes:
        pairs.append(("may be", Cell("nothing on file fits what was said")))
    return pairs


def _may_be(verdict: Verdict, cover: list[str]) -> str:
    if len(cover) == 1:
        return f"{cover[0]}; the response covers it"
    if not verdict.doubted:
        return f"{', '.join(cover)}: not to be told apart so; the response covers the worst first"
    others = ", ".join(title for title in cover if title != verdict.doubted)
    return f"{others}; and {verdict.doubted} while it is in doubt: the response covers the worst first"


def _table(fits: Sequence[Fit]) -> Table:
    columns = (
        Column("What fits", "text", lead=True),
        Column("How well", "text"),
        Column("Points", "number"),
        Column("May kill in", "prose"),
    )
    rows = tuple(
        (Cell(fit.title), Cell(fit.says, _meaning(fit)), Cell(str(fit.points)), Cell(fit.tempo) if fit.tempo else EMPTY)
        for fit in fits
    )
    return Table(title="What fits: never a diagnosis", columns=columns, rows=rows)


def _meaning(fit: Fit) -> Meaning:
    return "error" if fit.measured else "due" if fit.points >= store.scoring().points("typical_seen") else ""


def _reasons(fit: Fit, notes: Footnotes) -> Lines:
    """Sign by sign, with its points, source and confidence."""
    lines = [Cell(_reason(reason, notes)) for reason in fit.for_]
    lines += [Cell(_reason(reason, notes), "muted") for reason in fit.against]
    if fit.kind == "cause":
        lines.append(Cell(f"look: {store.causes()[fit.id].look}", "due"))
    return Lines(title=f"{fit.title}: for and against", lines=tuple(lines), bullet="·")


def _reason(reason: Reason, notes: Footnotes) -> str:
    points = f"{reason.points:+d}".replace("-", "−")
    mark = notes.mark(words.source_line(reason.source, _place(reason), reason.confidence))
    return f"{points}  {reason.what}{_weight(reason)} ({reason.confidence}){mark}"


def _weight(reason: Reason) -> str:
    if reason.kind == "absent":
        return ": a usual sign, looked for and not there"
    if reason.kind in ("host", "reading"):
        return ""
    note = f", {reason.note}" if reason.kind == "sign" and reason.note else ""
    return f": {_WEIGHTS[reason.weight]}{note}"


def _place(reason: Reason) -> str:
    if reason.kind in ("sign", "absent"):
        return "agents 12" if reason.source not in ("MEMORY", "DERIVED") else "signs"
    return reason.note or "our reading of it"


def _apart(apart: Apart, notes: Footnotes) -> Lines:
    trial = apart.trial
    lines = [
        Cell(f"{title}: {shown.text} ({shown.confidence})"
             f"{notes.mark(words.source_line(shown.source, shown.where, shown.confidence))}")
        for title, shown in apart.shows
    ]  # fmt: skip
    if trial.note:
        lines.append(Cell(trial.note, "muted"))
    return Lines(title=f"To tell them apart: {trial.title}", lines=tuple(lines), bullet="·")


def _next(verdict: Verdict, log_line: str, *, written: bool) -> str:
    if log_line and not written:
        return log_line
    if verdict.unread:
        return f"pratique signs {shell_word(verdict.observed.tank)} … {verdict.unread[0]} LEVEL"
    return "pratique day"
