"""Documents as PDF."""

import io
import logging


class NoPdfError(Exception):
    """PDF cannot be written here; its text is a sentence that says what is missing."""


def to_pdf(html: str) -> bytes:
    """
    A document's HTML file on A4 pages. Raises NoPdfError.

    The library that sets the pages needs Pango of the system; it is loaded only here, for it takes its time.
    """
    try:
        import weasyprint  # type: ignore[import-untyped]  # it comes without types
    except ImportError as error:
        raise NoPdfError(
            "PDF needs the library WeasyPrint: install tumpline with its extra `pdf`; --format html is accepted "
            "without it, and every browser prints that to PDF."
        ) from error
    except OSError as error:  # how a missing system library shows
        raise NoPdfError(
            "PDF needs the system's library Pango (on Debian libpango-1.0-0, libpangoft2-1.0-0 and "
            "libharfbuzz-subset0); "
            "--format html is accepted without it, and every browser prints that to PDF."
        ) from error
    logging.getLogger("fontTools").setLevel(logging.WARNING)  # it tells every glyph it leaves out
    logging.getLogger("weasyprint").setLevel(logging.ERROR)  # it tells every rule that is for screens only
    page = io.BytesIO()
    nothing = weasyprint.urls.URLFetcher(allowed_protocols=())  # a document needs nothing from outside, nor may a name
    weasyprint.HTML(string=html, url_fetcher=nothing).write_pdf(page)
    return page.getvalue()
