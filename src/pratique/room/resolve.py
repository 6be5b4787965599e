"""The room as it hangs together: names looked up, times made absolute, tanks gathered into waters."""

from __future__ import annotations

import datetime as dt
import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pratique.knowledge import store
from pratique.knowledge.model import Group
from pratique.problem import Place, Problem, near_names
from pratique.quantity import Measure
from pratique.room import model
from pratique.room.fields import When
from pratique.room.read import Document, Path_


@dataclass(frozen=True, slots=True, kw_only=True)
class Animal:
    """One line of animals: `count` of one species, its group looked up."""

    label: str
    scientific: str
    group: Group
    count: int
    size: Measure | None
    signs: tuple[str, ...]
    jumps: bool
    path: Path_
    name: str = ""
    tank: str = ""
    scaleless: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    name: str
    water: str
    written: model.Tank
    path: Path_

    @property
    def use(self) -> str:
        return self.written.use


@dataclass(frozen=True, slots=True, kw_only=True)
class Water:
    """Tanks that share one body of water; doses, clocks and contacts belong here."""

    name: str
    conditions: model.Conditions
    tanks: tuple[Tank, ...]
    sump: Measure | None
    path: Path_


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    name: str
    written: model.Batch
    arrives: dt.datetime
    animals: tuple[Animal, ...]
    signs: tuple[str, ...]
    path: Path_

    @property
    def head_count(self) -> int:
        return sum(animal.count for animal in self.animals)


@dataclass(frozen=True, slots=True, kw_only=True)
class AwayDays:
    start: dt.datetime
    end: dt.datetime
    stand_in: str


@dataclass(frozen=True, kw_only=True)
class Room:
    """A sound room: every name in it resolves."""

    document: Document
    written: model.RoomFile
    zone: ZoneInfo
    tanks: dict[str, Tank]
    waters: dict[str, Water]
    residents: tuple[Animal, ...]
    batches: dict[str, Batch]
    away: tuple[AwayDays, ...]
    overrides: Mapping[str, model.OwnValue] = field(default_factory=dict)

    @property
    def name(self) -> str:
        return self.written.room.name

    def water_of(self, tank: str) -> Water:
        return self.waters[self.tanks[tank].water]

    @cached_property
    def residents_by_water(self) -> dict[str, tuple[Animal, ...]]:
        found: dict[str, list[Animal]] = {}
        for animal in self.residents:
            found.setdefault(self.tanks[animal.tank].water, []).append(animal)
        return {water: tuple(animals) for water, animals in found.items()}

    def place(self, path: Path_, *, key: bool = False, label: str = "") -> Place:
        return self.document.place(path, key=key, label=label)


def resolve(document: Document, written: model.RoomFile) -> tuple[Room | None, list[Problem]]:
    """The room, or None with every reason why it does not hang together."""
    work = _Resolver(document, written)
    room = work.run()
    return (None if any(p.is_error for p in work.problems) else room), work.problems


class LocalTimeError(ValueError):
    """A wall time that does not exist, or exists twice, in the room's zone."""

    def __init__(self, code: str, message: str, hint: str) -> None:
        super().__init__(message)
        self.code, self.message, self.hint = code, message, hint


def absolute(when: When, zone: ZoneInfo, *, end_of_day: bool = False) -> dt.datetime:
    """The moment `when` means in `zone`. A date alone is its first moment, or its last with `end_of_day`.

    Raises LocalTimeError for a time skipped or repeated by a clock change without an offset.
    """
    if when.time is None:
        date = when.date + dt.timedelta(days=1) if end_of_day else when.date
        return dt.datetime.combine(date, dt.time(0), tzinfo=zone)
    naive = dt.datetime.combine(when.date, when.time)
    if when.offset is not None:
        return naive.replace(tzinfo=dt.timezone(when.offset)).astimezone(zone)
    early, late = naive.replace(tzinfo=zone, fold=0), naive.replace(tzinfo=zone, fold=1)
    if early.utcoffset() == late.utcoffset():
        return early
    shown = f"{when.time:%H:%M} on {when.date:%d %B %Y}"
    if early.astimezone(dt.UTC).astimezone(zone).replace(tzinfo=None) != naive:
        after = early.astimezone(dt.UTC).astimezone(zone)
        raise LocalTimeError("F116", f"{shown} does not exist in {zone.key}: the clocks go forward over it", f"write the time the clock shows, such as `{after:%Y-%m-%dT%H:%M}`")
    first, second = (f"{when.date.isoformat()}T{when.time:%H:%M}{_offset(moment)}" for moment in (early, late))
    raise LocalTimeError("F117", f"{shown} happens twice in {zone.key}: the clocks go back over it", f"write `{first}` for the first, `{second}` for the second")


def _offset(moment: dt.datetime) -> str:
    text = moment.strftime("%z")
    return f"{text[:3]}:{text[3:]}"


class _Resolver:
    def __init__(self, document: Document, written: model.RoomFile) -> None:
        self.document, self.written = document, written
        self.problems: list[Problem] = []
        self._species: dict[tuple[str, str | None], tuple[str, Group, bool] | None] = {}

    def report(self, code: str, path: Path_, message: str, hint: str = "", *, key: bool = False, note: str = "", also: tuple[Place, ...] = ()) -> None:
        place = self.document.place(path, key=key)
        self.problems.append(Problem(code=code, message=message, places=(place, *also), hint=hint, note=note))

    def run(self) -> Room | None:
        w = self.written
        zone = self._zone()
        if zone is None:
            return None
        self._look_alikes()
        tanks = {name: model_tank for name, model_tank in self._tanks()}
        waters = self._waters(tanks)
        away = tuple(self._away(zone))
        residents = tuple(self._residents(tanks, zone))
        batches = dict(self._batches(tanks, zone))
        self._shelf(zone)
        self._values()
        self._regimens()
        return Room(document=self.document, written=w, zone=zone, tanks=tanks, waters=waters, residents=residents,
                    batches=batches, away=away, overrides=w.values)

    def _zone(self) -> ZoneInfo | None:
        key = self.written.room.time_zone
        try:
            if "/" not in key and key != "UTC":
                raise ZoneInfoNotFoundError(key)
            return ZoneInfo(key)
        except (ZoneInfoNotFoundError, ValueError, OSError):
            from zoneinfo import available_timezones

            near = near_names(key, available_timezones())
            hint = f"did you mean `{near[0]}`? nothing was changed" if near else "write continent and city, such as `Europe/Lisbon` or `America/New_York`"
            self.report("F113", ("room", "time_zone"), f"unknown time zone `{key}`", hint)
            return None

    def _look_alikes(self) -> None:
        for section in ("tanks", "waters", "batches", "shelf", "kits", "gear", "vessels", "regimens"):
            seen: dict[str, str] = {}
            for name in getattr(self.written, section):
                folded = _skeleton(name)
                if folded in seen:
                    first = self.document.place((section, seen[folded]), key=True, label="first here")
                    self.report("F119", (section, name), f"`{name}` and `{seen[folded]}` can be taken for each other", "rename one, so that a label cannot be misread", key=True, also=(first,))
                seen[folded] = name

    def _tanks(self) -> Iterator[tuple[str, Tank]]:
        for name, written in self.written.tanks.items():
            path: Path_ = ("tanks", name)
            if written.water is not None and written.water not in self.written.waters:
                self._unknown(path + ("water",), "water", written.water, self.written.waters)
            if written.water is not None:
                for key in model.CONDITION_KEYS:
                    if key in written.model_fields_set:
                        label = "this tank shares that water"
                        other = self.document.place(path + ("water",), label=label)
                        self.report("F120", path + (key,), f"`{key}` belongs to the water `{written.water}`, not to one tank in it", f"move the line to `waters:` under `{written.water}`", key=True, also=(other,))
            elif name in self.written.waters:
                self.report("F119", path, f"`{name}` is also the name of a water, which this tank does not share", f"add `water: {name}` to the tank, or rename one", key=True)
            if written.volume.sand is not None and written.substrate == "bare":
                other = self.document.place(path + ("substrate",), key=True, label="bare, if nothing is said")
                self.report("F120", path + ("volume", "sand"), "there is sand in the volume, but the tank is `bare`", "add `substrate: calcareous` (or `inert`), or delete `sand`", also=(other,))
            if written.volume.rock is not None and written.rock == "none":
                self.report("F120", path + ("volume", "rock"), "there is rock in the volume, but the tank has none", "add `rock: calcareous` (or `inert`) to the tank, or delete it from the volume")
            yield name, Tank(name=name, water=written.water or name, written=written, path=path)

    def _waters(self, tanks: Mapping[str, Tank]) -> dict[str, Water]:
        members: dict[str, list[Tank]] = {name: [] for name in self.written.waters}
        for tank in tanks.values():
            members.setdefault(tank.water, []).append(tank)
        found = {}
        for name, inside in members.items():
            shared = self.written.waters.get(name)
            path: Path_ = ("waters", name) if shared is not None else ("tanks", name)
            if not inside:
                self.report("F118", path, f"no tank is in the water `{name}`", f"add `water: {name}` to its tanks, or delete it", key=True)
                continue
            conditions: model.Conditions = shared if shared is not None else inside[0].written
            found[name] = Water(name=name, conditions=conditions, tanks=tuple(inside), sump=shared.sump if shared else None, path=path)
        for name, water in found.items():
            for index, holds in enumerate(water.conditions.holds):
                if holds.treatment not in store.treatment_ids():
                    self._unknown(found[name].path + ("holds", index, "treatment"), "treatment", holds.treatment, store.treatment_ids())
        return found

    def _away(self, zone: ZoneInfo) -> Iterator[AwayDays]:
        for index, away in enumerate(self.written.room.away):
            path: Path_ = ("room", "away", index)
            start, end = self._moment(away.from_, zone, path + ("from",)), self._moment(away.to, zone, path + ("to",), end_of_day=True)
            if start and end and start >= end:
                self.report("F118", path + ("to",), "the days away end before they begin", "swap `from` and `to`")
            elif start and end:
                yield AwayDays(start=start, end=end, stand_in=away.stand_in or "")

    def _residents(self, tanks: Mapping[str, Tank], zone: ZoneInfo) -> Iterator[Animal]:
        for index, written in enumerate(self.written.animals):
            path: Path_ = ("animals", index)
            if written.tank not in tanks:
                self._unknown(path + ("tank",), "tank", written.tank, tanks)
            if written.since is not None:
                self._moment(written.since, zone, path + ("since",))
            animal = self._animal(written, path, tank=written.tank)
            if animal is not None:
                yield animal

    def _animal(self, written: model.Animal, path: Path_, tank: str = "") -> Animal | None:
        for index, sign in enumerate(written.signs):
            self._sign(sign, path + ("signs", index))
        found = self._species_of(written, path)
        if found is None:
            return None
        scientific, group, jumps = found
        label = written.name or written.species
        return Animal(label=label, scientific=scientific, group=group, count=written.count, size=written.size, signs=written.signs,
                      jumps=jumps, path=path, name=written.name or "", tank=tank, scaleless=written.scaleless)

    def _species_of(self, written: model.Animal, path: Path_) -> tuple[str, Group, bool] | None:
        key = (written.species.lower(), written.group)
        if key not in self._species:
            self._species[key] = self._look_up(written, path)
        elif self._species[key] is None:
            self._look_up(written, path)
        return self._species[key]

    def _look_up(self, written: model.Animal, path: Path_) -> tuple[str, Group, bool] | None:
        groups = store.groups()
        if written.group is not None and written.group not in groups:
            self._unknown(path + ("group",), "group", written.group, groups)
            return None
        scientific = store.species_index().get(written.species.lower())
        if scientific is None:
            if written.group is not None:
                return written.species, groups[written.group], False
            near = near_names(written.species, store.species_index())
            hint = ("did you mean " + " or ".join(f"`{n}` ({store.species_index()[n]})" for n in near) + "? nothing was changed") if near else (
                "add the group it belongs to, such as `group: wrasse`: " + ", ".join(groups))
            note = "" if near else "the group decides which treatments it may not have"
            self.report("F113", path + ("species",), f"unknown species `{written.species}`", hint, note=note)
            return None
        record = store.species()[scientific]
        if written.group is not None and written.group != record.group:
            self.report("F120", path + ("group",), f"`{written.species}` is in the group `{record.group}`, not `{written.group}`", "delete the line `group`, or check the species")
            return None
        return scientific, groups[record.group], record.jumps

    def _sign(self, sign: str, path: Path_) -> None:
        if sign not in store.signs():
            self._unknown(path, "sign", sign, store.signs())

    def _batches(self, tanks: Mapping[str, Tank], zone: ZoneInfo) -> Iterator[tuple[str, Batch]]:
        for name, written in self.written.batches.items():
            path: Path_ = ("batches", name)
            arrives = self._moment(written.arrives, zone, path + ("arrives",))
            for index, sign in enumerate(written.signs):
                self._sign(sign, path + ("signs", index))
            animals = [self._animal(animal, path + ("animals", index)) for index, animal in enumerate(written.animals)]
            if written.into is not None and written.into not in tanks:
                self._unknown(path + ("into",), "tank", written.into, tanks)
            if written.regimen is not None:
                known = {**store.regimens(), **self.written.regimens}
                if written.regimen not in known:
                    self._unknown(path + ("regimen",), "regimen", written.regimen, known)
            if written.treatment is not None and written.treatment not in store.treatment_ids():
                self._unknown(path + ("treatment",), "treatment", written.treatment, store.treatment_ids())
            if arrives is None or None in animals:
                continue
            if written.arrives.time is None:
                hours = self.written.room.hours
                arrives = dt.datetime.combine(written.arrives.date, hours[-1].start, tzinfo=zone)
            kept = tuple(animal for animal in animals if animal is not None)
            signs = tuple(dict.fromkeys([*written.signs, *(s for a in kept for s in a.signs)]))
            yield name, Batch(name=name, written=written, arrives=arrives, animals=kept, signs=signs, path=path)

    def _shelf(self, zone: ZoneInfo) -> None:
        for name, product in self.written.shelf.items():
            path: Path_ = ("shelf", name)
            if product.active == "copper" and product.form is None:
                self.report("F125", path, f"the copper product `{name}` has no `form`", "add `form: ionic`, `form: amine` or `form: chelated`; the label or its data sheet says which", key=True,
                            note="the bands differ: 0.15 to 0.20, about 0.5, and 2.0 to 2.5 mg/L")
            elif product.active != "copper" and product.form is not None:
                self.report("F120", path + ("form",), "a form is stated for something that is not copper", "delete the line `form`", key=True)
            self._substance(product, path)
            for key in ("opened", "expires"):
                when = getattr(product, key)
                if when is not None:
                    self._moment(when, zone, path + (key,))
            unit = {"mL": "mL", "g": "g", "tablet": "tablet"}[product.strength.per]
            if product.left is not None and product.left.unit != unit:
                self.report("F120", path + ("left",), f"what is left is in {product.left.unit}, the strength is per {unit}", f"write what is left in {unit}",
                            also=(self.document.place(path + ("strength",), label=f"per {unit}"),))
        for name, kit in self.written.kits.items():
            if kit.measures == "copper" and not kit.forms:
                self.report("F125", ("kits", name), f"the copper kit `{name}` does not say for which `forms`", "add such as `forms: [ionic]`; a free-copper kit reads chelated copper too low", key=True)

    def _substance(self, product: model.Product, path: Path_) -> None:
        known = {name.lower(): record for record in store.substances().values() for name in (record.id, *record.names)}
        found = known.get(product.strength.substance.lower())
        if found is None:
            self._unknown(path + ("strength",), "substance", product.strength.substance, [n for r in store.substances().values() for n in (*r.names, r.id)])
        elif found.active != product.active:
            self.report("F120", path + ("strength",), f"the strength is of {found.active}, the product is {product.active}", "check `active` and what the strength is counted as",
                        also=(self.document.place(path + ("active",), label=product.active),))

    def _values(self) -> None:
        for name, own in self.written.values.items():
            path: Path_ = ("values", name)
            record, _, number = name.partition(".")
            if record not in store.treatment_ids() and record not in store.pathogen_ids():
                self._unknown(path, "treatment or pathogen", record, (*store.treatment_ids(), *store.pathogen_ids()), key=True)
                continue
            known = store.treatment(record) if record in store.treatment_ids() else store.pathogen(record)
            if number not in known.numbers:
                self._unknown(path, f"number of {record}", number, known.numbers, key=True)
                continue
            self._own_value(own, known.numbers[number], path)

    def _own_value(self, own: model.OwnValue, numbers: Any, path: Path_) -> None:
        from pratique.knowledge.model import read_figure

        if own.use is not None:
            sources = [number.source for number in numbers]
            if own.use not in sources:
                self._unknown(path + ("use",), "source for this number", own.use, sources)
            return
        assert own.value is not None
        try:
            figure = read_figure(own.value)
        except ValueError as error:
            hint = getattr(error, "hint", "") or f"write a number and its unit, such as `{numbers[0].value:g} {numbers[0].unit}`"
            self.report("U209", path + ("value",), f"`{own.value}` cannot be read", hint)
            return
        if figure.unit != numbers[0].unit:
            self.report("U209", path + ("value",), f"`{own.value}` is not in {numbers[0].unit}", f"write such as `{numbers[0].value:g} {numbers[0].unit}`")

    def _regimens(self) -> None:
        for name, regimen in self.written.regimens.items():
            for index, stage in enumerate(regimen.stages):
                path: Path_ = ("regimens", name, "stages", index)
                for position, treatment in enumerate(stage.treatments):
                    if treatment not in store.treatment_ids():
                        self._unknown(path + ("treatments", position), "treatment", treatment, store.treatment_ids())
            if name in store.regimens():
                self.report("F119", ("regimens", name), f"`{name}` is the name of a regimen that ships with the program", "give yours another name", key=True)

    def _moment(self, when: When, zone: ZoneInfo, path: Path_, *, end_of_day: bool = False) -> dt.datetime | None:
        try:
            return absolute(when, zone, end_of_day=end_of_day)
        except LocalTimeError as error:
            self.report(error.code, path, error.message, error.hint)
        except OverflowError:
            self.report("F115", path, f"`{when.text}` is outside the calendar", "check the year")
        return None

    def _unknown(self, path: Path_, what: str, word: str, known: Any, *, key: bool = False) -> None:
        near = near_names(word, known)
        if near:
            hint = "did you mean " + " or ".join(f"`{name}`" for name in near) + "? nothing was changed"
        else:
            names = list(known)
            hint = "known: " + ", ".join(str(n) for n in names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "") if names else ""
        self.report("F113", path, f"unknown {what} `{word}`", hint, key=key)


def _skeleton(name: str) -> str:
    """Names that fold to the same skeleton can be misread for one another on a wet label."""
    plain = "".join(c for c in unicodedata.normalize("NFKD", name.casefold()) if not unicodedata.combining(c))
    return " ".join(plain.translate(_LETTERS).split())


# Cyrillic and Greek letters that look Latin; 0 and 1 that look like o and l; joiners that look like a space.
_LETTERS = str.maketrans("аеорсухіјѕԁһνορακ01_-", "aeopcyxijsdhvopakol  ")
