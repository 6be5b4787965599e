"""Rooms in which something is seldom so, for the pages of `test_whole_rare.py`."""

from __future__ import annotations

from typing import Any

from history.kept import batch, tank, tanks

ARRIVES = "2027-03-05T18:30"
HOLD = {"name": "copper", "kind": "hold", "use": ["ward", "reserve"], "treatments": ["copper-chelated"]}
MOVES = {"name": "moves", "kind": "transfers", "use": ["transfer"], "treatments": ["tank-transfer"]}
FLUKES = {"name": "flukes", "kind": "course", "use": ["ward"], "treatments": ["praziquantel-bath"]}
WATCH = {"name": "watch", "kind": "observation", "use": ["observation", "ward"], "treatments": ["observation"]}
FIRST_WATCH = {**WATCH, "name": "rest"}

Keys = dict[str, Any]


def own(*stages: Keys, **keys: Any) -> Keys:
    """A room with a batch on a regimen of the keeper's."""
    mine = {"title": "mine", "reason": "a test", "stages": list(stages)}
    return {"regimens": {"mine": mine}, "batches": {"x": batch(regimen="mine", **keys)}}


def valued(name: str, value: str) -> Keys:
    return {"values": {name: {"value": value, "reason": "a test"}}}


def away(first: str, last: str, **more: Any) -> Keys:
    return {"room": {"away": [{"from": first, "to": last}]}, **more}


def without(name: str, **keys: Any) -> Keys:
    """A tank without a line."""
    found = tank(**{"use": "transfer", **keys})
    del found[name]
    return found


SHARK = batch(ARRIVES, "untrusted", "bamboo shark", regimen="copper-hold")
TAUGHT = {"batches": {"x": batch(regimen="copper-hold")}}
WORMED = {"batches": {"x": batch(regimen="without-copper")}}
WATCHED = {"batches": {"x": batch(ARRIVES, "trusted")}}
FAR = "2029-12-31"
IONIC: Keys = {
    "shelf": {"salt": {"active": "copper", "form": "ionic", "strength": "1 mg/mL as Cu", "left": "900 mL"}},
    "kits": {"copper meter": {"measures": "copper", "forms": ["ionic"], "resolution": "0.01 mg/L", "error": "3 %"}},
}

REFUSED: dict[str, dict[str, Keys]] = {
    "tanks": {
        "none": {"tanks": {"reef": tank("display")}},
        "none for what was chosen": {
            "tanks": {"ward": tank("ward")},
            "batches": {"x": batch(regimen="transfers-anthelmintic")},
        },
        "one tub of two": {**own(MOVES, WATCH), "tanks": {**tanks(), "tub b": tank("ward")}},
        "all kept out": {
            "tanks": {
                "reef": tank("display"),
                "ward": tank("ward", never=["copper"]),
                "second ward": tank("ward", holds=[{"treatment": "formalin-bath"}]),
                "third ward": tank("ward"),
            },
            "animals": [{"species": "yellow tang", "tank": "third ward"}],
            **TAUGHT,
        },
        "tubs that do not dry": {
            "tanks": {**tanks(), "tub a": tank("transfer", substrate="calcareous"), "tub b": tank("transfer")},
            "batches": {"x": batch(regimen="transfers-anthelmintic")},
        },
        "one after the other": {
            "tanks": {"reef": tank("display"), "ward": tank("ward")},
            "batches": {"x": batch(signs=["dust"]), "y": batch("2027-03-20T18:30", signs=["dust"])},
        },
        "two for the tubs": {
            "batches": {
                "x": batch(regimen="transfers-anthelmintic"),
                "y": batch("2027-03-08T18:30", regimen="transfers-anthelmintic"),
            },
        },
        "two medicines and another use": {
            **own(HOLD, {**FLUKES, "use": ["reserve"]}, WATCH),
            "tanks": {"ward": tank("ward")},
        },
        "two medicines in one tank": {**own(HOLD, FLUKES, WATCH), "tanks": {"ward": tank("ward")}},
    },
    "hours": {
        "away when they come": away("2027-03-04", "2027-03-07"),
        "away at a move": away("2027-03-07", "2027-03-11", batches={"x": batch(regimen="transfers-anthelmintic")}),
        "never back for the copper": away("2027-03-06", FAR, **TAUGHT),
        "never back for a step": away("2027-03-07", FAR, **TAUGHT),
        "never back for the reading": away("2027-03-09", FAR, **TAUGHT),
        "never back for the last reading": away("2027-03-15", FAR, **TAUGHT),
        "never back at the end": away("2027-03-24", FAR, **TAUGHT, tanks={"ward": tank("ward")}),
        "never back from the ionic copper": away("2027-03-24", FAR, **TAUGHT, **IONIC),
        "never back for the first dose": away("2027-03-06", FAR, **WORMED),
        "never back for the second": away("2027-03-10", FAR, **WORMED),
        "never back after the third": away("2027-03-24", FAR, **WORMED),
        "never back from the watch": away("2027-03-24", FAR, **WATCHED),
    },
    "water": {
        "too cool": {"tanks": {**tanks(), "tub a": tank("transfer", temperature="18 degC")}},
        "too warm": {"tanks": {**tanks(), "tub a": tank("transfer", temperature="33 degC")}},
        "not measured": {"tanks": {**tanks(), "tub a": without("temperature")}},
        "too cool for the eggs": {"tanks": {"ward": tank("ward", temperature="15 degC")}, **WORMED},
        "too cool for the second dose alone": {
            "tanks": {"ward": tank("ward", temperature="15 degC")},
            **valued("praziquantel-bath.third_dose", "15 d"),
            **WORMED,
        },
        "not measured for the eggs": {"tanks": {"ward": without("temperature", use="ward")}, **WORMED},
    },
    "values": {
        "interval": valued("tank-transfer.interval", "12 h"),
        "many moves": valued("tank-transfer.moves", "100"),
        "long watch": {**valued("observation.days", "500 d"), **WATCHED},
        "no copper": {**valued("copper-chelated.target", "0 mg/L"), **TAUGHT},
        "third before second": {**valued("praziquantel-bath.third_dose", "5 d"), **WORMED},
    },
    "animals": {
        "shark in copper": {"batches": {"x": SHARK}},
        "shark moved": {"batches": {"x": {**SHARK, "regimen": "transfers-anthelmintic"}}},
        "shrimp in copper": {"batches": {"x": batch(ARRIVES, "untrusted", "cleaner shrimp", regimen="copper-hold")}},
        "fish without fish": {"batches": {"x": batch(regimen="fishless-hold")}},
        "mixed": {
            "batches": {
                "x": batch(
                    ARRIVES,
                    "untrusted",
                    "yellow tang",
                    "cleaner shrimp",
                    "torch coral",
                    "cleaner shrimp",
                    "torch coral",
                )
            }
        },
    },
    "regimens": {
        "too many stages": own(*({**FLUKES, "name": f"flukes {number}"} for number in range(20)), WATCH),
        "no stage": own({**WATCH, "only_with_signs": True}),
        "no use": own({**WATCH, "use": []}),
        "in the display": own({**WATCH, "use": ["display"]}),
        "no treatment": own({**HOLD, "treatments": []}, {**WATCH, "treatments": []}),
        "not for this": own({**HOLD, "treatments": ["tank-transfer"]}, {**MOVES, "treatments": ["observation"]}, WATCH),
        "no watch": own(HOLD),
    },
}

ONE_TANK = {"reef": tank("display"), "ward": tank("ward")}
WARNED: dict[str, Keys] = {
    "only-watched-for-want-of-a-tank": {"tanks": {"long": tank("observation")}},
    "watched-by-choice": {"batches": {"x": batch(regimen="watch-only", treatment="copper-ionic")}},
    "worming-and-watch-in-one-ward": {"tanks": {name: keys for name, keys in tanks().items() if name != "long"}},
    "corals-watched": {"gear": {}, "batches": {"x": batch(ARRIVES, "unsure", "torch coral", regimen="watch-only")}},
    "out-of-hours-with-one-set": {
        "batches": {"x": batch("2027-03-05T13:00")},
        "gear": {"red set": {"for": "transfers"}},
    },
    "warm-tubs": {
        "tanks": {**tanks(), "tub a": tank("transfer", temperature="27 degC", lid="no"), "tub b": tank("transfer")}
    },
    "own-interval": valued("tank-transfer.interval", "80 h"),
    "own-watch": valued("observation.days", "10 d"),
    "own-copper": {**valued("copper-chelated.course", "230 h"), **TAUGHT},
    "own-moves": valued("tank-transfer.moves", "3"),
    "away-in-copper": {**away("2027-03-12", "2027-03-14"), **TAUGHT},
    "away-at-a-dose": {**away("2027-03-13", "2027-03-16"), **WORMED},
    "nodules-and-wounds": {"batches": {"x": batch(signs=["nodules", "open-wounds"])}},
    "wound-alone": {"batches": {"x": batch(signs=["open-wounds"])}},
    "slime": {"batches": {"x": batch(signs=["slime", "faded-patches", "scratching"])}},
    "spots-and-scratching": {"batches": {"x": batch(signs=["white-spots", "scratching"], regimen="watch-only")}},
    "fast-breathing": {"batches": {"x": batch(signs=["fast-breathing", "dust"])}},
    "shark": {"tanks": ONE_TANK, "batches": {"x": batch(ARRIVES, "untrusted", "bamboo shark")}},
    "narrow-margin": {"tanks": ONE_TANK, "batches": {"x": batch(ARRIVES, "untrusted", "coral beauty angelfish")}},
    "corals-in-a-ward": {
        "tanks": {"reef": tank("display"), "ward": tank("ward", change="20 % every 3 d")},
        "batches": {"x": batch(ARRIVES, "unsure", "torch coral")},
    },
    "ionic": {**IONIC, **TAUGHT},
    "nothing-on-the-shelf": {**own(FIRST_WATCH, HOLD, WATCH), "shelf": {}},
    "two-holds": {
        **own(HOLD, {**HOLD, "name": "again"}, FLUKES, WATCH),
        "tanks": {**tanks(), "second ward": tank("ward"), "third ward": tank("ward")},
    },
    "booked": {
        "tanks": {**tanks(), "lagoon": tank("display"), "second ward": tank("ward"), "third ward": tank("ward")},
        "batches": {"x": batch(booked={"anthelmintic": ["third ward", "second ward"]}, into="lagoon")},
    },
    "one-after-the-other": {
        "tanks": {**tanks(), "tub c": tank("transfer"), "tub d": tank("transfer"), "second ward": tank("ward")},
        "batches": {"x": batch(), "y": batch("2027-03-09T18:30"), "z": batch("2027-03-20T18:30")},
    },
}
