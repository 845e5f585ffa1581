"""Room that runs out."""

import pytest

from looks import LINE
from tumpline.pressing.watches.room import Room, RoomWatch
from tumpline.pressing.watches.verdict import Verdict

LIMITS = LINE.watches["vat-nearly-full"]


def told(*spells: tuple[Room, int]) -> Verdict:
    """What is said at the end of so many seconds of each room."""
    watch, verdict, now = RoomWatch("Vat"), Verdict(False), 0.0
    for room, count in spells:
        watch.room = room
        for _ in range(count):
            now += 1.0
            verdict = watch.step(now, LIMITS)
    return verdict


def vat(holds: float | None, *, rate: float = 0.0, name: str = "V1", capacity: float | None = 10.0) -> Room:
    """A vat of 10 m³."""
    return Room(name, holds, capacity, rate)


def test_a_vat_over_its_limit_is_told_with_its_name_and_the_time_left() -> None:
    """After a minute over 90 %; the sentence says when it will be full."""
    assert not told((vat(9.2), 60)).active
    verdict = told((vat(9.2, rate=0.8 / 1800.0), 61))
    assert verdict.active
    assert verdict.subjects == ("V1",)
    assert (verdict.value, verdict.limit, verdict.unit) == (pytest.approx(92.0), 90.0, "%")
    assert "Vat V1 is 92 % full, and will be full in about 30 minutes" in verdict.cause


def test_a_small_vat_that_fills_fast_is_told_in_time() -> None:
    """Half full and full in nine minutes is nearly full."""
    assert told((vat(5.0, rate=5.0 / 540.0), 61)).active
    assert not told((vat(5.0, rate=5.0 / 660.0), 61)).active


def test_it_ends_with_another_vat_or_with_room() -> None:
    """A level that trembles about the limit does not end it."""
    assert told((vat(9.2), 61), (vat(8.9), 10)).active
    assert not told((vat(9.2), 61), (vat(8.7), 2)).active
    assert not told((vat(9.2), 61), (vat(1.0, name="V2"), 2)).active


def test_what_nobody_knows_is_not_nearly_full() -> None:
    """Without a vat, its contents or its capacity there is nothing to say."""
    for room in (Room(), vat(None), vat(9.9, capacity=None)):
        assert not told((room, 120)).active


def test_what_may_be_in_it_counts() -> None:
    """Known to five per cent, it is told at 86 %; the sentence says what is thought to be in it."""
    assert not told((vat(8.5)._replace(more=0.425), 120)).active
    verdict = told((vat(8.7)._replace(more=0.435), 61))
    assert verdict.active
    assert "is 87 % full" in verdict.cause
