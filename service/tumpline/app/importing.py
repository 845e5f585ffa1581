"""Loads and vats from a table into the book of a running service, and a word about every row that it cannot be."""

import asyncio
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import partial
from itertools import islice
from pathlib import Path

import msgspec

from tumpline.adapters.mqtt import MqttLink
from tumpline.app.connections import account, first_connections
from tumpline.app.errors import CommandError, Status
from tumpline.app.tables import Row, read_table
from tumpline.pressing.events import EntryRefused
from tumpline.runtime.clock import Clock
from tumpline.runtime.ports import Arrival
from tumpline.runtime.supervise import Supervisor
from tumpline.settings import Settings
from tumpline.wire.documents import encode
from tumpline.wire.entries import read_entry
from tumpline.wire.figures import Document
from tumpline.wire.sheets import KIND_OF, Rejected
from tumpline.wire.times import from_rfc3339, to_rfc3339
from tumpline.wire.topics import Topics

IMPORT = "tumpline.import/1"
NEWS_WITHIN = 3.0
"""s after which the service will not say anything more about the rows it has."""
_ROWS_AT_ONCE = 500
"""Fewer than a broker keeps for one client: more would be lost there, although it has confirmed them."""
_TAKEN = frozenset({"tumpline.load.taken", "tumpline.vat.known"})
_APART = 1e-3  # s between rows that say no time of their own, so that an answer tells which it is for


@dataclass
class Taken:
    """What became of a table."""

    rows: int = 0
    sent: bool = False
    """False where nothing was sent because a row was rejected."""
    taken: int = 0
    """Rows of which the service said that they are in the book."""
    unanswered: int = 0
    """Rows that were sent and of which it said nothing: it had them already, or is busy with something else."""
    rejected: list[tuple[int, Rejected]] = field(default_factory=list)
    """By the line of the file, from 1, on which the row ends."""


def told(path: Path, result: Taken) -> str:
    """What became of a table, in sentences: one for every rejected row, by line, column and value."""
    sentences = []
    for number, (column, _, reason) in sorted(result.rejected, key=lambda one: one[0]):
        where = f"{path}, line {number}" + (f", column {column}" if column else "")
        sentences.append(f"{where}: {reason}.")
    if result.rejected and not result.sent:
        sentences.append(f"None of the {result.rows} rows was sent; --partly takes the good ones.")
    else:
        sentences.append(f"In the book now: {result.taken} of {result.rows} rows.")
    if result.unanswered:
        sentences.append(
            f"Of {result.unanswered} the service said nothing: it had them already, or has not come to them yet."
        )
    return "\n".join(sentences)


def import_document(path: Path, what: str, result: Taken) -> Document:
    """The same for programs."""
    rejected = [{"line": number, **one._asdict()} for number, one in sorted(result.rejected, key=lambda one: one[0])]
    counts = {"rows": result.rows, "taken": result.taken, "unanswered": result.unanswered}
    return {"schema": IMPORT, "file": str(path), "of": what, **counts, "rejected": rejected}


async def import_table(
    settings: Settings, what: str, path: Path, *, line: str | None, by: str | None, partly: bool, clock: Clock
) -> Taken:
    """
    Put a table's rows into the book. Where a row cannot be used none is sent, unless `partly`.

    Raises CommandError: no such table, no broker, no service.
    """
    line = _line(settings, line)
    read, bad = read_table(what, path, by)
    result = Taken(rows=len(read) + len(bad), rejected=bad)
    good = _dated(what, read, bad, clock.now())
    if good and (partly or not bad):
        clerk = await _send(settings, what, line, good, clock)
        result.sent = True
        result.rejected += clerk.refused
        result.unanswered = sum(len(rows) for rows in clerk.waiting.values())
        result.taken = len(good) - len(clerk.refused) - result.unanswered
    return result


def _dated(what: str, rows: Mapping[int, Row], bad: list[tuple[int, Rejected]], now: float) -> dict[int, Row]:
    """The rows with a time each, for which one that tells none is of now; those of the future join the bad ones."""
    good = {}
    for place, (number, body) in enumerate(rows.items()):
        at = from_rfc3339(str(body["at"])) if "at" in body else now + _APART * place
        dated = {**body, "at": to_rfc3339(at or now)}
        made = read_entry(KIND_OF[what], encode(dated), arrived=now, latest=now + _APART * len(rows))
        if isinstance(made, EntryRefused):
            reason = made.reason.removeprefix(f"{made.kind}: ").removesuffix(".")
            bad.append((number, Rejected("at", str(body["at"]), reason)))
        else:
            good[number] = dated
    return good


def _line(settings: Settings, wanted: str | None) -> str:
    lines = [line.id for line in settings.lines]
    if wanted is None and len(lines) == 1:
        return lines[0]
    if wanted not in lines:
        what = f"There is no line {wanted}" if wanted else "There are several lines"
        raise CommandError(Status.BAD_SETTINGS, f"{what}; --line with one of {', '.join(lines)} is accepted.")
    return wanted


class _Clerk:
    """Hears what the service says about the rows."""

    def __init__(self, topics: Topics, line: str) -> None:
        self._topics = topics
        self._line = line
        self.waiting: dict[str, list[int]] = {}
        """Rows that the service has not answered yet, as lines of the file, by the time of their entry."""
        self.refused: list[tuple[int, Rejected]] = []
        self.status: bytes | None = None
        self.link: MqttLink | None = None
        self.news = asyncio.Event()

    def receive(self, arrival: Arrival) -> None:
        """The service's status, or an event."""
        if arrival.topic == self._topics.service(self._line):
            self.status = arrival.payload
        elif arrival.topic == self._topics.event(self._line):
            self._event(msgspec.json.decode(arrival.payload))
        if self.link is not None:
            self.link.acknowledge([arrival])
        self.news.set()

    def _event(self, event: Mapping[str, object]) -> None:
        at, data = str(event["time"]), event["data"]
        refused = event["type"] == "tumpline.entry.refused"
        if at not in self.waiting or not (refused or event["type"] in _TAKEN):
            return
        row = self.waiting[at].pop(0)
        if not self.waiting[at]:
            del self.waiting[at]
        if refused and isinstance(data, dict):
            self.refused.append((row, Rejected(None, None, str(data["reason"]).removesuffix("."))))

    def is_down_to(self, count: int) -> bool:
        """True where no more than so many times are left for which a row waits."""
        return len(self.waiting) <= count

    def opened(self, line: str, *, resumed: bool) -> None:
        """Nothing has to be done."""

    def subscribed(self, line: str) -> None:
        """The rows can be sent."""

    def confirmed(self, line: str, number: int) -> None:
        """The broker has a row; what counts is what the service makes of it."""

    async def until(self, done: Callable[[], bool]) -> bool:
        """Wait for something, as long as there is news; False where it does not come about."""
        while not done():
            try:
                async with asyncio.timeout(NEWS_WITHIN):
                    await self.news.wait()
            except TimeoutError:
                return False
            self.news.clear()
        return True


async def _send(settings: Settings, what: str, line: str, rows: Mapping[int, Row], clock: Clock) -> _Clerk:
    """Send the rows, and wait until the service has said of each what became of it."""
    topics = Topics(settings.broker.root)
    clerk = _Clerk(topics, line)
    clerk.link = link = MqttLink(
        line=line,
        account=account(settings),
        client_id=f"{settings.broker.client_id}-{line}-importer",
        topics=[topics.service(line), topics.event(line)],
        ears=clerk,
        clock=clock,
        session=0,
    )
    async with Supervisor() as tasks:
        tasks.start("link", link.run())
        await first_connections([link], settings.broker.connect_timeout)
        if not await clerk.until(lambda: clerk.status == b"online"):
            sentence = (
                f"No service for {line} is connected to the broker at {account(settings).where}, so nobody would take "
                "the rows; start it with tumpline run."
            )
            raise CommandError(Status.UNREACHABLE, sentence)
        left = iter(rows.items())
        while some := list(islice(left, _ROWS_AT_ONCE)):
            unanswered = len(clerk.waiting)
            for number, body in some:
                clerk.waiting.setdefault(str(body["at"]), []).append(number)
                link.publish(topics.book(line, KIND_OF[what]), encode(body), qos=1, retain=False)
            await clerk.until(partial(clerk.is_down_to, unanswered))
    await link.close()
    return clerk
