"""Publishing to a real broker."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion

from mosquitto import mosquitto
from polling import wait_until
from programs import Running, free_port
from tumpline_sim import Options, shift
from tumpline_sim.publish import BrokerUnreachableError, Publisher, publish

SHORT = Options(hours=0.1, signals="all")


@pytest.fixture
def broker(tmp_path: Path) -> Iterator[Running]:
    """A broker of the test's own."""
    with mosquitto(tmp_path) as running:
        yield running


@pytest.mark.system
def test_every_message_arrives_once_confirmed(broker: Running) -> None:
    """A subscriber gets all of the shift's messages in order; `publish` returns after the last is confirmed."""
    received: list[tuple[str, bytes]] = []
    ready: list[bool] = []
    listener = Client(CallbackAPIVersion.VERSION2)
    listener.on_message = lambda _client, _data, message: received.append((message.topic, bytes(message.payload)))
    listener.on_subscribe = lambda *_: ready.append(True)
    listener.connect("127.0.0.1", broker.port)
    listener.subscribe("tumpline/#", qos=1)
    listener.loop_start()
    wait_until(lambda: ready)
    expected = [(message.topic, message.payload) for message in shift(SHORT)]
    seen: list[int] = []
    publisher = Publisher(host="127.0.0.1", port=broker.port)
    start = SHORT.start.timestamp()
    sent = publish(shift(SHORT), publisher, start=start, speed=3000.0, progress=lambda _message, n: seen.append(n))
    publisher.close()
    wait_until(lambda: len(received) >= len(expected))
    listener.disconnect()
    listener.loop_stop()
    assert sent == len(expected)
    assert received == expected
    assert seen == sorted(seen)
    assert json.loads(received[0][1])["shift"]


def test_no_broker_is_said_in_a_sentence() -> None:
    """Where nobody listens, the error names the place."""
    port = free_port()
    with pytest.raises(BrokerUnreachableError, match=f"no broker answers at 127.0.0.1:{port}"):
        Publisher(host="127.0.0.1", port=port)
