"""Settings files for tests: a good one, and ways to change it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tumpline.settings import Settings, SettingsError, load

FOUR = "".join(
    f'[[line.signal]]\nname = "{name}"\n' for name in ("flume/flow", "mill/throughput", "press/pressure", "juice/flow")
)


def written(folder: Path, *, head: str = "", line: str = "", signals: str = FOUR, tail: str = "") -> Path:
    """The file, with more in its head, its line, its signals or after them."""
    text = f'{head}\n[[line]]\nid = "line-1"\nrated_throughput = "4 t/h"\n{line}\n{signals}\n{tail}\n'
    path = folder / "site.toml"
    path.write_text(text, encoding="utf-8")
    return path


def good(folder: Path, *, head: str = "", line: str = "", signals: str = FOUR, tail: str = "") -> Settings:
    """The settings of such a file."""
    return load(written(folder, head=head, line=line, signals=signals, tail=tail))


def problems(path: Path) -> list[str]:
    """What is wrong with the file, without its name in front of every sentence."""
    with pytest.raises(SettingsError) as error:
        load(path)
    assert all(text.startswith(f"{path}: ") and text.endswith(".") for text in error.value.problems)
    return [text.removeprefix(f"{path}: ") for text in error.value.problems]
