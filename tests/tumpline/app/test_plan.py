"""What is left of a season, from the store."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stored_shifts import stored
from tumpline.app.errors import CommandError, Status
from tumpline.app.plan import Outlook, plan_paper


def outlook(**changes: object) -> Outlook:
    """40 t to come in eight days."""
    wish = {"to_come": "40 t", "days": 8, "waiting": None, "room": None, "shifts_a_day": 1.0, "spoilt": 1.0}
    return Outlook(**{**wish, "season": None, **changes})


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """A store with two shifts, in which nobody read how fast their loads were pressed."""
    days = {"a": datetime(2026, 10, 14, 6, tzinfo=UTC), "b": datetime(2026, 10, 15, 6, tzinfo=UTC)}
    return stored(tmp_path / "works.db", **days)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"to_come": "40 L"}, '--to-come: "40 L" is not a number with a unit of'),
        ({"waiting": "-1 t"}, "--waiting: -1 t is below nought; 0 or more is accepted."),
        ({"room": "much"}, '--room: "much" is not a number with a unit of'),
    ],
)
def test_a_quantity_that_cannot_be_meant_is_refused(store: Path, wrong: dict[str, str], sentence: str) -> None:
    """The sentence names the option and what is accepted."""
    with pytest.raises(CommandError) as error:
        plan_paper(None, store, "json", outlook(**wrong))
    assert error.value.status is Status.BAD_SETTINGS
    assert sentence in str(error.value)


def test_a_season_that_says_too_little_is_no_ground_for_a_plan(store: Path) -> None:
    """Without loads whose rate is known there is nothing to work with."""
    with pytest.raises(CommandError) as error:
        plan_paper(None, store, "json", outlook())
    assert error.value.status is Status.BAD_DATA
    assert "nothing can be planned from this season: fewer than two loads were pressed." in str(error.value)
