"""What documents are made from, as commands get it."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stored_shifts import stored
from tumpline.app.errors import CommandError, Status
from tumpline.app.season import newest_season, season, shift_file

OCTOBER = datetime(2026, 10, 14, 6, tzinfo=UTC)


def test_a_shift_is_the_one_named_or_the_last(tmp_path: Path) -> None:
    """Its summary comes as it was published."""
    store = stored(tmp_path / "works.db", early=OCTOBER, late=OCTOBER.replace(hour=14))
    assert shift_file(store, None).summary["shift"] == "late"
    assert shift_file(store, "early").summary["shift"] == "early"


def test_what_is_not_stored_is_refused_with_what_there_is(tmp_path: Path) -> None:
    """A shift or season nobody worked, and a store that is not there, each have their sentence."""
    store = stored(tmp_path / "works.db", early=OCTOBER)
    for ask, words in (
        (lambda: shift_file(store, "night"), "holds no such shift; it holds early."),
        (lambda: season(store, 2019), "holds no shift of season 2019; it holds 2026."),
        (lambda: season(tmp_path / "nowhere.db", 2026), "nowhere.db cannot be used"),
    ):
        with pytest.raises(CommandError) as error:
            ask()
        assert error.value.status is Status.BAD_DATA
        assert words in str(error.value)


def test_the_newest_season_is_that_of_the_last_shift(tmp_path: Path) -> None:
    """A store without shifts says so."""
    assert newest_season(stored(tmp_path / "works.db", early=OCTOBER.replace(month=3), late=OCTOBER)) == 2026
    with pytest.raises(CommandError, match=r"empty\.db holds no shift yet\."):
        newest_season(stored(tmp_path / "empty.db"))
