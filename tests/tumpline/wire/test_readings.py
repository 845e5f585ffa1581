"""Signal messages in every form they may have."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.events import ReadingRefused, ReadingTaken
from tumpline.wire.decode import Decoder
from tumpline.wire.formats import PayloadFormat
from wire_line import ARRIVED, events, line_wire, reason, taken

T_PER_H = 1000 / 3600


def test_a_senml_reading_has_its_own_time_and_unit() -> None:
    """A pack of one record becomes one reading in SI."""
    payload = b'[{"bn":"tumpline/line-1/","bt":1791961199.5,"n":"mill/throughput","u":"kg/s","v":1.25}]'
    reading = taken("mill/throughput", payload)
    assert reading == ReadingTaken("mill/throughput", 1791961199.5, 1.25, ARRIVED)


@pytest.mark.parametrize(
    "name", ["", "urn:dev:mac:0024befffe804ff1", "mill-throughput", "tumpline/line-1/mill/throughput"]
)
def test_a_record_without_a_signals_name_belongs_to_the_topic(name: str) -> None:
    """Whatever a device calls itself, the topic says what it measures."""
    assert taken("mill/throughput", b'[{"n":"%s","v":4}]' % name.encode()).signal == "mill/throughput"


def test_a_pack_may_carry_several_signals() -> None:
    """Records that name a signal of the line go to it, whatever topic brought them."""
    payload = b"""[{"bn":"plc:line-1/","n":"mill/throughput","u":"t/h","v":4}, {"n":"mill/total","u":"t","v":12},
                   {"n":"juice/brix","u":"%Bx","v":12.5}]"""
    assert [(e.signal, e.value) for e in events("mill/throughput", payload) if isinstance(e, ReadingTaken)] == [
        ("mill/throughput", pytest.approx(4 * T_PER_H)),
        ("mill/total", 12_000.0),
        ("juice/brix", 12.5),
    ]


def test_a_name_that_only_ends_alike_is_another() -> None:
    """`windmill/total` is not the mill's total."""
    assert taken("mill/throughput", b'[{"n":"windmill/total","v":4}]').signal == "mill/throughput"


def test_one_bad_record_spoils_only_itself() -> None:
    """The rest of a pack is used."""
    good, bad, late = events("mill/throughput", b'[{"v":4},{"v":99},{"v":3,"t":-5}]')
    assert isinstance(good, ReadingTaken) and isinstance(bad, ReadingRefused) and isinstance(late, ReadingTaken)
    assert late.at == ARRIVED - 5


def test_a_missing_unit_is_the_settings_unit() -> None:
    """What the record does not say, the settings say."""
    assert taken("mill/throughput", b'[{"v":4}]').value == pytest.approx(4 * T_PER_H)


@pytest.mark.parametrize(
    ("payload", "litres"),
    [
        (b'[{"u":"L","v":1234}]', 1234.0),
        (b'[{"u":"L","s":1234}]', 1234.0),
        (b'[{"u":"L/s","s":1234}]', 1234.0),
        (b'[{"u":"L","bs":1000,"s":234}]', 1234.0),
        (b'[{"u":"m3","bs":1}]', 1000.0),
    ],
)
def test_a_counter_may_be_sent_as_a_sum(payload: bytes, litres: float) -> None:
    """A sum counts where there is no value, in its own unit or as the integral of a flow."""
    assert taken("juice/total", payload).value == pytest.approx(litres / 1000)


@pytest.mark.parametrize(("payload", "value"), [(b'[{"vb":true}]', 1.0), (b'[{"vb":false}]', 0.0), (b'[{"v":1}]', 1.0)])
def test_a_status_may_be_true_or_false(payload: bytes, value: float) -> None:
    """A status is 0 or 1 however it is spelled."""
    assert taken("line/emergency-stop", payload).value == value


@pytest.mark.parametrize(
    ("signal", "payload", "words"),
    [
        ("mill/throughput", b'[{"u":"kg","v":4}]', 'the unit "kg" is not one of this signal\'s; kg/s, t/h,'),
        ("mill/throughput", b'[{"vs":"4"}]', "a record holds text; a number (v) is accepted"),
        ("mill/throughput", b'[{"vd":"NA"}]', "a record holds text; a number (v) is accepted"),
        ("mill/throughput", b'[{"vb":true}]', "a record holds true or false; a number (v) is accepted"),
        ("mill/throughput", b'[{"s":4}]', "a record holds only a sum (s); a number (v) is accepted"),
        ("juice/total", b'[{"u":"kg","s":4}]', 'the unit "kg" is not one of this signal\'s'),
        ("mill/throughput", b'[{"bn":"a","bt":5}]', "the pack holds no value"),
        ("mill/throughput", b"[]", "the pack holds no value"),
        ("mill/throughput", b'[{"v":8.01}]', "8.01 t/h is outside the sensor's physical range; 0 to 8 t/h is accepted"),
        ("mill/throughput", b'[{"v":-0.01}]', "-0.01 t/h is outside"),
        ("mill/throughput", b'[{"v":4,"t":1791961260.5}]', "2026-10-14T07:01:00.500000Z is in the future"),
        (
            "mill/throughput",
            b'[{"v":4,"bt":1791961200000}]',
            "cannot be; 1970 to 2026-10-14T07:01:00.000000Z is accepted",
        ),
        ("mill/throughput", b'[{"v":4,"t":-1e300}]', "cannot be"),
        ("mill/throughput", b'[{"v":4,"x_":1}]', "x_"),
        ("mill/throughput", b"4.1", "a number where a list belongs; a SenML pack (RFC 8428 JSON) is accepted"),
        ("juice/brix", b"twelve", 'the payload is "twelve"; one number with a decimal point is accepted'),
        ("juice/brix", b"12,5", "one number with a decimal point"),
        ("juice/brix", b"1_2", "one number with a decimal point"),
        ("juice/brix", b"", "the payload is empty"),
        ("juice/brix", b"nan", "nan is not a number; a finite one is accepted"),
        ("juice/brix", b"-Infinity", "-inf is not a number"),
        ("juice/brix", b"1e999", "inf is not a number"),
        ("juice/brix", b"31", "outside the sensor's physical range"),
        ("press/pressure", b"3.6", "3.6 mA is the sensor failure signal"),
        ("press/pressure", b'[{"u":"mA","v":3.7}]', "3.7 mA is not a measurement"),
        ("press/pressure", b'[{"u":"bar","v":3.7}]', "mA or A is accepted"),
        ("flume/flow", b'{"count":5}', 'the document has nothing at "/counts"'),
        (
            "meters/juice",
            b'{"values":[{"flow":"60"}],"time":0}',
            'the value at "/values/0/flow" is text; a number is accepted',
        ),
        ("meters/juice", b'{"values":[{"flow":true}],"time":0}', "is true or false; a number is accepted"),
        ("meters/juice", b'{"values":[{"flow":null}],"time":0}', "is null; a number is accepted"),
        ("meters/juice", b'{"values":[{"flow":60}]}', 'the document has nothing at "/time"'),
        ("meters/juice", b'{"values":[{"flow":60}],"time":"07:00"}', 'the time at "/time" is "07:00"; a time such as'),
        ("meters/juice", b'{"values":[{"flow":60}],"time":true}', 'the time at "/time" is true'),
        ("meters/juice", b'{"values":[{"flow":60}],"time":[' + b"[" * 500 + b"]" * 500 + b"]}", "is a list"),
        ("meters/juice", b'{"values":[{"flow":NaN}],"time":0}', "the payload holds NaN"),
        ("meters/juice", b'{"values":[{"flow":1%s}],"time":0}' % (b"0" * 400), "inf is not a number"),
        ("meters/juice", b'{"values":', "not JSON"),
    ],
)
def test_what_cannot_be_used_is_refused_in_a_sentence(signal: str, payload: bytes, words: str) -> None:
    """The sentence names the signal, what was wrong, and what would have been accepted."""
    sentence = reason(signal, payload)
    assert words in sentence
    assert sentence.split(":")[0] in (signal, "juice/flow")
    assert "accepted" in sentence and sentence.endswith(".")


@pytest.mark.parametrize("payload", [b"12.5", b" 12.5\n", b"+12.5", b"1.25e1", b"12.50"])
def test_a_bare_number_is_of_its_arrival(payload: bytes) -> None:
    """A payload that is a number is in the settings' unit, at the moment it came."""
    assert taken("juice/brix", payload) == ReadingTaken("juice/brix", ARRIVED, 12.5, ARRIVED)


@pytest.mark.parametrize(
    "payload", [b"12", b'[{"v":12}]', b'[{"u":"mA","v":12}]', b'[{"u":"A","v":0.012}]', b' [{"v":12}]']
)
def test_a_raw_current_may_be_a_number_or_a_pack(payload: bytes) -> None:
    """Half of 4-20 mA is half of the scale however it is sent."""
    assert taken("press/pressure", payload).value == pytest.approx(5e5)


def test_a_raw_count_may_stand_in_a_document() -> None:
    """A scaled signal with a pointer is found in its document first."""
    assert taken("flume/flow", b'{"counts":32767.5}').value == pytest.approx(0.02)


@pytest.mark.parametrize(
    "time",
    ['"2026-10-14T06:59:58.250Z"', '"2026-10-14T07:59:58.25+01:00"', "1791961198.25", "1791961198250"],
)
def test_a_documents_time_may_be_written_in_three_ways(time: str) -> None:
    """RFC 3339, seconds and milliseconds since 1970 name the same moment."""
    reading = taken("meters/juice", b'{"values":[{"flow":60}],"time":%s}' % time.encode())
    assert reading == ReadingTaken("juice/flow", 1791961198.25, 60 * (1e-3 / 60), ARRIVED)


def test_a_status_in_a_document_may_be_true() -> None:
    """A status is 0 or 1 in a document too."""
    form = PayloadFormat(unit="0/1", kind="json", pointer="/stopped")
    assert (
        taken("line/emergency-stop", b'{"stopped":true}', wire=line_wire(**{"line_emergency-stop": form})).value == 1.0
    )


def test_a_status_may_be_a_bare_word() -> None:
    """A status is 0 or 1 as a bare payload too."""
    form = PayloadFormat(unit="0/1", kind="number")
    assert taken("line/emergency-stop", b"true", wire=line_wire(**{"line_emergency-stop": form})).value == 1.0


TOPICS = [
    *(f"tumpline/line-1/signal/{s}" for s in ("mill/throughput", "juice/brix", "press/pressure", "flume/flow")),
    "meters/juice",
    "tumpline/line-1/book/load",
    "tumpline/line-1/book/correct",
]
JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text() | st.sampled_from(["load-0123456789ab", "kg"]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.text(max_size=3)
            | st.sampled_from(
                ["bn", "bt", "n", "v", "u", "s", "t", "bs", "values", "flow", "time", "at", "by", "entry", "net_kg"]
            ),
            inner,
            max_size=5,
        )
    ),
    max_leaves=12,
)


@given(topic=st.sampled_from(TOPICS), payload=st.binary() | st.binary().map(lambda b: b'[{"v":' + b + b"}]"))
def test_no_bytes_whatever_raise(topic: str, payload: bytes) -> None:
    """Whatever a device sends becomes readings or reasons."""
    decoded = Decoder([line_wire()]).decode(topic, payload, ARRIVED)
    assert decoded is not None and len(decoded.events) >= 1


@given(topic=st.sampled_from(TOPICS), document=JSON)
def test_no_json_whatever_raises(topic: str, document: object) -> None:
    """Whatever JSON somebody sends, records of SenML included, becomes readings, entries or reasons."""
    decoded = Decoder([line_wire()]).decode(topic, json.dumps([document]).encode(), ARRIVED)
    assert decoded is not None and len(decoded.events) >= 1
    decoded = Decoder([line_wire()]).decode(topic, json.dumps(document).encode(), ARRIVED)
    assert decoded is not None and len(decoded.events) >= 1
