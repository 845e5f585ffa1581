"""Documents about shifts that are over, made from the store in the form that is asked for."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from tumpline.app.errors import CommandError, Status
from tumpline.app.offline import read_settings, store_of
from tumpline.app.season import newest_season, season, shift_file
from tumpline.reports.pdf import NoPdfError, to_pdf
from tumpline.reports.pomace_sheet import pomace_document, pomace_sheet
from tumpline.reports.season_report import season_report
from tumpline.reports.sheet import Site
from tumpline.reports.shift_report import shift_report
from tumpline.reports.statement import statement, statement_document
from tumpline.reports.table import loads_csv, shifts_csv
from tumpline.reports.trace_sheet import trace_sheet
from tumpline.wire.documents import encode
from tumpline.wire.figures import Document
from tumpline.wire.traces import trace_load, trace_vat
from tumpline.wire.words import Refused

_TOGETHER = ({"--shift", "--trailer"}, *({"--season", one} for one in ("--grower", "--vat", "--load", "--trailer")))
_ACCEPTED = "one of them alone, --season with one of --grower, --vat, --load and --trailer, or --shift with --trailer"


@dataclass(frozen=True, kw_only=True)
class Request:
    """Which document; without any of these the last shift's report."""

    shift: str | None = None
    season: int | None = None
    grower: str | None = None
    vat: str | None = None
    load: str | None = None
    trailer: str | None = None


@dataclass(frozen=True)
class Paper:
    """A document in all its forms; each is made when it is asked for."""

    document: Document
    html: Callable[[], str]
    csv: Callable[[], str]


def report(config: Path | None, store: Path | None, form: str, wanted: Request) -> bytes:
    """The document as a file of this form: html, pdf, csv or json. Raises CommandError."""
    _check(wanted)
    path = store_of(config, store)
    return in_form(paper(path, wanted, site_of(config)), form)


def in_form(paper: Paper, form: str) -> bytes:
    """A paper as a file of this form. Raises CommandError."""
    match form:
        case "html":
            return paper.html().encode()
        case "pdf":
            try:
                return to_pdf(paper.html())
            except NoPdfError as error:
                raise CommandError(Status.UNREACHABLE, str(error)) from error
        case "csv":
            return paper.csv().encode()
        case _:
            return encode(paper.document) + b"\n"


def _check(wanted: Request) -> None:
    """Refuse what contradicts itself."""
    given = {f"--{name}" for name, value in vars(wanted).items() if value is not None}
    if not any(given <= accepted for accepted in _TOGETHER):
        sentence = f"{' and '.join(sorted(given))} do not go together; {_ACCEPTED} is accepted."
        raise CommandError(Status.BAD_SETTINGS, sentence)


def paper(store: Path, wanted: Request, site: Site) -> Paper:
    """The document that is wanted. Raises CommandError where the store does not hold what it is about."""
    if wanted.grower is not None:
        return _statement(store, wanted.grower, wanted.season, site)
    if wanted.trailer is not None:
        return _pomace(store, wanted.trailer, wanted, site)
    if wanted.vat is not None:
        return _trace(trace_vat(_summaries(store, wanted.season), wanted.vat), store, site)
    if wanted.load is not None:
        return _trace(trace_load(_summaries(store, wanted.season), wanted.load), store, site)
    if wanted.season is not None:
        whole = season(store, wanted.season)
        return Paper(whole, lambda: season_report(whole, site), lambda: shifts_csv(whole["summaries"]))
    file = shift_file(store, wanted.shift)
    summary = file.summary
    return Paper(summary, lambda: shift_report(summary, file.trace, site), lambda: shifts_csv([summary]))


def _statement(store: Path, grower: str, year: int | None, site: Site) -> Paper:
    whole = season(store, newest_season(store) if year is None else year)
    document = statement_document(whole, grower)
    if not document["loads"]:
        growers = _listed(load["grower"] for load in whole["loads"])
        sentence = f"{store} holds no load of {grower} in season {whole['season']}; it holds loads of {growers}."
        raise CommandError(Status.BAD_DATA, sentence)
    return Paper(document, lambda: statement(document, site), lambda: loads_csv(document["loads"]))


def _pomace(store: Path, trailer: str, wanted: Request, site: Site) -> Paper:
    """Of its last trip in the shift or season that is named, else in the newest season."""
    summaries = [shift_file(store, wanted.shift).summary] if wanted.shift else _summaries(store, wanted.season)
    document = _found(pomace_document(summaries, trailer), store)
    return Paper(document, lambda: pomace_sheet(document, site), lambda: loads_csv(document["from"]))


def _trace(made: Document | Refused, store: Path, site: Site) -> Paper:
    document = _found(made, store)
    return Paper(document, lambda: trace_sheet(document, site), lambda: loads_csv(document["loads"]))


def _found(made: Document | Refused, store: Path) -> Document:
    if isinstance(made, Refused):
        raise CommandError(Status.BAD_DATA, f"{store}: {made.reason}")
    return made


def _summaries(store: Path, year: int | None) -> list[Document]:
    found: list[Document] = season(store, newest_season(store) if year is None else year)["summaries"]
    return found


def site_of(config: Path | None) -> Site:
    """Whose works it is, by the settings; nameless without them. Raises CommandError."""
    if config is None:
        return Site(name="", timezone="UTC")
    site = read_settings(config, secrets=False).site
    return Site(name=site.name, timezone=site.timezone, imperial=site.units == "imperial")


def _listed(names: Iterable[str]) -> str:
    return ", ".join(sorted({name for name in names if name})) or "none"
