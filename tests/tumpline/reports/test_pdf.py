"""Documents as PDF."""

import builtins
import sys

import pytest

from paper import printed
from tumpline.reports.pdf import NoPdfError, to_pdf


def test_a_document_becomes_a_pdf() -> None:
    """A file any reader opens."""
    made = printed("<!doctype html><title>t</title><p>Hollow Lane</p>")
    assert made.startswith(b"%PDF-") and made.rstrip().endswith(b"%%EOF")


def test_nothing_is_fetched_for_a_document() -> None:
    """A name that looks like a picture somewhere else is left out."""
    assert printed("<p><img src='file:///etc/hostname'></p>").startswith(b"%PDF-")


@pytest.mark.parametrize(
    ("error", "missing"), [(ImportError("no weasyprint"), "extra `pdf`"), (OSError("no pango"), "libpango-1.0-0")]
)
def test_what_is_missing_for_pdf_is_said(monkeypatch: pytest.MonkeyPatch, error: Exception, missing: str) -> None:
    """A library or a system library that is not there is a sentence with what to install and what works without."""
    original = builtins.__import__

    def refuse(name: str, *rest: object) -> object:
        if name == "weasyprint":
            raise error
        return original(name, *rest)  # type: ignore[arg-type]  # handed on as it came

    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(builtins, "__import__", refuse)
    with pytest.raises(NoPdfError) as told:
        to_pdf("<p></p>")
    assert missing in str(told.value) and "--format html" in str(told.value)
