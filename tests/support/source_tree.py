"""Where the sources are, and how a broken rule of the house is reported."""

import ast
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
SERVICE = ROOT / "service" / "tumpline"
SIMULATOR = ROOT / "simulators" / "tumpline_sim"
SCORE = ROOT / "simulators" / "tumpline_score"
TESTS = ROOT / "tests"


@dataclass(frozen=True, slots=True)
class Offence:
    """One place where a rule is broken."""

    line: int
    words: str


def python_files(*folders: Path) -> list[Path]:
    """Every Python file below these folders, in a fixed order."""
    return sorted(path for folder in folders for path in folder.rglob("*.py"))


def text_files(*endings: str) -> Iterator[Path]:
    """Every file of the repository with one of these endings, leaving out what is made by running it."""
    made = {".git", ".venv", "var", "dist", "__pycache__"}
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        if path.suffix in endings and path.is_file() and not any(p in made or p.endswith("_cache") for p in parts):
            yield path


def broken(rule: Callable[[str], Iterable[Offence]], paths: Iterable[Path]) -> list[str]:
    """Every offence of these files against a rule as `path:line words`, the way editors and people find them."""
    return [
        f"{path.relative_to(ROOT)}:{offence.line} {offence.words}"
        for path in paths
        for offence in rule(path.read_text(encoding="utf-8"))
    ]


def dotted(node: ast.expr, names: dict[str, str]) -> str | None:
    """`a.b.c` as a text, its first part replaced by what it was imported as; None for anything but a chain of names."""
    match node:
        case ast.Name(id=name):
            return names.get(name, name)
        case ast.Attribute(value=value, attr=attr):
            front = dotted(value, names)
            return None if front is None else f"{front}.{attr}"
        case _:
            return None


def imported_names(tree: ast.AST) -> dict[str, str]:
    """Local name -> dotted name it stands for, over every import of a module."""
    names: dict[str, str] = {}
    for node in ast.walk(tree):
        match node:
            case ast.Import(names=aliases):
                for alias in aliases:
                    top = alias.name.split(".")[0]
                    names[alias.asname or top] = alias.name if alias.asname else top
            case ast.ImportFrom(module=str(module), names=aliases):
                names.update({alias.asname or alias.name: f"{module}.{alias.name}" for alias in aliases})
    return names


def spoken_strings(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """Line and text of every string that can leave the program: all but docstrings."""
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.lineno, node.value
