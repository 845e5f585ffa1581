"""A watch tried on a recorded shift."""

import json
from pathlib import Path

import pytest

from settings_files import FOUR, written
from tapes import lines, short_shift, write
from tumpline.app.errors import CommandError, Status
from tumpline.app.tuning import watch_told

OFF = f"[line.watch.flume-low]\non = false\n{FOUR}"


def tried(folder: Path, watch: str, *, signals: str = FOUR, shift: str | None = None, json_: bool = False) -> str:
    """What is printed about a recording of two short shifts."""
    tape = write(folder / "shift.ndjson", lines(short_shift("late", short_shift("early"))))
    config = written(folder, signals=signals)
    return watch_told(tape, config, watch, shift=shift, strict=False, json=json_, say=lambda _: None)


def test_every_shift_of_the_recording_is_tried(tmp_path: Path) -> None:
    """With the watch's own words, and that it was never raised where it was not."""
    text = tried(tmp_path, "flume-low")
    assert "line-1, shift early" in text and "line-1, shift late" in text
    assert "flume-low: the flume's water is under 70 % of the usual for 10 s" in text
    assert text.count("never raised") == 2
    assert "shift early" not in tried(tmp_path, "flume-low", shift="late")


def test_a_watch_that_is_off_says_so(tmp_path: Path) -> None:
    """Nobody wonders why it never called."""
    assert "flume-low: off" in tried(tmp_path, "flume-low", signals=OFF)


def test_as_a_document_it_has_every_shift_with_its_alarms(tmp_path: Path) -> None:
    """One JSON document, and nothing else."""
    document = json.loads(tried(tmp_path, "signal-lost", json_=True))
    assert (document["schema"], document["watch"]) == ("tumpline.watch/1", "signal-lost")
    assert [shift["shift"] for shift in document["shifts"]] == ["early", "late"]
    assert all(alarm["name"] == "signal-lost" for shift in document["shifts"] for alarm in shift["alarms"])


def test_an_unknown_watch_is_answered_with_those_there_are(tmp_path: Path) -> None:
    """A mistyped name gets its neighbour."""
    with pytest.raises(CommandError, match='did you mean "juice-low"') as error:
        tried(tmp_path, "juice-lo")
    assert error.value.status is Status.BAD_SETTINGS


def test_a_shift_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """The sentence says which shifts there are."""
    with pytest.raises(CommandError, match=r"no such shift; it holds early, late\.") as error:
        tried(tmp_path, "juice-low", shift="night")
    assert error.value.status is Status.BAD_DATA
