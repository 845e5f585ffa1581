"""The tools that read the code find nothing: one command tests everything, and each tool is shown to be awake."""

import subprocess
import sys
from pathlib import Path

import pytest

from source_tree import ROOT

TOOLS = {
    "ruff": ("ruff", "check", "--no-cache"),
    "mypy": ("mypy",),
}


def run(command: tuple[str, ...], *paths: Path | str) -> subprocess.CompletedProcess[str]:
    """Run a tool of this environment with the project's settings."""
    program = Path(sys.executable).with_name(command[0])
    return subprocess.run([program, *command[1:], *paths], cwd=ROOT, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("tool", TOOLS)
def test_the_tool_has_nothing_to_say(tool: str) -> None:
    """Style and types are as the house wants them."""
    result = run(TOOLS[tool])
    assert result.returncode == 0, result.stdout + result.stderr


def test_a_wrong_type_and_a_bare_ignore_are_found(tmp_path: Path) -> None:
    """The type checker is as strict as the settings say."""
    (tmp_path / "wrong.py").write_text("def f(x) -> int:\n    return 'a'  # type: ignore\n")
    result = run(("mypy", "--cache-dir", str(tmp_path)), tmp_path / "wrong.py")
    assert "[no-untyped-def]" in result.stdout
    assert "[ignore-without-code]" in result.stdout


def test_a_banned_call_is_found_with_its_replacement(tmp_path: Path) -> None:
    """Whoever reaches for a footgun is told what to use instead."""
    (tmp_path / "wrong.py").write_text('"""Wrong."""\n\nimport asyncio\n\nTASK = asyncio.create_task\n')
    result = run(("ruff", "check", "--no-cache", "--config", str(ROOT / "pyproject.toml")), tmp_path / "wrong.py")
    assert "runtime.supervise" in result.stdout
