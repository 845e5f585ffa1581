"""One address that notices go to, through the notification library, in a thread of its own."""

from __future__ import annotations

import asyncio
import hashlib
import logging
import threading
from collections.abc import Callable
from typing import Any

import apprise

PATIENCE = 30.0
"""s an address may take; the library's own limits are shorter, but not every service of it has one."""

_ASSET = apprise.AppriseAsset(
    app_id="Tumpline",
    app_desc="Tumpline",
    app_url="",
    image_url_mask="",
    image_url_logo="",
    async_mode=False,
    secure_logging=True,
    storage_mode="memory",
)


_LIBRARY = logging.getLogger("apprise")
_LIBRARY.addHandler(logging.NullHandler())
_LIBRARY.propagate = False  # it names addresses, which are secrets; what became of a message is said by `send`


class AddressError(Exception):
    """An address cannot be used; the message is a clause without the address, which is a secret."""


class Sink:
    """Sends to one address. Whatever happens to a message, only this sink's thread waits for it."""

    def __init__(self, number: int, address: str) -> None:
        """`number` is the address's place in its list, from 1. Raises AddressError where no service has such a one."""
        scheme = address.partition("://")[0]
        self.name = f"{number} ({scheme[:20]})"
        """What people may see of it."""
        self.key = hashlib.sha256(address.encode()).hexdigest()[:16]
        """The same for the same address."""
        self._service = apprise.Apprise(asset=_ASSET)
        if not self._service.add(address):
            raise AddressError(f"address {number} is not one that the notification library knows")
        self._thread: threading.Thread | None = None

    async def send(self, title: str, body: str, *, patience: float = PATIENCE) -> str | None:
        """None once the other side has taken the message, else a clause why it is not known to have."""
        if self._thread is not None and self._thread.is_alive():
            return "it still has not answered to the message before"
        loop = asyncio.get_running_loop()
        answer: asyncio.Future[str | None] = loop.create_future()

        def tell(said: str | None) -> None:
            if not answer.done():
                answer.set_result(said)

        # A daemon, because no pool could be closed while the other side hangs.
        self._thread = threading.Thread(
            target=self._work, args=(title, body, loop, tell), name=f"notice {self.name}", daemon=True
        )
        self._thread.start()
        try:
            async with asyncio.timeout(patience):
                return await answer
        except TimeoutError:
            return f"it has not answered within {patience:g} s"

    def _work(self, title: str, body: str, loop: asyncio.AbstractEventLoop, tell: Callable[[str | None], None]) -> None:
        said: str | None
        try:
            result: Any = self._service.notify(title=title, body=body, body_format=apprise.NotifyFormat.TEXT)
            said = None if result else "; ".join(_reasons(result)) or "it was not taken"
        except Exception as error:  # one of a hundred services of the library; the next attempt may go better
            said = f"{type(error).__name__}: {error}"
        try:
            loop.call_soon_threadsafe(tell, said)
        except RuntimeError:
            pass  # the program has ended meanwhile


def _reasons(result: Any) -> list[str]:
    """What the library says about a message that was not taken, without its times and levels."""
    return [str(entry).split(" - ", 2)[-1] for entry in result.logs()]
