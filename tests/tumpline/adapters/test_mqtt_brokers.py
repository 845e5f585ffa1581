"""A line's connection to brokers of other kinds: older ones, stricter ones, and over TLS."""

import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from mosquitto import OPEN_TO_ALL, mosquitto
from polling import until
from programs import free_port, program
from tumpline.adapters.mqtt import Account, MqttLink
from tumpline.runtime.clock import Clock
from tumpline.runtime.ports import Arrival
from tumpline.runtime.supervise import Supervisor
from works import Neighbour

pytestmark = pytest.mark.asyncio
TOPIC = "tumpline/line-1/signal/juice/brix"


class Payloads:
    """Ears for payloads only."""

    def __init__(self) -> None:
        self.heard: list[bytes] = []
        self.subscriptions = 0

    def receive(self, arrival: Arrival) -> None:
        """A message came."""
        self.heard.append(arrival.payload)

    def opened(self, line: str, *, resumed: bool) -> None:
        """A connection stands."""

    def subscribed(self, line: str) -> None:
        """Messages can come."""
        self.subscriptions += 1

    def confirmed(self, line: str, number: int) -> None:
        """Nothing is published."""


@asynccontextmanager
async def trying(account: Account, ears: Payloads) -> AsyncIterator[MqttLink]:
    """A link that is at work for as long as the block lasts."""
    link = MqttLink(line="line-1", account=account, client_id="works", topics=[TOPIC], ears=ears, clock=Clock())
    async with Supervisor() as tasks:
        tasks.start("link", link.run())
        yield link
    await link.close()


@asynccontextmanager
async def old_broker(*, to_newer: bytes = b"", granted: bytes = b"\x01") -> AsyncIterator[Account]:
    """A broker that knows only MQTT 3.1.1: what it says to a newer client, and to a subscription."""

    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        _, length = await reader.readexactly(2)
        if (await reader.readexactly(length))[6] == 5:
            writer.write(to_newer)
        else:
            writer.write(b"\x20\x02\x00\x00")
            _, length = await reader.readexactly(2)
            writer.write(b"\x90\x03" + (await reader.readexactly(length))[:2] + granted)
            await reader.read()
        writer.close()

    async with await asyncio.start_server(serve, "127.0.0.1", 0) as server:
        yield Account(host="127.0.0.1", port=server.sockets[0].getsockname()[1])


@pytest.mark.parametrize("refusal", [b"\x20\x02\x00\x01", b""], ids=["says so", "hangs up"])
async def test_a_broker_of_an_older_version_is_spoken_to_in_its_own(refusal: bytes) -> None:
    """A broker that knows only MQTT 3.1.1 is used all the same, whether it refuses 5 or just hangs up."""
    async with old_broker(to_newer=refusal) as account, trying(account, Payloads()) as link:
        await until(lambda: link.connected)
        assert link.trouble == ""


async def test_a_subscription_that_is_refused_is_said() -> None:
    """A service that would never hear anything does not look as if it did."""
    ears = Payloads()
    async with old_broker(granted=b"\x80") as account, trying(account, ears) as link:
        await until(lambda: f"it refuses the subscription to {TOPIC}" in link.trouble)
        assert (link.connected, ears.subscriptions) == (False, 0)


@pytest.mark.system
async def test_an_encrypted_connection_carries_messages(tmp_path: Path) -> None:
    """Over TLS, where many messages hide behind one sign of life of the socket, all come in their order."""
    openssl = [program("openssl"), "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2"]
    names = ["-keyout", tmp_path / "key", "-out", tmp_path / "crt", "-subj", "/CN=127.0.0.1"]
    certify = await asyncio.create_subprocess_exec(
        *openssl, *names, "-addext", "subjectAltName=IP:127.0.0.1", stderr=asyncio.subprocess.DEVNULL
    )
    assert await certify.wait() == 0
    plain = free_port()
    encrypted = OPEN_TO_ALL + (
        "certfile {folder}/crt\nkeyfile {folder}/key\nmax_inflight_messages 0\n" + f"listener {plain} 127.0.0.1\n"
    )
    sent = [str(number) for number in range(300)]
    ears = Payloads()
    with mosquitto(tmp_path, encrypted) as broker:
        account = Account(host="127.0.0.1", port=broker.port, tls=True, ca_file=tmp_path / "crt")
        async with trying(account, ears) as link:
            await until(lambda: link.connected)
            with Neighbour(plain) as neighbour:
                await asyncio.to_thread(neighbour.publish, [(TOPIC, payload) for payload in sent])
            await until(lambda: len(ears.heard) == len(sent))
    assert ears.heard == [payload.encode() for payload in sent]
