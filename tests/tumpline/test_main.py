"""`python -m tumpline`, for whoever has no command of that name."""

import subprocess
import sys

import pytest


@pytest.mark.parametrize(("arguments", "status"), [(["--help"], 0), ([], 2)])
def test_the_module_is_the_command(arguments: list[str], status: int) -> None:
    """It ends as the command does, and tells the same commands."""
    ended = subprocess.run([sys.executable, "-m", "tumpline", *arguments], capture_output=True, text=True, check=False)
    assert ended.returncode == status
    assert "usage: tumpline [-h] [--version] COMMAND" in ended.stdout + ended.stderr
