"""Reading SenML packs; what RFC 8428 itself prints is checked in `published/test_senml.py`."""

import pytest

from tumpline.wire.senml import Record, resolve, unpack
from tumpline.wire.words import Refused


@pytest.mark.parametrize(
    ("payload", "words"),
    [
        (b"", "empty"),
        (b"{}", "an object where a list belongs"),
        (b"[1]", "a number where an object belongs"),
        (b'[{"v":"1"}]', "text where a number belongs"),
        (b'[{"v":true}]', "true or false where a number belongs"),
        (b'[{"n":1,"v":1}]', "a number where text belongs"),
        (b'[{"v":NaN}]', "NaN"),
        (b'[{"v":-Infinity}]', "-Infinity"),
        (b'[{"v":1e999}]', "too large"),
        (b'[{"v":1', "not JSON"),
        (b'[{"n":"\xff","v":1}]', "UTF-8"),
        (b'[{"x":' + b"[" * 100_000, "nested too deeply"),
    ],
)
def test_what_is_no_pack_is_refused(payload: bytes, words: str) -> None:
    """The refusal says what is wrong and that a SenML pack is accepted."""
    refused = unpack(payload)
    assert isinstance(refused, Refused)
    assert words in refused.reason
    assert refused.reason.endswith("a SenML pack (RFC 8428 JSON) is accepted")


def test_records_without_value_or_sum_say_nothing() -> None:
    """A record may be there for its base fields alone."""
    records = [Record(bn="line/", bt=1.6e9), Record(n="mill/throughput", v=4.0)]
    assert [(r.name, r.at) for r in resolve(records, 0.0)] == [("line/mill/throughput", 1.6e9)]
