"""Brings stored messages to the broker, until it has confirmed each of them."""

import asyncio
from collections.abc import Mapping

from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.journal import Journal
from tumpline.runtime.ports import Broker

UNDER_WAY = 500
"""Messages handed over and not confirmed, at most: a broker that was away gets them in portions."""
_PORTION = UNDER_WAY // 2  # one look into the store for many confirmations


class Postman:
    """The store's table of outgoing messages is what has to be brought; this only remembers what is under way."""

    def __init__(self, *, journal: Journal, dispatch: Dispatch, brokers: Mapping[str, Broker]) -> None:
        self._journal = journal
        self._dispatch = dispatch
        self._brokers = brokers
        self._under_way: dict[tuple[str, int], int] = {}
        """By line and the connection's number for it: the id in the table."""
        self._last = 0
        self._wake = asyncio.Event()

    def wake(self) -> None:
        """There is something new to bring."""
        self._wake.set()

    def connected(self) -> None:
        """A broker can be reached again: what could not be handed over meanwhile is looked for."""
        self._last = 0
        self._wake.set()

    def confirmed(self, line: str, number: int) -> None:
        """The broker has this message; others, such as views of a line, are not ours to count."""
        id_ = self._under_way.pop((line, number), None)
        if id_ is not None:
            self._dispatch.confirmed(id_)
            self._wake.set()

    async def run(self) -> None:
        """For ever: hand over what is stored, oldest first."""
        while True:
            await self._wake.wait()
            self._wake.clear()
            await self._round()

    async def _round(self) -> None:
        while len(self._under_way) + _PORTION <= UNDER_WAY:
            found = await self._journal.outgoing_after(self._last, _PORTION)
            if not found:
                return
            flying = set(self._under_way.values())
            for message in found:
                broker = self._brokers.get(message.line)
                if message.id not in flying and broker is not None:
                    number = broker.publish(message.topic, message.payload, qos=1, retain=message.retain)
                    if number is not None:
                        self._under_way[message.line, number] = message.id
            self._last = max(self._last, found[-1].id)
