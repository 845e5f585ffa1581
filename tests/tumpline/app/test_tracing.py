"""Whose fruit, and where it went, from the store."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from stored_shifts import stored
from tumpline.app.errors import CommandError, Status
from tumpline.app.tracing import TRACES, trace

OCTOBER, MARCH = datetime(2026, 10, 14, 6, tzinfo=UTC), datetime(2026, 3, 2, 6, tzinfo=UTC)


def test_a_trace_is_of_the_newest_season_unless_one_is_named(tmp_path: Path) -> None:
    """A vat, a load and a trailer each lead to the grower."""
    store = stored(tmp_path / "works.db", old=MARCH, new=OCTOBER)
    for kind, name in (("vat", "V1"), ("load", "L-7"), ("trailer", "T2")):
        new, old = trace(store, kind, name, None), trace(store, kind, name, 2025)
        assert (new["since"][:10], old["since"][:10]) == ("2026-10-14", "2026-03-02")
        assert "Coppice Farm" in {grower["grower"] for grower in new["growers"]}
    assert set(TRACES) == {"vat", "load", "trailer"}


def test_what_is_not_there_is_refused_with_what_is(tmp_path: Path) -> None:
    """The sentence names the store and the vats it has."""
    with pytest.raises(CommandError, match=r'works\.db: There is no vat "V9".*V1 is accepted\.') as error:
        trace(stored(tmp_path / "works.db", new=OCTOBER), "vat", "V9", None)
    assert error.value.status is Status.BAD_DATA
