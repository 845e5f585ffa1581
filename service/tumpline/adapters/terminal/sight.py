"""What a watcher has heard of a line, and whether it may still be taken for what is so now."""

from __future__ import annotations

from msgspec import Struct

from tumpline.wire.glance import Glance

SILENT_AFTER = 15.0
"""Seconds without a live document after which there is no data; the page waits as long."""


class Sight(Struct, kw_only=True):
    """Filled in by whoever listens to the broker; times are the watcher's own clock, seconds since 1970."""

    line: str
    glance: Glance | None = None
    heard: float | None = None
    """When the newest document came; for one that the broker had kept, the time it tells itself."""
    trouble: str = ""
    """Why the broker cannot be heard, or what it brought cannot be read, in a sentence; else empty."""
    service_gone: bool = False
    """The broker says that the service is not connected."""

    def gone(self, now: float) -> str:
        """Why what is shown cannot be taken for what is, in a sentence; empty while it can."""
        if self.trouble:
            return self.trouble
        if self.service_gone:
            return "The service is not running."
        if self.glance is None or self.heard is None:
            return "Nothing heard from this line yet."
        if now - self.heard > SILENT_AFTER:
            return "The line is silent."
        return "" if self.glance.heard else "No signal of the line is heard."
