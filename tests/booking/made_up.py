"""Made-up cases for the search: wishes over some weeks, few waters, stays that are there already, and limits."""

from __future__ import annotations

import random

from pratique.booking.case import Case, Daily, Leg, Limit, Sets, Shelf, Store, Taken, Use, Want, Way

DAY = 1440
FIRST = 20_000


def case(seed: int, *, most_wants: int = 6) -> Case:
    """A case of up to so many wishes; about every third has each kind of limit, and some wishes may mix."""
    dice = random.Random(seed)
    tubs, wards, long = dice.randint(1, 4), dice.randint(1, 2), dice.randint(1, 3)
    waters = tubs + wards + long
    volumes = tuple(dice.choice((20_000, 40_000, 60_000)) for _ in range(waters))
    taken: list[tuple[Taken, ...]] = []
    for _ in range(waters):
        start = (FIRST + dice.randint(0, 12)) * DAY
        is_taken = dice.random() < 0.3
        taken.append((Taken(start, start + dice.randint(2, 9) * DAY, "there already"),) if is_taken else ())
    limits = _limits(dice)
    count = dice.randint(2, most_wants)
    pools = (range(tubs), range(tubs, tubs + wards), range(tubs + wards, waters))
    mixers = {w for w in range(count) if dice.random() < 0.25}
    wants = tuple(_want(dice, w, pools, limits, mixers - {w} if w in mixers else set()) for w in range(count))
    return Case(
        waters=tuple(f"water {number}" for number in range(waters)), volumes=volumes, taken=tuple(taken),
        limits=limits, wants=wants,
    )  # fmt: skip


def _limits(dice: random.Random) -> tuple[Limit, ...]:
    found: list[Limit] = []
    if dice.random() < 0.3:
        found.append(Daily(name="work", most=dice.randint(30, 80), base={FIRST + 3: 30}))
    if dice.random() < 0.3:
        found.append(Sets(name="gear", most=dice.randint(1, 2), lasting=DAY, base=((FIRST + 4) * DAY + 500,)))
    if dice.random() < 0.3:
        found.append(
            Store(
                name="mixed water",
                holds=dice.choice((60_000, 120_000)),
                per_day=dice.choice((5_000, 20_000)),
                first=FIRST,
                stock=dice.choice((0, 40_000)),
                base={FIRST + 5: 30_000},
            )
        )
    if dice.random() < 0.3:
        bottles = ((FIRST + 10, 60_000), (None, dice.choice((0, 40_000, 90_000))))
        found.append(Shelf(name="copper", bottles=bottles, base={FIRST + 2: 20_000}))
    return tuple(found)


def _want(
    dice: random.Random, number: int, pools: tuple[range, ...], limits: tuple[Limit, ...], mixable: set[int]
) -> Want:
    """Stages by a pattern the wishes share, so that two that mix have the same stays on the same day."""
    pattern = dice.choice(((0, 2), (1, 2), (2,), (1,))) if not mixable else (1, 2)
    lengths = [dice.randint(2, 7) if not mixable else 5 for _ in pattern]
    earliest, span = dice.randint(0, 8), dice.randint(1, 12)
    narrow = [dice.random() < 0.2 for _ in pattern]
    ways: list[Way] = []
    for wait in range(span):
        start = (FIRST + earliest + wait) * DAY + 1100
        legs: list[Leg] = []
        at = start
        for place, (pool, days) in enumerate(zip(pattern, lengths, strict=True)):
            members = tuple(pools[pool])[: 1 if narrow[place] and not mixable else None]
            legs.append(Leg(members, at, at + (days + 1) * DAY))
            if pool == 0:
                legs.append(Leg(tuple(pools[0]), at, at + days * DAY))
            at += days * DAY
        uses = _uses(limits, start, len(legs))
        key = FIRST + earliest + wait if mixable else -1
        ways.append(Way(wait, len(legs), tuple(legs), uses, key))
        if len(legs) > 1 and wait % 3 == 0 and not mixable:
            stay = Leg(legs[0].pool, legs[0].start, legs[-1].end + 2 * DAY)
            ways.append(Way(wait, 0, (stay,), _uses(limits, start, 1), -1))
    ways.sort(key=lambda way: (way.wait, way.moves))
    least = dice.choice((0, 15_000, 30_000)) if mixable else 0
    fit = tuple(ways)
    return Want(
        name=f"wish {number}", priority=dice.randint(1, 3), ways=fit, mixable=frozenset(mixable), least=least
    )


def _uses(limits: tuple[Limit, ...], start: int, legs: int) -> tuple[Use, ...]:
    found: list[Use] = []
    day = start // DAY
    for number, limit in enumerate(limits):
        if isinstance(limit, Daily):
            found += [Use(number, day + offset, 20 if offset % 3 == 0 else 10) for offset in range(6)]
        elif isinstance(limit, Sets):
            found += [Use(number, start + offset * DAY * 2, 1) for offset in range(legs)]
        elif isinstance(limit, Store):
            found += [Use(number, day + offset, 1000, offset % legs) for offset in range(2)]
        else:
            found.append(Use(number, day + 1, 800, 0))
    return tuple(found)
