"""`pressing/` and `wire/` compute: they import nothing that waits, reads a file, tells the time or talks."""

import ast
from collections.abc import Iterator

import pytest

from source_tree import SERVICE, Offence, broken, python_files

PEN_AND_PAPER = frozenset(
    [
        "__future__",
        "abc",
        "bisect",
        "collections",
        "dataclasses",
        "enum",
        "functools",
        "heapq",
        "itertools",
        "math",
        "operator",
        "statistics",
        "typing",
        "msgspec",
    ]
)
MEANING_OF_BYTES = PEN_AND_PAPER | frozenset(["datetime", "difflib", "hashlib", "html", "json", "re"])
RECORDINGS = MEANING_OF_BYTES | frozenset(["gzip", "io", "pathlib", "zlib", "zstandard"])
OUTSIDE = frozenset(["open", "print", "input", "exec", "eval", "compile", "breakpoint", "__import__"])
DOORS = ("open", "read_bytes", "read_text", "write_bytes", "write_text")


def impurities(
    source: str, *, allowed: frozenset[str], rooms: tuple[str, ...], may_open: bool = False
) -> list[Offence]:
    """Every import outside `allowed` and `rooms`, every lazy import, and every reach for the outside world."""
    tree = ast.parse(source)
    found = [*_foreign_imports(tree, allowed, rooms), *_lazy_imports(tree), *_reaches(tree, may_open=may_open)]
    return sorted(set(found), key=lambda offence: offence.line)


def _foreign_imports(tree: ast.AST, allowed: frozenset[str], rooms: tuple[str, ...]) -> Iterator[Offence]:
    for node in ast.walk(tree):
        match node:
            case ast.Import(names=aliases):
                modules = [alias.name for alias in aliases]
            case ast.ImportFrom(module=module):
                modules = [module or "."]
            case _:
                continue
        for module in modules:
            ours = any(module == room or module.startswith(room + ".") for room in rooms)
            if not ours and module.split(".")[0] not in allowed:
                yield Offence(node.lineno, f"imports {module}")


def _lazy_imports(tree: ast.AST) -> Iterator[Offence]:
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            for node in ast.walk(function):
                if isinstance(node, ast.Import | ast.ImportFrom):
                    yield Offence(node.lineno, "imports inside a function")


def _reaches(tree: ast.AST, *, may_open: bool) -> Iterator[Offence]:
    for node in ast.walk(tree):
        match node:
            case ast.AsyncFunctionDef() | ast.Await() | ast.AsyncFor() | ast.AsyncWith():
                yield Offence(node.lineno, "waits")
            case ast.Name(id=name, ctx=ast.Load()) if name in OUTSIDE and not (may_open and name == "open"):
                yield Offence(node.lineno, f"uses {name}")
            case ast.Call(func=ast.Attribute(attr=attr)) if attr in DOORS and not may_open:
                yield Offence(node.lineno, f"uses .{attr}")


def pressing_impurities(source: str) -> list[Offence]:
    """The rule as it holds for `pressing/`."""
    return impurities(source, allowed=PEN_AND_PAPER, rooms=("tumpline.pressing",))


def wire_impurities(source: str) -> list[Offence]:
    """The rule as it holds for `wire/`."""
    return impurities(source, allowed=MEANING_OF_BYTES, rooms=("tumpline.pressing", "tumpline.wire"))


def recordings_impurities(source: str) -> list[Offence]:
    """The rule as it holds for the one module of `wire/` that may open a file."""
    return impurities(source, allowed=RECORDINGS, rooms=("tumpline.pressing", "tumpline.wire"), may_open=True)


def test_pressing_is_what_pen_and_paper_could_do() -> None:
    """What is computed depends on nothing but its arguments."""
    assert broken(pressing_impurities, python_files(SERVICE / "pressing")) == []


def test_wire_only_turns_bytes_into_meaning_and_back() -> None:
    """What bytes mean depends on nothing but the bytes; recordings are the one kind of file it opens."""
    recordings = SERVICE / "wire" / "recordings.py"
    assert broken(wire_impurities, (path for path in python_files(SERVICE / "wire") if path != recordings)) == []
    assert broken(recordings_impurities, (path for path in [recordings] if path.exists())) == []


@pytest.mark.parametrize(
    "source",
    [
        "import asyncio",
        "import logging",
        "import requests",
        "from time import time",
        "import random",
        "import os.path",
        "from tumpline.wire import units",
        "from tumpline.runtime.clock import Clock",
        "from . import events",
        "def f():\n    import math",
        "async def f():\n    pass",
        "text = open('f').read()",
        "def f(path):\n    return path.read_text()",
        "print('here')",
        "later = print",
        "eval('1')",
    ],
)
def test_a_reach_outside_in_pressing_is_found(source: str) -> None:
    """Every way out of pen and paper that we can think of is refused."""
    assert len(pressing_impurities(source)) >= 1


@pytest.mark.parametrize(
    "source", ["import gzip", "import zstandard", "open('f')", "import tumpline.runtime", "import asyncio"]
)
def test_a_reach_outside_in_wire_is_found(source: str) -> None:
    """Files, waiting and the rooms above stay out of the wire room."""
    assert len(wire_impurities(source)) == 1


def test_what_computing_needs_is_allowed() -> None:
    """The rule is not so strict that nothing can be written."""
    assert (
        pressing_impurities("import math\nfrom collections import deque\nfrom tumpline.pressing.events import Event")
        == []
    )
    assert wire_impurities("import json\nfrom tumpline.pressing.events import Event") == []
    assert recordings_impurities("import gzip\nhandle = gzip.open('f')\nopen('g')") == []
