"""Slows down whoever guesses passwords."""

from collections.abc import Iterator

FREE_BY_BOTH, FREE_BY_ADDRESS, FREE_BY_NAME = 5, 20, 50
"""Wrong log-ins before one must wait: of one name from one address, from one address, of one name."""
FIRST_WAIT, LONGEST_WAIT = 15.0, 900.0
FORGOTTEN = 3600.0
MOST = 10_000
"""Names and addresses that are remembered."""

_Key = tuple[str, str]


class Guesses:
    """Counts wrong log-ins by name and by address."""

    def __init__(self) -> None:
        self._wrong: dict[_Key, tuple[int, float]] = {}
        """How often, and when last."""

    def wait(self, name: str, address: str, now: float) -> float:
        """s until a log-in with this name from this address is looked at; 0 for at once."""
        waits = [0.0]
        for key, free in _keys(name, address):
            count, last = self._wrong.get(key, (0, 0.0))
            if count >= free:
                waits.append(last + min(LONGEST_WAIT, FIRST_WAIT * 2.0 ** min(10, count - free)) - now)
        return max(waits)

    def wrong(self, name: str, address: str, now: float) -> None:
        """That was not the password."""
        for key, _ in _keys(name, address):
            count, last = self._wrong.pop(key, (0, 0.0))
            self._wrong[key] = (count + 1 if now - last < FORGOTTEN else 1, now)
        while len(self._wrong) > MOST:
            del self._wrong[next(iter(self._wrong))]

    def right(self, name: str, address: str) -> None:
        """That was the password: this name may err again from this address."""
        self._wrong.pop(next(_keys(name, address))[0], None)


def _keys(name: str, address: str) -> Iterator[tuple[_Key, int]]:
    name = name.casefold()
    yield (name, address), FREE_BY_BOTH
    yield ("", address), FREE_BY_ADDRESS
    yield (name, ""), FREE_BY_NAME
