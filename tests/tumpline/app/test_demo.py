"""The whole program with nothing to prepare."""

import asyncio
import json
import socket
from pathlib import Path

import pytest

from press_stories import known
from programs import free_port, listens
from tumpline.app.demo import Wish, demo
from tumpline.app.errors import CommandError, Status


def wish(folder: Path, *, port: int | None = None, faults: str = "none") -> Wish:
    """A short shift, fast, and then the end."""
    port = free_port() if port is None else port
    return Wish(speed=120.0, hours=0.1, seed=1, faults=faults, once=True, port=port, folder=folder)


def test_a_simulated_shift_is_summed_up_close_to_its_truth(tmp_path: Path) -> None:
    """The demo ends with a summary, keeps what truly happened beside it, and begins anew every time."""
    (tmp_path / "demo.db").write_text("of a demo long ago")
    said: list[str] = []
    asked = wish(tmp_path)
    summary = asyncio.run(demo(asked, say=said.append))
    truth = json.loads((tmp_path / "demo-truth.json").read_text())
    assert summary is not None
    assert known(summary.fruit).value == pytest.approx(truth["fruit_kg"], rel=0.05)
    assert said[0] == f"The page: http://127.0.0.1:{asked.port}/"
    assert not listens(asked.port)


def test_a_taken_port_is_left_to_its_owner(tmp_path: Path) -> None:
    """The page goes to the next free port, and says so; what the simulated line cannot do is said in its words."""
    said: list[str] = []
    with socket.socket() as owner:
        owner.bind(("127.0.0.1", 0))
        owner.listen()
        taken = owner.getsockname()[1]
        with pytest.raises(CommandError, match=r"^The simulated line ended with status 2: .*'flood'") as error:
            asyncio.run(demo(wish(tmp_path, port=taken, faults="flood@1"), say=said.append))
    assert error.value.status is Status.BAD_SETTINGS
    assert said[0].startswith(f"Port {taken} is taken; the page is on ")
    assert said[1].startswith("The page: http://127.0.0.1:") and str(taken) not in said[1]
