"""Water poured in, salt for a batch, a bag beside its tank: on pages, amounts first."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from pratique.figure import Figure
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.room.resolve import Room
from pratique.sheets import words
from pratique.sheets.rows import EMPTY, Cell, Column, Facts, Footnotes, Lines, Part, Sheet, Table
from pratique.sheets.water_parts import care, command, ends, figure, gravity, salinity, water_page
from pratique.water.pouring import BagAnswer, Blend, MixAnswer, SaltAnswer
from pratique.water.salinity import gravity_of


def mix_sheet(room: Room, answer: MixAnswer, at: dt.datetime, *, next_: str = "", working: bool = False) -> Sheet:
    pour, state = answer.pour, answer.state
    rows = [_blend_row(room, "poured on top", answer.added)]
    if answer.swapped is not None:
        rows.append(_blend_row(room, "in place of as much", answer.swapped))
    columns = (
        Column("", "id", lead=True),
        Column("g/kg", "number"),
        Column("At the worst", "number"),
        Column("Change", "number"),
        Column("Gravity", "number"),
        Column("Temp.", "id"),
        Column("Water", "number"),
    )
    table = Table(title="The tank is then", columns=columns, rows=tuple(rows))
    assert state.salinity is not None
    warm = words.temperature(pour.temperature, room) if pour.temperature is not None else "temperature not said"
    facts = Facts(
        pairs=(
            ("pour in", Cell(f"{figure(Figure.of(pour.litres), room)} at {pour.salinity:.1f} g/kg, {warm}", "due")),
            ("tank now", Cell(f"{figure(state.litres, room)}; {salinity(state.salinity)}")),
        )
    )
    return water_page(
        f"Mixing · {state.tank}",
        at,
        [facts, table],
        Footnotes(),
        to_know=_mix_notes(answer),
        cautions=care("mix"),
        working=answer.working if working else None,
        next_=next_,
    )


def _blend_row(room: Room, label: str, blend: Blend) -> tuple[Cell, ...]:
    rise = blend.rise.value
    sign = "+" if rise > 0 else "−" if rise < 0 else ""
    warm = blend.temperature
    return (
        Cell(label),
        Cell(f"{blend.salinity.value:.2f}"),
        Cell(f"{blend.salinity.low:.2f}–{blend.salinity.high:.2f}"),
        Cell(f"{sign}{abs(rise):.2f}"),
        Cell(gravity(blend.salinity.value)),
        Cell(words.temperature(warm.value, room)) if warm is not None else EMPTY,
        Cell(words.volume(blend.litres.value, room)),
    )


def _mix_notes(answer: MixAnswer) -> Iterator[str]:
    if answer.swapped is None:
        yield "it cannot be put in place of as much: the tank may hold less than that"
    if answer.pour.temperature is None:
        yield "the temperature after it is not worked out: write it too, such as `20 L at 30 g/kg, 22 degC`"
    elif answer.state.temperature is None:
        yield "the temperature after it is not worked out: that of the tank is not known"


def salt_sheet(room: Room, answer: SaltAnswer, at: dt.datetime, *, next_: str = "", working: bool = False) -> Sheet:
    litres = words.volume(answer.litres.value, room)
    left = "—  not on file; write `salt: {left: …}`"
    if answer.left is not None and answer.reaches is not None:
        left = f"{words.value(answer.left.value, 'g')} left: enough for {words.volume(answer.reaches, room)} of this"
    short = any(problem.code == "W808" for problem in answer.problems)
    pairs = (
        ("salt", Cell(f"{words.value(answer.salt.value, 'g')}{ends(answer.salt)}", "due")),
        ("weigh first", Cell(words.value(answer.salt.low, "g"), "due")),
        ("fresh water", Cell(figure(answer.fresh_water, room))),
        ("makes", Cell(f"{litres} at {salinity(answer.salinity)}")),
        ("on the shelf", Cell(left, "warning" if short else "")),
    )
    to_know = (
        "dry salt is not all salt: an open sack takes up water, and how much is in it is from memory, unverified",
        f"the litres are those at {words.temperature(answer.temperature, room)}",
    )
    return water_page(
        f"Salt · {litres} at {answer.salinity:.1f} g/kg",
        at,
        [Facts(pairs=pairs)],
        Footnotes(),
        to_know=to_know,
        cautions=care("salt"),
        working=answer.working if working else None,
        next_=next_,
    )


def bag_sheet(room: Room, answer: BagAnswer, at: dt.datetime, *, working: bool = False) -> Sheet:
    notes = Footnotes()
    state = answer.state
    assert state.salinity is not None
    known = store.water_figures()
    near = notes.mark(words.citation(known.needed("release_gravity")))
    low, high = answer.bag - answer.near, answer.bag + answer.near
    pairs: list[tuple[str, Cell]] = [*_bag_amounts(room, answer)]
    pairs += [
        ("bag", Cell(salinity(answer.bag))),
        ("tank now", Cell(f"{salinity(state.salinity)}; {figure(state.litres, room)}")),
        ("let go at", Cell(f"{low:.1f}–{high:.1f} g/kg, within 0.001 of specific gravity{near}")),
    ]
    if answer.way == "lower":
        pace = store.treatment("hyposalinity").needed("raising_per_day_salinity")
        text = f"at most {pace.value:g} g/kg a day{notes.mark(words.citation(pace))}: {answer.days:.1f} d back to "
        pairs.append(("then up", Cell(text + f"{state.salinity:.1f} g/kg")))
    parts: list[Part] = [Facts(pairs=tuple(pairs))]
    if answer.way == "lower":
        parts.append(_slow_rule(answer, notes, known.needed("raising_per_day_gravity")))
    return water_page(
        f"Bag · {state.tank}",
        at,
        parts,
        notes,
        to_know=_bag_notes(answer),
        cautions=care("bag"),
        working=answer.working if working else None,
        next_=command(state.tank, "--to", f"{state.salinity:.3g} g/kg", "--salinity", f"{answer.bag:.3g} g/kg")
        if answer.way == "lower"
        else "",
    )


def _bag_amounts(room: Room, answer: BagAnswer) -> Iterator[tuple[str, Cell]]:
    if answer.way == "lower":
        assert answer.out is not None
        assert answer.fresh is not None
        yield "take out", Cell(figure(answer.out, room), "due")
        yield "fill up with", Cell(f"{words.volume(answer.fresh.value, room)} of fresh water, before the fish", "due")
    elif answer.way == "release":
        yield "change", Cell("none: bag and tank are near enough", "done")
    else:
        yield "change", Cell("no fresh water helps: the bag is the saltier of the two", "warning")


def _slow_rule(answer: BagAnswer, notes: Footnotes, rule: Sourced) -> Lines:
    limit = store.water_figures().needed("raising_limit_gravity")
    here = "this bag is below it" if gravity_of(answer.bag) < limit.value else "this bag is above it already"
    text = f"a slower rule in use: {rule.value:g} of specific gravity a day up to {limit.value:g}"
    return Lines(title="How fast", lines=(Cell(f"{text}{notes.mark(words.citation(rule))}; {here}"),), bullet="·")


def _bag_notes(answer: BagAnswer) -> Iterator[str]:
    if answer.way == "lower":
        yield "read the tank's salinity again before the fish goes over: the volume may be out by its error"
        yield "fish go up slowly and down easily: the tank comes to the bag, not the bag to the tank"
    if answer.way == "raise":
        goal = command(answer.state.tank, "--to", f"{answer.bag:.3g} g/kg")
        yield f"going down by that much at once is a strain too: raise the tank first, `{goal}`"
