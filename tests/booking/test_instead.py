"""What would help a wish that cannot come, and who would have to move for it."""

from __future__ import annotations

from booking.test_wish_codes import AT, wish
from pratique.booking.book import book
from pratique.booking.instead import alternatives
from schedule_rooms import batch, build, room_data, tank


def test_whoever_would_have_to_wait_for_it_is_named() -> None:
    """One ward, taken until 20 April; the patient wish is booked then, for longer than 120 days.

    The urgent one could come that day only in its place; with one more ward it comes on its first day beside it.
    """
    copper = {"regimen": "copper-hold"}
    data = room_data(
        tanks={"reef": tank("display", cycled="yes"), "ward": tank("ward")},
        batches={"first": batch("2026-12-10T18:30", "untrusted", "yellow tang", **copper)},
        wishes={
            "patient": wish("royal gramma", latest="2027-12-01", **copper),
            "urgent": wish("yellow tang", **copper),
        },
    )
    answer, desk = book(build(**data), None, AT)
    assert [f"{booked.wish.name} {booked.batch.arrives:%d.%m.}" for booked in answer.booked] == ["patient 20.04."]
    (broken,) = answer.broken
    later, another = alternatives(answer, desk, broken.wish)
    assert (later.sort, f"{later.booked.batch.arrives:%d.%m.}", later.others) == ("later", "20.04.", ("patient",))
    assert later.what.startswith("come 14 d after its latest day")
    assert (another.sort, f"{another.booked.batch.arrives:%d.%m.}", another.others) == ("tank", "02.04.", ())
    assert another.booked.stays[0].tanks == ("another ward",)
