"""Animals looked up, and batches with the moment they arrive."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping

from pratique.knowledge import store
from pratique.problem import quoted
from pratique.room import model
from pratique.room.arrivals import Arrival
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.known import Kind, check_signs, check_treatment, look_up_species
from pratique.room.things import Animal, Batch, Tank, Wish
from pratique.room.times import When, settled
from pratique.room.wished import check_booked, check_days, check_wish

LONG_HOURS = dt.timedelta(hours=4)
"""Working hours longer than this are not a visit in the morning or evening, but a day's work."""


class Animals:
    """Looks up each kind of animal once, but reports each place in which an unknown one stands."""

    def __init__(self, findings: Findings) -> None:
        self._findings = findings
        self._kinds: dict[tuple[str, str | None], Kind] = {}
        self._uses: dict[str, tuple[str, ...]] = {}

    def residents(self, tanks: Mapping[str, Tank]) -> Iterator[Animal]:
        findings = self._findings
        for index, written in enumerate(findings.written.animals):
            path: Path_ = ("animals", index)
            self._check_tank(written.tank, tanks, (*path, "tank"))
            findings.moment(written.since, (*path, "since"))
            animal = self._animal(written, path, tank=written.tank)
            if animal is not None:
                yield animal

    def batches(self, tanks: Mapping[str, Tank]) -> Iterator[Batch]:
        for name, written in self._findings.written.batches.items():
            path: Path_ = ("batches", name)
            self._check_batch(written, tanks, path)
            check_booked(self._findings, written, tanks, path)
            arrives = self._arrival(written.arrives, (*path, "arrives"))
            animals = self._all(written.animals, (*path, "animals"))
            if arrives is not None:
                signs = dict.fromkeys(
                    [*written.signs, *(sign for animal in animals for sign in animal.signs)]
                )
                yield Batch(
                    name=name,
                    written=written,
                    arrives=arrives,
                    animals=animals,
                    signs=tuple(signs),
                    path=path,
                )

    def wishes(self, tanks: Mapping[str, Tank]) -> Iterator[Wish]:
        for name, written in self._findings.written.wishes.items():
            wish = self.wish(name, written, tanks)
            if wish is not None:
                yield wish

    def wish(self, name: str, written: model.Wish, tanks: Mapping[str, Tank]) -> Wish | None:
        """One wish, whose days are in order."""
        path: Path_ = ("wishes", name)
        self._check_batch(written, tanks, path)
        earliest = self._arrival(written.earliest, (*path, "earliest"))
        latest = self._arrival(written.latest, (*path, "latest"))
        animals = self._all(written.animals, (*path, "animals"))
        companion = self._all(written.companion, (*path, "companion"))
        if earliest is None or latest is None or not check_days(self._findings, earliest, latest, path):
            return None
        check_wish(self._findings, name, written, path)
        signs = [*written.signs, *(sign for animal in (*animals, *companion) for sign in animal.signs)]
        return Wish(
            name=name, written=written, earliest=earliest, latest=latest, animals=animals, companion=companion,
            signs=tuple(dict.fromkeys(signs)), path=path,
        )  # fmt: skip

    def _all(self, written: tuple[model.Animal, ...], path: Path_) -> tuple[Animal, ...]:
        found = (self._animal(one, (*path, index)) for index, one in enumerate(written))
        return tuple(animal for animal in found if animal is not None)

    def _check_batch(self, written: Arrival, tanks: Mapping[str, Tank], path: Path_) -> None:
        findings = self._findings
        check_signs(findings, written.signs, (*path, "signs"))
        if written.into is not None:
            self._check_into(written.into, tanks, (*path, "into"))
        if written.regimen is not None:
            titles = {name: (shipped.title,) for name, shipped in store.regimens().items()}
            titles |= {name: (own.title,) for name, own in findings.written.regimens.items()}
            place: Path_ = (*path, "regimen")
            findings.check_name(written.regimen, titles, "regimen", place, section="regimens", titles=titles)
        if written.treatment is not None:
            check_treatment(findings, written.treatment, (*path, "treatment"))

    def _check_tank(self, name: str, tanks: Mapping[str, Tank], path: Path_) -> bool:
        """A tank is sometimes called by its use, so that is said beside near names."""
        if name not in tanks and not self._uses:
            self._uses = {tank.name: (f"use: {tank.use}",) for tank in tanks.values()}
        return self._findings.check_name(name, tanks, "tank", path, section="tanks", titles=self._uses)

    def _check_into(self, name: str, tanks: Mapping[str, Tank], path: Path_) -> None:
        """`into` is where the batch is released at the end, not where it is treated."""
        findings = self._findings
        if not self._check_tank(name, tanks, path) or tanks[name].use == "display":
            return
        displays = [f"`into: {tank.name}`" for tank in tanks.values() if tank.use == "display"]
        way_out = f"write {' or '.join(displays[:3])}, or delete the line" if displays else "delete the line"
        findings.report(
            "F130",
            findings.place(path),
            f"{quoted(name)} is a tank of `use: {tanks[name].use}`, not a display",
            f"`into` is the tank the animals go to at the end; the program chooses the quarantine tanks: {way_out}",
            findings.place(("tanks", name, "use")),
        )

    def _arrival(self, when: When, path: Path_) -> dt.datetime | None:
        """A date without a time is the beginning of that day's last working hours; of long ones, their middle.

        Whole days are counted from it, and what is due at the very opening of the room has no time before it.
        """
        findings = self._findings
        arrives = findings.moment(when, path)
        if arrives is None or when.time is not None:
            return arrives
        hours = findings.written.room.hours[-1]
        start = dt.datetime.combine(when.date, hours.start, tzinfo=findings.zone)
        long = dt.datetime.combine(when.date, hours.end, tzinfo=findings.zone) - start
        if long > LONG_HOURS:
            start = (start + long / 2).replace(minute=0)
        return settled(start)

    def _animal(self, written: model.Animal, path: Path_, tank: str = "") -> Animal | None:
        check_signs(self._findings, written.signs, (*path, "signs"))
        key = (written.species.lower(), written.group)
        kind = self._kinds.get(key) or look_up_species(self._findings, written, path)
        if kind is None:
            return None
        self._kinds[key] = kind
        scientific, group, jumps = kind
        return Animal(
            label=written.name or written.species,
            scientific=scientific,
            group=group,
            count=written.count,
            size=written.size,
            signs=written.signs,
            jumps=jumps,
            path=path,
            name=written.name or "",
            tank=tank,
            scaleless=written.scaleless,
            weight=written.weight,
        )
