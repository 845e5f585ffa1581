"""Who is logged in, kept across a restart in a file that holds no token a browser could use."""

import hashlib
import secrets
from pathlib import Path

import msgspec
from msgspec import Struct

from tumpline.adapters.web.people import Person, write_private

LASTS = {"look": 365 * 86400.0, "operate": 16 * 3600.0, "manage": 16 * 3600.0}
"""s: a screen on the wall stays on all season; whoever writes logs in once a shift, overtime included."""
MOST_OF_ONE = 20
"""Sessions of one person; the oldest ends when there are more."""


class Session(Struct, frozen=True):
    """One log-in."""

    name: str
    since: float
    mark: str
    """Of the password it was opened with: a new password ends it."""


class Sessions:
    """All log-ins. `path` is where they are kept."""

    def __init__(self, path: Path) -> None:
        self._path = path
        try:
            self._open = msgspec.json.decode(path.read_bytes(), type=dict[str, Session])
        except (OSError, msgspec.MsgspecError):  # nobody is logged in then, and can do so again
            self._open = {}

    def begin(self, person: Person, now: float) -> str:
        """Log a person in; the token that their browser is to show. PageError where that cannot be kept."""
        token = secrets.token_urlsafe(32)
        theirs = [key for key, session in self._open.items() if session.name == person.name]
        for key in theirs[: max(0, len(theirs) + 1 - MOST_OF_ONE)]:
            del self._open[key]
        self._open[_key(token)] = Session(person.name, now, _mark(person))
        self._keep()
        return token

    def name(self, token: str) -> str | None:
        """Whose token this is."""
        session = self._open.get(_key(token))
        return session.name if session else None

    def holds(self, token: str, person: Person, now: float) -> bool:
        """True where this token is that person's, opened with their present password, and not too old."""
        session = self._open.get(_key(token))
        if session is None or session.name != person.name or session.mark != _mark(person):
            return False
        return now - session.since < LASTS[person.role]

    def end(self, token: str) -> None:
        """Log out; the token is worth nothing from now on."""
        if self._open.pop(_key(token), None) is not None:
            self._keep()

    def _keep(self) -> None:
        write_private(self._path, self._open)


def _key(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def _mark(person: Person) -> str:
    return hashlib.sha256(person.secret.encode()).hexdigest()[:16]
