"""One row of the journal through decoder, line and dispatch: the same when live, after a crash and on replay."""

from collections.abc import Mapping

from tumpline.pressing.events import TimePassed
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import Line, Row
from tumpline.wire.decode import Decoder


class LineFailedError(Exception):
    """A bug: working through a row raised. The line may be half changed and is fed no more."""

    def __init__(self, row: Row, cause: Exception) -> None:
        super().__init__(f"Row {row.seq} of the journal could not be worked through: {type(cause).__name__}: {cause}.")
        self.row = row
        self.__cause__ = cause


class Feed:
    """Feeds the lines, and keeps track of how far each has heard."""

    def __init__(
        self,
        *,
        decoder: Decoder,
        lines: Mapping[str, Line],
        lulls: Mapping[str, Lull],
        dispatch: Dispatch,
        known: Mapping[str, int],
    ) -> None:
        """Build one; `known` says per line which rows are in its state already."""
        self._decoder = decoder
        self._lines = lines
        self._lulls = lulls
        self._dispatch = dispatch
        self._known = known
        self.through = 0
        """The last row that was fed."""

    @property
    def covered(self) -> int:
        """Rows up to here were in every line's state when it was built: no start needs them."""
        return min(self._known.values(), default=0)

    def row(self, row: Row, *, keep: bool = True) -> None:
        """
        Work through one row; without `keep` it was stored and told before.

        Raises LineFailedError for a bug: feed nothing more then.
        """
        try:
            if row.topic is None:
                line = row.payload.decode()
                if line in self._lines and row.seq > self._known[line]:
                    self._dispatch.perform(row, line, self._lines[line].handle(TimePassed(row.arrived)), keep=keep)
            else:
                self._message(row, row.topic, keep)
        except Exception as error:  # whatever it is, it is ours: decoding and lines never raise on what comes in
            raise LineFailedError(row, error) from error
        self.through = row.seq

    def _message(self, row: Row, topic: str, keep: bool) -> None:
        decoded = self._decoder.decode(topic, row.payload, row.arrived)
        if decoded is None:
            return
        name, events = decoded.line, decoded.events
        if row.seq <= self._known[name]:
            return
        self._lulls[name].heard(row.arrived, events)
        line = self._lines[name]
        effects = [effect for event in events for effect in line.handle(event)]
        if keep:
            self._dispatch.keep_events(row, name, events)
        if effects:
            self._dispatch.perform(row, name, effects, keep=keep)
