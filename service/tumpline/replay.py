"""A recording through the same decoder, clockwork and lines as live, without network, store or screen."""

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from statistics import median

from tumpline.pressing.effects import Effect, TellSummary
from tumpline.pressing.events import EntryRefused, Event, ReadingRefused, ReadingTaken, TimePassed
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import Summary
from tumpline.runtime.lull import Lull
from tumpline.wire.decode import Decoded, Decoder, LineWire
from tumpline.wire.recordings import Broken, Message, RecordingError, parse_line, read_lines

LOOK_AHEAD = 64
"""Messages that decide whether readings from the future are one clock gone wrong or a recording that ran fast."""
PROGRESS_EVERY = 100_000


class ReplayError(Exception):
    """The recording cannot be used; the message is one sentence about it, without its name."""


@dataclass
class Replayed:
    """What a recording gave."""

    summaries: list[Summary] = field(default_factory=list)
    """In the order in which the shifts ended."""
    broken: list[str] = field(default_factory=list)
    """A sentence for every line that was skipped."""
    messages: int = 0
    ours: int = 0
    """Messages on topics of these settings."""

    def add(self, summary: Summary) -> None:
        """Take a summary; one told anew after a correction stands where the first one stood."""
        for place, known in enumerate(self.summaries):
            if (known.line, known.shift, known.start) == (summary.line, summary.shift, summary.start):
                self.summaries[place] = summary
                return
        self.summaries.append(summary)


def replay(
    path: Path, lines: Sequence[LineWire], *, strict: bool = False, progress: Callable[[int], None] = lambda _: None
) -> Replayed:
    """
    Work through a recording, to its end: a shift still open there is summed up.

    `progress` is told now and then how many messages are done. Raises ReplayError where the file cannot be read, and
    at its first broken line where `strict`.
    """
    result = Replayed()
    tape = Tape(read_lines(path), result.broken, strict=strict)
    player = _Player(lines, tape, result)
    try:
        for message in tape:
            result.messages += 1
            player.play(message)
            if result.messages % PROGRESS_EVERY == 0:
                progress(result.messages)
    except OSError as error:
        raise ReplayError(f"it cannot be read ({error.strerror or error}).") from error
    player.finish()
    return result


class Tape:
    """The messages of a recording, one after the other, with a look at those to come."""

    def __init__(self, lines: Iterable[bytes], broken: list[str], *, strict: bool) -> None:
        """`broken` gets a sentence for every line that is no message; ReplayError instead where `strict`."""
        self._broken = broken
        self._strict = strict
        self._coming = self._read(lines)
        self._seen: deque[Message] = deque()

    def __iter__(self) -> Iterator[Message]:
        for message in self._coming:
            yield message
            while self._seen:
                yield self._seen.popleft()

    def peek(self, count: int) -> Sequence[Message]:
        """The messages after the one that was given last, which stay to come; fewer at the end."""
        self._seen.extend(islice(self._coming, max(0, count - len(self._seen))))
        return list(self._seen)[:count]

    def _read(self, lines: Iterable[bytes]) -> Iterator[Message]:
        number = 0
        try:
            for number, line in enumerate(lines, 1):
                message = parse_line(line)
                if isinstance(message, Message):
                    yield message
                elif line.strip():
                    self._skip(number, message)
        except RecordingError as error:
            self._skip(number + 1, Broken(f"from here on the file is damaged ({error})"))

    def _skip(self, number: int, broken: Broken) -> None:
        sentence = f"line {number}: {broken.reason}."
        if self._strict:
            raise ReplayError(sentence)
        self._broken.append(sentence)


class _Player:
    """Feeds messages to the lines, as the service does."""

    def __init__(self, lines: Sequence[LineWire], tape: Tape, result: Replayed) -> None:
        self._decoder = Decoder(lines)
        self._lines = {line.params.id: PressLine(line.params) for line in lines}
        self._lulls = {line.params.id: Lull(lateness=line.params.lateness) for line in lines}
        self._ahead = {line.params.id: line.params.ahead for line in lines}
        self._tape = tape
        self._result = result
        self._arrived = 0.0
        self._newest: float | None = None
        """Newest reading's time where the recording ran faster than the clock that stamped it; else None."""

    def play(self, message: Message) -> None:
        """One message."""
        self._arrived = arrived = message.arrived
        decoded = self._decoder.decode(message.topic, message.payload, arrived, self._newest)
        if decoded is None:
            return
        self._result.ours += 1
        for event in decoded.events:
            if type(event) is ReadingRefused or type(event) is EntryRefused:
                decoded = self._reconsider(message, decoded)
                break
        line, lull = self._lines[decoded.line], self._lulls[decoded.line]
        self._let_time_pass(line, lull.passed(arrived))
        lull.heard(arrived, decoded.events)
        for event in decoded.events:
            self._take(line.handle(event))
        if self._newest is not None:
            self._newest = max(self._newest, _latest(decoded.events))

    def finish(self) -> None:
        """The recording is over, for every line at the same time."""
        for name, line in self._lines.items():
            self._let_time_pass(line, self._lulls[name].passed(self._arrived))
            self._take(line.finish())

    def _let_time_pass(self, line: PressLine, at: float | None) -> None:
        if at is not None:
            deadline = line.next_deadline()
            if deadline is not None and at >= deadline:
                self._take(line.handle(TimePassed(at)))

    def _take(self, effects: Iterable[Effect]) -> None:
        for effect in effects:
            if type(effect) is TellSummary:
                self._result.add(effect.summary)

    def _reconsider(self, message: Message, refused: Decoded) -> Decoded:
        """
        Something was refused. Was it for a time in the future that all the next messages share?

        Then the recording was made of a line that ran faster than the clock, and its times are taken as they are.
        """
        taken = self._at_any_time(message)
        if taken is None:
            return refused
        limit = max(message.arrived, self._newest or message.arrived) + self._ahead[refused.line]
        if _latest(taken.events) <= limit:
            return refused
        coming = [self._at_any_time(m) for m in self._tape.peek(LOOK_AHEAD)]
        times = [event.at for d in coming if d is not None for event in d.events if isinstance(event, ReadingTaken)]
        if not times or median(times) <= limit:
            return refused
        self._newest = _latest(taken.events)
        return taken

    def _at_any_time(self, message: Message) -> Decoded | None:
        return self._decoder.decode(message.topic, message.payload, message.arrived, float("inf"))


def _latest(events: Sequence[Event]) -> float:
    return max((event.at for event in events if isinstance(event, ReadingTaken)), default=float("-inf"))
