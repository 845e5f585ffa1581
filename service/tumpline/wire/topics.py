"""Topics: what is said where. Nothing published is an order to a machine."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

PUBLISHED = ("live", "event", "alarm", "summary", "service", "book")
"""Branches that this program writes."""


class Address(NamedTuple):
    """A topic taken apart."""

    line: str
    branch: str
    """`signal`, `book`, `live`, `event`, `alarm`, `summary` or `service`."""
    name: str
    """What stands below the branch: the signal, the kind of entry, the alarm, the shift; empty where nothing does."""


class Topics:
    """The topics under one root."""

    def __init__(self, root: str) -> None:
        """The root may have several levels."""
        self.root = root

    def signal(self, line: str, name: str) -> str:
        """Readings of a signal."""
        return f"{self.root}/{line}/signal/{name}"

    def book(self, line: str, kind: str) -> str:
        """Book entries of a kind."""
        return f"{self.root}/{line}/book/{kind}"

    def live(self, line: str) -> str:
        """What the line is doing, retained."""
        return f"{self.root}/{line}/live"

    def event(self, line: str) -> str:
        """What happened, as CloudEvents."""
        return f"{self.root}/{line}/event"

    def alarm(self, line: str, name: str) -> str:
        """An alarm's state, retained."""
        return f"{self.root}/{line}/alarm/{name}"

    def summary(self, line: str, shift: str) -> str:
        """A shift summed up, retained; characters that a topic cannot hold in one level become `_`."""
        return f"{self.root}/{line}/summary/{_one_level(shift)}"

    def service(self, line: str) -> str:
        """`online` or `offline`, retained."""
        return f"{self.root}/{line}/service"

    def subscriptions(self, lines: Iterable[str]) -> list[str]:
        """What has to be subscribed to for these lines, without the topics of existing transmitters."""
        return [f"{self.root}/{line}/{branch}" for line in lines for branch in ("signal/#", "book/+")]

    def parse(self, topic: str) -> Address | None:
        """The topic taken apart; None where it does not lie under this root or has no branch."""
        if not topic.startswith(self.root + "/"):
            return None
        parts = topic[len(self.root) + 1 :].split("/", 2)
        return Address(parts[0], parts[1], parts[2] if len(parts) > 2 else "") if len(parts) > 1 else None


def _one_level(name: str) -> str:
    return "".join("_" if c in "/+#\0" else c for c in name) or "_"
