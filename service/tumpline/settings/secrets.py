"""Secrets: always in a file or an environment variable, never in the settings."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from tumpline.settings.problems import Problem


class SecretError(Exception):
    """A secret cannot be read; the message is a clause and never holds the secret."""


def two_places(what: str, file: Path | None, variable: str | None) -> Iterator[Problem]:
    """A secret given twice."""
    if file is not None and variable is not None:
        yield Problem(f"{what}_env", f"stands beside {what}_file; one of the two is accepted")


def read_secret(file: Path | None, variable: str | None) -> str | None:
    """The secret from its one place, None where it has none. Raises SecretError where it cannot be read."""
    if variable is not None:
        value = os.environ.get(variable)
        if not value:
            raise SecretError(f"the environment variable {variable} is not set")
        return value
    if file is None:
        return None
    try:
        value = file.read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise SecretError(f"the file cannot be read ({getattr(error, 'strerror', None) or 'not text'})") from error
    if not value:
        raise SecretError("the file is empty")
    return value
