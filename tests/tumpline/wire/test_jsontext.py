"""JSON from outside."""

import msgspec
import pytest

from tumpline.wire.jsontext import at_pointer, utf8_problem, why_unreadable, wrong_type
from tumpline.wire.words import Refused

# RFC 6901 section 5
DOCUMENT = {
    "foo": ["bar", "baz"], "": 0, "a/b": 1, "c%d": 2, "e^f": 3, "g|h": 4, "i\\j": 5, 'k"l': 6, " ": 7, "m~n": 8,
}  # fmt: skip


@pytest.mark.parametrize(
    ("pointer", "value"),
    [
        ("", DOCUMENT), ("/foo", ["bar", "baz"]), ("/foo/0", "bar"), ("/", 0), ("/a~1b", 1), ("/c%d", 2), ("/e^f", 3),
        ("/g|h", 4), ("/i\\j", 5), ('/k"l', 6), ("/ ", 7), ("/m~0n", 8),
    ],
)  # fmt: skip
def test_pointers_lead_where_the_standard_says(pointer: str, value: object) -> None:
    """The examples of RFC 6901 section 5."""
    assert at_pointer(DOCUMENT, pointer) == value


@pytest.mark.parametrize("pointer", ["/bar", "/foo/2", "/foo/00", "/foo/-1", "/foo/-", "/foo/x", "/foo/0/x", "/ /x"])
def test_a_pointer_to_nothing_is_refused(pointer: str) -> None:
    """A value that is not there is not made up, and the sentence says where it was looked for."""
    refused = at_pointer(DOCUMENT, pointer)
    assert isinstance(refused, Refused) and pointer in refused.reason


def test_text_that_is_not_utf8_is_noticed() -> None:
    """The first byte that cannot be is named."""
    assert utf8_problem("é".encode()) is None
    assert utf8_problem(b"ab\xff") == "the payload is not UTF-8 text (byte 2)"


@pytest.mark.parametrize(
    ("payload", "words"),
    [
        (b"  ", "the payload is empty"),
        (b'{"v": NaN}', "the payload holds NaN, which is not a number"),
        (b"[Infinity]", "the payload holds Infinity, which is not a number"),
        (b'{"nan": }', "the payload is not JSON (invalid character (byte 8))"),
        (b"{", "the payload is not JSON (Input data was truncated)"),
    ],
)
def test_the_reason_is_named(payload: bytes, words: str) -> None:
    """A reader learns what to mend."""
    with pytest.raises(msgspec.DecodeError) as error:
        msgspec.json.decode(payload)
    assert why_unreadable(payload, error.value) == words


@pytest.mark.parametrize(
    ("message", "words"),
    [
        ("Expected `float | null`, got `str` - at `$.brix`", '"brix" is text where a number belongs'),
        ("Expected `array`, got `object`", "the payload is an object where a list belongs"),
        ("Expected `str`, got `null` - at `$[0].n`", '"[0].n" is null where text belongs'),
        ("Object missing required field `share` - at `$.varieties[1]`", '"varieties[1]" lacks its share'),
        (
            "Object contains unknown field `nam` - at `$.varieties[...]`",
            '"varieties" has a field nam that is not known',
        ),
        ("Number out of range - at `$.v`", '"v" is a number too large to be one'),
        ("Something new", "the payload does not fit (Something new)"),
    ],
)
def test_a_decoders_complaint_is_put_into_words(message: str, words: str) -> None:
    """People read what is wrong in words, not in the names of types."""
    assert wrong_type(message) == words
