"""From topic and bytes to events."""

import pytest

from tumpline.pressing.events import EntryMade, EntryRefused, ReadingRefused, ReadingTaken
from tumpline.pressing.params import LineParams, ResidenceParams
from tumpline.wire.decode import Decoder, LineWire
from tumpline.wire.formats import PayloadFormat
from wire_line import ARRIVED, events, line_wire, reason

NOTE = b'{"text":"new cloth","by":"M. Reed"}'


@pytest.mark.parametrize(
    "topic",
    [
        "tumpline/line-1/live",
        "tumpline/line-1/event",
        "tumpline/line-1/alarm/mill-blocked",
        "tumpline/line-1/summary/early",
        "tumpline/line-1/service",
        "tumpline/line-2/signal/mill/throughput",
        "other/line-1/signal/mill/throughput",
        "tumpline/line-1/signal/",
        "tumpline/line-1",
        "$SYS/broker/uptime",
        "",
    ],
)
def test_what_is_not_for_us_is_left_alone(topic: str) -> None:
    """Our own documents and other people's topics mean nothing here."""
    assert Decoder([line_wire()]).decode(topic, b"[]", ARRIVED) is None


def test_a_signal_read_elsewhere_is_not_read_twice() -> None:
    """A transmitter's own topic is read instead of ours, not as well."""
    assert "no signal of line-1" in reason("juice/flow", b'{"values":[{"flow":60}],"time":0}')


def test_an_unknown_signal_is_refused_with_the_nearest_known() -> None:
    """A slip in a device's topic is seen at once."""
    (refused,) = events("mill/thruput", b'[{"v":4}]')
    assert isinstance(refused, ReadingRefused)
    assert refused.signal == "mill/thruput"
    assert refused.reason.startswith(
        '"mill/thruput" is no signal of line-1 (did you mean "mill/throughput"?); a signal'
    )


def test_a_payload_over_256_kib_is_refused() -> None:
    """262144 bytes are read, one more is not."""
    pack = b'[{"v":4}]'
    (read,) = events("mill/throughput", pack + b" " * (262144 - len(pack)))
    assert isinstance(read, ReadingTaken)
    assert "262145 bytes; up to 262144 (256 KiB) is accepted" in reason("mill/throughput", b" " * 262145)


def test_bytes_that_are_no_text_are_refused_even_where_nobody_reads_them() -> None:
    """A payload is UTF-8 as a whole or not at all."""
    assert "not UTF-8 text (byte 16)" in reason("mill/throughput", b'[{"v":4,"note":"\xff"}]')


@pytest.mark.parametrize(
    ("at", "now", "taken"),
    [
        (ARRIVED + 60, None, True),
        (ARRIVED + 61, None, False),
        (ARRIVED + 61, ARRIVED + 1, True),
        (ARRIVED + 60, 0.0, True),
    ],
)
def test_the_future_begins_a_minute_after_the_later_clock(at: float, now: float | None, taken: bool) -> None:
    """`ahead` counts from the arrival or from now, whichever is later."""
    (event,) = events("mill/throughput", b'[{"v":4,"t":%f}]' % at, now=now)
    assert isinstance(event, ReadingTaken) is taken


@pytest.mark.parametrize(("at", "made"), [(b"2026-10-14T07:01:00Z", True), (b"2026-10-14T07:01:01Z", False)])
def test_nobody_writes_about_the_future(at: bytes, made: bool) -> None:
    """The same limit holds for the book."""
    (event,) = events("tumpline/line-1/book/note", NOTE[:-1] + b',"at":"%s"}' % at)
    assert isinstance(event, EntryMade) is made


def test_entries_are_found_under_book() -> None:
    """A book entry is one event of its line."""
    (made,) = events("tumpline/line-1/book/note", NOTE)
    assert isinstance(made, EntryMade) and made.by == "M. Reed"


@pytest.mark.parametrize(
    ("payload", "words"), [(b"\xff", "note: the payload is not UTF-8"), (b" " * 262145, "262145 bytes")]
)
def test_unfit_entries_are_refused(payload: bytes, words: str) -> None:
    """The limits of payloads hold for the book too."""
    (refused,) = events("tumpline/line-1/book/note", payload)
    assert isinstance(refused, EntryRefused) and words in refused.reason


def test_signals_may_share_a_transmitters_document() -> None:
    """One message of a device that measures two things is two readings."""
    flow = PayloadFormat(unit="L/min", kind="json", pointer="/flow", topic="meters/juice")
    total = PayloadFormat(unit="m3", kind="json", pointer="/total", topic="meters/juice")
    wire = line_wire(juice_flow=flow, juice_total=total)
    read = events("meters/juice", b'{"flow":60,"total":7.5}', wire=wire)
    assert [e.signal for e in read if isinstance(e, ReadingTaken)] == ["juice/total", "juice/flow"]


def test_signals_may_share_a_transmitters_packs() -> None:
    """The names in a shared pack tell its signals apart, and a record of no signal's name is refused once."""
    form = PayloadFormat(unit="kg", topic="meters/weigher")
    wire = line_wire(mill_total=form, mill_throughput=PayloadFormat(unit="t/h", topic="meters/weigher"))
    payload = b'[{"bn":"w:","n":"mill/total","v":5},{"n":"mill/throughput","v":3.6},{"n":"battery","u":"V","v":3}]'
    total, rate, battery = events("meters/weigher", payload, wire=wire)
    assert isinstance(total, ReadingTaken) and (total.signal, total.value) == ("mill/total", 5.0)
    assert isinstance(rate, ReadingTaken) and rate.signal == "mill/throughput"
    assert isinstance(battery, ReadingRefused) and '"w:battery" in the pack is no signal' in battery.reason


def test_lines_are_kept_apart() -> None:
    """Each message belongs to the line of its topic, under the line's own root."""
    second = LineWire(LineParams("line-2", 1.0, 7e-4, ResidenceParams(), ()), "annex/tumpline", {})
    decoder = Decoder([line_wire(), second])
    for topic, line in (("tumpline/line-1/book/note", "line-1"), ("annex/tumpline/line-2/book/note", "line-2")):
        decoded = decoder.decode(topic, NOTE, ARRIVED)
        assert decoded is not None and decoded.line == line
    assert decoder.decode("annex/tumpline/line-1/book/note", NOTE, ARRIVED) is None
