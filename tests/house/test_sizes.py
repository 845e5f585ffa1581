"""Files and functions stay small enough to be read at one sitting."""

import ast
from pathlib import Path

from source_tree import ROOT, SCORE, SERVICE, SIMULATOR, TESTS, python_files, text_files

LONGEST_FILE = 400
SHORT_FUNCTION = 40


def too_long(paths: list[Path], *, limit: int = LONGEST_FILE) -> list[str]:
    """Files over the limit, with their length."""
    lengths = {path: len(path.read_text().splitlines()) for path in paths}
    return [f"{path.name}: {length} lines" for path, length in lengths.items() if length > limit]


def function_lengths(source: str) -> list[int]:
    """Lines of every function, from `def` to its last statement."""
    return [
        (node.end_lineno or node.lineno) - node.lineno + 1
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]


def test_no_file_is_longer_than_four_hundred_lines() -> None:
    """A file that grows beyond one thought is divided."""
    pages = [path for path in text_files(".js", ".css", ".html") if ROOT / "service" in path.parents]
    assert too_long([*python_files(SERVICE, SIMULATOR, SCORE, TESTS), *pages]) == []


def test_nine_functions_in_ten_are_short() -> None:
    """Most functions fit on a screen with room to spare."""
    paths = python_files(SERVICE, SIMULATOR, SCORE)
    lengths = [length for path in paths for length in function_lengths(path.read_text())]
    long = sum(length >= SHORT_FUNCTION for length in lengths)
    assert long <= len(lengths) / 10


def test_a_long_file_and_a_long_function_are_found(tmp_path: Path) -> None:
    """One line too many is one line too many."""
    path = tmp_path / "long.py"
    path.write_text("x = 1\n" * 401)
    assert too_long([path]) == ["long.py: 401 lines"]
    path.write_text("x = 1\n" * 400)
    assert too_long([path]) == []
    assert function_lengths("def f():\n" + "    x = 1\n" * 39) == [40]
