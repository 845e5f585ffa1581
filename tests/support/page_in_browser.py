"""A real browser for the page's tests."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, sync_playwright

CHROMIUM = Path("/usr/bin/chromium")
ARGUMENTS = ["--no-sandbox", "--disable-dev-shm-usage", "--disable-gpu"]
SECONDS = 15_000
"""Longest wait for something to show, ms: longer than any pause of the page itself."""

PAGES = {
    "line": "/",
    "shift": "/line/line-1?span=shift",
    "alarms": "/line/line-1/alarms",
    "book": "/line/line-1/book?taken=load",
    "signals": "/line/line-1/signals",
    "sure": "/line/line-1/sure",
    "reports": "/line/line-1/reports",
    "load": "/line/line-1/book/load",
    "load-on": "/line/line-1/book/load-on",
    "vat": "/line/line-1/book/vat",
    "sample": "/line/line-1/book/sample",
    "shelve": "/line/line-1/book/shelve?alarm=mill-blocked",
    "correct": "/line/line-1/book/correct/load-000000000006",
    "twice": "/line/line-1/book/note?at=2026-10-25T01:30",
    "who": "/line/line-1/who",
    "reason": "/line/line-1/reason?stop=stop-7",
}
"""Every kind of page, by a short name."""


@contextmanager
def chromium() -> Iterator[Browser]:
    """Debian's Chromium, within the block; skipped where it is not installed, but not where every change is checked."""
    if not CHROMIUM.exists():
        reason = f"{CHROMIUM} is not installed"
        if os.environ.get("CI") == "true":
            pytest.fail(reason)
        pytest.skip(reason)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=ARGUMENTS)
        yield browser
        browser.close()


@contextmanager
def window(browser: Browser, **options: Any) -> Iterator[BrowserContext]:
    """
    A window for many tests, of which each opens pages of its own; `options` are those of a context.

    A blank page stays open in it: beside it a page costs half of what it costs in a window of its own.
    """
    context = browser.new_context(**options)
    context.set_default_timeout(SECONDS)
    context.new_page()
    yield context
    context.close()


def forget(window: BrowserContext) -> None:
    """Close what a test has opened, and know nobody any more."""
    for page in window.pages[1:]:
        page.close()
    window.clear_cookies()
