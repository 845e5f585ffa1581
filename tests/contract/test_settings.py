"""The settings file as promised, and the examples that come with the program."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest
from pydantic import BaseModel

from tumpline.settings import Settings, describe, load, warnings

CONFIG = Path(__file__).parents[2] / "config"
EXAMPLES = sorted(CONFIG.glob("*.toml"))

PROMISED = """
[site]
name = "Hollow Lane Cider Works"
timezone = "Europe/London"
units = "metric"

[broker]
host = "127.0.0.1"
port = 1883
root = "tumpline"

[store]
path = "var/tumpline.db"

[influx]
url = "http://127.0.0.1:8086"
org = "works"
bucket = "press"
token_file = "influx.token"

[[line]]
id = "line-1"
rated_throughput = "4 t/h"
expected_yield = "700 L/t"
mill_to_juice = { delay = "45 s", spread = "20 s" }
juice_pump = "auto"

  [[line.signal]]
  name = "mill/throughput"
  payload = "senml"
  unit = "t/h"
  range = [0, 8]
  accuracy = "1.5 % of reading"
  stale_after = "10 s"

  [[line.signal]]
  name = "juice/flow"
"""


def test_the_promised_file_is_read(tmp_path: Path) -> None:
    """Every key of the contract is taken as it is written there."""
    path = tmp_path / "site.toml"
    path.write_text(PROMISED)
    settings = load(path, secrets=False)
    line = settings.lines[0].params()
    assert (line.rated_throughput, line.expected_yield) == pytest.approx((4 / 3.6, 7e-4))
    assert (line.residence.delay, line.residence.spread) == (45.0, 20.0)
    mill = line.signal("mill/throughput")
    assert mill is not None
    assert (mill.low, mill.high) == pytest.approx((0.0, 8 / 3.6))
    assert (mill.accuracy.of_reading, mill.stale_after) == pytest.approx((0.015, 10.0))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_every_example_can_be_used(path: Path) -> None:
    """Whoever copies an example has a file that works, with all four expected signals."""
    settings = load(path, secrets=False)
    assert warnings(settings) == []
    assert describe(settings).startswith("line-1: ")


def keys(table: type[BaseModel], above: str = "") -> Iterator[str]:
    """Every key there is, as `line.signal.name`."""
    for name, field in table.model_fields.items():
        key = f"{above}{field.alias or name}"
        yield key
        inner = table_in(field.annotation)
        if inner is not None:
            yield from keys(inner, f"{key}.")


def table_in(annotation: object) -> type[BaseModel] | None:
    """The table inside `tuple[Table, ...]` or `Table | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((table for inner in get_args(annotation) if (table := table_in(inner))), None)


def used(data: object, above: str = "") -> Iterator[str]:
    """Every key a file uses."""
    if isinstance(data, list):
        for item in data:
            yield from used(item, above)
    elif isinstance(data, dict):
        for key, value in data.items():
            yield f"{above}{key}"
            yield from used(value, f"{above}{key}.")


def test_every_setting_stands_in_an_example() -> None:
    """There is no knob that nobody can find."""
    shown = {key for path in EXAMPLES for key in used(tomllib.loads(path.read_text(encoding="utf-8")))}
    assert set(keys(Settings)) - shown == set()


def values(table: BaseModel, key: str) -> Iterator[tuple[object, object]]:
    """Every value of a key in these settings, with its default."""
    for name, field in type(table).model_fields.items():
        value = getattr(table, name)
        if (field.alias or name) == key:
            yield value, field.default
        for inner in value if isinstance(value, tuple) else [value]:
            if isinstance(inner, BaseModel):
                yield from values(inner, key)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_what_an_example_calls_a_default_is_one(path: Path) -> None:
    """A comment that begins with `default` stands beside the very value the program takes without it."""
    text = path.read_text(encoding="utf-8")
    claimed = set(re.findall(r"^\s*(\w+) = .*?#.*\b[dD]efault(?:$|;|:)", text, re.MULTILINE))
    settings = load(path, secrets=False)
    for key in claimed:
        assert any(value == default for value, default in values(settings, key)), key
    assert claimed or "default" not in text
