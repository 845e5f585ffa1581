"""Documents set in pages, as a printer would get them."""

import os

import pytest

from tumpline.reports.pdf import NoPdfError, to_pdf


def printed(html: str) -> bytes:
    """
    The document as PDF, or the test is skipped where the system's library for it is missing.

    On the machine that checks every change (CI is set) that fails the test: there it would hide a loss.
    """
    try:
        return to_pdf(html)
    except NoPdfError as error:
        if os.environ.get("CI"):
            pytest.fail(str(error))
        pytest.skip(str(error))


def pages(html: str) -> int:
    """How many pages of A4 the document prints on."""
    printed("")
    import weasyprint  # what `printed` has found to be there

    return len(weasyprint.HTML(string=html).render().pages)
