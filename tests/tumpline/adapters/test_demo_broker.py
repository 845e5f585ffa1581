"""The demo's broker keeps the promises of MQTT that the service builds on, seen by an ordinary client."""

import asyncio
import importlib.util
import os
import signal
import subprocess
import sys
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import aiomqtt
import pytest
import pytest_asyncio

from polling import until
from programs import free_port, listens
from tumpline.adapters.demo_broker import DemoBroker, DemoBrokerError

pytestmark = pytest.mark.asyncio


@pytest_asyncio.fixture(name="broker")
async def _broker() -> AsyncIterator[DemoBroker]:
    async with DemoBroker() as broker:
        yield broker


class Listener:
    """A client that notes what it hears, and acknowledges only where `manual` is false."""

    def __init__(self, broker: DemoBroker, name: str, *, manual: bool = False) -> None:
        self.heard: list[tuple[str, str, bool]] = []
        self.gone = asyncio.Event()
        self._client = aiomqtt.Client("127.0.0.1", broker.port, identifier=name, clean_session=False)
        if manual:
            self._client._client.manual_ack_set(True)

    @asynccontextmanager
    async def listening(self, topics: str) -> AsyncIterator["Listener"]:
        """Connected and subscribed for as long as the block lasts."""
        async with self._client as client, asyncio.TaskGroup() as group:
            await client.subscribe(topics, qos=1)
            task = group.create_task(self._listen())
            yield self
            task.cancel()

    async def _listen(self) -> None:
        try:
            async for message in self._client.messages:
                self.heard.append((str(message.topic), message.payload.decode(), message.retain))
        except aiomqtt.MqttError:
            self.gone.set()

    @property
    def payloads(self) -> list[str]:
        """What was heard, in order."""
        return [payload for _, payload, _ in self.heard]


async def publish(broker: DemoBroker, topic: str, *payloads: str, retain: bool = False) -> None:
    """Publish at QoS 1 and wait until the broker has each of them."""
    async with aiomqtt.Client("127.0.0.1", broker.port) as client:
        for payload in payloads:
            await client.publish(topic, payload, qos=1, retain=retain)


async def test_messages_for_a_client_that_is_away_are_kept(broker: DemoBroker) -> None:
    """A service that comes back after a while finds every message, in order."""
    async with Listener(broker, "service").listening("signal/#"):
        pass
    numbers = [str(n) for n in range(300)]
    await publish(broker, "signal/a", *numbers)
    async with Listener(broker, "service").listening("signal/#") as back:
        await until(lambda: len(back.heard) >= 300)
        assert back.payloads == numbers


async def test_messages_not_acknowledged_are_sent_again(broker: DemoBroker) -> None:
    """What a service had not made durable before it was cut off comes a second time."""
    async with Listener(broker, "service", manual=True).listening("signal/#") as first:
        await publish(broker, "signal/a", "1", "2", "3")
        await until(lambda: first.payloads == ["1", "2", "3"])
    async with Listener(broker, "service").listening("signal/#") as second:
        await until(lambda: second.payloads == ["1", "2", "3"])


async def test_a_retained_message_reaches_who_comes_later_and_nobody_else(broker: DemoBroker) -> None:
    """The newest state is there for a page opened later; a client with other topics does not get it."""
    await publish(broker, "alarm/a", "raised", "cleared", retain=True)
    async with (
        Listener(broker, "page").listening("alarm/#") as page,
        Listener(broker, "other").listening("book/#") as other,
    ):
        await until(lambda: page.heard == [("alarm/a", "cleared", True)])
        await publish(broker, "book/note", "hello")
        await until(lambda: other.heard == [("book/note", "hello", False)])


async def test_a_last_will_is_published_when_its_client_is_cut_off(broker: DemoBroker) -> None:
    """Whoever watches a service learns that it has gone without a word."""
    dying = (
        "import paho.mqtt.client as mqtt, sys, time\n"
        "client = mqtt.Client(mqtt.CallbackAPIVersion.VERSION2)\n"
        "client.will_set('service', 'offline', qos=1, retain=True)\n"
        "client.on_connect = lambda *_: print('up', flush=True)\n"
        f"client.connect('127.0.0.1', {broker.port})\n"
        "client.loop_forever()\n"
    )
    async with Listener(broker, "watcher").listening("service") as watcher:
        process = await asyncio.create_subprocess_exec(sys.executable, "-c", dying, stdout=subprocess.PIPE)
        assert process.stdout is not None
        await process.stdout.readline()
        process.kill()
        await process.wait()
        await until(lambda: watcher.payloads == ["offline"])


async def test_a_client_takes_over_its_own_name(broker: DemoBroker) -> None:
    """A service started again replaces the connection that its predecessor left hanging."""
    async with Listener(broker, "service").listening("signal/#") as old:
        async with Listener(broker, "service").listening("signal/#") as new:
            await until(old.gone.is_set)
            await publish(broker, "signal/a", "1")
            await until(lambda: new.payloads == ["1"])
        assert old.heard == []


async def test_it_ends_with_its_block_and_with_its_owner() -> None:
    """No broker is left behind, not even when the demo is killed; Ctrl-C alone does not end it before the service."""
    async with DemoBroker() as broker:
        assert listens(broker.port)
    assert not listens(broker.port)

    owner = (
        "import asyncio, sys\n"
        "from tumpline.adapters.demo_broker import DemoBroker\n"
        "async def main():\n"
        "    async with DemoBroker() as broker:\n"
        "        print(broker.port, flush=True)\n"
        "        await asyncio.sleep(60)\n"
        "asyncio.run(main())\n"
    )
    process = await asyncio.create_subprocess_exec(
        sys.executable, "-c", owner, stdout=subprocess.PIPE, start_new_session=True
    )
    assert process.stdout is not None
    port = int(await process.stdout.readline())
    os.killpg(process.pid, signal.SIGKILL)
    await process.wait()
    await until(lambda: not listens(port))


async def test_a_taken_port_is_said_in_words() -> None:
    """A port that another program uses is named, with what to do."""
    async with DemoBroker() as broker:
        with pytest.raises(DemoBrokerError, match=f"Port {broker.port} is taken"):
            await DemoBroker(port=broker.port).__aenter__()


async def test_a_missing_extra_is_said_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the extra the user is told how to install it, and what to do otherwise."""
    monkeypatch.setattr(importlib.util, "find_spec", lambda name: None)
    with pytest.raises(DemoBrokerError, match=r"pip install 'tumpline\[demo\]'.*tumpline run --config"):
        await DemoBroker(port=free_port()).__aenter__()
