"""Book entries typed on the page: the same path as everybody else's, through the broker where there is one."""

import asyncio
from collections.abc import Mapping
from typing import NamedTuple

from tumpline.pressing.events import EntryRefused
from tumpline.runtime.clock import Clock
from tumpline.runtime.loop import Loop
from tumpline.runtime.ports import Arrival, Broker
from tumpline.wire.documents import encode
from tumpline.wire.entries import read_entry
from tumpline.wire.times import to_rfc3339
from tumpline.wire.topics import Topics
from tumpline.wire.words import Refused

ROUND_TRIP = 3.0
"""s an entry may take to the broker and back before it is taken in directly."""
PATIENCE = 10.0
"""s the store may take."""
_ROUNDING = 1.0  # s; a time written down to the microsecond may be later than the one it was made from


class Accepted(NamedTuple):
    """The entry is in the journal."""

    id: str


class Desk:
    """Takes entries from people at this program's own page."""

    def __init__(self, *, clock: Clock, topics: Topics, loop: Loop, brokers: Mapping[str, Broker]) -> None:
        self._clock = clock
        self._topics = topics
        self._loop = loop
        self._brokers = brokers

    async def submit(self, line: str, kind: str, body: dict[str, object]) -> Accepted | Refused:
        """
        Make a book entry. `body` is the entry's JSON object, with `by`; without `at` it is of now.

        It goes to the broker, so that every recording of the line's messages holds it, and is accepted when it has
        come back and is durable; where it does not come back it is taken in directly. KeyError for an unknown line.
        """
        broker, now = self._brokers[line], self._clock.now()
        payload = encode({**body, "at": body.get("at") or to_rfc3339(now)})
        made = read_entry(kind, payload, arrived=now, latest=now + _ROUNDING)
        if isinstance(made, EntryRefused):
            return Refused(made.reason)
        topic = self._topics.book(line, kind)
        durable = self._loop.expect(topic, payload)
        if broker.publish(topic, payload, qos=1, retain=False) is not None:
            await asyncio.wait([durable], timeout=ROUND_TRIP)
        if not durable.done():
            self._loop.inbox.put(Arrival(self._clock.now(), topic, payload))
            await asyncio.wait([durable], timeout=PATIENCE)
        if not durable.done():
            return Refused("The store cannot be written now; the entry waits, and is lost if the program ends first.")
        return Accepted(made.id)
