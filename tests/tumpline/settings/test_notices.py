"""Who is told of alarms, and when, as the settings say it."""

import datetime
from pathlib import Path

import pytest

from settings_files import good, problems, written
from tumpline.pressing.records import Priority
from tumpline.settings.notices import Notices


def notices(folder: Path, more: str = "", *, addresses: str = "json://127.0.0.1:9/a\n") -> Notices:
    """The table, with a file of addresses."""
    file = folder / "addresses"
    file.write_text(addresses)
    found = good(folder, head=f'[notices]\naddresses_file = "{file}"\n{more}').notices
    assert found is not None
    return found


def test_without_the_table_nobody_is_told(tmp_path: Path) -> None:
    """Notices are for those who ask for them."""
    assert good(tmp_path).notices is None


def test_addresses_stand_one_in_a_line(tmp_path: Path) -> None:
    """Empty lines and remarks are left out."""
    text = "# the owner\nmailtos://a:b@example.org\n\n  json://127.0.0.1:9/a  \n"
    assert notices(tmp_path, addresses=text).addresses() == ["mailtos://a:b@example.org", "json://127.0.0.1:9/a"]


def test_addresses_may_stand_in_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One variable holds them, with a line for each."""
    monkeypatch.setenv("PRESS_NOTICES", "json://127.0.0.1:9/a\njson://127.0.0.1:9/b")
    found = good(tmp_path, head='[notices]\naddresses_env = "PRESS_NOTICES"').notices
    assert found is not None
    assert len(found.addresses()) == 2


def test_quiet_hours_are_times_of_day(tmp_path: Path) -> None:
    """They may go over midnight."""
    found = notices(tmp_path, 'quiet_from = "22:00"\nquiet_until = "06:30"\nminimum_priority = "high"')
    assert (found.quiet_from, found.quiet_until) == (datetime.time(22, 0), datetime.time(6, 30))
    assert found.minimum is Priority.HIGH


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ('quiet_from = "22:00"', "notices.quiet_until is missing; quiet_from and quiet_until together"),
        ('quiet_from = "late"\nquiet_until = "06:00"', '"late" is no time of day; a time of day such as "22:00"'),
        ('minimum_priority = "urgent"', '"high", "medium" or "low" is accepted'),
        ('addresses_env = "A"', "stands beside addresses_file; one of the two is accepted"),
        ('repeat_after = "often"', 'a time such as "10 min" is accepted'),
    ],
)
def test_mistakes_are_named(tmp_path: Path, more: str, words: str) -> None:
    """Key, value and what is accepted stand in one sentence."""
    (sentence,) = problems(written(tmp_path, head=f'[notices]\naddresses_file = "addresses"\n{more}'))
    assert words in sentence


def test_addresses_that_are_nowhere_are_missed(tmp_path: Path) -> None:
    """Neither file nor variable, a file that is not there, and one without an address are each said."""
    (sentence,) = problems(written(tmp_path, head="[notices]"))
    assert "notices.addresses_file is missing" in sentence
    (sentence,) = problems(written(tmp_path, head='[notices]\naddresses_file = "nowhere"'))
    assert "notices.addresses_file" in sentence
    (tmp_path / "empty").write_text("# nobody yet\n")
    (sentence,) = problems(written(tmp_path, head=f'[notices]\naddresses_file = "{tmp_path / "empty"}"'))
    assert "holds no address" in sentence
