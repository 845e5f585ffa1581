"""The whole program under an open page: a real broker, the service, and a line whose meters somebody turns by hand."""

import json
import math
import threading
import time
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from mosquitto import mosquitto
from polling import wait_until
from programs import free_port, listens
from works import Neighbour, Works

METERS = {
    "flume/flow": ("L/s", 22.0),
    "mill/throughput": ("t/h", 4.0),
    "mill/current": ("A", 30.0),
    "press/pressure": ("bar", 1.35),
    "juice/flow": ("L/min", 47.0),
}
"""Unit, and what it reads while the line presses."""
STOOD = {"mill/throughput": 0.0, "mill/current": 9.0, "juice/flow": 0.0}
"""What is read of a line that stands."""
APART = 2
"""s between two readings of the past."""

SETTINGS = """
[site]
name = "Hollow Lane Cider Works"
timezone = "UTC"
stop_reasons = ["no fruit", "break"]
[broker]
port = {broker}
connect_timeout = "3 s"
[store]
path = "{folder}/tumpline.db"
[page]
port = {port}
{page}
"""
LINE = """
[[line]]
id = "{line}"
rated_throughput = "4 t/h"
juice_pump = "steady"
"""
SIGNAL = """
  [[line.signal]]
  name = "{name}"
  unit = "{unit}"
  range = [0, 500]
  accuracy = "1 % of reading"
"""

Spell = tuple[int, dict[str, float]]
"""So many seconds with these readings in place of the usual ones."""


class Meters:
    """The meters of one line: `past` tells what they read before, then they go on reading until `close`."""

    def __init__(self, neighbour: Neighbour, line: str) -> None:
        self._neighbour = neighbour
        self._line = line
        self.reads: dict[str, float] = {name: usual for name, (_, usual) in METERS.items()}
        """What every meter reads from now on; one that is taken out falls silent."""
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._go_on)

    def past(self, *spells: Spell) -> None:
        """What was read in these spells; the last one ends now. Then the meters go on."""
        at = time.time() - sum(seconds for seconds, _ in spells)
        messages = []
        for seconds, changed in spells:
            reads = self.reads | changed
            for second in range(0, seconds, APART):
                messages += [self._message(name, at + second, value) for name, value in reads.items()]
            at += seconds
        self._neighbour.publish(messages)
        self._thread.start()

    def write(self, kind: str, *, ago: float = 0.0, **fields: object) -> None:
        """An entry of the line's book, made so many seconds ago."""
        body = {"by": "Wystan", **fields}
        if ago:
            body["at"] = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(time.time() - ago))
        self._neighbour.publish([(f"tumpline/{self._line}/book/{kind}", json.dumps(body))])

    def stops(self) -> list[str]:
        """The stops that the service has told of, oldest first."""
        source = f"/tumpline/{self._line}"
        told = [event for event in self._neighbour.documents("event") if event["source"] == source]
        return [event["data"]["stop"] for event in told if event["type"] == "tumpline.stop.began"]

    def close(self) -> None:
        """Let them fall silent."""
        self._over.set()
        if self._thread.is_alive():
            self._thread.join()

    def _go_on(self) -> None:
        while not self._over.wait(0.5):
            at = time.time()
            for name, value in tuple(self.reads.items()):
                self._neighbour.send(*self._message(name, at, value))

    def _message(self, name: str, at: float, value: float) -> tuple[str, str]:
        reading = {"n": name, "u": METERS[name][0], "v": value * trembling(at), "t": round(at, 3)}
        return f"tumpline/{self._line}/signal/{name}", json.dumps([reading])


def trembling(at: float) -> float:
    """No meter reads twice the same; less than what the page shows of it."""
    return 1.0 + 0.002 * math.sin(1.7 * at)


class PageWorks:
    """Broker, service and page within `with`; either may be killed and started again, at the same address."""

    def __init__(self, folder: Path, *, lines: Sequence[str] = ("line-1",), page: str = "") -> None:
        """`page` is more for the settings' table of that name."""
        self.broker = mosquitto(folder)
        self._port = free_port()
        config = folder / "tumpline.toml"
        table = SETTINGS.format(broker=self.broker.port, folder=folder, port=self._port, page=page)
        signals = "".join(SIGNAL.format(name=name, unit=unit) for name, (unit, _) in METERS.items())
        config.write_text(table + "".join(LINE.format(line=line) + signals for line in lines))
        self.service = Works(config)
        self.url = f"http://127.0.0.1:{self._port}"
        self._lines = lines

    def logged(self, *events: str) -> list[dict[str, Any]]:
        """What the service's log has under these names, in order."""
        lines = [json.loads(line) for line in self.service.log.splitlines() if line.endswith("}")]
        return [line for line in lines if line["event"] in events]

    def start(self, code: Path | None = None) -> None:
        """Start the service, of the code in that folder, and wait until its page answers."""
        self.service.start(code)
        wait_until(lambda: listens(self._port))

    def __enter__(self) -> Self:
        self.broker.start()
        self.neighbour = Neighbour(self.broker.port)
        self.meters = {line: Meters(self.neighbour, line) for line in self._lines}
        self.start()
        wait_until(lambda: self.service.connections == len(self._lines))
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        for meters in self.meters.values():
            meters.close()
        self.neighbour.close()
        self.service.__exit__(kind, error, trace)
        self.broker.stop()
