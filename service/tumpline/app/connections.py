"""How the commands reach the broker: its account, what is subscribed to, and the first connection."""

import asyncio
from collections.abc import Iterable

from tumpline.adapters.mqtt import Account, MqttLink
from tumpline.app.errors import CommandError, Status
from tumpline.settings import Line, Settings
from tumpline.wire.topics import Topics


async def first_connections(links: Iterable[MqttLink], patience: float) -> None:
    """Where the broker cannot be reached at all, say so with a CommandError: later it is tried for ever."""
    for link in links:
        try:
            async with asyncio.timeout(patience):
                await link.first.wait()
        except TimeoutError:
            sentence = f"{link.trouble} Tried for {patience:g} s; start the broker, or set broker.host and broker.port."
            raise CommandError(Status.UNREACHABLE, sentence) from None


def account(settings: Settings) -> Account:
    """How to reach the broker."""
    broker = settings.broker
    return Account(
        host=broker.host,
        port=broker.port,
        keepalive=broker.keepalive,
        username=broker.username,
        password=broker.password(),
        tls=broker.tls is not None,
        ca_file=broker.tls.ca_file if broker.tls else None,
    )


def subscriptions(line: Line, topics: Topics) -> list[str]:
    """Every topic on which something of this line may come."""
    own = {signal.topic for signal in line.signals if signal.topic is not None}
    return [*topics.subscriptions([line.id]), *sorted(own)]
