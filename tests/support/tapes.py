"""Recordings of the shifts that `press_stories` tells."""

import json
from pathlib import Path

import msgspec

from press_stories import START, Story
from tumpline.pressing.entries import KINDS
from tumpline.pressing.events import EntryMade, Event, ReadingTaken
from tumpline.wire.times import to_rfc3339

_UNITS = {"flume/flow": "m3/s", "mill/throughput": "kg/s", "press/pressure": "Pa", "juice/flow": "m3/s"}
_KINDS = {entry: kind for kind, entry in KINDS.items()}


def short_shift(name: str = "early", story: Story | None = None) -> Story:
    """Four minutes of fruit, and the press run empty; after `story` where there is one."""
    return (story or Story(current=False)).start(name).run(240).idle(180).end()


def message(topic: str, payload: str, *, arrived: float = START) -> str:
    """A line of a recording."""
    return json.dumps({"tst": to_rfc3339(arrived), "topic": topic, "payload": payload})


def lines(story: Story, *, speed: float = 1.0) -> list[str]:
    """The story as a broker heard it, from a line that runs `speed` times as fast as the broker's clock."""
    return [_line(event, speed) for event in story.events]


def write(path: Path, recording: list[str]) -> Path:
    """The recording as a file."""
    path.write_text("".join(f"{line}\n" for line in recording))
    return path


def _line(event: Event, speed: float) -> str:
    match event:
        case ReadingTaken(name, at, value, arrived):
            where = f"signal/{name}"
            payload: object = [{"n": name, "u": _UNITS[name], "v": value, "t": at}]
        case EntryMade(_, at, arrived, by, entry):
            where = f"book/{_KINDS[type(entry)]}"
            payload = {**msgspec.to_builtins(entry), "by": by, "at": to_rfc3339(at)}
        case _:
            raise AssertionError(f"{event} is no message")
    return message(f"tumpline/line-1/{where}", json.dumps(payload), arrived=START + (arrived - START) / speed)
