"""The same question put to OR-Tools CP-SAT, a general solver: built from the wishes, their ways and the limits alone.

It shares no code with the search it is compared with. Every pick is a 0/1 variable, every stay an optional interval
that may not overlap another in its water, and every limit is written out as sums.
"""

from __future__ import annotations

from collections.abc import Mapping

from ortools.sat.python import cp_model

from pratique.booking.case import Case, Daily, Pick, Sets, Shelf, Store


class Model:
    """The variables: `x` a wish takes a way, `y` a leg of it is in a water, `rides` it shares the waters of another."""

    def __init__(self, case: Case) -> None:
        self.case, self.model = case, cp_model.CpModel()
        self.x: dict[tuple[int, int], cp_model.IntVar] = {}
        self.y: dict[tuple[int, int, int, int], cp_model.IntVar] = {}
        self.rides: dict[tuple[int, int], cp_model.IntVar] = {}
        self.rides_on: dict[tuple[int, int], cp_model.IntVar] = {}
        self._pick()
        self._mix()
        self._waters()
        for number, limit in enumerate(case.limits):
            self._limit(number, limit)

    def _pick(self) -> None:
        for w, want in enumerate(self.case.wants):
            for o in range(len(want.ways)):
                self.x[w, o] = self.model.new_bool_var(f"x{w}.{o}")
                self.rides[w, o] = self.model.new_bool_var(f"r{w}.{o}")
                self.model.add_implication(self.rides[w, o], self.x[w, o])
                if not want.mixable:
                    self.model.add(self.rides[w, o] == 0)
            self.model.add_at_most_one(self.x[w, o] for o in range(len(want.ways)))

    def _mix(self) -> None:
        wants = self.case.wants
        for w, want in enumerate(wants):
            for other in want.mixable:
                var = self.rides_on[w, other] = self.model.new_bool_var(f"m{w}.{other}")
                for o, way in enumerate(want.ways):
                    same = [p for p, theirs in enumerate(wants[other].ways) if theirs.key == way.key >= 0]
                    # riding on `other` by this way needs `other` to lead by a way of the same key
                    leads = [self.x[other, p] for p in same]
                    self.model.add(sum(leads) >= 1).only_enforce_if(var, self.x[w, o])
        for w, want in enumerate(wants):
            mine = [self.rides_on[w, other] for other in want.mixable]
            self.model.add(sum(self.rides[w, o] for o in range(len(want.ways))) == sum(mine))
            on_me = [self.rides_on[other, w] for other in range(len(wants)) if (other, w) in self.rides_on]
            self.model.add_at_most_one([*mine, *on_me])

    def _waters(self) -> None:
        intervals: dict[int, list[cp_model.IntervalVar]] = {}
        for w, want in enumerate(self.case.wants):
            for o, way in enumerate(want.ways):
                for leg, (pool, start, end) in enumerate(way.legs):
                    for water in pool:
                        var = self.y[w, o, leg, water] = self.model.new_bool_var(f"y{w}.{o}.{leg}.{water}")
                        span = self.model.new_optional_fixed_size_interval_var(start, end - start, var, "")
                        intervals.setdefault(water, []).append(span)
                        if any(stay.start < end and start < stay.end for stay in self.case.taken[water]):
                            self.model.add(var == 0)
                    here = sum(self.y[w, o, leg, water] for water in pool)
                    self.model.add(here == self.x[w, o] - self.rides[w, o])
        for spans in intervals.values():
            self.model.add_no_overlap(spans)
        self._riders_waters()

    def _riders_waters(self) -> None:
        """The waters of who is ridden on have to do for both: fit for the rider, and large enough."""
        for (w, other), var in self.rides_on.items():
            need = self.case.wants[w].least + self.case.wants[other].least
            for p, theirs in enumerate(self.case.wants[other].ways):
                mine = next((way for way in self.case.wants[w].ways if way.key == theirs.key >= 0), None)
                for leg, (pool, _, _) in enumerate(theirs.legs):
                    for water in pool:
                        fit = mine is not None and water in mine.legs[leg].pool
                        if not fit or self.case.volumes[water] < need:
                            self.model.add_bool_or(~var, ~self.y[other, p, leg, water])

    def _terms(self, number: int) -> dict[int, list[tuple[int, cp_model.IntVar]]]:
        """Per moment or day what is taken of a limit, and by which variable."""
        found: dict[int, list[tuple[int, cp_model.IntVar]]] = {}
        for w, want in enumerate(self.case.wants):
            for o, way in enumerate(want.ways):
                alone = None
                for use in way.uses:
                    if use.limit != number:
                        continue
                    if use.leg >= 0:
                        for water in way.legs[use.leg].pool:
                            amount = -(-use.amount * self.case.volumes[water] // 1000)
                            found.setdefault(use.at, []).append((amount, self.y[w, o, use.leg, water]))
                        continue
                    if alone is None:
                        alone = self.model.new_bool_var(f"a{w}.{o}.{number}")
                        self.model.add(alone == self.x[w, o] - self.rides[w, o])
                    found.setdefault(use.at, []).append((use.amount, alone))
        return found

    def _limit(self, number: int, limit: object) -> None:
        terms = self._terms(number)
        if isinstance(limit, Daily):
            for day, entries in terms.items():
                most = max(limit.most - limit.base.get(day, 0), 0)
                self.model.add(sum(amount * var for amount, var in entries) <= most)
        elif isinstance(limit, Sets):
            self._sets(limit, terms)
        elif isinstance(limit, Shelf):
            self._shelf(limit, terms)
        elif isinstance(limit, Store):
            self._store(limit, terms)

    def _sets(self, limit: Sets, terms: dict[int, list[tuple[int, cp_model.IntVar]]]) -> None:
        for moment in sorted({*terms, *limit.base}):
            wet = sum(1 for used in limit.base if used <= moment < used + limit.lasting)
            mine = [
                amount * var
                for at, entries in terms.items() if at <= moment < at + limit.lasting
                for amount, var in entries
            ]  # fmt: skip
            if mine:
                self.model.add(sum(mine) <= max(limit.most - wet, 0))

    def _shelf(self, limit: Shelf, terms: dict[int, list[tuple[int, cp_model.IntVar]]]) -> None:
        days = {*terms, *limit.base, *(last + 1 for last, _ in limit.bottles if last is not None)}
        for day in sorted(days):
            good = sum(amount for last, amount in limit.bottles if last is None or last >= day)
            spoken = sum(amount for at, amount in limit.base.items() if at >= day)
            mine = [amount * var for at, entries in terms.items() if at >= day for amount, var in entries]
            if mine:
                self.model.add(sum(mine) <= max(good - spoken, 0))

    def _store(self, limit: Store, terms: dict[int, list[tuple[int, cp_model.IntVar]]]) -> None:
        """The level after each day; water that no container can take is not made."""
        days = sorted({*terms, *limit.base})
        level: cp_model.LinearExprT = limit.stock
        before = limit.first
        for number, day in enumerate(days):
            made = limit.per_day * max(day - before, 0)
            before = max(before, day)
            filled = self.model.new_int_var(0, limit.holds, f"f{limit.name}{number}")
            self.model.add(filled <= level + made)
            taken = sum(amount * var for amount, var in terms.get(day, []))
            level = self.model.new_int_var(0, limit.holds, f"l{limit.name}{number}")
            self.model.add(level == filled - taken - limit.base.get(day, 0))

    def best(self, seconds: float = 60.0) -> tuple[tuple[int, ...], int, int] | None:
        """The least score, one part after the other; None where the solver did not finish in its time."""
        wants = self.case.wants
        met = {w: sum(self.x[w, o] for o in range(len(want.ways))) for w, want in enumerate(wants)}
        found: list[int] = []
        goals = []
        for level in sorted({want.priority for want in wants}):
            goals.append(sum(1 - met[w] for w, want in enumerate(wants) if want.priority == level))
        goals.append(sum(way.wait * self.x[w, o] for w, want in enumerate(wants) for o, way in enumerate(want.ways)))
        goals.append(sum(way.moves * self.x[w, o] for w, want in enumerate(wants) for o, way in enumerate(want.ways)))
        for goal in goals:
            solver = cp_model.CpSolver()
            solver.parameters.max_time_in_seconds = seconds
            solver.parameters.num_workers = 1
            self.model.minimize(goal)
            if solver.solve(self.model) != cp_model.OPTIMAL:
                return None
            found.append(round(solver.objective_value))
            self.model.add(goal == found[-1])
        return tuple(found[:-2]), found[-2], found[-1]



    def allows(self, picks: Mapping[int, Pick]) -> bool:
        """True where these picks break no rule of the model."""
        for (w, o), var in self.x.items():
            pick = picks.get(w)
            self.model.add(var == (pick is not None and pick.way == o))
            self.model.add(self.rides[w, o] == (pick is not None and pick.way == o and pick.joins >= 0))
        for (w, o, leg, water), var in self.y.items():
            pick = picks.get(w)
            alone = pick is not None and pick.way == o and pick.joins < 0
            self.model.add(var == (alone and pick is not None and pick.waters[leg] == water))
        for (w, other), var in self.rides_on.items():
            self.model.add(var == (w in picks and picks[w].joins == other))
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        return solver.solve(self.model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
