"""Who may log in."""

import json
import stat
from pathlib import Path

import pytest

from tumpline.adapters.web import people
from tumpline.adapters.web.errors import PageError
from tumpline.adapters.web.people import People, add_person, read_people, remove_person

PASSWORD = "three dry pomaces"


@pytest.fixture(autouse=True)
def _cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes that take a moment only."""
    monkeypatch.setattr(people, "LOG_N", 4)


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    path = tmp_path / "people.json"
    add_person(path, "Ada", "manage", PASSWORD)
    return path


def test_the_right_password_opens_and_no_other(path: Path) -> None:
    """Neither another password nor another name, however close."""
    who = People(path)
    assert (found := who.check("ada", PASSWORD)) is not None and (found.name, found.role) == ("Ada", "manage")
    assert who.check("Ada", PASSWORD + " ") is who.check("Bo", PASSWORD) is who.check("Ada", "") is None


def test_the_file_holds_no_password_and_is_its_owners_alone(path: Path) -> None:
    """Whoever reads it learns no password, and only its owner may read it."""
    assert PASSWORD not in path.read_text()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_the_same_password_twice_does_not_look_the_same(path: Path) -> None:
    """Each hash has a salt of its own."""
    add_person(path, "Bo", "look", PASSWORD)
    first, second = (person["secret"] for person in json.loads(path.read_text()))
    assert first.rsplit("$", 2)[1:] != second.rsplit("$", 2)[1:]


def test_a_hash_costs_what_the_constants_say(monkeypatch: pytest.MonkeyPatch) -> None:
    """32 MiB a guess: n = 2^15 blocks of 128 times 8 bytes, three times over; read back at its own cost."""
    monkeypatch.undo()
    secret = people.hashed(PASSWORD)
    assert secret.startswith("scrypt$15$8$3$")


def test_scrypt_is_the_published_one() -> None:
    """RFC 7914 section 12, third vector: password `pleaseletmein`, salt `SodiumChloride`, N = 16384, r = 8, p = 1."""
    found = people._scrypt("pleaseletmein", b"SodiumChloride", 14, 8, 1)
    assert found.hex() == "7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2"


def test_changes_are_noticed_while_the_page_runs(path: Path) -> None:
    """Somebody added can log in, somebody taken out cannot, without a new start."""
    who = People(path)
    add_person(path, "Bo", "look", PASSWORD)
    assert who.find("Bo") is not None
    remove_person(path, "Ada")
    assert who.find("Ada") is None
    path.unlink()
    assert who.find("Bo") is None


def test_mistakes_are_sentences(path: Path, tmp_path: Path) -> None:
    """What is wrong and what is accepted."""
    with pytest.raises(PageError, match="has 4 letters; from 10 to 200 are accepted"):
        add_person(path, "Bo", "look", "pips")
    with pytest.raises(PageError, match="has nobody named Cy"):
        remove_person(path, "Cy")
    with pytest.raises(PageError, match="names nobody who could log in"):
        People(tmp_path / "none.json")
    path.write_text("[1]")
    with pytest.raises(PageError, match="cannot be read"):
        read_people(path)
    with pytest.raises(PageError, match="cannot be written"):
        people.write_private(path / "below.json", [])
