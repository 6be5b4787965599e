"""What the clock of a water without fish says of a history, sentence for sentence; hours worked out by hand."""

from __future__ import annotations

import pytest

from clocks.histories import BEGIN, WHITE_SPOT, broken, day, hours, said, warm
from pratique.clocks.fallow import Brought, Fish, Temperature, fallow_clock
from pratique.clocks.rules import fallow_rule
from pratique.clocks.state import ClockState
from pratique.clocks.warmth import WarmthRule, spells
from pratique.knowledge import store

IN = Fish(at=day(-30), change=2, who="wrasse", entry_id="in")
OUT = Fish(at=day(0), change=-2, who="wrasse", entry_id="out")


def fallow(
    at: float, fish: list[Fish], brought: list[Brought] | None = None, read_at: list[Temperature] | None = None
) -> ClockState:
    return fallow_clock(fish, brought or [], read_at or [], rule=WHITE_SPOT, at=day(at))


def test_a_fallow_from_the_last_fish_out() -> None:
    state = fallow(2, [IN, OUT])
    assert said(state)[0] == ("start", 0, "day one: the last fish is out of the whole water", "out")
    assert said(state)[-1] == ("now", 48, "48 h of 76 days without fish, by the long figure", "")
    assert state.problems == ()
    assert said(state)[1] == ("unknown", 0, "no temperature on record for 48 h", "")


def test_a_fallow_is_over_at_the_hour_itself_and_stays_over() -> None:
    assert hours(fallow(76, [IN, OUT]).finished or BEGIN) == 76 * 24
    assert fallow(75.99, [IN, OUT]).finished is None
    cold_after = [warm(24 * n, 15 if n == 81 else 25) for n in range(90)]
    over = fallow(90, [IN, OUT], [], cold_after)
    assert [hours(moment or BEGIN) for moment in (over.finished, over.done_at)] == [76 * 24, 76 * 24]


def test_rock_from_a_water_with_fish() -> None:
    state = fallow(12, [IN, OUT], [Brought(at=day(10), what="rock", says="from the reef", entry_id="r")])
    title = "rock or sand from a water with fish: from the reef"
    assert [row for row in said(state) if row[0] in ("start", "restart")] == [
        ("start", 0, "day one: the last fish is out of the whole water", "out"),
        ("restart", 240, f"{title}; 10 days are lost, day one again", "r"),
        ("start", 240, f"day one again: last contact with a water with fish: {title}", "r"),
    ]
    assert broken(state) == [(240, title, 240, "r")]


@pytest.mark.parametrize("who", ["angel", "zebrasoma"])
def test_what_comes_with_the_last_fish_in_it_breaks_nothing(who: str) -> None:
    """Of one moment, what is brought comes before what leaves, whatever their names."""
    fish = [Fish(at=day(-3), change=1, who=who), Fish(at=day(0), change=-1, who=who)]
    state = fallow(2, fish, [Brought(at=day(0), what="rock", entry_id="r")])
    assert (state.breaks, state.restarts) == ((), 0)
    assert hours(state.started or day(99)) == 0


@pytest.mark.parametrize("who", ["angel", "zebrasoma"])
def test_what_comes_together_with_a_fish_breaks_nothing_more(who: str) -> None:
    fish = [IN, OUT, Fish(at=day(3), change=1, who=who)]
    state = fallow(5, fish, [Brought(at=day(3), what="rock")])
    assert (state.restarts, len(state.breaks)) == (1, 1)


def test_a_fish_still_in_it_has_cost_every_hour_up_to_now() -> None:
    back = Fish(at=day(5), change=1, who="goby", entry_id="b")
    state = fallow(9, [IN, OUT, back])
    assert broken(state) == [(120, "a fish put into the water (`goby`)", 216, "b")]


def test_who_is_still_in_it_is_named_up_to_three() -> None:
    names = ["", "chromis", "goby", "wrasse"]
    fish = [Fish(at=day(-9), change=1, who=name) for name in names]
    few = fallow(1, fish[:3]).explain[-1].what
    assert few == "there are still fish in this water (`chromis`, `fish`, `goby`): nothing counts until the last is out"
    assert "(`chromis`, `fish`, `goby` and more)" in fallow(1, fish).explain[-1].what
    one_left = fallow(1, [*fish, Fish(at=day(0), change=-1, who="chromis")])
    assert "(`fish`, `goby`, `wrasse`)" in one_left.explain[-1].what


def test_one_that_nobody_knew_left_it() -> None:
    for who, words in [("goby", "`goby` left"), ("", "`a fish` left")]:
        state = fallow(9, [IN, OUT, Fish(at=day(8), change=-1, who=who, entry_id="x")])
        assert [row for row in said(state) if row[0] == "problem"] == [
            ("problem", 192, f"{words}, and was not known to be in this water", "x")
        ]
        [again] = [row for row in said(state) if row[0] == "restart"]
        assert again[2].endswith("8 days are lost, day one is when it is out again")
        assert (again[3], hours(state.started or BEGIN), state.counted) == ("x", 192, 24)


def test_an_agent_without_a_figure_has_hours_and_no_date() -> None:
    undated = fallow_rule(store.pathogen("uronema"))
    state = fallow_clock([IN, OUT], [], [], rule=undated, at=day(3))
    assert (state.counted, state.unbroken, state.needed, state.remaining, state.done_at) == (72, 72, None, None, None)
    with_fish = fallow_clock([IN], [], [], rule=undated, at=day(3))
    assert (with_fish.counted, with_fish.started) == (0, None)
    dated = fallow(3, [IN])
    assert (dated.counted, dated.unbroken, dated.steps, dated.steps_needed) == (0, 0, 0, 0)


def test_cold_days_stand_in_order_with_the_fish_and_rest_on_the_colder_reading() -> None:
    """White spot outlives the figure below 18 degC: the 24 h before and after a reading of 15 do not count."""
    cold = [warm(24 * n, degrees) for n, degrees in [(20, 25), (21, 15), (22, 25), (23, 25)]]
    rock = Brought(at=day(2), what="rock", entry_id="r")
    state = fallow(23, [IN, OUT], [rock], cold)
    what = "24 h below 18 degC: the agent outlives the figure, and do not count"
    stops = [(hours(row.at or BEGIN), row.what, row.evidence) for row in state.explain if row.mark == "stop"]
    assert stops == [(480, what, "15.0 degC"), (504, what, "15.0 degC")]
    assert [hours(one.at) for one in state.breaks] == [48, 480, 504]
    assert state.counted == (21 - 2) * 24
    assert [(hours(span.start), hours(span.end)) for span in state.unknown] == [(48, 480)]


def test_before_the_first_reading_it_was_as_cold_as_that_or_nobody_knows() -> None:
    early = fallow(5, [IN, OUT], [], [warm(48, 15), warm(72, 25), warm(96, 25), warm(120, 25)])
    assert (early.counted, early.unknown) == (48, ())
    mild = fallow(5, [IN, OUT], [], [warm(48, 25), warm(72, 25), warm(96, 25), warm(120, 25)])
    assert mild.counted == 120
    assert [(hours(span.start), hours(span.end)) for span in mild.unknown] == [(0, 48)]


def test_a_temperature_read_at_the_very_moment_counts() -> None:
    """The last stretch is as cold as the reading that ends it."""
    assert fallow(1, [IN, OUT], [], [warm(0, 25), warm(24, 15)]).counted == 0
    assert fallow(1, [IN, OUT], [], [warm(0, 25)]).counted == 24


def test_the_warm_figure_while_it_is_warm() -> None:
    """White spot: 45 days at 27 degC or more. A temperature carries 36 h; the call comes 12 h before its end."""
    state = fallow(10, [IN, OUT], [], [warm(24 * n, 28) for n in range(11)])
    assert (state.needed, state.counted, hours(state.done_at or BEGIN)) == (45 * 24, 240, 45 * 24)
    [due] = state.due
    assert (due.what, hours(due.by), hours(due.alert), state.slack) == ("a temperature", 276, 264, 36)
    assert said(state)[-1] == ("now", 240, "10 days of 45 days without fish, by the warm figure", "")
    assert [(one.choice, hours(one.done_at or BEGIN)) for one in state.instead] == [("the long figure", 76 * 24)]


def test_the_warm_figure_reached_asks_for_nothing_more() -> None:
    state = fallow(46, [IN, OUT], [], [warm(24 * n, 28) for n in range(47)])
    assert (hours(state.finished or BEGIN), state.due, state.slack) == (45 * 24, (), None)
    assert [row[:3] for row in said(state) if row[0] == "done"] == [("done", 45 * 24, "the warm figure is reached")]


def test_an_agent_without_a_cold_end_needs_no_temperature() -> None:
    """No figure of it hangs on warmth: what nobody read is then no gap. With a cold end alone it is one."""
    rule = fallow_rule(store.pathogen("brooklynella"))
    assert fallow_clock([IN, OUT], [], [warm(0, 12)], rule=rule, at=day(1)).counted == 24
    for agent, spans in [("brooklynella", []), ("amyloodinium", [(0, 48)])]:
        rule = fallow_rule(store.pathogen(agent))
        assert rule.warm is None
        state = fallow_clock([IN, OUT], [], [], rule=rule, at=day(2))
        assert [(hours(span.start), hours(span.end)) for span in state.unknown] == spans


def test_a_warm_run_that_cooled_rests_on_the_colder_reading() -> None:
    """Warm for 10 days, 24 h with a reading of 25 at either end, warm again: the warm count begins anew on day 12."""
    degrees = [28.0] * 11 + [25.0] + [28.0] * 4
    state = fallow(15, [IN, OUT], [], [warm(24 * n, value) for n, value in enumerate(degrees)])
    stops = [(hours(row.at or BEGIN), row.what, row.evidence) for row in state.explain if row.mark == "stop"]
    why = "not at 27 degC or more: the warm figure begins again, or the long one holds"
    assert stops[0] == (240, why, "25.0 degC")
    assert (state.counted, hours(state.done_at or BEGIN)) == (3 * 24, (12 + 45) * 24)
    assert [one.cost_hours for one in state.breaks][:1] == [12 * 24]


def test_cold_and_cool_stand_in_order_of_time() -> None:
    """Cool on day 3 ends the warm run; cold on day 8 ends what counts at all. The error of a thermometer is shown."""
    degrees = [28.0] * 3 + [25.0] * 5 + [15.0] + [25.0] * 3
    state = fallow(11, [IN, OUT], [], [warm(24 * n, value, 0.5) for n, value in enumerate(degrees)])
    assert [hours(one.at) for one in state.breaks] == sorted(hours(one.at) for one in state.breaks)
    assert [hours(one.at) for one in state.breaks] == [48, 168, 192]
    assert state.breaks[1].why == "below 18 degC: the agent outlives the figure"
    evidence = [row.evidence for row in state.explain if row.mark == "stop"]
    assert evidence == ["25.0 degC (24.5 to 25.5)", "15.0 degC (14.5 to 15.5)", "15.0 degC (14.5 to 15.5)"]


def test_a_warm_run_that_could_not_have_been_sooner_costs_nothing() -> None:
    """Warm from day 40 on would end on day 85, after the 76 days of the long figure."""
    degrees = [25.0] * 40 + [28.0] * 3 + [25.0] * 3
    state = fallow(45, [IN, OUT], [], [warm(24 * n, value) for n, value in enumerate(degrees)])
    assert [(hours(one.at), one.cost_hours) for one in state.breaks] == [(42 * 24, 0)]


def test_of_two_readings_at_one_moment_the_colder_counts() -> None:
    for pair in ([28, 25], [25, 28]):
        state = fallow(1, [IN, OUT], [], [warm(0, pair[0]), warm(0, pair[1]), warm(24, 28)])
        assert state.needed == 76 * 24


def test_a_stretch_between_far_readings_rests_on_the_colder_of_them() -> None:
    """A temperature carries 36 h of the 72 between them; warm needs both ends warm, and here nothing is too hot."""
    rule = WarmthRule(gap=36, warm=27)
    found = spells([warm(0, 28), warm(72, 25)], rule, BEGIN, day(3))
    rests = [(spell.warmth, spell.hours, spell.reading and spell.reading.value) for spell in found]
    assert rests == [("plain", 36, 25), ("unknown", 36, None)]
    assert [spell.warmth for spell in spells([warm(0, 60)], rule, BEGIN, day(1))] == ["warm"]


def test_each_cool_spell_costs_until_it_is_warm_again() -> None:
    """Warm again on days 4 and 8, each after 24 h on either side of a cool reading; warm since days 0 and 4."""
    degrees = [28.0, 28, 28, 25, 28, 28, 28, 25, 28, 28]
    state = fallow(9, [IN, OUT], [], [warm(24 * n, value) for n, value in enumerate(degrees)])
    assert [(hours(one.at), one.cost_hours) for one in state.breaks] == [(48, 96), (144, 96)]
