"""Loads and vats taken from tables into the book of a running service."""

import json
from pathlib import Path

import pytest

from polling import wait_until
from programs import Running
from works import Neighbour, Works, settings, tumpline

pytestmark = pytest.mark.system

COUNT = 1200
"""More than a broker keeps for one client."""
LOADS = "load,grower,net_kg,varieties,at\n" + "".join(
    f"L-{n},Long Acre,{4000 + n},Acre Russet,2026-01-02T06:{n // 60:02d}:{n % 60:02d}Z\n" for n in range(COUNT)
)


def test_a_table_goes_into_the_book_and_comes_back_out(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """Each load is taken once, in order, however many there are, and the export has them as they were."""
    config, table = settings(tmp_path, broker.port), tmp_path / "loads.csv"
    table.write_text(LOADS)
    with Works(config) as works:
        wait_until(lambda: works.connections == 1)
        first = tumpline("import", "loads", table, "--config", config, "--by", "office", "--json")
        assert first.returncode == 0, first.stderr
        assert (json.loads(first.stdout)["taken"], json.loads(first.stdout)["rejected"]) == (COUNT, [])
        taken = [event["data"]["load"] for event in neighbour.documents("event") if "load" in event["data"]]
        assert taken == [f"L-{n}" for n in range(COUNT)]
        exported = tumpline("export", "loads", "--config", config)
        assert [row.split(",")[0] for row in exported.stdout.splitlines()[1:]] == taken
        assert works.stop() == 0


def test_nobody_takes_rows_where_no_service_runs(broker: Running, tmp_path: Path) -> None:
    """They are not left with a broker that would lose them; the sentence says what is missing."""
    table = tmp_path / "loads.csv"
    table.write_text(LOADS)
    ended = tumpline("import", "loads", table, "--config", settings(tmp_path, broker.port), "--by", "office")
    assert ended.returncode == 4
    assert f"No service for line-1 is connected to the broker at 127.0.0.1:{broker.port}" in ended.stderr
