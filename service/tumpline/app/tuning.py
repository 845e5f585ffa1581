"""A watch tried on a recorded shift: when it would have called somebody, with the limits of these settings."""

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from tumpline.app.errors import CommandError, Status
from tumpline.app.offline import Say, replayed
from tumpline.pressing.watches import NAMES
from tumpline.settings import Settings
from tumpline.wire.documents import encode, summary_document
from tumpline.wire.words import did_you_mean, listed

SCHEMA = "tumpline.watch/1"

Document = Mapping[str, Any]


def watch_told(
    recording: Path, config: Path, watch: str, *, shift: str | None, strict: bool, json: bool, say: Say
) -> str:
    """
    When the watch would have raised its alarm and when that would have ended, with the cause it would have named; in
    `shift`, or in every shift of the recording.
    """
    if watch not in NAMES:
        words = f"There is no watch {watch}{did_you_mean(watch, NAMES)}; {listed(NAMES)} is accepted."
        raise CommandError(Status.BAD_SETTINGS, words)
    settings, found = replayed(recording, config, strict=strict, say=say)
    shifts = [summary_document(s) for s in found.summaries if shift in (None, s.shift)]
    if not shifts:
        named = ", ".join(summary.shift for summary in found.summaries) or "none"
        raise CommandError(Status.BAD_DATA, f"{recording} holds no such shift; it holds {named}.")
    told = [_of_shift(document, watch) for document in shifts]
    if json:
        return encode({"schema": SCHEMA, "watch": watch, "shifts": told}).decode() + "\n"
    return "".join(_text(document, settings, watch) for document in told)


def _of_shift(summary: Document, watch: str) -> dict[str, Any]:
    alarms = [alarm for alarm in summary["alarms"] if alarm["name"] == watch]
    return {**{key: summary[key] for key in ("line", "shift", "start", "end")}, "alarms": alarms}


def _text(told: Document, settings: Settings, watch: str) -> str:
    zone = ZoneInfo(settings.site.timezone)
    line = next(line for line in settings.lines if line.id == told["line"])
    does = next(set_.said() for name, set_ in line.watch.by_name() if name == watch)
    start, end = _moment(told["start"], zone), _moment(told["end"], zone)
    head = f"{told['line']}, shift {told['shift']}, {start:%Y-%m-%d %H:%M} to {end:%H:%M %Z}\n{watch}: {does}\n"
    rows = [_row(alarm, zone) for alarm in told["alarms"]]
    return head + ("".join(rows) or "  never raised\n")


def _row(alarm: Document, zone: ZoneInfo) -> str:
    raised = f"{_moment(alarm['raised'], zone):%H:%M:%S}" if alarm["raised"] else "before"
    cleared = f"{_moment(alarm['cleared'], zone):%H:%M:%S}" if alarm["cleared"] else "the end"
    value = "" if alarm["value"] is None else f" at {alarm['value']:.4g} {alarm.get('unit') or ''}".rstrip()
    under = f" (under {alarm['because_of']})" if alarm["because_of"] else ""
    return f"  {raised} to {cleared}{value}{under}: {alarm['cause']}\n"


def _moment(text: str, zone: ZoneInfo) -> datetime:
    return datetime.fromisoformat(text).astimezone(zone)
