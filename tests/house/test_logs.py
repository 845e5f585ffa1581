"""A log line is one constant dotted name with its facts as keys, so that it can be searched for and counted."""

import ast
import re
from collections.abc import Iterator

import pytest

from source_tree import SERVICE, Offence, broken, python_files

LEVELS = frozenset(["debug", "info", "warning", "error", "exception", "critical"])
LOGGERS = frozenset(["log", "_log", "logger", "_logger", "LOG"])
NAME = re.compile(r"[a-z][a-z0-9-]*(\.[a-z0-9-]+)+")


def vague_logs(source: str) -> Iterator[Offence]:
    """Log calls whose event is put together on the spot, or is not a dotted name."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.Call(func=ast.Attribute(value=owner, attr=level), args=words) if level in LEVELS:
                if ast.unparse(owner).rpartition(".")[2] not in LOGGERS:
                    continue
                match words:
                    case [ast.Constant(value=str(name))] if NAME.fullmatch(name):
                        pass
                    case _:
                        yield Offence(node.lineno, f"logs no constant dotted name: {ast.unparse(node)}")


def test_every_log_line_has_a_constant_dotted_name() -> None:
    """Whoever reads the log can search for a happening by its name."""
    assert broken(vague_logs, python_files(SERVICE)) == []


@pytest.mark.parametrize(
    "source",
    [
        "log.info(f'connected to {host}')",
        "log.warning('Connected')",
        "self._log.error('mqtt.lost', error)",
        "log.info('mqtt.lost %s', host)",
        "log.exception()",
    ],
)
def test_a_log_line_made_up_on_the_spot_is_found(source: str) -> None:
    """Sentences, formats and positional facts are noticed."""
    assert len(list(vague_logs(source))) == 1


def test_a_named_log_line_is_left_alone() -> None:
    """A dotted name with its facts as keys is how it should be."""
    assert list(vague_logs("log.info('mqtt.connected', host=host)\nmath.log(2)\nparser.error('no such file')")) == []
