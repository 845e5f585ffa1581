"""Recordings: one JSON object a line with `tst`, `topic` and `payload`, as `mosquitto_sub -F %j` (or `%J`) prints."""

from __future__ import annotations

import gzip
import json
import zlib
from collections.abc import Iterable, Iterator
from functools import partial
from pathlib import Path
from typing import BinaryIO, cast

import msgspec
import zstandard
from msgspec import Struct

from tumpline.wire.times import from_broker_time, to_rfc3339
from tumpline.wire.words import kind_of_value, quoted


class RecordingError(Exception):
    """A compressed recording that is cut short or garbled; the message is a clause."""


class Message(Struct, frozen=True, gc=False):
    """One message as it came from the broker."""

    arrived: float
    topic: str
    payload: bytes


class Broken(Struct, frozen=True):
    """A line of a recording that is no message."""

    reason: str
    """A clause: what is wrong, and what would have been accepted."""


class _Line(Struct, gc=False):
    tst: str
    topic: str
    payload: str


class _JsonLine(Struct, gc=False):
    tst: str
    topic: str
    payload: msgspec.Raw


_CHUNK = 1 << 16
_line = msgspec.json.Decoder(_Line).decode
_json_line = msgspec.json.Decoder(_JsonLine).decode
_UNREADABLE = (msgspec.MsgspecError, UnicodeError, RecursionError)
_ACCEPTED = 'one JSON object with "tst", "topic" and "payload" is accepted'


def parse_line(line: bytes) -> Message | Broken:
    """
    One line of a recording. A payload in quotes is the text inside them, any other JSON value is the payload as it
    stands. Payloads that are not UTF-8 survive, whether the line holds their bytes or `format_line` wrote them.
    """
    try:
        found = _line(line)
        return _message(found.tst, found.topic, found.payload.encode())
    except _UNREADABLE:
        return _parse_json(line)


def format_line(message: Message) -> bytes:
    """The line of a recording that `parse_line` reads as this message, its time to the microsecond."""
    body = {"tst": to_rfc3339(message.arrived), "topic": message.topic}
    try:
        text = message.payload.decode()
    except UnicodeDecodeError:
        return json.dumps({**body, "payload": message.payload.decode(errors="surrogateescape")}).encode() + b"\n"
    return msgspec.json.encode({**body, "payload": text}) + b"\n"


def read_lines(path: Path) -> Iterator[bytes]:
    """
    The lines of a recording, decompressed where its name ends in `.gz` or `.zst`.

    Raises OSError where it cannot be opened, and RecordingError at the damage, after the lines before it.
    """
    with path.open("rb") as file:
        match path.suffix:
            case ".gz":
                yield from _gunzipped(file)
            case ".zst":
                yield from _lines(_unzstd(file))
            case _:
                yield from file


def create_recording(path: Path) -> BinaryIO:
    """A stream to write lines into, compressed where the name ends in `.gz` or `.zst`. Raises OSError."""
    match path.suffix:
        case ".gz":
            return cast(BinaryIO, gzip.open(path, "wb"))
        case ".zst":
            return cast(BinaryIO, zstandard.open(path, "wb"))
        case _:
            return path.open("wb")


def _gunzipped(file: BinaryIO) -> Iterator[bytes]:
    try:
        with gzip.open(file) as whole:
            yield from _lines(iter(partial(whole.read1, _CHUNK), b""))
    except (EOFError, gzip.BadGzipFile, zlib.error) as error:
        raise RecordingError(str(error)) from error


def _unzstd(file: BinaryIO) -> Iterator[bytes]:
    """Decompressed chunks of one frame after the other. (The library's own reader takes a file cut short for whole.)"""
    frame = zstandard.ZstdDecompressor().decompressobj()
    chunk = file.read(_CHUNK)
    while chunk:
        try:
            yield frame.decompress(chunk)
        except zstandard.ZstdError as error:
            raise RecordingError(str(error)) from error
        chunk = frame.unused_data or file.read(_CHUNK)
        if frame.eof and chunk:
            frame = zstandard.ZstdDecompressor().decompressobj()
    if not frame.eof:
        raise RecordingError("it ends in the middle")


def _lines(chunks: Iterable[bytes]) -> Iterator[bytes]:
    rest = b""
    for chunk in chunks:
        *whole, rest = (rest + chunk).split(b"\n")
        yield from whole
    if rest:
        yield rest


def _parse_json(line: bytes) -> Message | Broken:
    """Lines whose payload is a JSON value of its own, not text."""
    try:
        found = _json_line(line)
        payload = bytes(found.payload)
        return _parse_odd(line) if payload[:1] == b'"' else _message(found.tst, found.topic, payload)
    except _UNREADABLE:
        return _parse_odd(line)


def _parse_odd(line: bytes) -> Message | Broken:
    """Lines that the fast way cannot read: payloads of bytes that are no text, and everything broken."""
    try:
        found = json.loads(line.decode(errors="surrogateescape"), parse_constant=str)
    except (ValueError, RecursionError):
        return Broken(f"the line is not JSON; {_ACCEPTED}")
    match found:
        case {"tst": str(tst), "topic": str(topic), "payload": str(payload)}:
            try:
                return _message(tst, topic, payload.encode(errors="surrogateescape"))
            except UnicodeEncodeError:
                return Broken("the payload holds half a character; text is accepted")
        case dict():
            return Broken(f"the line lacks a part; {_ACCEPTED}")
        case _:
            return Broken(f"the line is {kind_of_value(found)}; {_ACCEPTED}")


def _message(tst: str, topic: str, payload: bytes) -> Message | Broken:
    arrived = from_broker_time(tst)
    if arrived is None:
        return Broken(f'"tst" is {quoted(tst)}; RFC 3339 with Z or an offset is accepted')
    return Message(arrived, topic, payload)
