"""Secrets, from their one place."""

from pathlib import Path

import pytest

from tumpline.settings.secrets import SecretError, read_secret, two_places


def test_a_secret_is_read_from_its_file(tmp_path: Path) -> None:
    """The line break an editor adds is not part of it."""
    (tmp_path / "token").write_text("s3cret\n")
    assert read_secret(tmp_path / "token", None) == "s3cret"


def test_a_secret_is_read_from_its_variable(monkeypatch: pytest.MonkeyPatch) -> None:
    """A container gets its secrets from the environment."""
    monkeypatch.setenv("TUMPLINE_TEST_TOKEN", "s3cret")
    assert read_secret(None, "TUMPLINE_TEST_TOKEN") == "s3cret"


def test_no_place_means_no_secret() -> None:
    """A broker without a password needs none."""
    assert read_secret(None, None) is None


@pytest.mark.parametrize("content", [None, b"", b" \n", b"\xff\xfe"])
def test_a_secret_that_cannot_be_read_is_told_without_showing_it(tmp_path: Path, content: bytes | None) -> None:
    """Missing, empty, or no text: the program does not start without its secret."""
    if content is not None:
        (tmp_path / "token").write_bytes(content)
    with pytest.raises(SecretError, match="the file "):
        read_secret(tmp_path / "token", None)


def test_an_unset_variable_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """The variable is named."""
    monkeypatch.delenv("TUMPLINE_TEST_TOKEN", raising=False)
    with pytest.raises(SecretError, match="TUMPLINE_TEST_TOKEN is not set"):
        read_secret(None, "TUMPLINE_TEST_TOKEN")


def test_two_places_are_one_too_many() -> None:
    """Which of two secrets counts must not be a guess."""
    assert [p.key for p in two_places("token", Path("a"), "B")] == ["token_env"]
    assert [*two_places("token", Path("a"), None), *two_places("token", None, "B")] == []
