"""Reasons for stops given by one touch: held for a moment, so that a wrong touch can be taken back."""

from collections.abc import Sequence
from typing import NamedTuple

HELD = 10.0
"""s during which an answer can be taken back."""


class Answer(NamedTuple):
    """Why a line stood, and who said so."""

    line: str
    stop: str
    reason: str
    by: str
    due: float
    """When it is written down."""

    @property
    def body(self) -> dict[str, object]:
        """As a book entry."""
        return {"stop": self.stop, "reason": self.reason, "by": self.by}


class Answers:
    """At most one answer a line that is not written down yet; a later one about the same stop replaces it."""

    def __init__(self) -> None:
        self._held: dict[str, Answer] = {}
        self._overtaken: list[Answer] = []

    def hold(self, answer: Answer) -> None:
        """Keep an answer until it is due; one about another stop is due at once."""
        before = self._held.get(answer.line)
        if before is not None and before.stop != answer.stop:
            self._overtaken.append(before)
        self._held[answer.line] = answer

    def of(self, line: str) -> Answer | None:
        """The line's answer that can still be taken back."""
        return self._held.get(line)

    def take_back(self, line: str) -> None:
        """Forget the line's answer."""
        self._held.pop(line, None)

    def due(self, now: float) -> Sequence[Answer]:
        """Answers to be written down now; they are no longer held."""
        due = [*self._overtaken, *(answer for answer in self._held.values() if answer.due <= now)]
        self._overtaken = []
        self._held = {line: answer for line, answer in self._held.items() if answer.due > now}
        return due
