"""Notices of alarms: what the settings make of them, for the service and for a try."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

from tumpline.adapters.notices.sender import NoticeSender, ToldFile
from tumpline.adapters.notices.sink import AddressError, Sink
from tumpline.adapters.notices.text import TEST_BODY, TEST_TITLE, Words
from tumpline.app.errors import CommandError, Status
from tumpline.pressing.records import Priority
from tumpline.runtime.board import Board
from tumpline.runtime.notices import Policy, Quiet
from tumpline.settings import Settings
from tumpline.settings.notices import Notices


def notice_sinks(notices: Notices) -> list[Sink]:
    """The addresses, each ready to be sent to; CommandError where one cannot be used."""
    try:
        return [Sink(number, address) for number, address in enumerate(notices.addresses(), 1)]
    except AddressError as error:
        raise CommandError(Status.BAD_SETTINGS, f"notices: {error}; see its list of services.") from error


def notice_sender(
    settings: Settings, notices: Notices, sinks: list[Sink], board: Board, now: Callable[[], float]
) -> NoticeSender:
    """What tells these sinks of the alarms that the board shows, beginning where it ended last time."""
    store = settings.store.path
    told = ToldFile(store.with_name(store.name + ".notices"))
    told.load()
    words = Words(site=settings.site.name, timezone=settings.site.timezone)
    policy = notice_policy(notices, settings.site.timezone)
    return NoticeSender(board=board, sinks=sinks, policy=policy, words=words, told=told, now=now)


def notice_policy(notices: Notices, timezone: str) -> Policy:
    """When people are told, from the settings."""
    quiet = None
    if notices.quiet_from is not None and notices.quiet_until is not None:
        through = None if notices.quiet_priority == "none" else Priority(notices.quiet_priority)
        quiet = Quiet(notices.quiet_from, notices.quiet_until, ZoneInfo(timezone), through)
    return Policy(notices.minimum, notices.repeat_after, notices.gather, quiet)


def _wanted(settings: Settings, path: Path) -> Notices:
    if settings.notices is None:
        sentence = f"{path}: there is no [notices] table, so nobody is told of alarms; one with addresses is accepted."
        raise CommandError(Status.BAD_SETTINGS, sentence)
    return settings.notices


def describe_notices(settings: Settings, path: Path) -> str:
    """Who is told, and when, in words and without the addresses."""
    notices = _wanted(settings, path)
    addresses = ", ".join(sink.name for sink in notice_sinks(notices))
    lines = [
        f"Addresses: {addresses}.",
        f"Alarms of priority {notices.minimum_priority} or higher, at most one message in {notices.gather:g} s.",
        f"Told of again after {notices.repeat_after:g} s while they hold, until somebody acknowledges them.",
    ]
    if notices.quiet_from is not None and notices.quiet_until is not None:
        through = "nothing" if notices.quiet_priority == "none" else f"priority {notices.quiet_priority}"
        hours = f"{notices.quiet_from:%H:%M} to {notices.quiet_until:%H:%M} ({settings.site.timezone})"
        lines.append(f"Quiet hours: {hours}, through which {through} gets; the rest waits.")
    return "\n".join(lines) + "\n"


async def try_notices(settings: Settings, path: Path, say: Callable[[str], None]) -> None:
    """Send a test notice to every address, one after the other; CommandError where one has not taken it."""
    words = Words(site=settings.site.name, timezone=settings.site.timezone)
    failed = []
    for sink in notice_sinks(_wanted(settings, path)):
        why = await sink.send(words.headed(TEST_TITLE), TEST_BODY)
        if why is None:
            say(f"Address {sink.name} has taken a test notice.")
        else:
            failed.append(f"Address {sink.name} has not taken a test notice: {why}")
    if failed:
        raise CommandError(Status.UNREACHABLE, "\n".join(failed))
