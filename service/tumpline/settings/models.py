"""The settings, table by table. Every field's description says what is accepted."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from tumpline.pressing.params import LineParams, ResidenceParams
from tumpline.settings.notices import Notices
from tumpline.settings.problems import Problem, raise_any
from tumpline.settings.secrets import read_secret, two_places
from tumpline.settings.signal import Signal
from tumpline.settings.values import (
    Duration,
    Extraction,
    Fraction,
    Level,
    Levels,
    MassFlow,
    MaybeNoDuration,
    Name,
    Port,
    Pressure,
    Timezone,
    is_loopback,
)
from tumpline.settings.vats import Vats
from tumpline.settings.watches import Watches
from tumpline.wire.decode import LineWire
from tumpline.wire.topics import PUBLISHED
from tumpline.wire.words import did_you_mean, listed, quoted

Role = Literal["look", "operate", "manage"]
STOP_REASONS = ("cloth", "blocked mill", "no fruit", "vat or trailer change", "cleaning", "break", "repair", "other")
_FRUIT = ("mill/throughput", "mill/total")
_JUICE = ("juice/flow", "juice/total")


class _Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Site(_Table):
    """`[site]`: whose works this is."""

    name: Name = Field(default="Cider works", description="a name")
    timezone: Timezone = Field(default="UTC", description='an IANA name such as "Europe/London"')
    units: Literal["metric", "imperial"] = Field(default="metric", description='"metric" or "imperial"')
    stop_reasons: tuple[Name, ...] = Field(default=STOP_REASONS, min_length=1, description="a list of words")
    reason_words: dict[Level, dict[Name, Name]] = Field(
        default_factory=dict, description='tables by language such as { de = { cloth = "Tuch" } }'
    )

    def reasons(self, language: str) -> dict[str, str]:
        """The reasons that a stop may have, as documents have them, each with its word in a language."""
        words = self.reason_words.get(language, {})
        return {reason: words.get(reason, reason) for reason in self.stop_reasons}

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any([*self._words_of_no_reason()])
        return self

    def _words_of_no_reason(self) -> Iterator[Problem]:
        for language, words in self.reason_words.items():
            for reason in words:
                if reason not in self.stop_reasons:
                    meant = did_you_mean(reason, self.stop_reasons)
                    accepted = f"{listed(self.stop_reasons)} is accepted"
                    yield Problem(
                        "reason_words", f"has {quoted(reason)} in {language}, no stop reason{meant}; {accepted}"
                    )


class Tls(_Table):
    """`[broker.tls]`: its presence means that the broker is spoken to over TLS."""

    ca_file: Path | None = Field(default=None, description="a file of certificates; without one the system's are taken")


class Broker(_Table):
    """`[broker]`: where the messages come from."""

    host: Name = Field(default="127.0.0.1", description="a host's name or address")
    port: Port = Field(default=1883, description="a port from 1 to 65535")
    root: Levels = Field(default="tumpline", description='topic levels of letters, digits, "-", "_" and "."')
    client_id: Level = Field(default="tumpline", description='letters, digits, "-", "_" and "."')
    keepalive: Duration = Field(default=15.0, description='a time such as "15 s"')
    connect_timeout: Duration = Field(default=10.0, description='a time such as "10 s"')
    username: Name | None = Field(default=None, description="a name")
    password_file: Path | None = Field(default=None, description="a file with the password")
    password_env: Name | None = Field(default=None, description="the name of an environment variable with the password")
    tls: Tls | None = Field(default=None, description="a table with ca_file")

    def password(self) -> str | None:
        """The password, read now. Raises SecretError where it cannot be."""
        return read_secret(self.password_file, self.password_env)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any(list(two_places("password", self.password_file, self.password_env)))
        return self


class Store(_Table):
    """`[store]`: what is kept on this machine."""

    path: Path = Field(default=Path("var/tumpline.db"), description="a file")
    keep_messages: Duration = Field(default=7 * 86400.0, description='a time such as "7 d"')
    keep_readings: Duration = Field(default=90 * 86400.0, description='a time such as "90 d"')
    keep_figures: Duration = Field(default=400 * 86400.0, description='a time such as "400 d"')


class Influx(_Table):
    """`[influx]`: where the time series go as well."""

    url: Name = Field(
        default="http://127.0.0.1:8086", pattern="^https?://.", description="an address with http:// or https://"
    )
    org: Name = Field(description="a name")
    bucket: Name = Field(description="a name")
    token_file: Path | None = Field(default=None, description="a file with the token")
    token_env: Name | None = Field(default=None, description="the name of an environment variable with the token")

    def token(self) -> str | None:
        """The token, read now. Raises SecretError where it cannot be."""
        return read_secret(self.token_file, self.token_env)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any(list(two_places("token", self.token_file, self.token_env)))
        return self


class Proxy(_Table):
    """`[page.proxy]`: a server before the page that knows who is there, and says so in a header."""

    addresses: tuple[Name, ...] = Field(min_length=1, description='a list of addresses such as ["127.0.0.1"]')
    origin: Name = Field(pattern="^https?://[^/]+$", description='what people type, such as "https://press.example"')
    user_header: Name = Field(default="Remote-User", description="the name of a header")
    role: Role = Field(default="look", description='"look", "operate" or "manage"')


class Page(_Table):
    """`[page]`: the page that people look at; without the table there is none."""

    host: Name = Field(default="127.0.0.1", description="an address of this machine")
    port: Port = Field(default=8080, description="a port from 1 to 65535")
    language: Literal["en", "de"] = Field(default="en", description='"en" or "de"')
    people_file: Path | None = Field(default=None, description='a file written by "tumpline person add"')
    certificate_file: Path | None = Field(default=None, description="a file with the page's certificate")
    key_file: Path | None = Field(default=None, description="a file with the certificate's key")
    proxy: Proxy | None = Field(default=None, description="a table")

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any([*self._nobody_known(), *self._half_a_certificate()])
        return self

    def _nobody_known(self) -> Iterator[Problem]:
        if self.people_file is None and self.proxy is None and not is_loopback(self.host):
            accepted = 'people_file (see "tumpline person add") or [page.proxy] is accepted with it'
            yield Problem("host", f"lets others reach the page, and nobody could log in; {accepted}")

    def _half_a_certificate(self) -> Iterator[Problem]:
        if (self.certificate_file is None) != (self.key_file is None):
            missing = "certificate_file" if self.certificate_file is None else "key_file"
            yield Problem(missing, "is missing; certificate_file and key_file together are accepted")


class Residence(_Table):
    """`mill_to_juice`: the first guess, learned from the readings afterwards."""

    delay: Duration = Field(default=60.0, description='a time such as "45 s"')
    spread: Duration = Field(default=25.0, description='a time such as "20 s"')


class Line(_Table):
    """`[[line]]`: one press line."""

    id: Level = Field(description='letters, digits, "-", "_" and "."')
    rated_throughput: MassFlow = Field(description='fruit such as "4 t/h"')
    expected_yield: Extraction = Field(default=7e-4, description='juice such as "700 L/t"')
    planned_pressure: Pressure | None = Field(default=None, description='a press pressure such as "4.5 bar"')
    fruit_dry_matter: Fraction | None = Field(default=None, le=1.0, description='a share such as "16 %"')
    mill_to_juice: Residence = Field(default=Residence(), description='{ delay = "45 s", spread = "20 s" }')
    juice_pump: Literal["steady", "on-off", "auto"] = Field(default="auto", description='"steady", "on-off" or "auto"')
    lateness: MaybeNoDuration = Field(default=5.0, description='a time such as "5 s"')
    ahead: MaybeNoDuration = Field(default=60.0, description='a time such as "60 s"')
    stop_after: Duration = Field(default=60.0, description='a time such as "60 s"')
    live_every: Duration = Field(default=1.0, description='a time such as "1 s"')
    vats: Vats = Field(default=Vats(), description="{ acidity_g_per_l = [4.5, 7.5] }")
    watch: Watches = Field(default=Watches(), description="[line.watch.NAME] tables")
    signals: tuple[Signal, ...] = Field(alias="signal", description="[[line.signal]] tables")

    def params(self) -> LineParams:
        """What `PressLine` is built from, in SI."""
        return LineParams(
            id=self.id,
            rated_throughput=self.rated_throughput,
            expected_yield=self.expected_yield,
            residence=ResidenceParams(delay=self.mill_to_juice.delay, spread=self.mill_to_juice.spread),
            signals=tuple(signal.params() for signal in self.signals),
            juice_pump=self.juice_pump,
            lateness=self.lateness,
            ahead=self.ahead,
            stop_after=self.stop_after,
            live_every=self.live_every,
            fruit_dry_matter=self.fruit_dry_matter,
            watches=self.watch.params(),
            vat_bounds=self.vats.bounds(),
        )

    def wire(self, root: str) -> LineWire:
        """What the reading of its messages needs."""
        return LineWire(self.params(), root, {signal.name: signal.format() for signal in self.signals})

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any([*self._signals_that_are_missing(), *self._signals_that_collide()])
        return self

    def _signals_that_are_missing(self) -> Iterator[Problem]:
        names = {signal.name for signal in self.signals}
        for what, either in (("fruit", _FRUIT), ("juice", _JUICE)):
            if names.isdisjoint(either):
                wanted = " or ".join(either)
                yield Problem("signal", f"names nothing that measures {what}, so nothing can be computed; add {wanted}")

    def _signals_that_collide(self) -> Iterator[Problem]:
        names = [signal.name for signal in self.signals]
        for name in sorted({name for name in names if names.count(name) > 1}):
            yield Problem("signal", f'names "{name}" more than once; each signal once is accepted')
        by_topic: dict[str, set[str]] = {}
        for signal in self.signals:
            if signal.topic is not None:
                form = "SenML" if signal.payload == "senml" else "JSON" if signal.pointer is not None else signal.name
                by_topic.setdefault(signal.topic, set()).add(form)
        for topic, forms in by_topic.items():
            if len(forms) > 1:
                accepted = "sharing one is accepted for SenML packs, or with pointers"
                yield Problem("signal", f'has the topic "{topic}" several times; {accepted}')


class Settings(_Table):
    """Everything in the file."""

    site: Site = Field(default=Site(), description="a table")
    broker: Broker = Field(default=Broker(), description="a table")
    store: Store = Field(default=Store(), description="a table")
    influx: Influx | None = Field(default=None, description="a table")
    notices: Notices | None = Field(default=None, description="a table")
    page: Page | None = Field(default=None, description="a table")
    lines: tuple[Line, ...] = Field(alias="line", description="[[line]] tables")

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any([*self._lines_that_collide()])
        return self

    def _lines_that_collide(self) -> Iterator[Problem]:
        ids = [line.id for line in self.lines]
        if not ids:
            yield Problem("line", "names no line; at least one [[line]] is accepted")
        for id_ in sorted({i for i in ids if ids.count(i) > 1}):
            yield Problem("line", f'has the id "{id_}" more than once; each id once is accepted')
        ours = tuple(f"{self.broker.root}/{line}/{branch}" for line in ids for branch in PUBLISHED)
        owner: dict[str, str] = {}
        for line in self.lines:
            for topic in {signal.topic for signal in line.signals if signal.topic is not None}:
                if topic.startswith(ours):
                    yield Problem("line", f'reads "{topic}", which this program writes; any other topic is accepted')
                if owner.setdefault(topic, line.id) != line.id:
                    yield Problem("line", f'reads "{topic}" for {owner[topic]} and {line.id}; one line is accepted')
