"""Who may log in to the page: added, listed and taken out by one command each."""

import sys
from getpass import getpass
from pathlib import Path

from tumpline.adapters.web.door import LONGEST_NAME, clean
from tumpline.adapters.web.errors import PageError
from tumpline.adapters.web.people import add_person, read_people, remove_person
from tumpline.app.errors import CommandError, Status
from tumpline.settings import Role, Settings


def people_file(settings: Settings, config: Path) -> Path:
    """The file that these settings name. Raises CommandError where they name none."""
    if settings.page is None or settings.page.people_file is None:
        sentence = f'{config}: [page] names no people_file; a line such as people_file = "people.json" is accepted.'
        raise CommandError(Status.BAD_SETTINGS, sentence)
    return settings.page.people_file


def ask_password(name: str) -> str:
    """The password, typed twice at a terminal, else the first line of standard input. Raises CommandError."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    password = getpass(f"Password for {name}: ")
    if getpass("Once more: ") != password:
        raise CommandError(Status.BAD_SETTINGS, "The two passwords differ; the same one twice is accepted.")
    return password


def add(path: Path, name: str, role: Role, password: str) -> str:
    """Let somebody log in; what there is to say about it. Raises CommandError."""
    if not name or clean(name) != name:
        sentence = f"{name!r} cannot be a name; up to {LONGEST_NAME} letters on one line are accepted."
        raise CommandError(Status.BAD_SETTINGS, sentence)
    try:
        add_person(path, name, role, password)
    except PageError as error:
        raise CommandError(Status.BAD_SETTINGS, str(error)) from error
    return f"{name} may {role}; a page that is open to others notices at once."


def remove(path: Path, name: str) -> str:
    """Let somebody log in no more, and end what they are logged in to. Raises CommandError."""
    try:
        remove_person(path, name)
    except PageError as error:
        raise CommandError(Status.BAD_SETTINGS, str(error)) from error
    return f"{name} can no longer log in."


def listing(path: Path) -> str:
    """Everybody with their role, a line each. Raises CommandError."""
    try:
        return "".join(f"{person.name}: {person.role}\n" for person in read_people(path))
    except PageError as error:
        raise CommandError(Status.BAD_SETTINGS, str(error)) from error
