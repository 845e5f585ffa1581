"""Whoever comes to the page with something else in mind than pressing fruit."""

import asyncio
import re
import socket
from collections.abc import Mapping
from typing import NamedTuple
from urllib.parse import urlencode, urlsplit

import aiohttp

from page_browser import PASSWORD


class Reply(NamedTuple):
    """What came back: the status, or the code with which a socket was closed."""

    status: int
    text: str


class Stranger:
    """Sends whatever bytes there are; `token` is the cookie of somebody who has logged in, or claims to have."""

    def __init__(self, url: str, token: str = "") -> None:
        self._url = url
        parts = urlsplit(url)
        self._host, self._port = parts.hostname or "", parts.port or 0
        self.token = token

    def log_in(self, name: str, password: str = PASSWORD) -> Reply:
        """Try to become somebody."""
        reply = self.post("/log-in", {"name": name, "password": password})
        found = re.search(r"tumpline=([^;\s]+)", reply.text)
        self.token = found[1] if found else self.token
        return reply

    def post(self, path: str, form: Mapping[str, str], **headers: str) -> Reply:
        """Send a form."""
        body = urlencode(form)
        kind = {"Content-Type": "application/x-www-form-urlencoded", "Content-Length": str(len(body))}
        return self.send("POST", path, {**kind, **dashed(headers)}, body)

    def get(self, path: str, **headers: str) -> Reply:
        """Ask for an address, just as it is written."""
        return self.send("GET", path, dashed(headers))

    def send(self, method: str, path: str, headers: Mapping[str, str], body: str = "") -> Reply:
        """One request on a connection of its own; the text is the whole answer with its headers."""
        told = {"Host": f"{self._host}:{self._port}", "Connection": "close", "Cookie": f"tumpline={self.token}"}
        lines = [f"{method} {path} HTTP/1.1", *(f"{key}: {value}" for key, value in (told | dict(headers)).items())]
        with socket.create_connection((self._host, self._port), timeout=30) as connection:
            connection.sendall("\r\n".join([*lines, "", body]).encode())
            answer = b"".join(iter(lambda: connection.recv(65536), b"")).decode(errors="replace")
        return Reply(int(answer.split()[1]), answer)

    def talk(self, path: str, word: str) -> Reply:
        """Open a socket and say something on it."""
        return asyncio.run(self._talk(path, word))

    async def _talk(self, path: str, word: str) -> Reply:
        cookies = {"tumpline": self.token}
        async with aiohttp.ClientSession(cookies=cookies) as client, client.ws_connect(self._url + path) as connection:
            await connection.send_str(word)
            async for _ in connection:
                pass
            return Reply(connection.close_code or 0, "")


def dashed(headers: Mapping[str, str]) -> dict[str, str]:
    """`Sec_Fetch_Site` as a header is written."""
    return {key.replace("_", "-"): value for key, value in headers.items()}
