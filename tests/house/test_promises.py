"""Every test promises something in one sentence: its docstring says what a user could notice if it failed."""

import ast
from collections.abc import Iterator

import pytest

from source_tree import TESTS, Offence, broken, python_files

SENTENCE_ENDS = (".", "?", "!", ":")


def unpromising(source: str) -> Iterator[Offence]:
    """Public functions, methods and classes without a docstring, and tests whose docstring is not a sentence."""
    yield from _unpromising(ast.parse(source).body)


def _unpromising(body: list[ast.stmt]) -> Iterator[Offence]:
    for node in body:
        if not isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) or node.name.startswith("_"):
            continue
        words = ast.get_docstring(node)
        if not words:
            yield Offence(node.lineno, f"{node.name} says nothing")
        elif node.name.startswith("test_") and not words.endswith(SENTENCE_ENDS):
            yield Offence(node.lineno, f"{node.name} does not say a sentence")
        if isinstance(node, ast.ClassDef):
            yield from _unpromising(node.body)


def test_every_test_says_what_it_promises() -> None:
    """Whoever sees a test fail reads what no longer holds."""
    assert broken(unpromising, python_files(TESTS)) == []


@pytest.mark.parametrize(
    "source",
    [
        "def test_it():\n    assert True",
        "async def test_it():\n    assert True",
        "class TestIt:\n    '''It.'''\n    def test_it(self):\n        assert True",
        "def test_it():\n    '''todo'''",
        "class Fake:\n    pass",
    ],
)
def test_a_test_without_its_promise_is_found(source: str) -> None:
    """A test, a class or a helper that says nothing is noticed."""
    assert len(list(unpromising(source))) == 1


def test_what_is_inside_a_test_need_not_speak() -> None:
    """Functions inside a test, and those of one file alone, are explained by where they stand."""
    source = "def _make(): ...\ndef test_it():\n    '''It works.'''\n    def inner(): ..."
    assert list(unpromising(source)) == []
