"""A line's connection to a real broker: what was not said to be durable comes again, what was does not."""

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.packettypes import PacketTypes
from paho.mqtt.properties import Properties

from mosquitto import OPEN_TO_ALL, mosquitto
from polling import until
from programs import Running, free_port
from tumpline.adapters.mqtt import SESSION, Account, BrokerError, MqttLink
from tumpline.runtime.clock import Clock
from tumpline.runtime.ports import Arrival
from works import Neighbour

SIGNAL = "tumpline/line-1/signal/juice/flow"
STATUS = "tumpline/line-1/service"


class Listener:
    """Notes what a connection brings."""

    def __init__(self) -> None:
        self.heard: list[Arrival] = []
        self.resumed: list[bool] = []
        self.ready = 0
        self.known: list[int] = []

    def receive(self, arrival: Arrival) -> None:
        """A message came."""
        self.heard.append(arrival)

    def opened(self, line: str, *, resumed: bool) -> None:
        """A connection stands."""
        self.resumed.append(resumed)

    def subscribed(self, line: str) -> None:
        """Messages can come."""
        self.ready += 1

    def confirmed(self, line: str, number: int) -> None:
        """The broker has it."""
        self.known.append(number)

    @property
    def payloads(self) -> list[bytes]:
        """What was heard, in order."""
        return [arrival.payload for arrival in self.heard]


class Session:
    """A link with its listener."""

    def __init__(self, port: int, *, name: str = "works", session: int = SESSION, status: str | None = None) -> None:
        self.ears = Listener()
        self.link = MqttLink(
            line="line-1",
            account=Account(host="127.0.0.1", port=port),
            client_id=name,
            topics=["tumpline/line-1/signal/#"],
            ears=self.ears,
            clock=Clock(),
            status=status,
            session=session,
        )


@asynccontextmanager
async def connected(port: int, *, name: str = "works", session: int = SESSION) -> AsyncIterator[Session]:
    """A link that stands at the start of the block and says goodbye at its end."""
    made = Session(port, name=name, session=session, status=STATUS)
    async with running(made):
        await until(lambda: made.link.connected)
        yield made


@asynccontextmanager
async def running(made: Session) -> AsyncIterator[None]:
    """A link at work for as long as the block lasts."""
    async with asyncio.TaskGroup() as group:
        task = group.create_task(made.link.run())
        try:
            yield
        finally:
            task.cancel()
    await made.link.close()


@pytest.fixture(name="broker")
def _broker(tmp_path: Path) -> Iterator[Running]:
    with mosquitto(tmp_path) as broker:
        yield broker


@pytest.fixture(name="neighbour")
def _neighbour(broker: Running) -> Iterator[Neighbour]:
    with Neighbour(broker.port) as neighbour:
        yield neighbour


def numbers(first: int, last: int) -> list[tuple[str, str]]:
    """Readings that can be told apart."""
    return [(SIGNAL, str(number)) for number in range(first, last + 1)]


@pytest.mark.system
@pytest.mark.asyncio
async def test_messages_are_heard_in_order_with_what_is_needed_to_acknowledge_them(
    broker: Running, neighbour: Neighbour
) -> None:
    """Each message has its topic, payload, line and the broker's number."""
    async with connected(broker.port) as session:
        neighbour.publish(numbers(1, 15))
        await until(lambda: len(session.ears.heard) >= 15)
    assert session.ears.payloads == [payload.encode() for _, payload in numbers(1, 15)]
    assert {(a.topic, a.line, a.dup, a.retained, a.connection) for a in session.ears.heard} == {
        (SIGNAL, "line-1", False, False, 1)
    }
    assert all(arrival.mid for arrival in session.ears.heard)


def _about(content: str) -> Properties:
    """What MQTT 5 lets a sender say about a message."""
    properties = Properties(PacketTypes.PUBLISH)  # type: ignore[no-untyped-call]  # the library gives it no types
    properties.ContentType = content
    properties.UserProperty = ("made-by", "gateway")
    return properties


@pytest.mark.system
@pytest.mark.asyncio
@pytest.mark.parametrize("qos", [0, 1])
@pytest.mark.parametrize("content", [None, "application/senml+json"])
async def test_messages_of_any_length_are_heard_whatever_is_said_about_them(
    broker: Running, qos: int, content: str | None
) -> None:
    """A payload of nothing, of one byte and of many, at either quality of service, with properties and without."""
    payloads = [b"", b"7", b"8" * 100, b"9" * 200_000, *(str(number).encode() for number in range(10))]
    sender = mqtt.Client(CallbackAPIVersion.VERSION2, protocol=mqtt.MQTTv5)
    async with connected(broker.port) as session:
        sender.connect("127.0.0.1", broker.port)
        sender.loop_start()
        for payload in payloads:
            sender.publish(SIGNAL, payload, qos=qos, properties=_about(content) if content else None)
        await until(lambda: len(session.ears.heard) >= len(payloads))
        sender.disconnect()
        sender.loop_stop()
    assert session.ears.payloads == payloads
    assert {(a.topic, bool(a.mid)) for a in session.ears.heard} == {(SIGNAL, bool(qos))}


@pytest.mark.system
@pytest.mark.asyncio
async def test_only_what_was_not_acknowledged_comes_again(broker: Running, neighbour: Neighbour) -> None:
    """A program that ends before a message is durable gets it once more when it comes back, marked as sent before."""
    async with connected(broker.port) as first:
        neighbour.publish(numbers(1, 3))
        await until(lambda: len(first.ears.heard) == 3)
        first.link.acknowledge(first.ears.heard[:2])
    neighbour.publish(numbers(4, 4))
    async with connected(broker.port) as second:
        await until(lambda: len(second.ears.heard) == 2)
    assert [(a.payload, a.dup) for a in second.ears.heard] == [(b"3", True), (b"4", False)]
    assert (first.ears.resumed, second.ears.resumed) == ([False], [True])


@pytest.mark.system
@pytest.mark.asyncio
async def test_numbers_of_a_lost_connection_acknowledge_nothing(broker: Running, neighbour: Neighbour) -> None:
    """After the broker was away an acknowledgement that comes too late cannot drop another message."""
    async with connected(broker.port) as first:
        neighbour.publish(numbers(1, 2))
        await until(lambda: len(first.ears.heard) == 2)
        old = first.ears.heard[:]
        broker.stop()
        await until(lambda: not first.link.connected)
        broker.start()
        await until(lambda: len(first.ears.heard) == 4)
        first.link.acknowledge(old)
    async with connected(broker.port) as second:
        await until(lambda: len(second.ears.heard) == 2)
    assert second.ears.payloads == [b"1", b"2"]


@pytest.mark.system
@pytest.mark.asyncio
async def test_a_held_link_reads_nothing_and_loses_nothing(broker: Running, neighbour: Neighbour) -> None:
    """While the program cannot keep up messages wait, and come in their order afterwards."""
    async with connected(broker.port) as held, connected(broker.port, name="other") as other:
        held.link.hold()
        neighbour.publish(numbers(1, 10))
        await until(lambda: len(other.ears.heard) == 10)
        assert held.ears.heard == []
        held.link.flow()
        await until(lambda: len(held.ears.heard) >= 10)
    assert held.ears.payloads == other.ears.payloads


@pytest.mark.system
@pytest.mark.asyncio
async def test_a_link_comes_back_by_itself(broker: Running) -> None:
    """While the broker is away nothing can be published and the reason is a sentence; then it goes on."""
    async with connected(broker.port) as session:
        assert session.link.trouble == ""
        broker.stop()
        await until(lambda: not session.link.connected and session.link.trouble)
        assert session.link.publish("a", b"1", qos=1, retain=False) is None
        assert session.link.trouble.startswith(f"The broker at 127.0.0.1:{broker.port} cannot be reached: ")
        broker.start()
        await until(lambda: session.link.connected)
        assert (session.ears.ready, session.link.trouble) == (2, "")


@pytest.mark.system
@pytest.mark.asyncio
async def test_what_is_published_is_confirmed_by_its_number(broker: Running, neighbour: Neighbour) -> None:
    """Whoever hands a message over learns when the broker has it."""
    async with connected(broker.port) as session:
        number = session.link.publish("tumpline/line-1/event", b"{}", qos=1, retain=False)
        await until(lambda: number in session.ears.known)
        await until(lambda: neighbour.last("tumpline/line-1/event") == b"{}")


@pytest.mark.system
@pytest.mark.asyncio
async def test_the_status_says_whether_the_line_is_served(broker: Running, neighbour: Neighbour) -> None:
    """Online while the link stands, offline when it has said goodbye."""
    async with connected(broker.port):
        await until(lambda: neighbour.last(STATUS) == b"online")
    await until(lambda: neighbour.last(STATUS) == b"offline")


@pytest.mark.system
@pytest.mark.asyncio
async def test_nothing_is_kept_for_a_passing_visitor(broker: Running, neighbour: Neighbour) -> None:
    """A link without a session hears only what is published while it is there."""
    async with connected(broker.port, session=0):
        pass
    neighbour.publish(numbers(1, 3))
    async with connected(broker.port, session=0) as second:
        neighbour.publish(numbers(4, 4))
        await until(lambda: second.ears.heard)
    assert second.ears.payloads == [b"4"]


@pytest.mark.system
@pytest.mark.asyncio
async def test_a_broker_that_lets_nobody_in_is_said_in_words(tmp_path: Path) -> None:
    """Without a good password the reason is told, and tried again."""
    closed = OPEN_TO_ALL.replace("allow_anonymous true", "allow_anonymous false")
    with mosquitto(tmp_path, closed) as broker:
        session = Session(broker.port)
        async with running(session):
            await until(lambda: "Not authorized" in session.link.trouble)
    assert session.link.trouble.startswith(f"The broker at 127.0.0.1:{broker.port} ")
    assert not session.link.first.is_set()


@pytest.mark.asyncio
async def test_an_absent_broker_is_said_in_words() -> None:
    """A sentence without numbers of the operating system, and no end of the trying."""
    session = Session(free_port())
    async with running(session):
        await until(lambda: "refused" in session.link.trouble)
    assert "Errno" not in session.link.trouble and session.link.trouble.endswith(".")


def test_certificates_that_cannot_be_read_are_named(tmp_path: Path) -> None:
    """What no retry mends is an error at once, with the name of the file."""
    path = tmp_path / "ca.crt"
    path.write_text("apples")
    with pytest.raises(BrokerError, match=rf"^The certificates in {path} cannot be read: .*\.$"):
        Account(host="127.0.0.1", port=8883, tls=True, ca_file=path).context()
