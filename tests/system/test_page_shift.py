"""A whole shift watched on the page, behind the real program with everything in it."""

import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from polling import wait_until
from programs import free_port, listens

pytestmark = pytest.mark.system

TUMPLINE = Path(sys.executable).with_name("tumpline")
A_WHILE = 90_000
"""ms the shift may take, 24 s and more on a machine that is busy."""


@pytest.fixture(name="address")
def _address(tmp_path: Path) -> Iterator[str]:
    """Where the demo's page is; its shift lasts 36 minutes of event time."""
    port = free_port()
    command = [TUMPLINE, "demo", "--hours", "0.6", "--speed", "90", "--seed", "3", "--port", str(port)]
    with (tmp_path / "demo.log").open("wb") as log:
        demo = subprocess.Popen(command, cwd=tmp_path, stdout=log, stderr=log, env=os.environ)
        wait_until(lambda: listens(port) or demo.poll() is not None)
        yield f"http://127.0.0.1:{port}/"
        demo.send_signal(signal.SIGINT)
        demo.wait(30.0)


def test_a_shift_is_watched_from_start_to_summary(browser: Browser, address: str) -> None:
    """It fills, presses and ends under one page that is never loaded again; then its report opens, and prints."""
    page = browser.new_page()
    trouble: list[str] = []
    page.on("console", lambda message: trouble.append(message.text))
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.goto(address)
    page.evaluate("window.same = true")
    expect(page.locator("#band .word")).to_have_text("Pressing", timeout=A_WHILE)
    expect(page.locator("#figure-yield .value")).to_have_text(re.compile(r"^\d{3}$"), timeout=A_WHILE)
    expect(page.locator("#book")).to_contain_text("milled")
    expect(page.locator("#figure-shift")).to_contain_text("ended", timeout=A_WHILE)
    assert page.evaluate("window.same") is True
    page.get_by_role("link", name="Reports").click()
    page.locator("section", has_text="Shifts and season").get_by_role("link", name="HTML").nth(1).click()
    expect(page.locator("body")).to_contain_text("Doubt about the yield")
    assert page.pdf(prefer_css_page_size=True).startswith(b"%PDF")
    assert trouble == []
    page.close()
