"""An HTTP server on a free port whose answers the test decides."""

import json
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import TracebackType
from urllib.parse import parse_qsl, urlsplit


@dataclass(frozen=True, slots=True)
class Answer:
    """What the server says."""

    status: int
    body: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Request:
    """What the server was asked."""

    path: str
    query: dict[str, str]
    headers: dict[str, str]
    body: str


class HttpStub:
    """`with HttpStub() as server:` then `server.url`; `reply` is called with each body posted, in another thread."""

    def __init__(self) -> None:
        self.requests: list[Request] = []
        self.reply: Callable[[str], Answer] = lambda body: Answer(204)
        stub = self

        class Handler(BaseHTTPRequestHandler):
            """Hands every POST to the stub."""

            protocol_version = "HTTP/1.1"
            disable_nagle_algorithm = True

            def do_POST(self) -> None:
                """Note the request, then answer."""
                stub._answer(self)

            def log_message(self, format: str, *args: object) -> None:  # noqa: A002 the base class names it so
                """Say nothing."""

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._thread = threading.Thread(target=self._server.serve_forever, kwargs={"poll_interval": 0.01})

    @property
    def url(self) -> str:
        """Where it listens."""
        return f"http://127.0.0.1:{self._server.server_address[1]}"

    def hold(self) -> tuple[Callable[[], bool], Callable[[], None]]:
        """Keep every request waiting: returns a question whether one is waiting, and what lets it go."""
        waiting, released = threading.Event(), threading.Event()

        def reply(body: str) -> Answer:
            waiting.set()
            released.wait(30)
            return Answer(204)

        self.reply = reply
        return waiting.is_set, released.set

    def _answer(self, handler: BaseHTTPRequestHandler) -> None:
        body = handler.rfile.read(int(handler.headers["content-length"])).decode()
        parts = urlsplit(handler.path)
        self.requests.append(Request(parts.path, dict(parse_qsl(parts.query)), dict(handler.headers), body))
        answer = self.reply(body)
        content = json.dumps(answer.body).encode() if answer.body else b""
        handler.send_response(answer.status)
        handler.send_header("content-type", "application/json")
        handler.send_header("content-length", str(len(content)))
        try:
            handler.end_headers()
            handler.wfile.write(content)
        except ConnectionError:
            pass  # whoever asked would not wait

    def __enter__(self) -> "HttpStub":
        self._thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._server.shutdown()
        self._thread.join()
        self._server.server_close()
