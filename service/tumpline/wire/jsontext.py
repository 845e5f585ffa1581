"""JSON from outside: why it cannot be read, and the way to a value in it."""

from __future__ import annotations

import re

import msgspec

from tumpline.wire.words import Refused, listed, quoted

LONGEST_PAYLOAD = 256 * 1024
_NOT_A_NUMBER = re.compile(rb"(?<![\w\"])[-+]?(nan|inf(inity)?)\b", re.IGNORECASE)
_TYPE_NAMES = {
    "array": "a list", "object": "an object", "str": "text", "int": "a number", "float": "a number",
    "bool": "true or false", "null": "null",
}  # fmt: skip
_INDEX = re.compile(r"0|[1-9]\d{0,9}", re.ASCII)
_COMPLAINTS = (
    (re.compile(r"Expected `([^`]+)`, got `([^`]+)`"), "{0} is {2} where {1} belongs"),
    (re.compile(r"Object missing required field `([^`]+)`"), "{0} lacks its {1}"),
    (re.compile(r"Object contains unknown field `([^`]+)`"), "{0} has a field {1} that is not known"),
    (re.compile(r"(?:Number|Integer value) out of range"), "{0} is a number too large to be one"),
)


def utf8_problem(payload: bytes) -> str | None:
    """What is wrong with bytes that should be text; None where nothing is."""
    if payload.isascii():
        return None
    try:
        payload.decode()
    except UnicodeDecodeError as error:
        return f"the payload is not UTF-8 text (byte {error.start})"
    return None


def why_unreadable(payload: bytes, error: Exception) -> str:
    """One clause for a payload that a JSON decoder refused."""
    if not payload.strip():
        return "the payload is empty"
    problem = utf8_problem(payload)
    if problem:
        return problem
    not_a_number = _NOT_A_NUMBER.search(payload)
    if not_a_number:
        return f"the payload holds {not_a_number[0].decode()}, which is not a number"
    if isinstance(error, RecursionError):
        return "the payload is nested too deeply"
    if isinstance(error, msgspec.ValidationError):
        return wrong_type(str(error))
    return f"the payload is not JSON ({str(error).removeprefix('JSON is malformed: ')})"


def wrong_type(message: str, *, within: str = "") -> str:
    """A decoder's complaint about a shape, in our words; `within` is where the value it saw stands."""
    complaint, _, path = message.partition(" - at `$")
    where = within + path.rstrip("`").replace("[...]", "")
    place = quoted(where.strip(".")) if where else "the payload"
    for pattern, words in _COMPLAINTS:
        found = pattern.fullmatch(complaint)
        if found:
            return words.format(place, *(_in_words(group) for group in found.groups()))
    return f"{place} does not fit ({complaint})"


def _in_words(types: str) -> str:
    """`float | null` as `a number`."""
    wanted = types.removesuffix(" | null").split(" | ")
    return listed(dict.fromkeys(_TYPE_NAMES.get(name, name) for name in wanted))


def at_pointer(document: object, pointer: str) -> object | Refused:
    """The value a JSON pointer (RFC 6901) leads to."""
    value = document
    for token in pointer.split("/")[1:]:
        key = token.replace("~1", "/").replace("~0", "~")
        if isinstance(value, dict) and key in value:
            value = value[key]
        elif isinstance(value, list) and _INDEX.fullmatch(key) and int(key) < len(value):
            value = value[int(key)]
        else:
            return Refused(f"the document has nothing at {quoted(pointer)}; one that has is accepted")
    return value
