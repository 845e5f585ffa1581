"""Read the settings file, and say in whole sentences what is wrong with it."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from tumpline.settings.models import Settings
from tumpline.settings.problems import PROBLEMS, Problem
from tumpline.settings.secrets import SecretError
from tumpline.wire.words import did_you_mean, listed, quoted


class SettingsError(Exception):
    """The settings cannot be used."""

    def __init__(self, problems: Sequence[str]) -> None:
        """Each problem is a sentence: file, key, value, what is accepted."""
        super().__init__("\n".join(problems))
        self.problems = list(problems)


def load(path: Path, *, secrets: bool = True) -> Settings:
    """
    The settings in a TOML file. Raises SettingsError with everything that is wrong.

    `secrets=False` leaves the secret files alone, for what works without broker and store.
    """
    try:
        data = tomllib.loads(path.read_bytes().decode())
    except OSError as error:
        raise SettingsError([f"{path}: cannot be read ({error.strerror}); a TOML file is accepted."]) from error
    except UnicodeDecodeError as error:
        raise SettingsError([f"{path}: is not UTF-8 text (byte {error.start}); a TOML file is accepted."]) from error
    except tomllib.TOMLDecodeError as error:
        raise SettingsError([f"{path}: is not TOML ({error}); a TOML file is accepted."]) from error
    try:
        settings = Settings.model_validate(data)
    except ValidationError as error:
        raise SettingsError([f"{path}: {s}." for e in error.errors() for s in _sentences(e, data)]) from error
    unreadable = [f"{path}: {problem}." for problem in _unreadable_secrets(settings)] if secrets else []
    if unreadable:
        raise SettingsError(unreadable)
    return settings


def _unreadable_secrets(settings: Settings) -> Iterator[str]:
    broker, influx, notices = settings.broker, settings.influx, settings.notices
    places: list[tuple[str, Path | None, str | None, Callable[[], object]]] = [
        ("broker.password", broker.password_file, broker.password_env, broker.password)
    ]
    if influx is not None:
        places.append(("influx.token", influx.token_file, influx.token_env, influx.token))
    if notices is not None:
        places.append(("notices.addresses", notices.addresses_file, notices.addresses_env, notices.addresses))
    for key, file, variable, read in places:
        try:
            read()
        except SecretError as error:
            given = f"{key}_env = {quoted(variable)}" if file is None else f"{key}_file = {quoted(str(file))}"
            yield f"{given}: {error}; one that this program may read is accepted"
    ca_file = broker.tls.ca_file if broker.tls is not None else None
    if ca_file is not None and not ca_file.is_file():
        yield f"broker.tls.ca_file = {quoted(str(ca_file))}: there is no such file; one with certificates is accepted"


def _sentences(error: ErrorDetails, data: Mapping[str, Any]) -> Iterator[str]:
    """The clauses of one finding, without the file and the full stop."""
    loc = error["loc"]
    if error["type"] == PROBLEMS:
        for problem in error["ctx"][PROBLEMS]:
            yield _problem_clause(loc, problem, data)
        return
    table, field = _found(loc)
    path = _path(loc, data)
    if error["type"] == "extra_forbidden":
        known = [f.alias or name for name, f in table.model_fields.items()]
        key = str(loc[-1])
        yield f"{path} is not a setting{did_you_mean(key, known)}; {listed(known)} is accepted there"
        return
    accepted = field.description if field is not None else "a table"
    if error["type"] == "missing":
        yield f"{path} is missing; {accepted} is accepted"
    elif error["type"] == "value_error":
        yield f"{path}: {error['ctx']['error']}; {accepted} is accepted"
    else:
        written = _value(loc, data)
        given = error["input"] if written is None else written  # the error's own input may be parsed already
        yield f"{path} = {_shown(given)} cannot be used; {accepted} is accepted"


def _problem_clause(loc: Sequence[str | int], problem: Problem, data: Mapping[str, Any]) -> str:
    where = (*loc, problem.key)
    value = _value(where, data)
    tables = isinstance(value, list) and any(isinstance(item, dict) for item in value)
    given = "" if value is None or tables else f" = {_shown(value)}"
    return f"{_path(where, data)}{given} {problem.words}"


def _found(loc: Sequence[str | int]) -> tuple[type[BaseModel], FieldInfo | None]:
    """The innermost table of a place in the file, and the setting in it; None where the table has no such setting."""
    table: type[BaseModel] = Settings
    field: FieldInfo | None = None
    for part in loc:
        if isinstance(part, int):
            continue
        table = (field and _table_in(field.annotation)) or table
        field = next((f for name, f in table.model_fields.items() if (f.alias or name) == part), None)
    return table, field


def _table_in(annotation: object) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((table for inner in get_args(annotation) if (table := _table_in(inner))), None)


def _value(loc: Sequence[str | int], data: object) -> object:
    """What the file says at a place; None where it says nothing."""
    for part in loc:
        try:
            data = data[part]  # type: ignore[index]  # whatever cannot be indexed says nothing here
        except (KeyError, IndexError, TypeError):
            return None
    return data


def _path(loc: Sequence[str | int], data: object) -> str:
    """`line[line-1].signal[mill/throughput].range`: tables of a list by id or name, else by their number from 1."""
    words = ""
    for depth, part in enumerate(loc, start=1):
        if isinstance(part, str):
            words += f".{part}"
            continue
        item = _value(loc[:depth], data)
        name = item.get("id", item.get("name")) if isinstance(item, dict) else None
        words += f"[{name if isinstance(name, str) else part + 1}]"
    return words.removeprefix(".") or "the file"


def _shown(value: object) -> str:
    """A value as the file has it."""
    if isinstance(value, list):
        return f"[{', '.join(_shown(item) for item in value)}]"
    return quoted(value)
