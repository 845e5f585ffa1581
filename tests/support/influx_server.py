"""A real InfluxDB engine behind the write address of version 2, to see exactly what a server keeps of what it is sent.

Debian has version 1.6, whose storage takes the same line protocol at another address. `InfluxServer` puts a small
translator of addresses in front of it; everything the client says and everything the engine answers passes unchanged.
"""

import json
import threading
import urllib.error
import urllib.parse
import urllib.request
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from programs import Running, free_port, program

TOKEN = "token-of-the-works"
BUCKET = "press"

CONFIGURATION = """
reporting-disabled = true
bind-address = "127.0.0.1:{backup_port}"
[meta]
  dir = "{folder}/meta"
[data]
  dir = "{folder}/data"
  wal-dir = "{folder}/wal"
  query-log-enabled = false
[monitor]
  store-enabled = false
[http]
  bind-address = "127.0.0.1:{port}"
  log-enabled = false
"""


class InfluxServer:
    """`with InfluxServer(folder) as influx:` write to `influx.url` with TOKEN into BUCKET; `influx.rows` reads back."""

    def __init__(self, folder: Path) -> None:
        port = free_port()
        configuration = folder / "influx.conf"
        configuration.write_text(CONFIGURATION.format(folder=folder, port=port, backup_port=free_port()))
        command = [program("influxd"), "run", "-config", str(configuration)]
        self._engine = Running(command, port=port, log=folder / "influx.log")
        self._address = f"http://127.0.0.1:{port}"
        self._front = ThreadingHTTPServer(("127.0.0.1", 0), _translator(self._address))
        self._thread = threading.Thread(target=self._front.serve_forever, kwargs={"poll_interval": 0.01})
        self.url = f"http://127.0.0.1:{self._front.server_address[1]}"

    def start(self) -> None:
        """Start the engine, again if need be."""
        self._engine.start()
        self._query(f"CREATE DATABASE {BUCKET}")

    def kill(self) -> None:
        """End the engine as a power cut would."""
        self._engine.kill()

    def rows(self, measurement: str) -> list[dict[str, object]]:
        """Every point of a measurement in order of time: its fields, tags and `time` in nanoseconds."""
        series = self._query(f'SELECT * FROM "{measurement}"').get("series", [])
        return [dict(zip(part["columns"], values, strict=True)) for part in series for values in part["values"]]

    def _query(self, text: str) -> dict[str, Any]:
        query = urllib.parse.urlencode({"q": text, "db": BUCKET, "epoch": "ns"})
        with urllib.request.urlopen(f"{self._address}/query", data=query.encode(), timeout=30) as answer:
            result: dict[str, Any] = json.load(answer)["results"][0]
        return result

    def __enter__(self) -> Self:
        self.start()
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._front.shutdown()
        self._thread.join()
        self._front.server_close()
        self._engine.stop()


def _translator(address: str) -> type[BaseHTTPRequestHandler]:
    class Translator(BaseHTTPRequestHandler):
        """POST /api/v2/write?bucket= becomes POST /write?db=."""

        protocol_version = "HTTP/1.1"
        disable_nagle_algorithm = True

        def do_POST(self) -> None:
            """Pass a write on, and its answer back."""
            body = self.rfile.read(int(self.headers["content-length"]))
            parts = urllib.parse.urlsplit(self.path)
            query = dict(urllib.parse.parse_qsl(parts.query))
            if parts.path != "/api/v2/write" or self.headers["Authorization"] != f"Token {TOKEN}":
                status, answer = 401, b'{"code": "unauthorized", "message": "unauthorized access"}'
            else:
                status, answer = _written(f"{address}/write?db={query['bucket']}&precision={query['precision']}", body)
            self.send_response(status)
            self.send_header("content-type", "application/json")
            self.send_header("content-length", str(len(answer)))
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, format: str, *args: object) -> None:  # noqa: A002 the base class names it so
            """Say nothing."""

    return Translator


def _written(address: str, body: bytes) -> tuple[int, bytes]:
    try:
        with urllib.request.urlopen(address, data=body, timeout=30) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as error:
        with error:
            # Version 1 says {"error": …} where version 2 says {"code": …, "message": …}.
            reason = json.load(error)["error"]
        return error.code, json.dumps({"code": "invalid", "message": reason}).encode()
    except OSError as error:
        return 503, json.dumps({"code": "unavailable", "message": str(error)}).encode()
