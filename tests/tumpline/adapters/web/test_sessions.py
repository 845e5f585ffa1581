"""Who is logged in."""

from pathlib import Path

import pytest

from tumpline.adapters.web.people import Person
from tumpline.adapters.web.sessions import MOST_OF_ONE, Sessions

ADA = Person("Ada", "operate", "scrypt$4$8$3$00$11")
WALL = Person("Wall", "look", "scrypt$4$8$3$00$22")
HOUR = 3600.0


@pytest.fixture(name="sessions")
def _sessions(tmp_path: Path) -> Sessions:
    return Sessions(tmp_path / "sessions")


def test_a_token_is_its_persons_alone(sessions: Sessions) -> None:
    """No other token, and not for another person."""
    token = sessions.begin(ADA, 0.0)
    assert sessions.holds(token, ADA, 1.0)
    assert not sessions.holds(token, WALL, 1.0)
    assert not sessions.holds("", ADA, 1.0) and not sessions.holds(token[:-1], ADA, 1.0)
    assert (sessions.name(token), sessions.name("x")) == ("Ada", None)


def test_who_writes_logs_in_once_a_shift_and_a_wall_once_a_season(sessions: Sessions) -> None:
    """After sixteen hours a name must be proved again; a screen that only shows stays on."""
    tokens = {person: sessions.begin(person, 0.0) for person in (ADA, WALL)}
    assert sessions.holds(tokens[ADA], ADA, 15.9 * HOUR) and not sessions.holds(tokens[ADA], ADA, 16.1 * HOUR)
    assert sessions.holds(tokens[WALL], WALL, 200 * 24 * HOUR)


def test_logging_out_ends_it_at_once(sessions: Sessions) -> None:
    """The same token shown again is worth nothing."""
    token = sessions.begin(ADA, 0.0)
    sessions.end(token)
    assert not sessions.holds(token, ADA, 1.0)


def test_a_new_password_ends_what_the_old_one_opened(sessions: Sessions) -> None:
    """Whoever lost a phone changes the password."""
    token = sessions.begin(ADA, 0.0)
    assert not sessions.holds(token, Person("Ada", "operate", "scrypt$4$8$3$00$33"), 1.0)


def test_a_restart_logs_nobody_out(tmp_path: Path) -> None:
    """An upgrade at noon asks nobody for a password; the file holds no token."""
    token = Sessions(tmp_path / "s").begin(ADA, 0.0)
    assert Sessions(tmp_path / "s").holds(token, ADA, HOUR)
    assert token not in (tmp_path / "s").read_text()


def test_a_file_that_cannot_be_read_logs_everybody_out(tmp_path: Path) -> None:
    """And nothing worse."""
    (tmp_path / "s").write_bytes(b"\xff")
    assert not Sessions(tmp_path / "s").holds("x", ADA, 0.0)


def test_one_persons_sessions_are_bounded(sessions: Sessions) -> None:
    """The oldest ends; other people's do not."""
    other = sessions.begin(WALL, 0.0)
    tokens = [sessions.begin(ADA, float(n)) for n in range(MOST_OF_ONE + 1)]
    assert [sessions.holds(token, ADA, 99.0) for token in tokens[:2]] == [False, True]
    assert sessions.holds(other, WALL, 99.0)
