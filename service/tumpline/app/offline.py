"""What works without a broker: settings checked, recordings worked through."""

from collections.abc import Callable
from pathlib import Path

from tumpline.app.errors import CommandError, Status
from tumpline.pressing.records import Summary
from tumpline.replay import Replayed, ReplayError, replay
from tumpline.reports.text import summary_text
from tumpline.settings import Settings, SettingsError, describe, load
from tumpline.settings.describe import warnings
from tumpline.wire.documents import encode, summary_document

_BROKEN_NAMED = 10
_STORE = Path("var/tumpline.db")

Say = Callable[[str], None]


def read_settings(path: Path, *, secrets: bool = True) -> Settings:
    """The settings; CommandError with all that is wrong with them."""
    try:
        return load(path, secrets=secrets)
    except SettingsError as error:
        raise CommandError(Status.BAD_SETTINGS, str(error)) from error


def store_of(config: Path | None, store: Path | None) -> Path:
    """The store that is named, else the one in the settings, else the one of settings that say nothing of it."""
    if store is None and config is not None:
        return read_settings(config, secrets=False).store.path
    return store or _STORE


def check(path: Path, say: Say) -> str:
    """What the settings come to, in words; `say` is told what is unusual about them."""
    settings = read_settings(path)
    for warning in warnings(settings):
        say(warning)
    return describe(settings)


def replayed(recording: Path, config: Path, *, strict: bool, say: Say) -> tuple[Settings, Replayed]:
    """A recording worked through with these settings; `say` is told what was skipped."""
    settings = read_settings(config, secrets=False)
    wires = [line.wire(settings.broker.root) for line in settings.lines]
    try:
        found = replay(recording, wires, strict=strict, progress=lambda count: say(f"{recording}: {count} messages"))
    except ReplayError as error:
        raise CommandError(Status.BAD_DATA, f"{recording}: {error}") from error
    for sentence in found.broken[:_BROKEN_NAMED]:
        say(f"{recording}, {sentence}")
    if len(found.broken) > _BROKEN_NAMED:
        say(f"{recording}: {len(found.broken)} lines were skipped in all.")
    return settings, found


def replay_summary(recording: Path, config: Path, *, shift: str | None, strict: bool, json: bool, say: Say) -> str:
    """The summary of one shift of a recording, as text to print: of `shift`, or of the last one."""
    settings, found = replayed(recording, config, strict=strict, say=say)
    chosen = _chosen(found, recording, settings, shift)
    others = [f"{s.shift} ({s.line})" for s in found.summaries if s is not chosen]
    if others and shift is None:
        say(f"This is shift {chosen.shift}, the last one; --shift takes one of the others: {', '.join(others)}.")
    return written(chosen, settings.site.timezone, json=json)


def written(summary: Summary, timezone: str, *, json: bool) -> str:
    """A summary as text to print."""
    document = summary_document(summary)
    return encode(document).decode() + "\n" if json else summary_text(document, timezone)


def _chosen(found: Replayed, recording: Path, settings: Settings, shift: str | None) -> Summary:
    named = [summary for summary in found.summaries if shift in (None, summary.shift)]
    if named:
        return named[-1]
    if found.summaries:
        shifts = ", ".join(summary.shift for summary in found.summaries)
        raise CommandError(Status.BAD_DATA, f"{recording} holds no shift {shift}; it holds {shifts}.")
    lines = ", ".join(line.id for line in settings.lines)
    if not found.messages:
        why = "no line of it is a message"
    elif not found.ours:
        why = f"none of its {found.messages} messages is on a topic of {lines} under {settings.broker.root}/"
    else:
        why = f"its {found.ours} messages for {lines} hold no fruit and no juice"
    raise CommandError(Status.BAD_DATA, f"{recording} holds no shift: {why}.")
