"""The limits of the watches, as a site sets them."""

from pathlib import Path

import pytest

from settings_files import FOUR, good, problems, written
from tumpline.pressing.params import WATCHES
from tumpline.pressing.watches import NAMES
from tumpline.settings import describe


def watch(name: str, **numbers: str) -> str:
    """A table for one watch, before the signals."""
    lines = "".join(f"{key} = {value}\n" for key, value in numbers.items())
    return f"[line.watch.{name}]\n{lines}{FOUR}"


def test_every_alarm_has_a_watch_that_can_be_set(tmp_path: Path) -> None:
    """The names of the settings are those of the alarms, and without a table a watch has its default."""
    assert good(tmp_path).lines[0].params().watches == WATCHES
    assert set(WATCHES) == set(NAMES)


def test_a_limit_is_set_for_one_line_and_the_rest_stays(tmp_path: Path) -> None:
    """Shares and times are written with their units."""
    set_ = good(tmp_path, signals=watch("juice-low", limit='"85 %"', delay='"20 s"')).lines[0].params().watches
    assert (set_["juice-low"].limit, set_["juice-low"].delay) == (0.85, 20.0)
    assert set_["juice-low"].deadband == WATCHES["juice-low"].deadband
    assert set_["flume-low"] == WATCHES["flume-low"]


@pytest.mark.parametrize(
    ("table", "said"),
    [
        (watch("juice-lo", limit='"85 %"'), "line[line-1].watch.juice-lo is not a setting (did you mean"),
        (watch("fruit-starved", limit='"30 %"'), "watch.fruit-starved.limit is not a setting"),
        (watch("juice-low", limit='"120 %"'), 'watch.juice-low.limit = "120 %" cannot be used; a share under 100 %'),
        (watch("juice-low", limit="0.8"), "watch.juice-low.limit: 0.8 is not a number with a unit"),
        (watch("juice-low", deadband='"30 %"'), 'watch.juice-low.deadband = "30 %" ends the alarm only at the usual'),
        (watch("pressure-high", limit='"90 %"'), "a share over 100 %"),
        (watch("mill-blocked", limit='"60 %"'), "a share up to 50 %"),
        (watch("hard-object", on='"no"'), 'watch.hard-object.on = "no" cannot be used; true or false is accepted'),
    ],
)
def test_a_limit_that_makes_no_sense_is_answered_with_what_does(tmp_path: Path, table: str, said: str) -> None:
    """The sentence names the key, the value, and what would be accepted."""
    (sentence,) = problems(written(tmp_path, signals=table))
    assert said in sentence


def test_check_says_what_each_watch_does_with_its_own_numbers(tmp_path: Path) -> None:
    """In words, so that nobody has to read the code to know when somebody will be called."""
    text = describe(good(tmp_path, signals=watch("juice-low", limit='"85 %"', deadband='"5 %"')))
    assert (
        "juice-low            juice is under 85 % of what its fruit gave before, or has fallen by 10.5 % of a sudden, "
        "for 5 s; until it is over 90 %" in text
    )
    assert "pressure-high        press air is over 110 % of the usual for 15 s; until it is under 106 %" in text
    assert all(f"  {name:20} " in text for name in NAMES)


def test_check_says_which_watch_is_off(tmp_path: Path) -> None:
    """An alarm that is never raised is not passed over in silence."""
    assert "  hard-object          off\n" in describe(good(tmp_path, signals=watch("hard-object", on="false")))
