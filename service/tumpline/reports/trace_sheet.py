"""One step back and one step forward, on paper: whose fruit is in a vat or trailer, and where a load went."""

from collections.abc import Iterable, Iterator, Sequence

from tumpline.reports.bars import share_bar
from tumpline.reports.drawing import shortened
from tumpline.reports.sheet import Column, Site, header, sheet, side_by_side, table
from tumpline.reports.words import Clock, Document, count_of, figure, number, of_load, varieties, with_interval
from tumpline.wire.markup import Child, Html, el

_RULE = "one step back and one step forward: Regulation (EC) 178/2002, Article 18"
_KINDS = {"vat": "Vat", "trailer": "Trailer", "load": "Load"}
_UNITS = {"juice_l": "juice, L", "pomace_kg": "pomace, kg"}
_BAR = 40.0  # mm
_TRIPS_SHOWN = 12


def trace_sheet(trace: Document, site: Site) -> str:
    """The HTML file of a `tumpline.trace/1`."""
    clock = Clock(site.timezone)
    ((kind, name),) = trace["of"].items()
    title = f"Traceability: {_KINDS[kind].lower()} {name}"
    when = f"shifts from {clock.day(trace['since'])} to {clock.day(trace['until'])}; {_RULE}"
    return sheet(
        site,
        title,
        header(site, title, when),
        *_back(trace, clock),
        *_forward(trace, clock),
        el("p", trace["note"], class_="note"),
    )


def _back(trace: Document, clock: Clock) -> Iterator[Child]:
    key = "pomace_kg" if "trips" in trace else "juice_l"
    yield el("h2", "One step back ", el("small", _held(trace)))
    yield _loads(trace["loads"], key, clock)
    growers = [(one["grower"] or "not named", one["share_pct"]) for one in trace["growers"]]
    kinds = [(one["name"] or "not named", one["share_pct"]) for one in trace["varieties"]]
    yield side_by_side(_shares("grower", growers), _shares("variety", kinds))


def _held(trace: Document) -> str:
    if "held_l" not in trace:
        return ""
    held = with_interval(trace, "held_l")
    return f"the vat holds {held} L" if trace["held_l"] else f"what the vat holds is {held}"


def _loads(loads: Sequence[Document], key: str, clock: Clock) -> Html:
    columns = (
        Column("load", short=True),
        Column("grower", short=True),
        Column("varieties"),
        Column("weighed in, kg", number=True),
        Column("pressed"),
        Column(_UNITS[key], number=True),
        Column("share", number=True),
    )
    rows = [
        (
            of_load(load["load"]),
            load["grower"] or "not named",
            varieties(load),
            figure(load, "net_kg") if load["net_kg"] else "not weighed",
            _when(load["pressed"], clock),
            with_interval(load, key),
            _percent(load["share_pct"]),
        )
        for load in loads
    ]
    return table(columns, rows)


def _forward(trace: Document, clock: Clock) -> Iterator[Child]:
    takers = ", ".join(trace["taken_by"])
    yield el("h2", "One step forward ", el("small", f"taken by {takers}" if takers else "nobody is named who took any"))
    if trace.get("vats"):
        yield el("h3", "Vats")
        yield _vats(trace["vats"], clock)
    if trace.get("trailers"):
        yield el("h3", "Trailers")
        yield _trailers(trace["trailers"], clock)
    if trace.get("trips"):
        yield _trips(trace["trips"][-_TRIPS_SHOWN:], clock)
        if len(trace["trips"]) > _TRIPS_SHOWN:
            earlier = count_of(len(trace["trips"]) - _TRIPS_SHOWN, "earlier trip")
            yield el("p", f"{earlier} in the document (JSON).", class_="quiet")
    if trace.get("moves"):
        yield el("h3", "Moved or taken")
        yield _moves(trace["moves"], clock)
    elif "moves" in trace:
        yield el("p", "No juice of it was moved or taken, as far as the book tells.", class_="note")


def _moves(moves: Iterable[Document], clock: Clock) -> Html:
    columns = (Column("when"), Column("from vat"), Column("to"), Column("taken by"), Column("juice, L", number=True))
    rows = [
        (
            f"{clock.day(move['at'])} {clock.minute(move['at'])}",
            move["from_vat"],
            f"vat {move['to_vat']}" if move["to_vat"] else "out of the works",
            move["taken_by"] or "",
            with_interval(move, "juice_l"),
        )
        for move in moves
    ]
    return table(columns, rows)


def _vats(vats: Iterable[Document], clock: Clock) -> Html:
    columns = (Column("vat"), Column("poured"), Column("of it there now, L", number=True), Column("last seen"))
    rows = [
        (
            vat["vat"],
            "; ".join(f"{figure(part, 'juice_l')} L on {clock.day(part['start'])}" for part in vat["poured"])
            or "brought from another vat",
            with_interval(vat, "now_l"),
            clock.day(vat["last_seen"]),
        )
        for vat in vats
    ]
    return table(columns, rows)


def _trailers(trailers: Iterable[Document], clock: Clock) -> Html:
    columns = (
        Column("trailer"),
        Column("shift"),
        Column("pomace of it, kg", number=True),
        Column("trailer weighed, kg", number=True),
        Column("taken by"),
    )
    rows = [
        (
            trailer["trailer"],
            _when([trailer], clock),
            with_interval(trailer, "pomace_kg"),
            figure(trailer, "weighed_kg"),
            trailer["taken_by"] or "",
        )
        for trailer in trailers
    ]
    return table(columns, rows)


def _trips(trips: Iterable[Document], clock: Clock) -> Html:
    columns = (Column("filled"), Column("loads"), Column("weighed, kg", number=True), Column("taken by"))
    rows = [
        (
            _when(trip["shifts"], clock),
            ", ".join(of_load(part["load"]) for part in trip["from"]),
            figure(trip, "weighed_kg"),
            trip["taken_by"] or "",
        )
        for trip in trips
    ]
    return table(columns, rows)


def _shares(name: str, shares: Sequence[tuple[str, float | None]]) -> Html:
    rows = [
        (shortened(words, 40.0), share_bar(f"{name}-{index}", share / 100.0, _BAR, solid=True))
        for index, (words, share) in enumerate(sorted(shares, key=lambda one: -(one[1] or 0.0)))
        if share is not None
    ]
    return table((Column(name), Column("share")), rows)


def _when(shifts: Iterable[Document], clock: Clock) -> str:
    """`14 October 2026, shift early` for each."""
    return (
        "; ".join(f"{clock.day(shift['start'])}, shift {shift['shift']}" for shift in shifts) or "not in these shifts"
    )


def _percent(share: float | None) -> str:
    return "" if share is None else f"{number(share, 1)} %"
