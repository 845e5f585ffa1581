"""Recordings, as a broker's client prints them and as we do."""

import gzip
from pathlib import Path

import pytest
import zstandard
from hypothesis import given
from hypothesis import strategies as st

from tumpline.wire.recordings import (
    Broken,
    Message,
    RecordingError,
    create_recording,
    format_line,
    parse_line,
    read_lines,
)

SEVEN = 1791961200.0


def line(tst: str = "2026-10-14T07:00:00.000000Z+0000", payload: str = '"x"') -> bytes:
    """A line as `mosquitto_sub -F %j` of version 2.0.11 prints it."""
    return f'{{"tst":"{tst}","topic":"a/b","qos":1,"retain":0,"payloadlen":1,"payload":{payload}}}\n'.encode()


@pytest.mark.parametrize(
    ("payload", "read"),
    [
        # seen from mosquitto_sub 2.0.11: %j quotes the payload, %J prints it as JSON
        (r'"[{\"v\":1.50,\"n\":\"é\"}]"', '[{"v":1.50,"n":"é"}]'.encode()),
        ('[{"v":1.5,"n":"é"}]', '[{"v":1.5,"n":"é"}]'.encode()),
        ('"12.50"', b"12.50"),
        ("12.5", b"12.5"),
        ("null", b"null"),
        ('""', b""),
        (r'"a\u0000b"', b"a\0b"),
        ('{"a": [1, 2]}', b'{"a": [1, 2]}'),
    ],
)
def test_both_ways_of_printing_payloads_are_read(payload: str, read: bytes) -> None:
    """Text in quotes is the payload; any other JSON is the payload as it stands."""
    assert parse_line(line(payload=payload)) == Message(SEVEN, "a/b", read)


@pytest.mark.parametrize(
    "tst",
    ["2026-10-14T07:00:00Z", "2026-10-14T07:00:00.000000Z+0000", "2026-10-14T08:00:00.000000Z+0100",
     "2026-10-14T08:00:00.000000+0100", "2026-10-14T08:00:00+01:00"],
)  # fmt: skip
def test_every_spelling_of_the_time_is_read(tst: str) -> None:
    """Versions of the broker's client print it differently."""
    assert parse_line(line(tst)) == Message(SEVEN, "a/b", b"x")


def test_bytes_that_are_no_text_are_read_too() -> None:
    """A client prints such a payload as it came; it is refused later, like it was when it came."""
    broken = line().replace(b'"x"', b'"\xff\xfe"')
    assert parse_line(broken) == Message(SEVEN, "a/b", b"\xff\xfe")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "the line is not JSON"),
        (b"07:00 a/b x", "the line is not JSON"),
        (line()[:40], "the line is not JSON"),
        (b"[1]", "the line is a list"),
        (b'{"tst":"2026-10-14T07:00:00Z","topic":"a/b"}', "the line lacks a part"),
        (b'{"tst":1791961200,"topic":"a/b","payload":"x"}', "the line lacks a part"),
        (b"[" * 100_000, "the line is not JSON"),
        (line("yesterday"), '"tst" is "yesterday"; RFC 3339 with Z or an offset is accepted'),
        (line("2026-10-14T07:00:00"), '"tst" is "2026-10-14T07:00:00"'),
        (line(payload=r'"\ud800"'), "half a character"),
    ],
)
def test_a_broken_line_says_what_is_wrong(text: bytes, words: str) -> None:
    """A line that is no message is a value with a reason, not an error."""
    broken = parse_line(text)
    assert isinstance(broken, Broken)
    assert words in broken.reason and "accepted" in broken.reason


@given(st.binary())
def test_no_line_whatever_raises(text: bytes) -> None:
    """A damaged recording is read to its end."""
    assert isinstance(parse_line(text), Broken | Message)


@given(st.integers(0, 4_000_000_000_000_000), st.text(), st.binary() | st.text().map(str.encode))
def test_what_is_recorded_is_what_is_read(microseconds: int, topic: str, payload: bytes) -> None:
    """Any payload survives, text or not, with its time to the microsecond."""
    message = Message(microseconds / 1e6, topic, payload)
    written = format_line(message)
    assert written.endswith(b"\n") and written.count(b"\n") == 1
    assert parse_line(written) == message


@pytest.mark.parametrize("name", ["a.jsonl", "a.jsonl.gz", "a.jsonl.zst"])
def test_a_recording_is_compressed_by_its_ending(name: str, tmp_path: Path) -> None:
    """What was written is read again, and only the ending decides how."""
    with create_recording(tmp_path / name) as stream:
        for text in (b"one\n", b"two\n", b"three"):
            stream.write(text)
    assert [text.rstrip(b"\n") for text in read_lines(tmp_path / name)] == [b"one", b"two", b"three"]
    assert ((tmp_path / name).read_bytes() == b"one\ntwo\nthree") is (name == "a.jsonl")


@pytest.mark.parametrize(("ending", "pack"), [(".gz", gzip.compress), (".zst", zstandard.compress)])
def test_recordings_may_be_joined(ending: str, pack: object, tmp_path: Path) -> None:
    """Two compressed days, one behind the other, are one recording."""
    assert callable(pack)
    joined = tmp_path / f"a{ending}"
    joined.write_bytes(pack(b"one\ntw") + pack(b"o\n"))
    assert [text.rstrip(b"\n") for text in read_lines(joined)] == [b"one", b"two"]


@pytest.mark.parametrize(("ending", "pack"), [(".gz", gzip.compress), (".zst", zstandard.compress)])
@pytest.mark.parametrize("cut", [10, 60])
def test_a_recording_cut_short_is_read_as_far_as_it_goes(ending: str, pack: object, cut: int, tmp_path: Path) -> None:
    """The lines before the damage are given, and then the damage is told."""
    assert callable(pack)
    damaged = tmp_path / f"a{ending}"
    damaged.write_bytes(pack(b"".join(b"%d\n" % n for n in range(100_000)))[:-cut])
    lines = read_lines(damaged)
    assert next(lines).rstrip() == b"0"
    with pytest.raises(RecordingError):
        list(lines)


@pytest.mark.parametrize("ending", [".gz", ".zst"])
def test_what_is_not_compressed_is_told(ending: str, tmp_path: Path) -> None:
    """A plain file under a wrong name is damage, not lines."""
    (tmp_path / f"a{ending}").write_bytes(b"this is no compressed file at all\n")
    with pytest.raises(RecordingError):
        list(read_lines(tmp_path / f"a{ending}"))


def test_a_recording_that_is_not_there_is_an_os_error(tmp_path: Path) -> None:
    """Whoever opens it learns why it cannot be opened."""
    with pytest.raises(FileNotFoundError):
        list(read_lines(tmp_path / "none.jsonl"))
