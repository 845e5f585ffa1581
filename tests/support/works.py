"""The service as people run it, and somebody at the broker who publishes and listens."""

import json
import os
import signal
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import paho.mqtt.client as mqtt
from paho.mqtt.enums import CallbackAPIVersion

from polling import wait_until
from simulated import run
from tumpline_sim import Options
from tumpline_sim.record import record
from tumpline_sim.settings import settings_toml

BIN = Path(sys.executable).parent
Message = tuple[str, str]
"""Topic and payload."""

LINE = """
[[line]]
id = "{line}"
rated_throughput = "4 t/h"

  [[line.signal]]
  name = "mill/throughput"
  unit = "t/h"

  [[line.signal]]
  name = "juice/flow"
  unit = "L/min"

  [[line.signal]]
  name = "press/pressure"
  payload = "number"
  unit = "bar"
  range = [0, 8]
"""


def tumpline(*arguments: str | Path, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command to its end."""
    return subprocess.run(
        [BIN / "tumpline", *arguments], capture_output=True, text=True, check=False, timeout=60, cwd=cwd
    )


def settings(folder: Path, port: int, *, more: str = "", lines: Sequence[str] = ("line-1",)) -> Path:
    """A settings file in `folder`, its store beside it."""
    path = folder / "tumpline.toml"
    store = folder / "tumpline.db"
    head = f'[broker]\nport = {port}\nconnect_timeout = "3 s"\n[store]\npath = "{store}"\n{more}'
    path.write_text(head + "".join(LINE.format(line=line) for line in lines))
    return path


def simulated(folder: Path, port: int, *, hours: float, seed: int = 3) -> tuple[Path, Path, list[Message]]:
    """A recorded shift of the simulated line: its recording, settings that fit, and its messages."""
    tape, config = folder / "shift.ndjson", folder / "simulated.toml"
    messages = run(hours=hours, seed=seed).messages
    record(messages, tape)
    config.write_text(settings_toml(Options(), port=port, store=str(folder / "simulated.db")))
    return tape, config, [(message.topic, message.payload.decode()) for message in messages]


class Works:
    """`tumpline run`, which may be killed and started again; what it logs is kept."""

    def __init__(self, config: Path) -> None:
        self._config = config
        self._log = config.with_suffix(".log")
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def log(self) -> str:
        """Everything logged so far."""
        return self._log.read_text(errors="replace")

    @property
    def connections(self) -> int:
        """How often it has said that it is connected."""
        return self.log.count("mqtt.connected")

    @property
    def pid(self) -> int:
        """Its process while it runs."""
        assert self._process is not None
        return self._process.pid

    def start(self, code: Path | None = None) -> None:
        """Start it, of the code in that folder where one is given, without waiting for anything."""
        there = os.environ | ({"PYTHONPATH": str(code)} if code else {})
        with self._log.open("ab") as log:
            self._process = subprocess.Popen([BIN / "tumpline", "run", "--config", self._config], stderr=log, env=there)

    def kill(self) -> None:
        """End it as a power cut would."""
        self._end(signal.SIGKILL)

    def stop(self) -> int:
        """Ask it to end; its exit status."""
        return self._end(signal.SIGTERM)

    def wait(self) -> int:
        """Until it ends by itself; its exit status."""
        assert self._process is not None
        return self._process.wait(timeout=30)

    def _end(self, how: signal.Signals) -> int:
        assert self._process is not None
        self._process.send_signal(how)
        return self._process.wait(timeout=30)

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process is not None and self._process.poll() is None:
            self.kill()


class Neighbour:
    """Another client of the same broker."""

    def __init__(self, port: int) -> None:
        self.heard: list[tuple[str, bytes]] = []
        self._newest: dict[str, bytes] = {}
        self._branches: dict[str, list[bytes]] = defaultdict(list)
        self._confirmed = 0
        self._client = mqtt.Client(CallbackAPIVersion.VERSION2)
        self._client.max_inflight_messages_set(200)
        self._client.on_message = self._hear
        self._client.on_publish = self._count
        self._client.on_connect = lambda client, *_: client.subscribe("tumpline/#", qos=1)
        self._client.reconnect_delay_set(1, 1)
        self._client.connect("127.0.0.1", port)
        self._client.loop_start()
        wait_until(self._client.is_connected)

    def _hear(self, client: object, data: object, message: mqtt.MQTTMessage) -> None:
        topic, payload = message.topic, bytes(message.payload)
        self.heard.append((topic, payload))
        self._newest[topic] = payload
        self._branches["".join(topic.split("/")[2:3])].append(payload)

    def _count(self, *_: object) -> None:
        self._confirmed += 1

    def publish(self, messages: Iterable[Message], *, rate: float | None = None) -> None:
        """Publish at QoS 1 until all are confirmed, at most `rate` a second."""
        begun, count, before = time.monotonic(), 0, self._confirmed
        for topic, payload in messages:
            if rate is not None and count % 20 == 0:
                time.sleep(max(0.0, begun + count / rate - time.monotonic()))
            self._client.publish(topic, payload, qos=1)
            count += 1
        wait_until(lambda: self._confirmed >= before + count)

    def send(self, topic: str, payload: str) -> None:
        """Publish one message at QoS 1; while the broker is away it waits."""
        self._client.publish(topic, payload, qos=1)

    def retain(self, topic: str, payload: str) -> None:
        """Leave a message at the broker for whoever subscribes later."""
        self._client.publish(topic, payload, qos=1, retain=True).wait_for_publish(timeout=30)

    def last(self, topic: str) -> bytes | None:
        """The newest payload heard on a topic."""
        return self._newest.get(topic)

    def documents(self, branch: str) -> list[dict[str, Any]]:
        """JSON documents heard below `tumpline/<line>/<branch>`, in order."""
        return [json.loads(payload) for payload in tuple(self._branches[branch])]

    def close(self) -> None:
        """Leave."""
        self._client.disconnect()
        self._client.loop_stop()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()
