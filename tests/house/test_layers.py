"""Imports point downwards only, between the rooms of the service and between its strangers."""

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from source_tree import ROOT


def kept(project: Path) -> subprocess.CompletedProcess[str]:
    """Hold the sources below `project` against the contracts in its settings."""
    roots = os.pathsep.join([str(project / "service"), str(project / "simulators")])
    return subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=project,
        env=os.environ | {"PYTHONPATH": roots, "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(name="house")
def _house(tmp_path: Path) -> Path:
    """The rooms of the contracts, empty."""
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    layers = next(contract["layers"] for contract in contracts if contract["type"] == "layers")
    rooms = [room.strip(" ()") for layer in layers for room in layer.split("|")]
    strangers = ["service/tumpline", "simulators/tumpline_sim", "simulators/tumpline_score"]
    for package in [f"service/tumpline/{room}" for room in rooms] + strangers:
        (tmp_path / package).mkdir(parents=True, exist_ok=True)
        (tmp_path / package / "__init__.py").touch()
    for adapter in ("mqtt", "sqlite"):
        (tmp_path / "service/tumpline/adapters" / f"{adapter}.py").touch()
    return tmp_path


def test_imports_point_downwards() -> None:
    """A line of code can be moved or replaced knowing only the rooms below it."""
    result = kept(ROOT)
    assert result.returncode == 0, result.stdout + result.stderr


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("pressing/events", "import tumpline.wire"),
        ("wire/units", "import tumpline.runtime"),
        ("runtime/clock", "import tumpline.adapters"),
        ("settings/site", "import tumpline.runtime"),
        ("replay/offline", "import tumpline.adapters"),
        ("adapters/mqtt", "import tumpline.adapters.sqlite"),
        ("adapters/mqtt", "def late():\n    import tumpline.app"),
        ("adapters/mqtt", "import tumpline_sim"),
        ("adapters/mqtt", "import tumpline_score"),
        ("odds_and_ends", ""),
    ],
)
def test_an_import_that_points_upwards_is_found(house: Path, module: str, source: str) -> None:
    """Each way of breaking the order of the rooms, and a module that belongs to none, is refused."""
    (house / "service" / "tumpline" / f"{module}.py").write_text(source)
    result = kept(house)
    assert result.returncode == 1
    assert "BROKEN" in result.stdout
    assert f"tumpline.{module.replace('/', '.')}" in result.stdout


def test_the_empty_house_breaks_no_contract(house: Path) -> None:
    """What the tests above find is what they put there."""
    result = kept(house)
    assert result.returncode == 0, result.stdout
