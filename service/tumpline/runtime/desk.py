"""Book entries typed on the page: the same path as everybody else's, through the broker where there is one."""

from typing import NamedTuple


class Accepted(NamedTuple):
    """The entry is in the journal."""

    id: str


class Refused(NamedTuple):
    """The entry could not be used; nothing was written."""

    reason: str
    """A whole sentence: what was wrong, and what would have been accepted."""


class Desk:
    """Takes entries from people at this program's own page."""

    async def submit(self, line: str, kind: str, body: dict[str, object]) -> Accepted | Refused:
        """
        Make a book entry. `body` is the entry's JSON object, with `by`; without `at` it is of now.

        Returns when the entry is durable. KeyError for a line that does not exist.
        """
        raise NotImplementedError
