"""A simulated shift as a stream of messages."""

import itertools
import json

import pytest

from simulated import run
from tumpline_sim import Options, shift

EVERYTHING = {"seed": 9, "hours": 0.5, "signals": "all", "faults": "random", "sump": True}


def test_same_seed_same_bytes() -> None:
    """The same options give the same messages and the same truth, to the byte."""
    again = shift(Options(**EVERYTHING))  # type: ignore[arg-type] # one mapping serves both ways of asking
    messages = list(again)
    first = run(**EVERYTHING)
    assert messages == first.messages
    assert json.dumps(again.truth) == json.dumps(first.truth)


def test_another_seed_is_another_shift() -> None:
    """A different seed gives different fruit."""
    assert run(seed=1, hours=0.5).truth["fruit_kg"] != run(seed=2, hours=0.5).truth["fruit_kg"]


def test_one_more_sensor_changes_nothing_else() -> None:
    """Sensors are independent: what one reads does not depend on which others are fitted."""
    few, many = run(hours=0.5), run(hours=0.5, signals="all")
    assert few.readings["juice/flow"] == many.readings["juice/flow"]
    assert few.truth["loads"] == many.truth["loads"]


def test_messages_come_in_order_of_arrival() -> None:
    """Arrivals never go back, though the times of the readings do, by less than three seconds."""
    messages = run().messages
    assert all(a.arrived <= b.arrived for a, b in itertools.pairwise(messages))
    late = 0.0
    newest: dict[str, float] = {}
    for message in messages:
        if "/signal/" not in message.topic:
            continue
        taken = json.loads(message.payload)[0]["t"]
        late = max(late, newest.get(message.topic, 0.0) - taken)
        newest[message.topic] = max(newest.get(message.topic, 0.0), taken)
    assert 0.5 < late <= 3.0


def test_a_tidy_shift_is_tidy() -> None:
    """Without the untidiness every reading of every second comes once and in order."""
    tidy = run(hours=0.5, tidy=True)
    for readings in tidy.readings.values():
        assert len(readings) == tidy.truth["end"]
        assert len({at for at, _ in readings}) == len(readings)


def test_an_untidy_shift_has_gaps_and_duplicates() -> None:
    """Otherwise some readings are missing and some come twice."""
    readings = run(signals="all", hours=1.0, seed=2).readings
    assert any(b[0] - a[0] > 3.0 for r in readings.values() for a, b in itertools.pairwise(r))
    assert any(len(set(r)) < len(r) for r in readings.values())


def test_topics_and_units() -> None:
    """Readings go to the line's signal topics as SenML with name, unit, value and time."""
    for message in run(root="works", line="west", hours=0.25, signals="all").messages:
        assert message.topic.startswith(("works/west/signal/", "works/west/book/"))
        if "/signal/" in message.topic:
            (record,) = json.loads(message.payload)
            assert message.topic == f"works/west/signal/{record['n']}"
            assert set(record) == {"n", "u", "v", "t"}
            assert abs(record["t"] - message.arrived) < 3.1


def test_bare_numbers() -> None:
    """With that payload a reading is a number and nothing else."""
    bare = shift(Options(hours=0.25, payload="number"))
    payloads = [m.payload for m in bare if "/signal/" in m.topic]
    assert payloads and all(float(payload) >= 0.0 for payload in payloads)


def test_the_truth_comes_after_the_shift() -> None:
    """Asked before the last message, the truth is refused."""
    with pytest.raises(RuntimeError, match="after the last message"):
        _ = shift(Options(hours=0.25)).truth


def test_the_line_ends_empty() -> None:
    """At the end everything has drained: no juice, no pomace, no pressure, and the shift is closed after that."""
    whole = run(seed=4, hours=0.5, signals="all")
    end = whole.truth["end"]
    closed = whole.seconds(whole.entries("shift-end")[0])
    for name in ("juice/flow", "mill/throughput", "pomace/flow", "pulp/level", "flume/flow"):
        assert max(whole.values(name, closed, end)) <= (6.0 if name == "pulp/level" else 0.0)
    assert min(whole.values("press/pressure", end - 10.0, end)) < 1.0
