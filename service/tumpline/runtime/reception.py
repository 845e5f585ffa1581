"""What happens when a connection brings something, stands again, or was lost."""

from collections.abc import Mapping

from tumpline.runtime.clock import Clock
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.journal import Journal
from tumpline.runtime.loop import Inbox
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import Arrival, Broker, Line
from tumpline.runtime.postman import Postman


class Reception:
    """Hears the connections of all lines."""

    def __init__(
        self,
        *,
        clock: Clock,
        inbox: Inbox,
        journal: Journal,
        postman: Postman,
        dispatch: Dispatch,
        lines: Mapping[str, Line],
        lulls: Mapping[str, Lull],
        brokers: Mapping[str, Broker],
    ) -> None:
        self._clock = clock
        self._inbox = inbox
        self._journal = journal
        self._postman = postman
        self._dispatch = dispatch
        self._lines = lines
        self._lulls = lulls
        self._brokers = brokers
        self._forgotten: set[str] = set()
        """Lines of which the broker may have lost everything, retained messages included."""

    def receive(self, arrival: Arrival) -> None:
        """A message came."""
        self._inbox.put(arrival)

    def opened(self, line: str, *, resumed: bool) -> None:
        """A new connection stands. Resumed, it brings again what is not durable; else the broker has forgotten us."""
        if resumed:
            self._inbox.clear(line)
        else:
            self._journal.forget(line)
            self._forgotten.add(line)

    def subscribed(self, line: str) -> None:
        """From now on silence means something, and the broker is told what it may have forgotten."""
        now = self._clock.now()
        self._lulls[line].listen(now)
        if line in self._forgotten:
            self._forgotten.remove(line)
            self._dispatch.remind(line, now, self._lines, self._brokers[line])
        self._postman.connected()

    def confirmed(self, line: str, number: int) -> None:
        """The broker has a message of ours."""
        self._postman.confirmed(line, number)
