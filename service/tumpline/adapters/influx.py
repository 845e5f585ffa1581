"""Sends the outbox to an InfluxDB 2 server, so that no point is lost however long the server is away.

The points wait on disk. They are written with the client's synchronous interface, in a thread, and leave the outbox
only when the server has taken them; a point written twice is the same point. The client's batching interface is not
used: it gives up after its retries, and forgets what is left when the program ends.
"""

import asyncio
import random
from collections.abc import Sequence
from typing import Protocol

import structlog
from influxdb_client.client.influxdb_client import InfluxDBClient
from influxdb_client.client.write_api import SYNCHRONOUS
from influxdb_client.rest import ApiException
from urllib3.exceptions import HTTPError

log = structlog.get_logger(__name__)

BATCH = 1000
"""Lines written at once. Larger batches take longer to search for a bad line and gain nothing."""
LONGEST_PAUSE = 10.0
TIMEOUT = (3_000, 10_000)
"""Milliseconds to connect and to answer; an orderly stop waits for a write under way."""
REFUSALS = frozenset([400, 413, 422])
"""Answers that speak of the lines sent; any other failure is about the server, the way there, or the settings."""

Row = tuple[int, str]
"""An outbox row's id and its line of line protocol."""


class Outbox(Protocol):
    """What waits on disk for the server, oldest first."""

    async def take(self, limit: int) -> Sequence[Row]:
        """The oldest rows, at most `limit`. They stay in the outbox."""

    async def drop(self, ids: Sequence[int]) -> None:
        """The server has taken these rows: forget them."""

    async def refuse(self, ids: Sequence[int], reason: str) -> None:
        """The server will never take these rows: set them aside with its reason."""


class AwayError(Exception):
    """The server takes nothing now, whatever the lines are; the message says why."""


class InfluxSender:
    """
    Empties the outbox into one bucket.

    `run()` belongs in one task of its own and ends only by being cancelled; nobody waits for it but the outbox.
    """

    def __init__(
        self, *, outbox: Outbox, url: str, org: str, bucket: str, token: str, idle: float = 1.0, pause: float = 0.5
    ) -> None:
        self._outbox = outbox
        self._url = url
        self._bucket = bucket
        self._idle = idle
        self._pause = pause
        self._client = InfluxDBClient(url=url, org=org, token=token, timeout=TIMEOUT)
        self._api = self._client.write_api(write_options=SYNCHRONOUS)

    async def run(self) -> None:
        """
        Send what is in the outbox, and look again `idle` seconds after it was found empty.

        While the server is away the pause between attempts doubles from `pause` to ten seconds, with jitter so that
        several services do not come back in the same instant. Its absence is logged once, and so is its return.
        """
        absence: str | None = None
        pause = self._pause
        try:
            while True:
                try:
                    rows = await self._outbox.take(BATCH)
                    await self._send(rows)
                except AwayError as error:
                    if str(error) != absence:
                        absence = str(error)
                        log.warning("influx.away", url=self._url, why=absence)
                    await asyncio.sleep(pause * random.uniform(0.5, 1.0))
                    pause = min(LONGEST_PAUSE, 2 * pause)
                    continue
                if absence is not None:
                    log.info("influx.back", url=self._url)
                    absence, pause = None, self._pause
                if not rows:
                    await asyncio.sleep(self._idle)
        finally:
            self._client.close()  # type: ignore[no-untyped-call]  # the client's own annotation is missing

    async def _send(self, rows: Sequence[Row]) -> None:
        """Have these rows taken or refused, halving a refused batch until the bad lines stand alone."""
        if not rows:
            return
        refusal = await asyncio.to_thread(self._write, [line for _, line in rows])
        if refusal is None:
            await self._outbox.drop([row for row, _ in rows])
        elif len(rows) == 1:
            log.warning("influx.refused", line=rows[0][1], why=refusal)
            await self._outbox.refuse([rows[0][0]], refusal)
        else:
            # The server has taken the good lines of the batch already; taking them again changes nothing.
            middle = len(rows) // 2
            await self._send(rows[:middle])
            await self._send(rows[middle:])

    def _write(self, lines: Sequence[str]) -> str | None:
        """Return None when the server has taken the lines, else its reason to refuse them; raises AwayError."""
        try:
            self._api.write(bucket=self._bucket, record="\n".join(lines))
        except ApiException as error:
            if error.status in REFUSALS:
                return str(error.message)
            raise AwayError(f"it answered {error.status}: {error.message}") from error
        except (HTTPError, OSError) as error:
            raise AwayError(f"it cannot be reached: {error}") from error
        return None
