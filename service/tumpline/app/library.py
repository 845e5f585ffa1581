"""The documents of the store, for the page."""

from pathlib import Path

from tumpline.adapters.web.library import Contents, LibraryError, Shift
from tumpline.app.errors import CommandError
from tumpline.app.report import Request, in_form, paper
from tumpline.app.season import opened
from tumpline.reports.sheet import Site
from tumpline.settings import Settings
from tumpline.wire.figures import Document
from tumpline.wire.season import season_of


class StoreLibrary:
    """Fits `adapters.web.library.Library`: opens the store for reading each time."""

    def __init__(self, settings: Settings) -> None:
        site = settings.site
        self._store: Path = settings.store.path
        self._site = Site(name=site.name, timezone=site.timezone, imperial=site.units == "imperial")

    def contents(self) -> Contents:
        """What there are documents about. Raises LibraryError."""
        try:
            with opened(self._store) as archive:
                rows = archive.summaries()
                if not rows:
                    return Contents()
                year = season_of(rows[-1].start)
                season = archive.season(year)
        except CommandError as error:
            raise LibraryError(str(error)) from error
        shifts = [Shift(row.line, row.shift, row.start, row.end) for row in reversed(rows)]
        return Contents(
            shifts,
            year,
            growers=_names(season["loads"], "grower"),
            loads=list(dict.fromkeys(str(load["load"]) for load in reversed(season["loads"]) if load["load"])),
            vats=_names([vat for summary in season["summaries"] for vat in summary["vats"]], "vat"),
            trailers=_names([t for summary in season["summaries"] for t in summary["trailers"]], "trailer"),
        )

    def document(self, kind: str, name: str, form: str) -> bytes:
        """The document about this name in this form. Raises LibraryError."""
        if kind == "season" and not name.isdecimal():
            raise LibraryError(f"{name} is no season; a year is accepted.")
        about: dict[str, str | int] = {kind: int(name) if kind == "season" else name}
        try:
            return in_form(paper(self._store, Request(**about), self._site), form)  # type: ignore[arg-type]  # each of its kind
        except CommandError as error:
            raise LibraryError(str(error)) from error


def _names(documents: list[Document], key: str) -> list[str]:
    return sorted({str(document[key]) for document in documents if document.get(key)})
