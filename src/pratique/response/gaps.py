"""What is missing, said first: the next best that is there, what that does not do, and what to buy in the morning."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dates import shown_day
from pratique.figure import digits
from pratique.knowledge import store
from pratique.knowledge.model import Treatment
from pratique.problem import quoted
from pratique.response.chosen import Chosen
from pratique.response.medicine import is_missing, role_of, shown
from pratique.response.model import Gap
from pratique.response.moments import Moments
from pratique.response.need import Need, Needs
from pratique.response.needs import NO_KIT, what_to_buy
from pratique.response.on_file import on_file
from pratique.response.places import Fill
from pratique.response.scene import Case
from pratique.room.values import treatment_for

CARE = "clean water, air, quiet, and this water kept apart from every other"


def gaps_for(case: Case, chosen: Chosen, needs: Needs, when: Moments) -> tuple[Gap, ...]:
    """What tonight's work lacks, what costs most first."""
    return tuple(_gaps(case, chosen, needs, when))


def _gaps(case: Case, chosen: Chosen, needs: Needs, when: Moments) -> Iterator[Gap]:
    yield from _medicines(case, chosen, needs)
    if not when.attended and case.cover:
        yield Gap(
            kind="person",
            what=f"somebody to look and to read a test on {shown_day(when.tomorrow)}",
            instead="call one now and leave this sheet; else begin no copper tonight",
            lacks="nobody reads the level, tests ammonia, or takes a dead one out",
            buy="",
        )
    for need in needs.short:
        if need.kind == "tank":
            yield _tank(case, chosen, need)
        if need.kind == "vessel":
            yield Gap(
                kind="vessel",
                what=need.what,
                instead="a clean food-grade bucket, filled by a measured jug to 10 L: the amounts are for that",
                lacks="an unmeasured bucket gives no dose",
                buy=need.buy,
            )
    yield from _water(case, chosen, needs)
    for need in needs.short:
        if need.kind in SMALL:
            instead = _instead(case, need, SMALL[need.kind])
            yield Gap(kind=need.kind, what=need.what, instead=instead, lacks=_lacks(need), buy=need.buy)


SMALL = {
    "test": "ask a neighbour or a shop to read it tonight",
    "gear": "keep the first net and cup that got wet with the sick fish",
    "syringe": "a dosing cup or a kitchen syringe with marks",
}
"""Kind of need to the next best; what that does not do is `_lacks`."""


def _lacks(need: Need) -> str:
    if need.kind == "test":
        return f"without it: {need.why}"
    return "it is lost to every other tank" if need.kind == "gear" else "no amount finer than its marks"


def _instead(case: Case, need: Need, instead: str) -> str:
    if need.kind == "gear" and case.room.written.gear:
        name = next(iter(case.room.written.gear))
        return f"{name}: it stays with the sick fish, and serves no other tank until bleached and dried"
    if need.kind == "test" and need.what.endswith("copper"):
        return "none: copper is not begun without a kit that reads its form"
    return instead


def _medicines(case: Case, chosen: Chosen, needs: Needs) -> Iterator[Gap]:
    """Bottles that are not there, last only for a beginning, or will not do; then agents that nothing here reaches."""
    for need in needs.of("product"):
        taken = next((o for o in chosen.options if o.chosen and o.treatment == need.treatment), None)
        if need.enough:
            continue
        amount = f", {shown(case, need.need)}" if need.need is not None else ""
        each = " for each 10 L" if chosen.place.each and need.need is not None and taken is None else ""
        if taken is not None and need.have is not None:
            yield Gap(
                kind="product",
                what=f"{need.what}: {shown(case, need.have)} are left, it takes {shown(case, need.need or need.have)}",
                instead="begin with what there is",
                lacks="a level that cannot be kept is not a treatment",
                buy=f"{need.buy}: {need.what}{amount} and as much again for changes",
            )
            continue
        instead, lacks = _next_best(chosen, case, need.treatment)
        refused = next((o.refused for o in chosen.options if o.treatment == need.treatment), None)
        if refused is not None and not is_missing(refused):
            what = f"{need.what}: {refused.message} ({refused.code})"
            yield Gap(kind="product", what=what, instead=f"{refused.hint}; until then {instead}", lacks=lacks, buy="")
            continue
        is_there = need.name != "" and refused is not None and refused.code == NO_KIT
        takes = f"; the first night takes{amount.lstrip(',')}{each} of that" if amount and not is_there else ""
        buy = need.buy + takes
        what = f"{need.what}{_why_not(chosen, need)}"
        yield Gap(kind="product", what=what, instead=instead, lacks=lacks, buy=buy)
    named = {need.treatment for need in needs.of("product")}
    for agent in chosen.uncovered:
        if not any(answer.treatment in named for answer in store.response().answers_to(agent)):
            yield _no_answer(case, chosen, agent)


def _why_not(chosen: Chosen, need: Need) -> str:
    """Why what is there will not do; that it is not there at all needs no reason."""
    option = next((o for o in chosen.options if o.treatment == need.treatment), None)
    if option is None or option.refused is None or option.refused.code == "D449":
        return ""
    return f": {option.refused.message} ({option.refused.code})"


def _next_best(chosen: Chosen, case: Case, treatment: str) -> tuple[str, str]:
    """What is taken instead, and what it leaves; where nothing is, plain care.

    A bath or dip stands in for a held treatment; for a bath nothing does that leaves its agents uncovered.
    """
    against = {a.agent for a in store.response().answers if a.treatment == treatment}
    wanted = [agent for agent in case.cover if agent in against]
    if role_of(store.treatment(treatment)) != "held":
        wanted = [agent for agent in wanted if agent in chosen.uncovered] or wanted
    for option in chosen.options:
        stands_in = option.chosen or (option.role == "course" and option.suits)
        if stands_in and option.refused is None and set(option.covers) & set(wanted):
            open_ = [store.pathogen(agent).short for agent in chosen.uncovered if agent not in option.covers]
            nothing = f"; it does nothing to {', '.join(open_)}" if open_ else ""
            note = f"; {option.note}" if option.note else ""
            return f"{option.title}: {option.does}{note}", f"it leaves {option.leaves}{nothing}"
    return CARE, f"it does nothing to {', '.join(store.pathogen(agent).short for agent in wanted)}"


def _no_answer(case: Case, chosen: Chosen, agent: str) -> Gap:
    answers = store.response().answers_to(agent)
    known = [treatment_for(case.room, answer.treatment) for answer in answers]
    titles = " or ".join(dict.fromkeys(treatment.title for treatment in known))
    vet = any(treatment.decided_by for treatment in known)
    short = store.pathogen(agent).short
    if vet and all(treatment.decided_by for treatment in known):
        names = [given.name for treatment in known for given in on_file(case, treatment)]
        has = f", and say that {quoted(names[0])} is on file" if names else ""
        return Gap(kind="product", what=f"{titles}, against {short}", instead=CARE, lacks=f"it does nothing to {short}",
                   buy=f"a veterinarian decides, nobody else: call first thing in the morning{has}")  # fmt: skip
    instead, lacks = _next_best(chosen, case, answers[0].treatment)
    what = f"{titles}, against {short}"
    return Gap(kind="product", what=what, instead=instead, lacks=lacks, buy=_bottles(case, known))


def _bottles(case: Case, known: list[Treatment]) -> str:
    return next((said for t in known if (said := what_to_buy(case, t.id))), "ask a veterinarian")


def _tank(case: Case, chosen: Chosen, need: Need) -> Gap:
    place = chosen.place
    if place.each:
        instead = "a food-grade tub or bucket with a lid, the largest there is; amounts are for each 10 L you pour in"
    else:
        instead = place.tank
        if place.fill is not None:
            instead += f", {digits(place.fill.litres)} L"
    lacks = "little water fouls fast: test and change it daily"
    return Gap(kind="tank", what=need.what, instead=instead, lacks=lacks, buy=need.buy)


def _water(case: Case, chosen: Chosen, needs: Needs) -> Iterator[Gap]:
    fill = chosen.place.fill
    water, salt = needs.of("mixed water"), needs.of("salt")
    if not water:
        return
    if fill is None:
        if not water[0].enough and not salt[0].enough:
            text = "change what there is, and stop feeding"
            yield _unmixed(water[0], salt[0], text, "little dilutes little")
        return
    if fill.mixed >= fill.litres:
        return
    if fill.salt_short:
        own = "as much as is missing" if chosen.place.each else f"{digits(fill.own)} L"
        text, lacks = f"{own} of their own water fill it up", "it brings along what swims in it"
        yield _unmixed(water[0], salt[0], text, lacks)
        return
    assert fill.salt is not None
    mixed, takes = (f"{digits(litres)} L" for litres in (fill.mixed, fill.litres))
    yield Gap(
        kind="mixed water",
        what=f"mixed water: {mixed} of the {takes} it takes",
        instead=f"mix {digits(fill.to_mix)} L now with {_salt(fill)}, warm it, and measure twice",
        lacks="it is not as settled as water that stood overnight",
        buy="salt, if it runs low, and a container: keep mixed water ready in it from now on",
    )


def _salt(fill: Fill) -> str:
    assert fill.salt is not None
    return f"{digits(fill.salt.low)} to {digits(fill.salt.high)} g of salt"


def _unmixed(water: Need, salt: Need, instead: str, lacks: str) -> Gap:
    need = f"{digits(water.need.value)} L" if water.need is not None else "? L"
    have = f"{digits(water.have.value if water.have is not None else 0.0)} L"
    held = "no salt is on file" if salt.have is None else f"{digits(salt.have.value)} g of salt"
    more = f", {digits(salt.need.high)} g" if salt.need is not None and salt.need.high else ""
    return Gap(
        kind="salt",
        what=f"salt water: {have} of {need} are mixed, and {held}",
        instead=instead,
        lacks=lacks,
        buy=f"{salt.buy}{more}; before using it, salt or ready sea water of the same salinity from a shop",
    )
