"""People who may log in: their names, what they may do, and a hash of their password, in a file of its own."""

import hashlib
import hmac
import os
import secrets
import tempfile
from collections.abc import Sequence
from pathlib import Path

import msgspec
from msgspec import Struct

from tumpline.adapters.web.errors import PageError
from tumpline.settings import Role

ROLES: tuple[Role, ...] = ("look", "operate", "manage")
"""Each may do what those before it may: look; write into the shift book; put right what others wrote."""
SHORTEST_PASSWORD = 10
LONGEST_PASSWORD = 200
LOG_N, R, P = 15, 8, 3
"""Cost of scrypt: 32 MiB and some 0.3 s a guess. As the OWASP password storage cheat sheet has it (from memory)."""


class Person(Struct, frozen=True):
    """Somebody who may log in."""

    name: str
    role: Role
    secret: str
    """`scrypt$15$8$3$salt$hash`, the last two in hexadecimal."""


class People:
    """The people in a file, read anew when it has changed."""

    def __init__(self, path: Path) -> None:
        """PageError where there is nobody in it."""
        self._path = path
        self._seen: tuple[int, int] | None = None
        self._people: dict[str, Person] = {}
        if not self._now():
            raise PageError(f'{path} names nobody who could log in; "tumpline person add" writes the first.')

    def find(self, name: str) -> Person | None:
        """The person of that name, however it is capitalised."""
        return self._now().get(name.casefold())

    def check(self, name: str, password: str) -> Person | None:
        """The person, where the password is theirs. Takes some 0.3 s of a thread, for a name that is unknown too."""
        person = self.find(name)
        fits = _fits(password, person.secret if person else _NOBODY)
        return person if fits else None

    def _now(self) -> dict[str, Person]:
        try:
            stat = self._path.stat()
            seen = (stat.st_mtime_ns, stat.st_size)
            if seen != self._seen:
                self._people = {person.name.casefold(): person for person in read_people(self._path)}
                self._seen = seen
        except FileNotFoundError:
            self._people, self._seen = {}, None
        return self._people


def read_people(path: Path) -> Sequence[Person]:
    """Everybody in the file; nobody where there is none. PageError where it cannot be read."""
    try:
        return msgspec.json.decode(path.read_bytes(), type=tuple[Person, ...])
    except FileNotFoundError:
        return ()
    except (OSError, msgspec.MsgspecError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise PageError(
            f'{path} cannot be read ({why}); a file written by "tumpline person add" is accepted.'
        ) from error


def add_person(path: Path, name: str, role: Role, password: str) -> None:
    """Write a person into the file, in place of one of the same name. PageError where that cannot be."""
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise PageError(
            f"The password has {len(password)} letters; from {SHORTEST_PASSWORD} to {LONGEST_PASSWORD} are accepted."
        )
    others = [person for person in read_people(path) if person.name.casefold() != name.casefold()]
    write_private(path, [*others, Person(name, role, hashed(password))])


def remove_person(path: Path, name: str) -> None:
    """Take a person out of the file. PageError where there is none of that name."""
    people = read_people(path)
    others = [person for person in people if person.name.casefold() != name.casefold()]
    if len(others) == len(people):
        raise PageError(f"{path} has nobody named {name}.")
    write_private(path, others)


def write_private(path: Path, document: object) -> None:
    """Write a JSON file that only its owner may read, whole or not at all. PageError where it cannot be written."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")  # of mode 0600
        with os.fdopen(handle, "wb") as file:
            file.write(msgspec.json.format(msgspec.json.encode(document)) + b"\n")
        Path(name).replace(path)
    except OSError as error:
        raise PageError(f"{path} cannot be written ({error.strerror}).") from error


def hashed(password: str) -> str:
    """What is kept instead of a password."""
    salt = secrets.token_bytes(16)
    return f"scrypt${LOG_N}${R}${P}${salt.hex()}${_scrypt(password, salt, LOG_N, R, P).hex()}"


def _fits(password: str, secret: str) -> bool:
    _, log_n, r, p, salt, wanted = secret.split("$")
    found = _scrypt(password, bytes.fromhex(salt), int(log_n), int(r), int(p))
    return hmac.compare_digest(found, bytes.fromhex(wanted))


def _scrypt(password: str, salt: bytes, log_n: int, r: int, p: int) -> bytes:
    memory = 128 * r * (2**log_n + p + 2)
    return hashlib.scrypt(password.encode(), salt=salt, n=2**log_n, r=r, p=p, maxmem=2 * memory, dklen=32)


_NOBODY = f"scrypt${LOG_N}${R}${P}${'00' * 16}${'00' * 32}"
