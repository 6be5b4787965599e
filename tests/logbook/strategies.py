"""Entries of every kind for hypothesis, with names and figures as a keeper could write them."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from typing import Any

from hypothesis import strategies as st

from pratique.letters import HIDDEN
from pratique.logbook.amount import Quantity, read_quantity
from pratique.logbook.entry import KINDS, Common, Correction
from pratique.logbook.ids import spell

names = st.sampled_from(
    ["ward", "reef", "blue tub", "tub №2", "Wärd 3", "水槽", 'the "old" one', "back\\slash", "a: b"]
)
words = (
    st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cf", "Zl", "Zp", "Cn", "Co")), min_size=1)
    .map(lambda text: " ".join(text.split())[:200].strip())
    .filter(lambda text: text and not HIDDEN.search(text))
)
ids = st.integers(0, 28**7 - 1).map(spell)
offsets = st.integers(-14 * 4, 14 * 4).map(lambda quarters: dt.timezone(dt.timedelta(minutes=15 * quarters)))
moments = st.datetimes(dt.datetime(1991, 1, 1), dt.datetime(2148, 12, 31), timezones=offsets)  # noqa: DTZ001


def _figure(places: int, most: int) -> st.SearchStrategy[str]:
    return st.integers(1, most * 10**places).map(lambda number: f"{number / 10**places:.{places}f}")


def _quantity(sort: Any, *units: str, places: int = 2, most: int = 40) -> st.SearchStrategy[Quantity]:
    text = st.tuples(_figure(places, most), st.sampled_from(units)).map(lambda pair: f"{pair[0]} {pair[1]}".strip())
    return text.map(lambda written: read_quantity(written, sort))


amounts = _quantity("amount", "mL", "g", "L", "mg", "tablets")
volumes = _quantity("volume", "L", "mL", "gal_us", "gal_imp")
shares = _quantity("share", "%", "L", "gal_us")
levels = {
    what: _quantity(what, "mg/L", "ug/L", "mg/L ± 0.1 mg/L", "mg/L ± 5 %")
    for what in ("copper", "ammonia", "nitrite", "oxygen", "alkalinity")
}
values = {
    **levels,
    "ph": st.integers(400, 1100).map(lambda number: read_quantity(f"{number / 100:.2f}", "ph")),
    "temperature": _quantity("temperature", "degC"),
    "salinity": st.one_of(
        _quantity("salinity", "g/kg"),
        st.integers(990, 1060).map(lambda n: read_quantity(f"{n / 1000:.3f} sg at 25 degC", "salinity")),
    ),
}


def _maybe(strategy: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.one_of(st.none(), strategy)


def _reading() -> st.SearchStrategy[dict[str, Any]]:
    pairs = st.sampled_from(sorted(values)).flatmap(lambda what: st.tuples(st.just(what), values[what]))
    return st.builds(
        lambda pair, tank, kit: {"what": pair[0], "value": pair[1], "tank": tank, "kit": kit},
        pairs,
        names,
        _maybe(names),
    )


def _fixed(**fields: st.SearchStrategy[Any]) -> Callable[[], st.SearchStrategy[dict[str, Any]]]:
    return lambda: st.fixed_dictionaries(fields)


def _move() -> st.SearchStrategy[dict[str, Any]]:
    whos = st.sampled_from(
        [
            {"batch": "spring tangs"},
            {"animals": ("kole tang",)},
            {"batch": "b", "animals": ("x", "y")},
            {"things": ("rock",)},
        ]
    )
    tanks = st.permutations(["ward", "reef", "blue tub"])
    return st.builds(
        lambda who, tanks, source, count: {**who, "from": tanks[0] if source else None, "to": tanks[1], "count": count},
        whos, tanks, st.booleans(), _maybe(st.integers(1, 50)),
    )  # fmt: skip


signs = st.lists(st.sampled_from(["dust", "fast-breathing", "scratching"]), min_size=1, max_size=3, unique=True).map(
    tuple
)
counts = st.integers(1, 1_000_000)
either = st.booleans().flatmap(lambda tank: st.fixed_dictionaries({"tank" if tank else "gear": names}))
with_product = st.one_of(st.just({}), st.fixed_dictionaries({"product": names, "amount": amounts}))

_where = st.sampled_from([{"tank": "ward"}, {"batch": "spring tangs"}, {"tank": "ward", "batch": "b", "animal": "x"}])
_looked = _fixed(
    heads=_maybe(counts), eating=_maybe(st.booleans()), breaths=_maybe(st.integers(1, 600)),
    signs=st.one_of(st.just(()), signs),
)  # fmt: skip
_findings = st.one_of(
    st.just({}), st.fixed_dictionaries({"how": st.sampled_from(["microscope", "necropsy"]), "findings": words})
)

minutes = st.integers(1, 144_000).map(lambda hundredths: hundredths / 100)
_dipped = st.sampled_from(
    [{"batch": "spring tangs"}, {"animals": ("kole tang",)}, {"batch": "b", "animals": ("x", "y")}]
)
_dip = _fixed(treatment=names, tank=_maybe(names), minutes=_maybe(minutes), count=_maybe(counts))

FIELDS: dict[str, Callable[[], st.SearchStrategy[dict[str, Any]]]] = {
    "reading": _reading,
    "dose": _fixed(
        tank=names, treatment=_maybe(names), product=names, amount=amounts, into=st.sampled_from(["tank", "new-water"])
    ),
    "change": lambda: st.builds(lambda *parts: parts[0] | parts[1], _fixed(tank=names, volume=shares)(), with_product),
    "top-off": _fixed(tank=names, volume=volumes),
    "move": _move,
    "arrival": _fixed(batch=names, tank=names),
    "death": _fixed(tank=names, animal=names, batch=_maybe(names), count=counts),
    "found": _fixed(tank=names, animal=names, count=counts),
    "sign": _fixed(tank=names, animal=_maybe(names), batch=_maybe(names), signs=signs, count=_maybe(counts)),
    "fed": _fixed(tank=names, food=_maybe(words), treatment=_maybe(names)),
    "look": lambda: st.builds(lambda where, rest, found: {**where, **rest, **found}, _where, _looked(), _findings),
    "dip": lambda: st.builds(lambda *parts: parts[0] | parts[1] | parts[2], _dipped, _dip(), with_product),
    "out": _fixed(dip=ids, minutes=minutes, how=st.sampled_from(["whole", "early", "distress"])),
    "done": _fixed(task=st.sampled_from(["spring-tangs/transfers/transfer/1", "水/x/1"])),
    "skipped": _fixed(task=st.just("spring-tangs/transfers/transfer/1"), why=_maybe(words)),
    "gear": _fixed(gear=names, tank=names),
    "cleaned": lambda: either,
    "dried": lambda: either,
    "opened": _fixed(product=names),
    "bought": _fixed(product=names, amount=amounts),
    "spoiled": _fixed(product=names, amount=_maybe(amounts)),
    "note": _fixed(tank=_maybe(names), note=words),
}
"""Kind to its own fields."""


@st.composite
def events(draw: st.DrawFn, id_: str | None = None) -> Common:
    """Any entry but a correction."""
    kind = draw(st.sampled_from(sorted(FIELDS)))
    common = {
        "id": id_ or draw(ids),
        "at": draw(moments),
        "written": draw(moments),
        "by": draw(_maybe(names)),
        "note": draw(_maybe(words)),
    }
    fields = FIELDS[kind]().filter(lambda own: own.get("dip") != common["id"])
    return KINDS[kind].model_validate({**common, **draw(fields)})


@st.composite
def corrections(draw: st.DrawFn, of: str) -> Correction:
    """A correction of an entry, or a withdrawal."""
    instead = draw(_maybe(events(of)))
    own = draw(ids.filter(lambda id_: id_ != of))
    return Correction(id=own, at=draw(moments), written=draw(moments), of=of, instead=instead, why=draw(_maybe(words)))


@st.composite
def logs(draw: st.DrawFn, most: int = 12) -> list[Common]:
    """Entries with ids of their own, some of them corrections of others and of corrections."""
    made: list[Common] = []
    for id_ in draw(st.lists(ids, unique=True, min_size=1, max_size=most)):
        if made and draw(st.booleans()):
            of = draw(st.sampled_from(made)).id
            made.append(draw(corrections(of)).model_copy(update={"id": id_}))
        else:
            made.append(draw(events(id_)))
    return made
