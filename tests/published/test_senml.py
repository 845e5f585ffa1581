"""SenML packs as RFC 8428 prints and resolves them."""

import pytest

from tumpline.wire.senml import RELATIVE_BELOW, Record, Resolved, resolve, unpack
from tumpline.wire.words import Refused

NOW = 1.6e9


def resolved(pack: bytes, now: float = NOW) -> list[Resolved]:
    """The pack's records, resolved."""
    records = unpack(pack)
    assert not isinstance(records, Refused), records
    return resolve(records, now)


def test_single_datapoint() -> None:
    """RFC 8428 section 5.1.1: one temperature of roughly now."""
    pack = b'[{"n":"urn:dev:ow:10e2073a01080063","u":"Cel","v":23.1}]'
    assert resolved(pack) == [Resolved("urn:dev:ow:10e2073a01080063", "Cel", 23.1, None, NOW)]


def test_multiple_datapoints_of_now() -> None:
    """RFC 8428 section 5.1.2, first example: a base name joined to two names."""
    pack = b"""[{"bn":"urn:dev:ow:10e2073a01080063:","n":"voltage","u":"V","v":120.1},
                {"n":"current","u":"A","v":1.2}]"""
    assert [(r.name, r.unit, r.value) for r in resolved(pack)] == [
        ("urn:dev:ow:10e2073a01080063:voltage", "V", 120.1),
        ("urn:dev:ow:10e2073a01080063:current", "A", 1.2),
    ]


def test_multiple_datapoints_with_base_time_and_unit() -> None:
    """RFC 8428 section 5.1.2, second example: base time and unit, and a record that has its own unit."""
    pack = b"""[{"bn":"urn:dev:ow:10e2073a0108006:","bt":1.276020076001e+09,"bu":"A","bver":5,
                 "n":"voltage","u":"V","v":120.1},
                {"n":"current","t":-5,"v":1.2}, {"n":"current","t":-4,"v":1.3}, {"n":"current","t":-3,"v":1.4},
                {"n":"current","t":-2,"v":1.5}, {"n":"current","t":-1,"v":1.6}, {"n":"current","v":1.7}]"""
    voltage, *currents = resolved(pack)
    assert (voltage.unit, voltage.value, voltage.at) == ("V", 120.1, 1276020076.001)
    assert [(c.unit, c.value, c.at) for c in currents] == [
        ("A", 1.2, 1276020071.001),
        ("A", 1.3, 1276020072.001),
        ("A", 1.4, 1276020073.001),
        ("A", 1.5, 1276020074.001),
        ("A", 1.6, 1276020075.001),
        ("A", 1.7, 1276020076.001),
    ]


def test_multiple_data_types() -> None:
    """RFC 8428 section 5.1.5: numbers, text, truth and octets in one pack."""
    pack = b"""[{"bn":"urn:dev:ow:10e2073a01080063:","n":"temp","u":"Cel","v":23.1},
                {"n":"label","vs":"Machine Room"}, {"n":"open","vb":false}, {"n":"nfc-reader","vd":"aGkgCg"}]"""
    assert [r.value for r in resolved(pack)] == [23.1, "Machine Room", False, "aGkgCg"]


def test_a_base_name_holds_until_the_next() -> None:
    """RFC 8428 section 5.1.6: a later base name replaces the earlier, while the base time stays."""
    pack = b"""[{"bn":"2001:db8::2/","bt":1.320078429e+09,"n":"temperature","u":"Cel","v":25.2},
                {"n":"humidity","u":"%RH","v":30},
                {"bn":"2001:db8::1/","n":"temperature","u":"Cel","v":12.3},
                {"n":"humidity","u":"%RH","v":67}]"""
    assert [(r.name, r.at) for r in resolved(pack)] == [
        ("2001:db8::2/temperature", 1320078429.0),
        ("2001:db8::2/humidity", 1320078429.0),
        ("2001:db8::1/temperature", 1320078429.0),
        ("2001:db8::1/humidity", 1320078429.0),
    ]


@pytest.mark.parametrize(
    ("time", "at"),
    [
        ("0", NOW),
        ("-5", NOW - 5),
        ("1", NOW + 1),
        ("268435455", NOW + 268435455),
        ("268435456", RELATIVE_BELOW),
    ],
)
def test_times_below_two_to_the_28_are_relative(time: str, at: float) -> None:
    """RFC 8428 section 4.5.3: 2^28 is the first absolute time."""
    assert resolved(b'[{"n":"a","v":1,"t":%s}]' % time.encode())[0].at == at


def test_base_value_is_added() -> None:
    """RFC 8428 section 4.5.1: what is missing of base value and value counts as zero."""
    assert [r.value for r in resolved(b'[{"bn":"a","bv":20,"v":0.5},{"v":-1},{"bv":0,"v":3}]')] == [20.5, 19.0, 3.0]


@pytest.mark.parametrize(
    ("pack", "sums"),
    [
        (b'[{"n":"a","s":5}]', [5.0]),
        (b'[{"n":"a","bs":5}]', [5.0]),
        (b'[{"n":"a","bs":5,"s":1},{"n":"a","s":2}]', [6.0, 7.0]),
        (b'[{"n":"a","v":1}]', [None]),
    ],
)
def test_base_sum_is_added(pack: bytes, sums: list[float | None]) -> None:
    """RFC 8428 section 4.5.1: either of base sum and sum is enough; with neither there is no sum."""
    assert [r.sum for r in resolved(pack)] == sums


def test_unknown_labels_are_ignored() -> None:
    """RFC 8428 section 4.4: a label that need not be understood changes nothing."""
    assert resolved(b'[{"n":"a","v":1,"x":[1,{"y":null}]}]') == resolved(b'[{"n":"a","v":1}]')


@pytest.mark.parametrize("label", [b"x_", b"v_", b"\\u0078\\u005f"])
def test_labels_that_must_be_understood_refuse_the_pack(label: bytes) -> None:
    """RFC 8428 section 4.4: an unknown label ending in an underscore is an error, however it is escaped."""
    refused = unpack(b'[{"n":"a","v":1},{"n":"a","v":1,"%s":1}]' % label)
    assert isinstance(refused, Refused) and "_" in refused.reason


def test_a_label_that_need_not_be_understood_may_hold_anything() -> None:
    """What an unknown label holds is not read, even where its labels are looked at closely."""
    assert resolved(b'[{"n":"a_","v":1,"x":1e999}]') == resolved(b'[{"n":"a_","v":1}]')


def test_an_underscore_elsewhere_is_no_label() -> None:
    """A name may end in an underscore."""
    assert unpack(b'[{"n":"a_","v":1}]') == [Record(n="a_", v=1.0)]


@pytest.mark.parametrize(("version", "fits"), [(1, True), (10, True), (11, False)])
def test_versions_above_ours_refuse_the_pack(version: int, fits: bool) -> None:
    """RFC 8428 section 4.4: a pack of a later version than 10 is not used."""
    assert isinstance(unpack(b'[{"bver":%d,"n":"a","v":1}]' % version), list) is fits
