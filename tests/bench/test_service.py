"""
What a message costs the service, how fast a recording is worked through, and whether memory and the cost of a message
stay where they are through a shift.

Figures are printed, not judged: they belong to the machine. `pytest -m bench -s` shows them; TUMPLINE_BENCH_HOURS makes
the simulated shift longer than the half hour of an ordinary test run, and TUMPLINE_BENCH_SIGNALS names more signals
than the four expected ones (as `tumpline-sim --signals` does).
"""

import json
import os
import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import paho.mqtt.client as mqtt
import pytest
from paho.mqtt.enums import CallbackAPIVersion

from mosquitto import mosquitto
from polling import wait_until
from programs import Running
from tumpline.pressing.effects import TellSummary
from tumpline.pressing.line import PressLine
from tumpline.settings import load
from tumpline.wire.decode import Decoder
from tumpline.wire.recordings import Broken, parse_line, read_lines

pytestmark = [pytest.mark.bench, pytest.mark.system]

HOURS = os.environ.get("TUMPLINE_BENCH_HOURS", "0.5")
SIGNALS = os.environ.get("TUMPLINE_BENCH_SIGNALS", "expected")
BIN = Path(sys.executable).parent
PATIENCE = 600.0
PARTS = 10

PLAIN = """
import asyncio, sys, time
import aiomqtt

async def main(port, count):
    async with aiomqtt.Client("127.0.0.1", port, identifier="plain", clean_session=False) as client:
        await client.subscribe([("tumpline/+/signal/#", 1), ("tumpline/+/book/#", 1)])
        print("ready", flush=True)
        begun = time.process_time()
        async for _ in client.messages:
            count -= 1
            if not count:
                break
        print(time.process_time() - begun, flush=True)

asyncio.run(main(int(sys.argv[1]), int(sys.argv[2])))
"""


@dataclass(frozen=True, slots=True)
class Tape:
    """A recorded shift, and settings that fit its line."""

    recording: Path
    messages: tuple[tuple[str, str], ...]

    @property
    def readings(self) -> int:
        """How many of the messages are readings."""
        return sum("/signal/" in topic for topic, _ in self.messages)


@pytest.fixture(name="tape", scope="module")
def _tape(tmp_path_factory: pytest.TempPathFactory) -> Tape:
    recording = tmp_path_factory.mktemp("tape") / "shift.jsonl"
    run("tumpline-sim", "record", "--hours", HOURS, "--signals", SIGNALS, "--seed", "3", "-o", str(recording))
    lines = [json.loads(line) for line in recording.read_text().splitlines()]
    return Tape(recording, tuple((line["topic"], line["payload"]) for line in lines))


@pytest.fixture(name="broker")
def _broker(tmp_path: Path) -> Iterator[Running]:
    with mosquitto(tmp_path) as broker:
        yield broker


class Bystander:
    """A client that publishes the tape and hears what the service says."""

    def __init__(self, port: int) -> None:
        self.heard: dict[str, bytes | bytearray] = {}
        self._confirmed = 0
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2)
        self._client.max_inflight_messages_set(100)
        self._client.on_publish = self._count
        self._client.on_message = lambda client, data, message: self.heard.update({message.topic: message.payload})
        self._client.connect("127.0.0.1", port)
        for topics in ("tumpline/+/service", "tumpline/+/summary/#"):
            self._client.subscribe(topics, qos=1)
        self._client.loop_start()

    def _count(self, *_: object) -> None:
        self._confirmed += 1

    def publish(self, messages: tuple[tuple[str, str], ...]) -> None:
        """Publish at QoS 1 as fast as the broker confirms."""
        awaited = self._confirmed + len(messages)
        for topic, payload in messages:
            self._client.publish(topic, payload, qos=1)
        wait_until(lambda: self._confirmed >= awaited, patience=PATIENCE)

    @property
    def summaries(self) -> list[dict[str, object]]:
        """Summaries published so far."""
        return [json.loads(payload) for topic, payload in self.heard.items() if "/summary/" in topic]

    def close(self) -> None:
        """Leave."""
        self._client.disconnect()
        self._client.loop_stop()


def run(program: str, *arguments: str) -> str:
    """Run one of the project's commands; what it prints."""
    result = subprocess.run([BIN / program, *arguments], capture_output=True, text=True, check=False)
    assert result.returncode == 0, result.stderr
    return result.stdout


@contextmanager
def started(command: list[str], *, log: Path | None = None) -> Iterator[subprocess.Popen[str]]:
    """A program running beside the test, which does not outlive the block."""
    with (log or Path(os.devnull)).open("w") as errors:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=errors, text=True)
    with process:
        try:
            yield process
        finally:
            process.kill()


def settings(folder: Path, port: int) -> Path:
    """A settings file for the simulated line."""
    path = folder / "settings.toml"
    store = folder / "tumpline.db"
    run("tumpline-sim", "settings", "--signals", SIGNALS, "--port", str(port), "--store", str(store), "-o", str(path))
    return path


def cpu_seconds(pid: int) -> float:
    """Processor time that a running program has used."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def megabytes(pid: int) -> float:
    """Memory that a running program holds."""
    return int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * resource.getpagesize() / 1e6


def test_cost_of_a_message_and_memory_through_a_shift(tape: Tape, broker: Running, tmp_path: Path) -> None:
    """A shift sent as fast as the broker takes it gives its summary; the cost is held against a bare client."""
    config = settings(tmp_path, broker.port)
    expected = json.loads(run("tumpline", "replay", str(tape.recording), "--config", str(config), "--json"))
    bystander = Bystander(broker.port)
    listen = [sys.executable, "-c", PLAIN, str(broker.port), str(len(tape.messages))]
    serve = [str(BIN / "tumpline"), "run", "--config", str(config)]
    with started(listen) as plain, started(serve, log=tmp_path / "service.log") as service:
        assert plain.stdout is not None
        assert plain.stdout.readline() == "ready\n"
        wait_until(lambda: bystander.heard.get("tumpline/line-1/service") == b"online")
        before, memory = cpu_seconds(service.pid), [megabytes(service.pid)]
        size = -(-len(tape.messages) // PARTS)
        for start in range(0, len(tape.messages), size):
            bystander.publish(tape.messages[start : start + size])
            memory.append(megabytes(service.pid))
        wait_until(lambda: bystander.summaries, patience=PATIENCE)
        used = cpu_seconds(service.pid) - before
        memory.append(megabytes(service.pid))
        bare = float(plain.stdout.readline())
        service.terminate()
        status = service.wait(PATIENCE)
    bystander.close()

    assert status == 0, (tmp_path / "service.log").read_text()
    assert bystander.summaries == [expected]
    per_message = 1e6 / len(tape.messages)
    print(
        f"\n{len(tape.messages)} messages of {HOURS} h: service {used * per_message:.0f} us a message,"
        f" a client that discards {bare * per_message:.0f} us: {used / bare:.1f} times"
        f"\nmemory through the shift: {', '.join(f'{part:.0f}' for part in memory)} MB"
    )


def test_speed_of_a_replay(tape: Tape, tmp_path: Path) -> None:
    """A recording is worked through without a broken line; its speed is held against the time it took to record."""
    config = str(settings(tmp_path, 1883))
    begun = time.perf_counter()
    run("tumpline", "check", "--config", config)
    started = time.perf_counter()
    run("tumpline", "replay", str(tape.recording), "--config", config, "--json", "--strict")
    took = (time.perf_counter() - started) - (started - begun)

    print(
        f"\nreplay: {tape.readings / took:.0f} readings a second,"
        f" {3600 * float(HOURS) / took:.0f} times as fast as the shift itself"
    )


def test_cost_of_a_message_through_a_shift(tape: Tape, tmp_path: Path) -> None:
    """What a line works out of a message depends little on the shift behind it: each tenth is held to the first."""
    wires = [line.wire("tumpline") for line in load(settings(tmp_path, 1883)).lines]
    decoder, line = Decoder(wires), PressLine(wires[0].params)
    messages = [parse_line(text) for text in read_lines(tape.recording)]
    size, costs, told = -(-len(messages) // PARTS), [], set[type]()
    for start in range(0, len(messages), size):
        begun = time.process_time()
        for message in messages[start : start + size]:
            assert not isinstance(message, Broken)
            decoded = decoder.decode(message.topic, message.payload, message.arrived)
            for event in decoded.events if decoded is not None else ():
                told.update(type(effect) for effect in line.handle(event))
        costs.append(time.process_time() - begun)

    assert TellSummary in told
    print(
        f"\n{HOURS} h: {1e6 * costs[0] / size:.0f} us a message in the first tenth of it;"
        f" in the others {', '.join(f'{cost / costs[0]:.2f}' for cost in costs[1:])} times that"
    )
