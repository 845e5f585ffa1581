"""Commands that need no broker."""

import json
from pathlib import Path

import pytest

from settings_files import written
from tapes import lines, message, short_shift, write
from tumpline.app.errors import CommandError, Status
from tumpline.app.offline import check, replay_summary


def replayed(folder: Path, recording: list[str], *, shift: str | None = None, strict: bool = False) -> tuple[str, str]:
    """The shift whose summary is printed, and what is said beside it."""
    said: list[str] = []
    tape, config = write(folder / "shift.ndjson", recording), written(folder)
    text = replay_summary(tape, config, shift=shift, strict=strict, json=True, say=said.append)
    return json.loads(text)["shift"], "\n".join(said)


def refused(folder: Path, recording: list[str], *, shift: str | None = None, strict: bool = False) -> str:
    """The sentence with which a recording is refused."""
    with pytest.raises(CommandError) as error:
        replayed(folder, recording, shift=shift, strict=strict)
    assert error.value.status is Status.BAD_DATA
    return str(error.value)


def test_check_lists_the_signals(tmp_path: Path) -> None:
    """Good settings are told back with every signal of the line."""
    text = check(written(tmp_path), lambda warning: None)
    for name in ("line-1", "flume/flow", "mill/throughput", "press/pressure", "juice/flow"):
        assert name in text


def test_bad_settings_are_refused_with_all_that_is_wrong(tmp_path: Path) -> None:
    """Every mistake has its sentence with the file's name, and the status is that of bad settings."""
    path = written(tmp_path, head='[site]\nunits = "us"\n[broker]\nport = 0')
    with pytest.raises(CommandError) as error:
        check(path, lambda warning: None)
    assert error.value.status is Status.BAD_SETTINGS
    sentences = str(error.value).splitlines()
    assert len(sentences) == 2
    assert all(sentence.startswith(f"{path}: ") for sentence in sentences)


def test_the_last_shift_is_chosen_and_the_others_are_named(tmp_path: Path) -> None:
    """A recording of two shifts gives the second and says how to get the first."""
    recording = lines(short_shift("late", short_shift("early")))
    shift, said = replayed(tmp_path, recording)
    assert shift == "late"
    assert "--shift takes one of the others: early (line-1)." in said
    assert replayed(tmp_path, recording, shift="early") == ("early", "")


def test_a_shift_that_is_not_in_the_recording_is_refused(tmp_path: Path) -> None:
    """The sentence says which shifts there are."""
    assert refused(tmp_path, lines(short_shift()), shift="night").endswith("holds no shift night; it holds early.")


def test_broken_lines_are_told_or_refused(tmp_path: Path) -> None:
    """Each skipped line is named up to ten, then their number is; strict takes none of them."""
    recording = ["{"] * 12 + lines(short_shift())
    _, said = replayed(tmp_path, recording)
    assert said.count("the line is not JSON") == 10
    assert "shift.ndjson, line 1: " in said and "12 lines were skipped in all." in said
    assert "shift.ndjson: line 1: the line is not JSON" in refused(tmp_path, recording, strict=True)


@pytest.mark.parametrize(
    ("recording", "why"),
    [
        ([], "no line of it is a message."),
        ([message("orchard/line-1/signal/juice/flow", "1")], "none of its 1 messages is on a topic of line-1 under"),
    ],
)
def test_a_recording_without_a_shift_says_why(tmp_path: Path, recording: list[str], why: str) -> None:
    """Whoever mixed up files or settings learns which."""
    assert why in refused(tmp_path, recording)
