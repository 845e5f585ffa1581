"""An outbox without a disk, for tests of what is at its far end."""

from collections.abc import Sequence

from tumpline.adapters.influx import Row


class MemoryOutbox:
    """An outbox that forgets when the test ends."""

    def __init__(self, lines: Sequence[str]) -> None:
        self.rows: dict[int, str] = dict(enumerate(lines))
        self.refused: dict[str, str] = {}

    async def take(self, limit: int) -> Sequence[Row]:
        """The oldest rows."""
        return list(self.rows.items())[:limit]

    async def drop(self, ids: Sequence[int]) -> None:
        """Forget rows."""
        for row in ids:
            del self.rows[row]

    async def refuse(self, ids: Sequence[int], reason: str) -> None:
        """Set rows aside."""
        for row in ids:
            self.refused[self.rows.pop(row)] = reason
