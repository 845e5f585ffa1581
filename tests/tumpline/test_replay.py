"""A recording worked through as if it were happening now."""

import gzip
from pathlib import Path

import pytest

from press_stories import START, inside
from settings_files import good
from tapes import lines, message, short_shift, write
from tumpline.replay import Replayed, ReplayError, replay


def replayed(folder: Path, recording: list[str], *, strict: bool = False) -> Replayed:
    """What the recording gives with settings that fit."""
    wires = [line.wire("tumpline") for line in good(folder).lines]
    return replay(write(folder / "shift.ndjson", recording), wires, strict=strict)


def test_a_recording_gives_the_shift_that_was(tmp_path: Path) -> None:
    """Fruit and juice of the recorded shift lie in the intervals of its summary, from its start to its end."""
    story = short_shift()
    found = replayed(tmp_path, lines(story))
    (summary,) = found.summaries
    assert inside(sum(story.milled.values()), summary.fruit)
    assert inside(sum(story.pressed.values()), summary.juice)
    assert (summary.shift, summary.start, summary.end) == ("early", START, story.now - 60.0)
    assert (found.broken, found.messages, found.ours) == ([], len(story.events), len(story.events))


def test_a_shift_still_open_at_the_end_is_summed_up(tmp_path: Path) -> None:
    """A recording cut off in the middle of a shift still gives its figures."""
    (summary,) = replayed(tmp_path, lines(short_shift())[:900]).summaries
    assert summary.shift == "early"
    assert summary.end < START + 240.0


def test_a_line_that_ran_fast_is_taken_by_its_own_clock(tmp_path: Path) -> None:
    """A recording of a line sixty times as fast as the clock that stamped it gives the very same summary."""
    plain, fast = (replayed(tmp_path, lines(short_shift(), speed=speed)) for speed in (1.0, 60.0))
    assert [signal.refused for signal in fast.summaries[0].signals] == [0, 0, 0, 0]
    assert fast.summaries == plain.summaries


def test_one_reading_from_the_future_is_refused(tmp_path: Path) -> None:
    """A single clock gone wrong does not carry the whole recording along."""
    recording = lines(short_shift())
    tomorrow = f'[{{"n": "juice/flow", "u": "m3/s", "v": 0.001, "t": {START + 86400.0}}}]'
    recording.insert(400, message("tumpline/line-1/signal/juice/flow", tomorrow, arrived=START + 100.0))
    (summary,) = replayed(tmp_path, recording).summaries
    assert {signal.name: signal.refused for signal in summary.signals if signal.refused} == {"juice/flow": 1}
    assert summary.end == START + 420.0


def test_a_broken_line_is_named_by_its_number_and_skipped(tmp_path: Path) -> None:
    """What can be read of a damaged recording counts, and every line that cannot is told of."""
    recording = lines(short_shift())
    broken = [*recording[:10], "{", "", *recording[10:20], '{"topic": "a"}', *recording[20:]]
    found = replayed(tmp_path, broken)
    assert [sentence.partition(":")[0] for sentence in found.broken] == ["line 11", "line 23"]
    assert found.summaries == replayed(tmp_path, recording).summaries


def test_a_broken_line_is_an_error_where_strict(tmp_path: Path) -> None:
    """Whoever wants all or nothing gets nothing, with the number of the line."""
    with pytest.raises(ReplayError, match=r"^line 3: the line is not JSON"):
        replayed(tmp_path, [*lines(short_shift())[:2], "{"], strict=True)


def test_a_compressed_recording_cut_short_gives_what_came_before(tmp_path: Path) -> None:
    """After a crash of the recorder its readings up to then are still there."""
    whole = gzip.compress("\n".join(lines(short_shift())).encode())
    path = tmp_path / "shift.ndjson.gz"
    path.write_bytes(whole[: len(whole) * 3 // 4])
    found = replay(path, [line.wire("tumpline") for line in good(tmp_path).lines])
    assert [summary.shift for summary in found.summaries] == ["early"]
    assert len(found.broken) == 1 and "from here on the file is damaged" in found.broken[0]


@pytest.mark.parametrize("branch", ["live", "event", "alarm/mill-blocked", "summary/early", "service"])
def test_what_the_program_itself_published_is_passed_over(tmp_path: Path, branch: str) -> None:
    """A recording of everything on the broker gives the same as one of the line alone."""
    recording = lines(short_shift())
    ours = message(f"tumpline/line-1/{branch}", '{"fruit_kg": 1e9}', arrived=START + 100.0)
    found = replayed(tmp_path, [*recording[:500], ours, *recording[500:]])
    assert (found.broken, found.ours) == ([], len(recording))
    assert found.summaries == replayed(tmp_path, recording).summaries


def test_a_missing_recording_is_said_in_words(tmp_path: Path) -> None:
    """A file that is not there is one sentence."""
    with pytest.raises(ReplayError, match=r"^it cannot be read \(No such file or directory\)\.$"):
        replay(tmp_path / "none.ndjson", [])
