"""Documents from the store."""

import csv
import io
import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from paper import printed
from settings_files import written
from stored_shifts import stored
from tumpline.app.errors import CommandError, Status
from tumpline.app.report import Request, report


def morning(year: int, month: int, day: int) -> datetime:
    """Six in the morning."""
    return datetime(year, month, day, 6, tzinfo=UTC)


THREE = {"a": morning(2025, 11, 3), "b": morning(2026, 2, 3), "c": morning(2026, 10, 14)}
ALL = [
    Request(),
    Request(season=2025),
    Request(grower="Coppice Farm"),
    Request(vat="V1"),
    Request(load="L-7"),
    Request(trailer="T2"),
    Request(trailer="T2", shift="a"),
]
NAMES = ["shift", "season", "statement", "vat", "load", "pomace", "pomace of a shift"]


@pytest.fixture
def store(tmp_path: Path) -> Path:
    """A store of three shifts in two seasons."""
    return stored(tmp_path / "works.db", **THREE)


def made(store: Path, form: str, wanted: Request, config: Path | None = None) -> str:
    """A document as text."""
    return report(config, store, form, wanted).decode()


def test_a_season_runs_from_july_to_june(store: Path) -> None:
    """November and the February after it are one season, the next October is another."""
    season = json.loads(made(store, "json", Request(season=2025)))
    assert (season["schema"], season["season"]) == ("tumpline.season/1", 2025)
    assert [summary["shift"] for summary in season["summaries"]] == ["a", "b"]
    table = csv.DictReader(io.StringIO(made(store, "csv", Request(season=2026))))
    assert [row["shift"] for row in table] == ["c"]


def test_a_report_is_of_the_last_shift_unless_one_is_named(store: Path) -> None:
    """The stored document is given as it was published."""
    last, named = (json.loads(made(store, "json", Request(shift=shift))) for shift in (None, "b"))
    assert (last["schema"], last["shift"], named["shift"]) == ("tumpline.summary/1", "c", "b")


@pytest.mark.parametrize("wanted", ALL, ids=NAMES)
def test_every_document_comes_in_every_form(store: Path, wanted: Request) -> None:
    """A page, a table and a document for programs."""
    assert made(store, "html", wanted).startswith("<!doctype html>")
    assert len(list(csv.reader(io.StringIO(made(store, "csv", wanted))))) > 1
    assert json.loads(made(store, "json", wanted))["schema"].startswith("tumpline.")


@pytest.mark.parametrize("wanted", ALL, ids=NAMES)
def test_every_document_can_be_printed(store: Path, wanted: Request) -> None:
    """As PDF."""
    printed("")
    assert report(None, store, "pdf", wanted).startswith(b"%PDF-")


def test_a_document_bears_the_name_and_the_clock_of_the_works(store: Path, tmp_path: Path) -> None:
    """Both come from the settings."""
    head = '[site]\nname = "Hollow Lane Cider Works"\ntimezone = "Europe/London"'
    page = made(store, "html", Request(), written(tmp_path, head=head))
    assert "Hollow Lane Cider Works" in page and "07:00 to 15:00 BST" in page


def test_a_statement_is_of_the_newest_season_unless_one_is_named(store: Path) -> None:
    """One load in 2026, two in the season before."""
    newest, before = (
        json.loads(made(store, "json", Request(grower="Coppice Farm", season=year))) for year in (None, 2025)
    )
    assert (newest["season"], len(newest["loads"])) == (2026, 1)
    assert (before["season"], len(before["loads"])) == (2025, 2)


@pytest.mark.parametrize(
    ("wanted", "status", "sentence"),
    [
        (Request(shift="night"), Status.BAD_DATA, "works.db holds no such shift; it holds a, b, c."),
        (
            Request(grower="Nobody"),
            Status.BAD_DATA,
            "no load of Nobody in season 2026; it holds loads of Coppice Farm.",
        ),
        (Request(trailer="T9"), Status.BAD_DATA, 'There is no trailer "T9"'),
        (Request(vat="V9"), Status.BAD_DATA, "V1 is accepted."),
        (Request(shift="a", season=2025), Status.BAD_SETTINGS, "--season and --shift do not go together"),
    ],
    ids=["shift", "grower", "trailer", "vat", "together"],
)
def test_a_report_that_cannot_be_made_says_why(store: Path, wanted: Request, status: Status, sentence: str) -> None:
    """What is not there is refused with what there is."""
    with pytest.raises(CommandError) as error:
        report(None, store, "json", wanted)
    assert error.value.status is status
    assert sentence in str(error.value)
