"""A load of a shift that is over is put right: everybody hears of it, and nothing that was written is lost."""

import json
import sqlite3
from pathlib import Path

import pytest

from polling import wait_until
from programs import Running
from tumpline.wire.entries import read_entry
from works import Neighbour, Works, simulated, tumpline

pytestmark = pytest.mark.system


def stored(store: Path, query: str) -> list[bytes]:
    """One column of what somebody else finds in the store."""
    with sqlite3.connect(store) as db:
        found = [bytes(value) for (value,) in db.execute(query)]
    db.close()
    return found


def test_a_correction_reaches_bus_store_and_reports(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """The summary is told anew with who changed what; both versions stay, and the journal is as it was."""
    _, config, messages = simulated(tmp_path, broker.port, hours=0.2)
    store = tmp_path / "simulated.db"
    ticket = next(payload for topic, payload in messages if topic.endswith("/book/load"))
    entry = read_entry("load", ticket.encode(), arrived=2e9, latest=2e9)
    correction = {"entry": getattr(entry, "id", ""), "grower": "Hill Farm", "by": "office"}
    with Works(config) as works:
        wait_until(lambda: works.connections == 1)
        neighbour.publish(messages)
        wait_until(lambda: neighbour.documents("summary"))
        neighbour.publish([("tumpline/line-1/book/correct", json.dumps(correction))])
        wait_until(lambda: len(neighbour.documents("summary")) == 2)
        assert works.stop() == 0
    first, anew = neighbour.documents("summary")
    assert (anew["loads"][0]["grower"], anew["juice_l"]) == ("Hill Farm", first["juice_l"])
    (told,) = anew["corrections"]
    assert (told["by"], told["was"], told["is"]) == (
        "office",
        {"grower": first["loads"][0]["grower"]},
        {"grower": "Hill Farm"},
    )
    assert json.loads(tumpline("report", "--config", config).stdout) == anew
    assert [json.loads(document) for document in stored(store, "SELECT document FROM superseded")] == [first]
    assert ticket.encode() in stored(store, "SELECT payload FROM journal")
    assert ticket.encode() in stored(store, "SELECT payload FROM entry WHERE kind = 'load'")
