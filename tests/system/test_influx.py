"""The outbox sender against real servers: what is read back is what was sent."""

import asyncio
import itertools
import json
import urllib.request
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
import structlog

from influx_server import BUCKET, TOKEN, InfluxServer
from memory_outbox import MemoryOutbox
from polling import until
from programs import Running, free_port, program
from tumpline.adapters import influx as influx_adapter
from tumpline.adapters.influx import InfluxSender
from tumpline.adapters.sqlite import SqliteStore
from tumpline.pressing.effects import KeepFigures, KeepReading, Quality, TellEvent
from tumpline.pressing.records import AlarmRecord, AlarmState, Priority
from tumpline.runtime.journal import Journal, Outbox
from tumpline.runtime.ports import Outputs
from tumpline.wire.points import alarm_point, event_point, figures_point, reading_point

pytestmark = pytest.mark.system

START = 1_790_000_000_123_456_789


@pytest.fixture(name="influx")
def _influx(tmp_path: Path) -> Iterator[InfluxServer]:
    with InfluxServer(tmp_path) as influx:
        yield influx


@asynccontextmanager
async def sending(outbox: influx_adapter.Outbox, url: str, *, token: str = TOKEN) -> AsyncIterator[None]:
    """A sender at work for as long as the block lasts."""
    sender = InfluxSender(outbox=outbox, url=url, org="works", bucket=BUCKET, token=token, idle=0.01, pause=0.02)
    async with asyncio.TaskGroup() as group:
        task = group.create_task(sender.run())
        yield
        task.cancel()


@asynccontextmanager
async def stored(folder: Path) -> AsyncIterator[tuple[SqliteStore, Outbox]]:
    """The store and its outbox as the service has them, until it ends."""
    store = SqliteStore(folder / "tumpline.db")
    journal = Journal(store)
    try:
        yield store, Outbox(journal, store)
    finally:
        journal.close()
        store.close()


async def sent(lines: Sequence[str], url: str) -> MemoryOutbox:
    """Send these lines until none is left; what was refused is in the outbox returned."""
    outbox = MemoryOutbox(lines)
    async with sending(outbox, url):
        await until(lambda: not outbox.rows)
    return outbox


@pytest.mark.asyncio
async def test_every_type_and_time_is_read_back_exactly(influx: InfluxServer) -> None:
    """Floats, whole numbers, truth, text with quotes and signs, and times a nanosecond apart come back as they were."""
    outbox = await sent(
        [
            rf"reading,line=line\ 1,signal=mill/throughput value=1.1234567890123457,quality=0i {START}",
            rf"reading,line=line\ 1,signal=mill/throughput value=-0.5,quality=1i {START + 1}",
            rf'event,kind=note,line=a\,b\=c text="said \"no\", \\ 5 °Bx – ½ full",open=true,count=7i {START}',
        ],
        influx.url,
    )
    assert outbox.refused == {}
    reading = {"line": "line 1", "signal": "mill/throughput"}
    assert influx.rows("reading") == [
        reading | {"time": START, "value": 1.1234567890123457, "quality": 0},
        reading | {"time": START + 1, "value": -0.5, "quality": 1},
    ]
    text = 'said "no", \\ 5 °Bx – ½ full'
    assert influx.rows("event") == [
        {"time": START, "kind": "note", "line": "a,b=c", "text": text, "open": True, "count": 7}
    ]


@pytest.mark.asyncio
async def test_what_a_line_says_outlives_the_service_and_is_read_back_exactly(
    influx: InfluxServer, tmp_path: Path
) -> None:
    """Readings, figures, events and alarms wait in the store while the server is away, and through a restart."""
    at = 1_790_000_000.123456
    said = 'stop-1: "belt" off, 3 × C:\\new, 5 % = ½\\'
    alarm = AlarmRecord(
        name="vat-nearly-full",
        subject="vat 3, left",
        priority=Priority.LOW,
        state=AlarmState.UNACKNOWLEDGED,
        active=True,
        raised=at,
        cleared=None,
        acknowledged=None,
        by=None,
        value=9.5,
        limit=9.0,
        unit="m3",
        cause=said,
        because_of=None,
        caution=None,
    )
    points = [
        reading_point("line-1", KeepReading(signal="vat/vat-3/volume", at=at, value=0.125, quality=Quality.LATE)),
        figures_point("line-1", KeepFigures(at=at, figures={"yield_l_per_t": 701.25, "fruit_kg": 1e-7})) or "",
        event_point("line-1", TellEvent(kind="stop.began", at=at, data={"note": said})),
        alarm_point("line-1", alarm, at),
    ]
    influx.kill()
    async with stored(tmp_path) as (store, outbox):
        store.commit([], Outputs(points=points), [])
        with structlog.testing.capture_logs() as logs:
            async with sending(outbox, influx.url):
                await until(lambda: logs)
    influx.start()
    async with stored(tmp_path) as (store, outbox), sending(outbox, influx.url):
        await until(lambda: not store.points(1))
    time, line = 1_790_000_000_123_456_000, {"line": "line-1"}
    assert influx.rows("reading") == [
        line | {"time": time, "signal": "vat/vat-3/volume", "unit": "L", "value": 125.0, "late": True}
    ]
    assert influx.rows("figures") == [line | {"time": time, "yield_l_per_t": 701.25, "fruit_kg": 1e-7}]
    (event,) = influx.rows("event")
    assert json.loads(str(event.pop("data"))) == {"note": said}
    assert event == line | {"time": time, "kind": "stop.began"}
    (raised,) = influx.rows("alarm")
    named = {"name": "vat-nearly-full", "subject": "vat 3, left", "cause": said}
    assert raised == line | named | {"time": time, "state": "unacknowledged", "active": True, "priority": "low"}


@pytest.mark.asyncio
async def test_a_server_that_dies_in_mid_stream_loses_no_point(influx: InfluxServer) -> None:
    """The server is killed twice while points are coming in; afterwards it has every one of them, once."""
    outbox = MemoryOutbox([])
    numbers = itertools.count()

    async def come_in(points: int) -> None:
        for number in itertools.islice(numbers, points):
            outbox.rows[number] = f"reading,line=line-1 value={number}i {START + number}"
            if number % 50 == 0:
                await asyncio.sleep(0.001)

    with structlog.testing.capture_logs() as logs:
        async with sending(outbox, influx.url):
            for _ in range(2):
                await come_in(3_000)
                influx.kill()
                await come_in(3_000)
                await until(lambda: logs and logs[-1]["event"] == "influx.away")
                influx.start()
                await until(lambda: logs[-1]["event"] == "influx.back")
            await until(lambda: not outbox.rows)
    assert outbox.refused == {}
    assert [row["value"] for row in influx.rows("reading")] == list(range(next(numbers)))


@pytest.mark.asyncio
async def test_a_point_the_server_cannot_take_is_set_aside_alone(influx: InfluxServer) -> None:
    """A text where numbers were before, and a line that is none, are refused with the engine's own reason."""
    await sent([f"reading value=1 {START}"], influx.url)
    lines = [f"reading value={number} {START + number}" for number in range(1, 40)]
    lines[17] = f'reading value="many" {START + 18}'
    lines[30] = "reading value="
    outbox = await sent(lines, influx.url)
    assert set(outbox.refused) == {lines[17], lines[30]}
    assert "field type conflict" in outbox.refused[lines[17]]
    assert "missing field value" in outbox.refused[lines[30]]
    assert len(influx.rows("reading")) == 40 - 2


@pytest.mark.asyncio
async def test_a_wrong_token_costs_no_point(influx: InfluxServer) -> None:
    """Nothing is dropped or refused while the token is wrong; with the right one everything goes through."""
    outbox = MemoryOutbox([f"reading value=1 {START}"])
    with structlog.testing.capture_logs() as logs:
        async with sending(outbox, influx.url, token="a guess"):
            await until(lambda: logs)
    assert logs[0]["why"] == "it answered 401: unauthorized access"
    assert (len(outbox.rows), outbox.refused) == (1, {})
    async with sending(outbox, influx.url):
        await until(lambda: not outbox.rows)
    assert len(influx.rows("reading")) == 1


def test_another_store_with_the_same_interface_takes_the_points(tmp_path: Path) -> None:
    """VictoriaMetrics, which knows only numbers and milliseconds, gets every number (a smoke test of the client)."""
    port = free_port()
    command = [
        program("victoria-metrics"),
        f"-storageDataPath={tmp_path / 'data'}",
        f"-httpListenAddr=127.0.0.1:{port}",
        "-retentionPeriod=100y",
        "-search.latencyOffset=0s",
        "-loggerLevel=ERROR",
    ]
    second = START // 1_000_000_000
    lines = [f"reading,line=line-1 value={n} {(second + n) * 1_000_000_000}" for n in range(20)]
    with Running(command, port=port, log=tmp_path / "store.log"):
        url = f"http://127.0.0.1:{port}"
        asyncio.run(sent(lines, url))
        urllib.request.urlopen(f"{url}/internal/force_flush", timeout=30).close()
        query = f"{url}/api/v1/export?match=reading_value&start={second - 1}&end={second + 100}"
        with urllib.request.urlopen(query, timeout=30) as answer:
            values = [value for line in answer for value in json.loads(line)["values"]]
    assert values == [float(n) for n in range(20)]
