"""More records of what happens seldom: newcomers, signs that were answered, moves that were ticked or skipped."""

from __future__ import annotations

from collections.abc import Callable

from history.kept import batch, build, copper_room, one_of_each, tank, tanks
from history.rare_records import (
    ALL_DOSES,
    CAME,
    IN_BAND,
    IN_COURSE,
    IN_WARD,
    LEMON,
    WORM,
    days,
    two_of_them,
    watched_first,
    worming,
)
from history.rare_rooms import FLUKES, HOLD, WATCH, own, without
from pratique.room.resolve import Room
from schedule_rooms import COPPER

AMINE = {"active": "copper", "form": "amine", "strength": "10 mg/mL as Cu", "left": "900 mL"}
SERIES = CAME + "2027-03-08T08:00 move first to tub b\n2027-03-09T08:00 dried tub a\n"
FULL = IN_BAND + days("2027-03-09", 22, "reading ward copper 2.25 mg/L")
DISPLAYED = "2027-03-05T19:00 arrived first in reef\n2027-03-06T19:00 arrived second in reef\n"

FOLLOWED: dict[str, tuple[Callable[[], Room], str, str]] = {
    "newcomer-before-the-first-dose": (
        worming,
        f"2027-03-05T19:00 arrived first in ward\n2027-03-06T08:00 arrived second in ward\n2027-03-07T19:00 {WORM}",
        "2027-03-08T09:00",
    ),
    "newcomer-and-no-dose-yet": (
        worming,
        "2027-03-05T19:00 arrived first in ward\n2027-03-06T08:00 arrived second in ward\n",
        "2027-03-06T09:00",
    ),
    "gone-from-the-middle": (
        lambda: build(**own(FLUKES, HOLD, WATCH), tanks={**tanks(), "second ward": tank("ward")}),
        ALL_DOSES.replace("arrived first", "arrived x") + "2027-04-20T08:00 move x to reef",
        "2027-04-21T09:00",
    ),
    "copper-forgotten": (copper_room, "2027-03-05T19:00 arrived first in ward\n", "2027-03-07T09:00"),
    "left-out-of-band": (
        copper_room,
        IN_BAND + "2027-03-10T08:00 reading ward copper 1.5 mg/L\n2027-03-11T08:00 move first to long\n",
        "2027-03-12T09:00",
    ),
    "three-tubs": (
        lambda: one_of_each(tanks={**tanks(), "tub c": tank("transfer")}),
        SERIES + "2027-03-11T07:30 move first to tub c\n",
        "2027-03-11T09:00",
    ),
    "copper-full-and-the-move-ticked": (
        copper_room,
        FULL + "2027-03-22T19:00 done first/copper/move/1\n",
        "2027-03-23T09:00",
    ),
    "copper-full-and-the-move-skipped": (
        copper_room,
        FULL + "2027-03-22T19:00 skipped first/copper/move/1\n",
        "2027-03-23T09:00",
    ),
    "from-the-first-watch-into-copper": (
        watched_first,
        "2027-03-05T19:00 arrived x in long\n2027-06-04T08:00 move x to ward\n2027-06-04T08:30 dose ward 12 mL of "
        "copper bottle\n",
        "2027-06-05T09:00",
    ),
    "from-the-first-watch-through-the-copper": (
        watched_first,
        "2027-03-05T19:00 arrived x in long\n2027-06-04T08:00 move x to ward\n2027-06-04T08:30 dose ward 12 mL of "
        "copper bottle\n2027-06-06T08:00 move x to long",
        "2027-06-07T09:00",
    ),
    "sign-while-away": (
        lambda: one_of_each(room={"away": [{"from": "2027-03-07", "to": "2027-03-07"}]}),
        CAME + "2027-03-06T08:00 sign tub a dust",
        "2027-03-07T09:00",
    ),
    "sign-then-moved": (
        one_of_each,
        CAME + "2027-03-06T08:00 sign tub a dust\n2027-03-08T08:00 move first to tub b",
        "2027-03-08T09:00",
    ),
    "signs-answered-yesterday": (
        two_of_them,
        CAME + "2027-03-06T08:00 sign tub a scratching\n2027-03-06T08:30 sign reef Lemon dust\n"
        "2027-03-06T09:00 done tub-a/signs/6vbatga\n2027-03-06T09:30 died reef Lemon\n2027-03-06T09:31 died reef Lemon",
        "2027-03-07T09:00",
    ),
    "traced": (two_of_them, DISPLAYED + "2027-03-07T08:00 done reef/trace/6vb6j5e", "2027-03-07T09:00"),
    "traced-yesterday": (two_of_them, DISPLAYED + "2027-03-06T21:00 done reef/trace/6vb6j5e", "2027-03-07T09:00"),
    "too-much-in-a-ward-they-left": (
        copper_room,
        IN_BAND + "2027-03-12T09:00 move first to long\n2027-03-12T10:00 dose ward 120 mL of copper bottle",
        "2027-03-12T11:00",
    ),
    "whole-series-and-nobody-there-for-the-rest": (
        lambda: one_of_each(room={"away": [{"from": "2027-03-13", "to": "2027-03-20"}]}),
        SERIES,
        "2027-03-10T09:00",
    ),
    "together-and-later": (
        one_of_each,
        CAME + "2027-03-06T08:00 move ocellaris clownfish to ward\n2027-03-06T19:30 move yellow tang to ward",
        "2027-03-07T09:00",
    ),
    "a-dose-ticked-and-written": (
        copper_room,
        IN_WARD + "2027-03-05T22:00 done first/copper/dose/1\n2027-03-07T19:10 done first/copper/redose/1\n"
        "2027-03-08T08:00 reading ward copper 2.25 mg/L",
        "2027-03-08T09:00",
    ),
    "a-regimen-that-makes-no-sense": (
        lambda: build(
            regimens=own({**HOLD, "treatments": ["praziquantel-bath"]}, WATCH)["regimens"],
            batches={"x": batch(regimen="mine"), "y": batch("2027-03-06T18:30", regimen="copper-hold")},
        ),
        "2027-03-05T19:00 arrived x in ward\n2027-03-06T08:00 sign ward dust",
        "2027-03-06T09:00",
    ),
    "a-tub-too-cool": (
        lambda: one_of_each(tanks={**tanks(), "tub a": tank("transfer", temperature="18 degC")}),
        CAME + "2027-03-08T08:00 move first to tub b",
        "2027-03-09T09:00",
    ),
    "worming-where-nobody-took-the-temperature": (
        lambda: worming(tanks={**tanks(), "ward": without("temperature", use="ward")}),
        IN_COURSE + f"2027-03-15T08:00 {WORM}",
        "2027-03-16T09:00",
    ),
    "out-of-the-copper-into-the-worming": (
        lambda: build(**own(HOLD, FLUKES, WATCH), tanks={**tanks(), "second ward": tank("ward")}),
        "2027-03-05T19:00 arrived x in ward\n2027-03-06T19:00 dose ward 12 mL of copper bottle\n"
        "2027-03-08T08:00 reading ward copper 2.2 mg/L\n2027-03-09T08:00 move x to second ward\n"
        "2027-03-09T19:00 dose second ward praziquantel-bath 0.126 g of fluke powder",
        "2027-03-10T09:00",
    ),
    "the-first-dose-fell-short": (
        copper_room,
        IN_WARD + "2027-03-06T08:00 reading ward copper 1.5 mg/L",
        "2027-03-06T09:00",
    ),
    "changed-with-its-dose": (
        copper_room,
        IN_BAND + "2027-03-10T08:00 reading ward copper 2.05 mg/L\n"
        "2027-03-10T08:30 change ward 15 L with 3.1 mL of copper bottle",
        "2027-03-10T09:00",
    ),
    "the-other-copper-than-planned": (
        lambda: copper_room(shelf={"amine": AMINE, "copper bottle": COPPER}),
        IN_WARD,
        "2027-03-06T09:00",
    ),
    "a-move-ticked-after-they-had-gone": (
        one_of_each,
        CAME + "2027-03-08T08:00 move first to reef\n2027-03-11T08:00 done first/transfers/transfer/2",
        "2027-03-12T09:00",
    ),
    "read-and-nothing-given": (
        copper_room,
        "2027-03-05T19:00 arrived first in ward\n2027-03-06T08:00 reading ward copper 2.1 mg/L",
        "2027-03-06T09:00",
    ),
    "dosed-then-moved": (
        lambda: copper_room(tanks={**tanks(), "second ward": tank("ward")}),
        IN_WARD + "2027-03-05T20:00 move first to second ward",
        "2027-03-05T21:00",
    ),
    "all-at-once": (copper_room, IN_WARD.replace("12 mL", "13.5 mL"), "2027-03-05T20:00"),
    "more-signs": (
        one_of_each,
        CAME + "2027-03-06T08:00 sign tub a scratching\n2027-03-06T20:00 sign tub a yellow tang dust",
        "2027-03-07T09:00",
    ),
    "too-high-and-no-bottle": (
        lambda: copper_room(shelf={}),
        "2027-03-05T19:00 arrived first in ward\n2027-03-06T08:00 reading ward copper 3 mg/L",
        "2027-03-06T09:00",
    ),
    "changed-before-anybody-was-in-it": (one_of_each, CAME + "2027-03-07T20:00 change tub b 10 L", "2027-03-08T09:00"),
    "watch-over": (
        lambda: build(batches={"first": batch("2027-03-05T18:30", "trusted")}),
        "2027-03-05T19:00 arrived first in long\n2027-05-01T08:00 done first/observation/look/0/2027-05-01",
        "2027-06-10T09:00",
    ),
    "changed-enough": (
        lambda: one_of_each(kits={"drops": {"measures": "ammonia", "resolution": "0.25 mg/L"}}),
        CAME + "2027-03-06T07:50 reading tub a ph 8.2\n2027-03-06T07:50 reading tub a temperature 25 degC\n"
        "2027-03-06T08:00 reading tub a ammonia 1 mg/L\n2027-03-06T08:30 change tub a 54 L",
        "2027-03-06T09:00",
    ),
    "too-high-and-ammonia": (
        copper_room,
        IN_WARD.replace("12 mL", "120 mL") + "2027-03-06T08:00 reading ward copper 20 mg/L\n"
        "2027-03-06T08:10 reading ward ammonia 1 mg/L",
        "2027-03-06T09:00",
    ),
    "in-parts-and-in-one": (
        copper_room,
        "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward 4 mL of copper bottle\n"
        "2027-03-05T19:10 dose ward 4 mL of copper bottle\n2027-03-05T21:00 dose ward 4 mL of copper bottle\n",
        "2027-03-06T09:00",
    ),
    "another-tank-than-planned": (
        lambda: copper_room(tanks={"ward": tank("ward"), "ward 2": tank("ward"), "long": tank("observation")}),
        "2027-03-01T08:00 note the log begins\n2027-03-05T19:00 arrived first in ward 2\n",
        "2027-03-05T20:00",
    ),
    "gear-and-rock-from-everywhere": (
        two_of_them,
        "2027-03-05T19:00 arrived first in long\n2027-03-06T19:00 arrived second in tub b\n"
        "2027-03-08T08:00 gear white set in reef\n2027-03-08T08:30 gear white set in long\n"
        "2027-03-09T08:00 gear red set in tub b\n2027-03-12T08:00 gear red set in long\n"
        "2027-03-12T09:00 gear red set in long\n2027-03-12T10:00 move rock from reef to long\n",
        "2027-03-12T11:00",
    ),
    "the-first-evening-in-a-refuge": (
        lambda: one_of_each(animals=[LEMON]),
        "2027-03-05T19:30 move Lemon to ward",
        "2027-03-05T20:00",
    ),
    "sick-residents": (
        lambda: one_of_each(animals=[{**LEMON, "signs": ["dust"]}, {"species": "torch coral", "tank": "long"}]),
        CAME,
        "2027-03-06T09:00",
    ),
    "amine": (
        lambda: copper_room(
            shelf={"amine": AMINE},
            kits={"meter": {"measures": "copper", "forms": ["amine"], "resolution": "0.01 mg/L", "error": "3 %"}},
        ),
        "2027-03-05T19:00 arrived first in ward\n2027-03-05T19:10 dose ward 3 mL of amine\n"
        "2027-03-06T08:00 reading ward copper 0.4 mg/L",
        "2027-03-06T09:00",
    ),
}
