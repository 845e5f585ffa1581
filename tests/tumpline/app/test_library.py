"""The store's documents for the page."""

from datetime import UTC, datetime
from pathlib import Path

import msgspec
import pytest

from records import SUMMARY
from settings_files import good
from stored_shifts import row, stored
from tumpline.adapters.sqlite import SqliteStore
from tumpline.adapters.web.library import Contents, LibraryError
from tumpline.app.library import StoreLibrary
from tumpline.runtime.ports import Outputs


@pytest.fixture(name="library")
def _library(tmp_path: Path) -> StoreLibrary:
    """A store with two shifts."""
    path = stored(
        tmp_path / "works.db", early=datetime(2026, 10, 14, 6, tzinfo=UTC), late=datetime(2026, 10, 15, 6, tzinfo=UTC)
    )
    return StoreLibrary(good(tmp_path, head=f'[store]\npath = "{path}"\n'))


def test_the_newest_shift_stands_first(library: StoreLibrary) -> None:
    """With the season's growers, loads, vats and trailers."""
    contents = library.contents()
    assert [shift.shift for shift in contents.shifts] == ["late", "early"]
    assert contents.season == 2026
    assert contents.growers == sorted({load.grower for load in SUMMARY.loads})
    assert contents.vats == sorted({vat.vat for vat in SUMMARY.vats})


def test_fruit_of_no_load_has_no_document(tmp_path: Path) -> None:
    """What was milled before a load was named is in the shift's own document only."""
    unnamed = msgspec.structs.replace(SUMMARY.loads[0], load="", grower="")
    summary = msgspec.structs.replace(SUMMARY, loads=(unnamed, *SUMMARY.loads))
    path = tmp_path / "works.db"
    store = SqliteStore(path)
    store.commit([], Outputs(summaries=[row(summary)]), [])
    store.close()
    loads = StoreLibrary(good(tmp_path, head=f'[store]\npath = "{path}"\n')).contents().loads
    assert sorted(loads) == sorted({load.load for load in SUMMARY.loads})


def test_a_shift_is_made_into_a_page(library: StoreLibrary) -> None:
    """The same document that the command writes."""
    assert library.document("shift", "early", "html").startswith(b"<!doctype html>")
    assert b'"schema"' in library.document("season", "2026", "json")


@pytest.mark.parametrize(
    ("kind", "name", "words"),
    [
        ("shift", "noon", "holds no such shift"),
        ("season", "1999", "no shift of season 1999"),
        ("season", "x", "a year is accepted"),
    ],
)
def test_what_the_store_does_not_hold_is_said_so(library: StoreLibrary, kind: str, name: str, words: str) -> None:
    """In the sentence that the command says."""
    with pytest.raises(LibraryError, match=words):
        library.document(kind, name, "html")


def test_an_empty_store_holds_nothing(tmp_path: Path) -> None:
    """No shift yet, no season, no names; a store that is not there is said so."""
    path = stored(tmp_path / "works.db")
    assert StoreLibrary(good(tmp_path, head=f'[store]\npath = "{path}"\n')).contents() == Contents()
    with pytest.raises(LibraryError):
        StoreLibrary(good(tmp_path, head=f'[store]\npath = "{tmp_path / "none.db"}"\n')).contents()
