"""Log lines are JSON for machines and words for people, and libraries are heard in them."""

import json
import os
import pty
import subprocess
import sys

import pytest

PROGRAM = """
import logging, sys, structlog
from tumpline.runtime import logs
logs.configure(verbose="-v" in sys.argv)
log = structlog.get_logger("works")
log.debug("mqtt.read", line="line-1")
log.info("mqtt.connected", line="line-1")
logging.getLogger("library").warning("socket %s", "lost")
logging.getLogger("library").info("chatter")
try:
    raise ValueError("no such row")
except ValueError:
    log.error("line.failed", exc_info=True)
    logging.getLogger("library").exception("request failed")
"""


def lines(*arguments: str) -> list[dict[str, object]]:
    """What the program logs when no person looks on."""
    ran = subprocess.run([sys.executable, "-c", PROGRAM, *arguments], capture_output=True, check=True, timeout=60)
    assert ran.stdout == b""
    return [json.loads(line) for line in ran.stderr.splitlines()]


def test_a_machine_reads_json_lines() -> None:
    """Each line is one object with its name, level, time of UTC and facts."""
    connected = next(line for line in lines() if line["event"] == "mqtt.connected")
    assert (connected["level"], connected["line"]) == ("info", "line-1")
    assert str(connected["timestamp"]).endswith("Z")


@pytest.mark.parametrize(("arguments", "seen"), [((), False), (("-v",), True)])
def test_debugging_is_asked_for(arguments: tuple[str, ...], seen: bool) -> None:
    """What helps to debug is silent unless somebody wants it."""
    assert any(line["event"] == "mqtt.read" for line in lines(*arguments)) == seen


def test_libraries_are_heard_when_they_warn() -> None:
    """A library's warning is a line like ours, with the error where there was one; its chatter is none."""
    said = [line for line in lines("-v") if line["event"] == "library.said"]
    assert [(line["level"], line["text"], line.get("why")) for line in said] == [
        ("warning", "socket lost", None),
        ("error", "request failed", "ValueError('no such row')"),
    ]


def test_a_trace_is_one_line() -> None:
    """An error's trace is a fact of its line, so that a collector keeps both together."""
    failed = next(line for line in lines() if line["event"] == "line.failed")
    assert "ValueError: no such row" in str(failed["exception"])


def test_a_person_reads_words() -> None:
    """At a terminal the lines are words in colour, not JSON."""
    ours, theirs = pty.openpty()
    with os.fdopen(ours, "rb", buffering=0) as screen:
        subprocess.run([sys.executable, "-c", PROGRAM], stderr=theirs, check=True, timeout=60)
        shown = screen.read(65_536)
        os.close(theirs)
    assert b"mqtt.connected" in shown
    assert b"\x1b[" in shown
    assert b'{"' not in shown


@pytest.mark.parametrize("seen", [True, False])
def test_nothing_is_logged_onto_a_screen_that_is_drawn(seen: bool) -> None:
    """Once hushed, a terminal gets no log lines; a file that collects them still does."""
    hushed = PROGRAM.replace("log = ", "logs.hush()\nlog = ")
    ours, theirs = pty.openpty()
    with os.fdopen(ours, "rb", buffering=0) as screen:
        where = theirs if seen else subprocess.PIPE
        ran = subprocess.run([sys.executable, "-c", hushed], stderr=where, check=True, timeout=60)
        os.write(theirs, b".")
        shown = screen.read(65_536)
        os.close(theirs)
    assert shown == b"."
    assert seen or b"mqtt.connected" in ran.stderr
