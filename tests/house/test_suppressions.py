"""Whoever silences a tool, swallows every exception or leaves a test out says why, on that line."""

import ast
import io
import re
import tokenize
import tomllib
from collections.abc import Iterator

import pytest

from source_tree import ROOT, SCORE, SERVICE, SIMULATOR, TESTS, Offence, broken, python_files

CODES = r"[A-Z]+[0-9]+(\s*,\s*[A-Z]+[0-9]+)*"
SILENCERS = re.compile(rf"#\s*((ruff:\s*)?noqa(:\s*{CODES})?|type:\s*ignore(\[[\w, -]+\])?|pragma:\s*no \w+)")
A_REASON = re.compile(r"[a-z]{2,}.*\s[a-z]{2,}", re.IGNORECASE)
TOO_WIDE = frozenset(["Exception", "BaseException"])
LEAVERS = frozenset(["skip", "skipif", "xfail", "importorskip"])


def unexplained(source: str) -> list[Offence]:
    """Suppressions without a reason: silenced tools, swallowed exceptions, tests left out."""
    comments = {
        token.start[0]: token.string
        for token in tokenize.generate_tokens(io.StringIO(source).readline)
        if token.type == tokenize.COMMENT
    }
    tree = ast.parse(source)
    found = [*_silenced(comments), *_swallowed(tree, comments), *_left_out(tree)]
    return sorted(found, key=lambda offence: offence.line)


def _silenced(comments: dict[int, str]) -> Iterator[Offence]:
    for line, comment in comments.items():
        if SILENCERS.search(comment) and not A_REASON.search(SILENCERS.sub("", comment)):
            yield Offence(line, f"gives no reason: {comment}")


def _swallowed(tree: ast.AST, comments: dict[int, str]) -> Iterator[Offence]:
    for node in ast.walk(tree):
        match node:
            case ast.ExceptHandler(type=caught):
                names = {"BaseException"} if caught is None else _names(caught)
            case ast.Call(func=ast.Name(id="suppress") | ast.Attribute(attr="suppress"), args=caught):
                names = {name for argument in caught for name in _names(argument)}
            case _:
                continue
        if names & TOO_WIDE and not A_REASON.search(comments.get(node.lineno, "")):
            yield Offence(node.lineno, "catches everything and gives no reason")


def _names(node: ast.expr) -> set[str]:
    return {name.id for name in ast.walk(node) if isinstance(name, ast.Name)}


def _left_out(tree: ast.AST) -> Iterator[Offence]:
    called = {id(node.func) for node in ast.walk(tree) if isinstance(node, ast.Call)}
    for node in ast.walk(tree):
        match node:
            case ast.Call(func=ast.Attribute(attr=attr) as leaver, args=words) if _leaves_out(leaver):
                reasons = [keyword.value for keyword in node.keywords if keyword.arg == "reason"]
                reasons += words if attr in ("skip", "xfail") else []
                if not any(_says_why(reason) for reason in reasons):
                    yield Offence(node.lineno, f"pytest's {attr} gives no reason")
            case ast.Attribute(attr=attr) if _leaves_out(node) and id(node) not in called:
                yield Offence(node.lineno, f"pytest's {attr} gives no reason")


def _leaves_out(node: ast.Attribute) -> bool:
    return node.attr in LEAVERS and ast.unparse(node.value) in ("pytest", "pytest.mark")


def _says_why(node: ast.expr) -> bool:
    return not isinstance(node, ast.Constant) or bool(A_REASON.search(str(node.value)))


def unexplained_ignores(pyproject: str) -> list[Offence]:
    """Lint rules switched off in the project's settings without a reason on their line."""
    ignored = set(tomllib.loads(pyproject)["tool"]["ruff"]["lint"].get("ignore", []))
    return [
        Offence(number, f"gives no reason: {line.strip()}")
        for number, line in enumerate(pyproject.splitlines(), 1)
        if any(line.strip().startswith(f'"{rule}"') for rule in ignored) and not A_REASON.search(line.partition("#")[2])
    ]


def test_every_suppression_gives_its_reason() -> None:
    """A reader never has to guess why a warning was silenced or an exception swallowed."""
    assert broken(unexplained, python_files(SERVICE, SIMULATOR, SCORE, TESTS)) == []


def test_every_ignored_lint_rule_gives_its_reason() -> None:
    """The same holds for rules switched off for the whole project."""
    assert broken(unexplained_ignores, [ROOT / "pyproject.toml"]) == []


@pytest.mark.parametrize(
    "source",
    [
        "x = 1  # noqa: E501",
        "x = 1  # noqa",
        "x = f()  # type: ignore[arg-type]",
        "x = f()  # type: ignore",
        "if x:  # pragma: no cover\n    pass",
        "try:\n    f()\nexcept Exception:\n    pass",
        "try:\n    f()\nexcept (OSError, BaseException):\n    pass",
        "try:\n    f()\nexcept:\n    pass",
        "with contextlib.suppress(Exception):\n    f()",
        "import pytest\npytest.skip()",
        "import pytest\npytest.skip('')",
        "import pytest\n@pytest.mark.skip\ndef test(): ...",
        "import pytest\n@pytest.mark.xfail(strict=True)\ndef test(): ...",
        "import pytest\n@pytest.mark.skipif(True, reason='')\ndef test(): ...",
        "import pytest\nyaml = pytest.importorskip('yaml')",
    ],
)
def test_a_suppression_without_a_reason_is_found(source: str) -> None:
    """Every kind of suppression is asked for its reason."""
    assert len(unexplained(source)) == 1


def test_a_suppression_with_its_reason_is_allowed() -> None:
    """A reason on the line is enough."""
    explained = """
import pytest
x = f()  # type: ignore[arg-type]  # the library's stub is wrong about None
y = 1  # noqa: E501 the address cannot be broken
try:
    f()
except Exception:  # a plug-in's fault must not stop the line
    pass
pytest.skip("mosquitto is not installed")
pytest.importorskip("yaml", reason="no YAML reader is installed")
"""
    assert unexplained(explained) == []


def test_a_lint_rule_ignored_without_a_reason_is_found() -> None:
    """A rule switched off in silence is noticed."""
    text = '[tool.ruff.lint]\nignore = [\n    "D104",\n    "D105", # a magic method is known\n]\n'
    assert [offence.line for offence in unexplained_ignores(text)] == [3]
