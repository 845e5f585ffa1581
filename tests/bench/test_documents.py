"""
What a document costs to be made: from stored documents of ninety shifts to HTML, and from that to PDF.

Figures are printed, not judged: they belong to the machine. `pytest -m bench -s` shows them.
"""

import time
from collections.abc import Callable

import pytest

from crowded import crowded
from paper import printed
from seasons import season
from tumpline.reports.season_report import season_report
from tumpline.reports.sheet import Site
from tumpline.reports.shift_report import shift_report
from tumpline.reports.statement import statement, statement_document
from tumpline.reports.trace_sheet import trace_sheet
from tumpline.wire.documents import summary_document
from tumpline.wire.traces import trace_vat
from tumpline.wire.words import Refused

pytestmark = pytest.mark.bench

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")
SEASON = season(90)


def traced() -> str:
    """Whose fruit is in a vat, over the whole season."""
    trace = trace_vat(SEASON["summaries"], "V1")
    assert not isinstance(trace, Refused)
    return trace_sheet(trace, SITE)


def seconds(work: Callable[[], object]) -> float:
    """What one run takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


@pytest.mark.parametrize(
    ("name", "made"),
    [
        ("shift", lambda: shift_report(summary_document(crowded()), [], SITE)),
        ("season", lambda: season_report(SEASON, SITE)),
        ("statement", lambda: statement(statement_document(SEASON, "Long Acre"), SITE)),
        ("trace", traced),
    ],
)
def test_what_a_document_costs(name: str, made: Callable[[], str]) -> None:
    """The page itself, and setting it for paper."""
    printed("")  # or the first document pays for loading the library
    html = made()
    page, paper = seconds(made), seconds(lambda: printed(html))
    print(f"\n{name}: {page * 1000.0:.0f} ms as HTML of {len(html) // 1000} kB; as PDF {paper / page:.0f} times that")
    assert page > 0.0
