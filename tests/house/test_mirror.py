"""Every module has its test at the mirrored path, so that nobody has to search for it."""

import ast
from pathlib import Path

import pytest

from source_tree import ROOT, SCORE, SERVICE, SIMULATOR, TESTS, python_files

WITHOUT_A_MIRROR: frozenset[str] = frozenset()
"""Modules whose promises are tested elsewhere. This list may only shrink: an entry no longer needed fails a test."""


def has_behaviour(source: str) -> bool:
    """True where a module defines a function that does something; plain records and shapes promise nothing to break."""
    return any(
        isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and any(not (isinstance(line, ast.Expr) and isinstance(line.value, ast.Constant)) for line in node.body)
        for node in ast.walk(ast.parse(source))
    )


def mirrored(module: Path, *, root: Path, tests: Path) -> Path:
    """Where the test of a module belongs."""
    return tests / root.name / module.relative_to(root).parent / f"test_{module.stem.strip('_')}.py"


def unmirrored(root: Path, tests: Path) -> set[str]:
    """Modules with behaviour whose test is not where it belongs."""
    return {
        f"{root.name}/{module.relative_to(root).as_posix()}"
        for module in python_files(root)
        if has_behaviour(module.read_text()) and not mirrored(module, root=root, tests=tests).exists()
    }


def strays(root: Path, tests: Path) -> set[str]:
    """Tests in the mirrored folders that belong to no module: `test_NAME.py` or `test_NAME_ASPECT.py`."""
    found = set()
    for test in (tests / root.name).rglob("test_*.py"):
        folder = root / test.relative_to(tests / root.name).parent
        names = {module.stem.strip("_") for module in folder.glob("*.py")}
        words = test.stem.removeprefix("test_").split("_")
        if not any("_".join(words[:count]) in names for count in range(1, len(words) + 1)):
            found.add(test.relative_to(tests).as_posix())
    return found


@pytest.mark.parametrize("root", [SERVICE, SIMULATOR, SCORE], ids=lambda root: root.name)
def test_every_module_has_its_test_at_the_mirrored_path(root: Path) -> None:
    """Whoever changes a module knows which test to read."""
    assert sorted(unmirrored(root, TESTS) - WITHOUT_A_MIRROR) == []


@pytest.mark.parametrize("root", [SERVICE, SIMULATOR, SCORE], ids=lambda root: root.name)
def test_every_mirrored_test_belongs_to_a_module(root: Path) -> None:
    """A module renamed or removed takes its test along."""
    assert sorted(strays(root, TESTS)) == []


def test_the_exceptions_are_still_needed() -> None:
    """The list of exceptions can only become shorter."""
    missing = unmirrored(SERVICE, TESTS) | unmirrored(SIMULATOR, TESTS) | unmirrored(SCORE, TESTS)
    assert sorted(WITHOUT_A_MIRROR - missing) == []


def test_a_module_without_its_test_is_found(tmp_path: Path) -> None:
    """A new module without a test, and a test without its module, are both noticed."""
    root, tests = tmp_path / "service" / "tumpline", tmp_path / "tests"
    (root / "wire").mkdir(parents=True)
    (tests / "tumpline" / "wire").mkdir(parents=True)
    (root / "wire" / "units.py").write_text("def to_si():\n    return 1")
    (root / "wire" / "ports.py").write_text("class Port(Protocol):\n    def send(self): ...")
    (root / "wire" / "words.py").write_text("UNIT = 'L'")
    (tests / "tumpline" / "wire" / "test_unit.py").touch()
    assert unmirrored(root, tests) == {"tumpline/wire/units.py"}
    assert strays(root, tests) == {"tumpline/wire/test_unit.py"}

    (tests / "tumpline" / "wire" / "test_unit.py").rename(tests / "tumpline" / "wire" / "test_units_spellings.py")
    (tests / "tumpline" / "wire" / "test_units.py").touch()
    assert (unmirrored(root, tests), strays(root, tests)) == (set(), set())


def test_the_top_level_holds_nothing_new() -> None:
    """A visitor finds the same few names at the top as ever."""
    known = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml"}
    known |= {"service", "simulators", "config", "deploy", "tests"}
    made = {"var", "dist"}
    names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert names - known - made == set()
