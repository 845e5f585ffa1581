"""Small words of refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.wire.words import did_you_mean, kind_of_value, listed, nearest, quoted


def test_text_is_quoted_and_numbers_are_not() -> None:
    """A reader sees what was text and what was not."""
    values: list[object] = ["kg", 4.5, None, True, [1], {}]
    assert [quoted(value) for value in values] == [
        '"kg"',
        "4.5",
        "null",
        "true",
        "a list",
        "an object",
    ]


@given(st.text() | st.integers() | st.floats() | st.lists(st.text()))
def test_whatever_comes_from_outside_stays_one_short_line(value: object) -> None:
    """No payload can break a sentence into lines or make it endless."""
    words = quoted(value)
    assert len(words) <= 40
    assert words.isprintable()


@pytest.mark.parametrize(
    ("word", "known", "expected"),
    [
        ("mill/thruput", ["mill/throughput", "juice/flow"], "mill/throughput"),
        ("PORT", ["host", "port"], "port"),
        ("password", ["port", "password_file"], "password_file"),
        ("zzz", ["host", "port"], None),
    ],
)
def test_nearest_finds_what_was_meant(word: str, known: list[str], expected: str | None) -> None:
    """A slip of the finger finds its word, and nonsense finds none."""
    assert nearest(word, known) == expected


def test_did_you_mean_says_nothing_about_nonsense() -> None:
    """A wild guess would help nobody."""
    assert did_you_mean("growr", ["grower"]) == ' (did you mean "grower"?)'
    assert did_you_mean("zzz", ["grower"]) == ""


def test_lists_read_like_language() -> None:
    """`a`, `a or b`, `a, b and c`."""
    assert listed(["a"]) == "a"
    assert listed(["a", "b"]) == "a or b"
    assert listed(["a", "b", "c"], last="and") == "a, b and c"


def test_kinds_of_values_have_names() -> None:
    """Each sort of JSON value has a word for it."""
    values: list[object] = [None, True, "", 1, 1.5, [], {}]
    assert [kind_of_value(value) for value in values] == [
        "null", "true or false", "text", "a number", "a number", "a list", "an object",
    ]  # fmt: skip
