"""A reading of ammonia or nitrite on a page: what to change first, then what the reading says."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.dosing.aim import find_aim
from pratique.figure import digits
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.logbook.quotes import shell_word
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Meaning, Part, Sheet, Table
from pratique.sheets.water_parts import acidity, care, ends, figure, salinity, share, water_page
from pratique.water import ammonia
from pratique.water.judging import AmmoniaAnswer, NitriteAnswer

VERDICTS: dict[ammonia.Verdict, tuple[str, Meaning]] = {
    "fine": ("fine", "done"),
    "correct": ("correct it", "warning"),
    "harms": ("it harms the fish", "error"),
    "kills": ("it kills the fish", "error"),
}
LIMITS = (("correct", "ammonia_correct"), ("harms", "ammonia_harms"), ("kills", "ammonia_kills"))


def ammonia_sheet(
    room: Room, answer: AmmoniaAnswer, kit: str, at: dt.datetime, *, next_: str = "", working: bool = False
) -> Sheet:
    notes = Footnotes()
    parts: list[Part] = [_ammonia_facts(room, answer, kit), _limits(answer, notes)]
    return water_page(
        f"Ammonia · {answer.state.tank}",
        at,
        parts,
        notes,
        to_know=_ammonia_notes(room, answer),
        cautions=care("ammonia"),
        working=answer.working if working else None,
        next_=next_,
    )


def _ammonia_facts(room: Room, answer: AmmoniaAnswer, kit: str) -> Facts:
    judged, change = answer.judged, answer.change
    word, meaning = VERDICTS[judged.verdict]
    if judged.worst != judged.verdict:
        word += f"; at the worst {VERDICTS[judged.worst][0]}"
        meaning = "warning" if meaning == "done" else meaning
    if answer.unreliable_with:
        word += f"; unreliable with {' and '.join(answer.unreliable_with)}"
    pairs: list[tuple[str, Cell]] = []
    if change is not None:
        if answer.unreliable_with:
            badge = "an ammonia badge: where it shows none, change nothing; where it shows ammonia, or you have none, "
            pairs.append(("first", Cell(f"{badge}change at once as below", "due")))
        label = "change now" if not answer.unreliable_with else "then change"
        pairs.append((label, Cell(f"{figure(change.litres, room)}: {share(change.share)} of the water", "due")))
        pairs.append(("total after", Cell(figure(change.after, room, f"as {answer.basis}"))))
    else:
        pairs.append(("change", Cell("none is needed for this")))
    told = f" by the error of {kit}" if kit and not answer.total.is_exact else ""
    ph = acidity(answer.conditions.ph.value) + ends(answer.conditions.ph)
    pairs += [
        ("un-ionised", Cell(figure(judged.level, room, "as NH3"))),
        ("verdict", Cell(word, meaning)),
        ("total", Cell(figure(answer.total, room, f"as {answer.basis}") + told)),
        ("pH", Cell(f"{ph}, not known and so taken as high" if "ph" in answer.assumed else ph)),
        ("temperature", Cell(words.temperature(answer.conditions.temperature.value, room))),
        ("salinity", Cell(salinity(answer.conditions.salinity.value))),
        ("water", Cell(figure(answer.state.litres, room, "net"))),
    ]
    return Facts(pairs=tuple(pairs))


def _limits(answer: AmmoniaAnswer, notes: Footnotes) -> Table:
    known = store.water_figures()
    rows = []
    for verdict, name in LIMITS:
        limit = known.needed(name)
        total = ammonia.total_at_limit(name, answer.conditions, answer.basis)
        rows.append(
            (
                Cell(verdict + notes.mark(words.citation(limit))),
                Cell(f"{limit.value:g} mg/L"),
                Cell(words.value(total.value, "mg/L")),
                Cell(words.spread(total) or "—"),
            )
        )
    columns = (
        Column("Level", "id", lead=True),
        Column("Un-ionised, NH3", "number"),
        Column(f"Total, {answer.basis}", "number"),
        Column("At the worst", "number"),
    )
    return Table(title="The limits in this water", columns=columns, rows=tuple(rows))


def _ammonia_notes(room: Room, answer: AmmoniaAnswer) -> Iterator[str]:
    if "ph" in answer.assumed:
        ph = acidity(answer.conditions.ph.value)
        yield (
            f"pH is not known and counts as high ({ph}): read it, for the part that harms is four times as large at "
            "8.4 as at 7.8"
        )
    if "basis" in answer.assumed:
        yield "how the test counts is not said, so as N, the strictest; `--as NH3` where its leaflet says so"
    change = answer.change
    if change is not None:
        yield "the change answers the worst case; test again an hour after it"
        yield _enough(room, change.litres.value, change.on_file)
        for holds in answer.state.water.conditions.holds:
            if store.treatment(holds.treatment).active:
                yield _put_back(answer, store.treatment(holds.treatment), change.litres.value)
    if answer.unreliable_with:
        drugs = " and ".join(answer.unreliable_with)
        yield f"a medicine ({drugs}) can falsify this test, so an ammonia badge decides"


def _put_back(answer: AmmoniaAnswer, treatment: Treatment, litres: float) -> str:
    """What keeps a medicine's level through the change: the command, and the band it has to stay in."""
    tank = shell_word(answer.state.tank)
    ask = f"`pratique dose {tank} {treatment.id} --change '{digits(litres)} L' --reading …`"
    aim = find_aim(treatment, None, answer.conditions.temperature.value)
    kept = f", to stay at {words.band(aim.band.low, aim.band.high, aim.band.unit)}" if aim is not None else ""
    return f"it takes out {treatment.id}: read that first, then {ask} says what the new water gets{kept}"


def _enough(room: Room, wanted: float, on_file: float) -> str:
    if on_file >= wanted:
        return f"mixed water on file that matches: {words.volume(on_file, room)}, enough"
    short = words.volume(wanted - on_file, room)
    if on_file > 0:
        return f"mixed water on file that matches: {words.volume(on_file, room)}; mix {short} more"
    return f"no mixed water on file matches this tank: mix {short}"


def nitrite_sheet(
    room: Room, answer: NitriteAnswer, at: dt.datetime, *, next_: str = "", working: bool = False
) -> Sheet:
    notes = Footnotes()
    per = answer.per_nitrite
    share_ = store.water_figures().needed("chloride_of_salt")
    pairs = (
        ("nitrite", Cell(figure(answer.level, room, "as NO2"))),
        ("verdict", _nitrite_verdict(answer, notes)),
        ("chloride", Cell(f"{digits(answer.chloride)} mg/L{notes.mark(words.citation(share_))}")),
        ("against it", Cell(f"{digits(per)} mg of chloride for each mg of nitrite") if per is not None else EMPTY),
        ("salinity", Cell(salinity(answer.state.salinity)) if answer.state.salinity is not None else EMPTY),
    )
    to_know = ["nitrite is judged as sea water here: chloride keeps it out of the gills"]
    if answer.assumed:
        to_know.append("how the test counts is not said, so as N, the strictest; `--as NO2` where its leaflet says so")
    return water_page(
        f"Nitrite · {answer.state.tank}",
        at,
        [Facts(pairs=pairs)],
        notes,
        to_know=to_know,
        cautions=care("nitrite"),
        working=answer.working if working else None,
        next_=next_,
    )


def _nitrite_verdict(answer: NitriteAnswer, notes: Footnotes) -> Cell:
    limit = answer.limit
    if limit is None:
        return Cell("none: no limit for sea water is on file, and those for fresh water do not hold")
    mark = notes.mark(words.citation(limit))
    if answer.level.high < limit.value:
        return Cell(f"below {limit.value:g} mg/L, from which it harms in sea water{mark}", "done")
    return Cell(f"at or above {limit.value:g} mg/L, from which it harms in sea water{mark}", "error")
