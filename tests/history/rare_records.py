"""Records of what happens seldom, for the pages of `test_whole_rare.py`."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from history.kept import batch, build, copper_room, one_of_each, tank, tanks
from history.rare_rooms import FIRST_WATCH, FLUKES, HOLD, MOVES, WATCH, own, without
from pratique.room.resolve import Room

CAME = "2027-03-05T19:00 arrived first in tub a\n"
IN_WARD = "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle\n"
IN_BAND = (
    IN_WARD + "2027-03-07T19:10 dose ward 1.5 mL of copper bottle\n2027-03-08T08:00 reading ward copper 2.25 mg/L\n"
)
WORM = "dose ward praziquantel-bath 0.126 g of fluke powder\n"
IN_COURSE = f"2027-03-05T19:00 arrived first in ward\n2027-03-06T19:00 {WORM}"
ALL_DOSES = IN_COURSE + f"2027-03-15T08:00 {WORM}2027-03-21T08:00 {WORM}"

LEMON = {"species": "yellow tang", "name": "Lemon", "tank": "reef"}


def worming(**more: Any) -> Room:
    """A batch for praziquantel alone, and another that is announced."""
    second = batch("2027-03-12T18:30", "unsure")
    return build(batches={"first": batch(regimen="without-copper"), "second": second}, **more)


def two_of_them() -> Room:
    batches = {"first": batch(), "second": batch("2027-03-06T18:30", "unsure", "yellow tang")}
    return build(batches=batches, animals=[{**LEMON, "count": 2}])


def unwatched() -> Room:
    """Three batches on regimens that end without a watch."""
    stages = {"copper-alone": HOLD, "worming-alone": FLUKES, "moves-alone": MOVES}
    regimens = {name: {"title": name, "reason": "a test", "stages": [stage]} for name, stage in stages.items()}
    batches = {name: batch(regimen=regimen) for name, regimen in zip("xyz", regimens, strict=True)}
    return build(regimens=regimens, batches=batches, tanks={**tanks(), "second ward": tank("ward")})


def watched_first() -> Room:
    return build(**own(FIRST_WATCH, HOLD, WATCH, signs=["dust"]), tanks={**tanks(), "second ward": tank("ward")})


def days(first: str, last: int, text: str) -> str:
    """The same line at 08:00 from the date `first` to the day `last` of its month."""
    year_month, day = first.rsplit("-", 1)
    return "".join(f"{year_month}-{number:02}T08:00 {text}\n" for number in range(int(day), last + 1))


FOLLOWED: dict[str, tuple[Callable[[], Room], str, str]] = {
    "dose-too-early": (worming, IN_COURSE + f"2027-03-09T19:00 {WORM}", "2027-03-10T09:00"),
    "dose-too-late": (worming, IN_COURSE + f"2027-03-25T19:00 {WORM}", "2027-03-26T09:00"),
    "dose-overdue": (worming, IN_COURSE, "2027-03-22T09:00"),
    "doses-in-parts": (worming, IN_COURSE.replace("0.126", "0.06") + f"2027-03-06T20:30 {WORM}", "2027-03-08T09:00"),
    "newcomer-between-doses": (
        worming,
        IN_COURSE + f"2027-03-12T19:00 arrived second in ward\n2027-03-15T08:00 {WORM}",
        "2027-03-16T09:00",
    ),
    "doses-given-and-still-there": (worming, ALL_DOSES, "2027-03-29T09:00"),
    "doses-given-and-watched-there": (
        worming,
        ALL_DOSES + "2027-03-25T08:00 skipped first/anthelmintic/move/1\n2027-03-26T08:00 change ward 30 L",
        "2027-03-29T09:00",
    ),
    "doses-given-and-gone": (worming, ALL_DOSES + "2027-04-20T08:00 move first to reef", "2027-04-21T09:00"),
    "moved-into-a-wet-tub": (
        one_of_each,
        CAME + "2027-03-08T08:00 move first to tub b\n2027-03-08T20:00 move first to tub a\n"
        "2027-03-08T21:00 dried tub b",
        "2027-03-09T09:00",
    ),
    "no-tub-dry-in-time": (
        lambda: one_of_each(animals=[LEMON]),
        CAME + "2027-03-07T20:00 move first to tub b\n2027-03-09T19:00 move Lemon to tub a\n"
        "2027-03-10T08:00 move Lemon to reef",
        "2027-03-10T20:00",
    ),
    "the-only-other-tub-is-taken": (
        two_of_them,
        CAME + "2027-03-06T19:00 arrived second in tub b",
        "2027-03-08T09:00",
    ),
    "the-last-move-late": (
        one_of_each,
        CAME + "2027-03-08T08:00 move first to tub b\n2027-03-09T08:00 dried tub a\n2027-03-11T08:00 move first to "
        "tub a\n2027-03-12T08:00 dried tub b\n2027-03-14T08:00 move first to tub b",
        "2027-03-17T08:30",
    ),
    "the-last-move-when-the-room-opens": (
        one_of_each,
        "2027-03-05T06:30 arrived first in tub a\n2027-03-08T06:30 move first to tub b\n2027-03-09T08:00 dried tub a\n"
        "2027-03-11T06:30 move first to tub a\n2027-03-12T08:00 dried tub b\n2027-03-14T06:30 move first to tub b",
        "2027-03-16T21:45",
    ),
    "the-last-move-a-day-late": (
        one_of_each,
        CAME + "2027-03-08T08:00 move first to tub b\n2027-03-09T08:00 dried tub a\n2027-03-11T08:00 move first to "
        "tub a\n2027-03-12T08:00 dried tub b\n2027-03-14T08:00 move first to tub b",
        "2027-03-18T08:30",
    ),
    "away-before-the-next-move": (
        lambda: one_of_each(room={"away": [{"from": "2027-03-10", "to": "2027-03-15"}]}),
        CAME + "2027-03-08T08:00 move first to tub b\n2027-03-09T08:00 dried tub a",
        "2027-03-09T09:00",
    ),
    "a-tub-nobody-measured": (
        lambda: one_of_each(tanks={**tanks(), "tub a": without("temperature")}),
        CAME + "2027-03-08T08:00 move first to tub b",
        "2027-03-09T09:00",
    ),
    "fish-taken-out-of-the-display": (
        lambda: one_of_each(animals=[{**LEMON, "count": 2}]),
        CAME + "2027-03-06T09:00 found reef blue-green chromis\n2027-03-07T19:30 move Lemon to ward\n"
        "2027-03-07T19:40 dose ward copper-chelated 12 mL of copper bottle\n"
        "2027-03-08T07:30 reading ward copper 2 mg/L",
        "2027-03-08T09:00",
    ),
    "regimens-without-a-watch": (
        unwatched,
        "2027-03-05T19:00 arrived x in ward\n2027-03-06T19:00 dose ward 12 mL of copper bottle\n2027-03-05T19:00 "
        "arrived y in second ward\n2027-03-06T19:30 dose second ward praziquantel-bath 0.126 g of fluke powder\n"
        "2027-03-05T19:00 arrived z in tub a\n",
        "2027-03-07T09:00",
    ),
    "two-holds-begun": (
        lambda: build(**own(HOLD, {**HOLD, "name": "again"}, WATCH), tanks={**tanks(), "second ward": tank("ward")}),
        "2027-03-05T19:00 arrived x in ward\n2027-03-06T19:00 dose ward 12 mL of copper bottle\n"
        "2027-03-08T08:00 reading ward copper 2.2 mg/L\n",
        "2027-03-09T09:00",
    ),
    "announced-before-the-one-that-came": (two_of_them, "2027-03-05T18:00 arrived second in tub a", "2027-03-05T18:15"),
    "formalin": (
        lambda: copper_room(
            shelf={"formalin": {"active": "formalin", "strength": "37 % w/v as formaldehyde", "left": "500 mL"}}
        ),
        "2027-03-05T19:00 arrived first in ward\n2027-03-06T08:00 dose ward 1 mL of formalin\n",
        "2027-03-06T09:00",
    ),
    "not-a-tank-for-it": (one_of_each, "2027-03-05T19:00 arrived first in long", "2027-03-06T09:00"),
    "another-tank-than-the-regimen-asks-for": (
        lambda: build(batches={"first": batch(regimen="transfers-anthelmintic")}),
        "2027-03-05T19:00 arrived first in ward\n2027-03-06T08:00 dose ward copper-chelated 12 mL of copper bottle",
        "2027-03-06T09:00",
    ),
    "in-two-waters": (
        two_of_them,
        CAME + "2027-03-06T19:00 arrived second in tub b\n2027-03-07T08:00 move Lemon to ward\n"
        "2027-03-07T09:00 found reef blue-green chromis",
        "2027-03-08T09:00",
    ),
    "straight-into-the-display": (
        two_of_them,
        "2027-03-05T19:00 arrived first in reef\n2027-03-06T19:00 arrived second in tub b\n"
        "2027-03-07T08:00 sign reef Lemon dust",
        "2027-03-08T09:00",
    ),
    "no-tank-left": (
        lambda: one_of_each(tanks={"reef": tank("display"), "tub a": tank("transfer"), "tub b": tank("transfer")}),
        CAME + "2027-03-08T08:00 move first to tub b",
        "2027-03-09T09:00",
    ),
    "watched-before-the-copper": (
        watched_first,
        "2027-03-05T19:00 arrived x in long\n2027-03-20T08:00 died long ocellaris clownfish\n",
        "2027-03-20T09:00",
    ),
    "the-first-watch-is-over": (watched_first, "2027-03-05T19:00 arrived x in long\n", "2027-06-05T09:00"),
    "out-of-the-copper-and-wormed": (
        one_of_each,
        "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward copper-chelated 12 mL of copper bottle\n"
        "2027-03-08T08:00 reading ward copper 2.2 mg/L\n2027-03-09T08:00 move first to tub a\n"
        "2027-03-09T09:00 dose tub a praziquantel-bath 0.126 g of fluke powder",
        "2027-03-10T09:00",
    ),
    "copper-old": (copper_room, IN_BAND, "2027-03-14T09:00"),
    "copper-into-new-water-kept": (
        copper_room,
        IN_BAND + "2027-03-09T08:00 change ward 15 L with 3.4 mL of copper bottle\n"
        "2027-03-09T08:30 reading ward copper 2.2 mg/L\n2027-03-10T08:00 dose ward 1 mL of copper bottle into new water"
        "\n2027-03-10T08:10 change ward 25 %",
        "2027-03-10T09:00",
    ),
    "copper-full-then-a-newcomer": (
        lambda: copper_room(animals=[LEMON]),
        IN_BAND + days("2027-03-09", 24, "reading ward copper 2.25 mg/L") + "2027-03-24T19:00 move Lemon to ward\n",
        "2027-03-25T09:00",
    ),
    "copper-and-ammonia": (
        copper_room,
        IN_BAND + "2027-03-09T08:00 reading ward ph 8.2\n2027-03-09T08:10 reading ward ammonia 1 mg/L\n"
        "2027-03-09T08:20 change ward 50 %",
        "2027-03-09T09:00",
    ),
    "copper-and-little-ammonia": (
        copper_room,
        IN_WARD + "2027-03-06T08:10 reading ward ammonia 0.5 mg/L\n",
        "2027-03-07T09:00",
    ),
    "worming-and-ammonia": (
        worming,
        IN_COURSE + "2027-03-07T08:00 reading ward ammonia 1 mg/L\n2027-03-07T08:30 change ward 30 L",
        "2027-03-07T09:00",
    ),
    "two-kits": (
        lambda: copper_room(
            kits={
                "meter": {"measures": "copper", "forms": ["chelated"], "error": "3 %"},
                "drops": {"measures": "copper", "forms": ["chelated", "ionic"], "error": "10 %"},
            }
        ),
        IN_BAND + "2027-03-09T08:00 reading ward copper 2.2 mg/L with drops",
        "2027-03-09T09:00",
    ),
    "watch-disturbed": (
        two_of_them,
        "2027-03-05T19:00 arrived first in long\n2027-03-06T19:00 arrived second in tub b\n"
        "2027-03-10T08:00 gear red set in tub b\n2027-03-10T09:00 gear red set in long\n"
        "2027-03-11T08:00 move rock from tub b to long\n2027-03-12T08:00 move Lemon to long\n"
        "2027-03-13T08:00 died long Lemon\n2027-03-13T09:00 sign reef white-spots",
        "2027-03-13T09:30",
    ),
    "signs-answered": (
        two_of_them,
        CAME + "2027-03-06T08:00 sign tub a scratching\n2027-03-06T19:00 arrived second in tub b\n"
        "2027-03-07T08:00 sign tub b yellow tang nodules\n2027-03-07T08:10 done tub-a/signs/6vbatga",
        "2027-03-07T09:00",
    ),
    "ticked": (
        worming,
        "2027-03-05T19:00 arrived first in ward\n2027-03-06T19:00 done first/anthelmintic/dose/1\n"
        "2027-03-07T07:30 done first/anthelmintic/look/0/2027-03-07\n"
        "2027-03-07T08:00 skipped first/anthelmintic/test/2/2027-03-07",
        "2027-03-07T09:00",
    ),
}
