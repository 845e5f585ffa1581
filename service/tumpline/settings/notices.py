"""`[notices]`: who is told of alarms where nobody looks at a screen, and when."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from tumpline.pressing.records import Priority
from tumpline.settings.problems import Problem, raise_any
from tumpline.settings.secrets import SecretError, read_secret, two_places
from tumpline.settings.values import Duration, Name
from tumpline.wire.words import quoted


def _clock_time(text: object) -> object:
    if isinstance(text, str):
        try:
            return datetime.time.fromisoformat(text)
        except ValueError:
            raise ValueError(f"{quoted(text)} is no time of day") from None
    return text


ClockTime = Annotated[datetime.time, BeforeValidator(_clock_time)]
"""A time of day in the site's time zone, written as `22:00`."""


class Notices(BaseModel):
    """Where notices of alarms go. The addresses hold passwords and tokens, so they are a secret."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    addresses_file: Path | None = Field(default=None, description="a file with one address in a line")
    addresses_env: Name | None = Field(default=None, description="the name of an environment variable with addresses")
    minimum_priority: Literal["high", "medium", "low"] = Field(
        default="medium", description='"high", "medium" or "low"'
    )
    repeat_after: Duration = Field(default=600.0, description='a time such as "10 min"')
    gather: Duration = Field(default=60.0, description='a time such as "60 s"')
    quiet_from: ClockTime | None = Field(default=None, description='a time of day such as "22:00"')
    quiet_until: ClockTime | None = Field(default=None, description='a time of day such as "06:00"')
    quiet_priority: Literal["high", "none"] = Field(default="high", description='"high" or "none"')

    def addresses(self) -> list[str]:
        """The addresses, read now; empty lines and those that begin with # say nothing. Raises SecretError."""
        lines = (read_secret(self.addresses_file, self.addresses_env) or "").splitlines()
        found = [line.strip() for line in lines if line.strip() and not line.strip().startswith("#")]
        if not found:
            raise SecretError("holds no address")
        return found

    @property
    def minimum(self) -> Priority:
        """Alarms of less than this priority are nobody's notice."""
        return Priority(self.minimum_priority)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any([*two_places("addresses", self.addresses_file, self.addresses_env), *self._halves()])
        return self

    def _halves(self) -> Iterator[Problem]:
        if self.addresses_file is None and self.addresses_env is None:
            yield Problem("addresses_file", "is missing; a file with one address in a line is accepted")
        if (self.quiet_from is None) != (self.quiet_until is None):
            missing = "quiet_from" if self.quiet_from is None else "quiet_until"
            yield Problem(missing, "is missing; quiet_from and quiet_until together are accepted")
