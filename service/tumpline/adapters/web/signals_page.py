"""The signals' page: what every meter last said, how old that is, what is missing, and what could not be used."""

import contextlib

from tumpline.adapters.web.scales import METRIC
from tumpline.adapters.web.words import Style, Words, duration
from tumpline.pressing.records import Live, SignalNow, SignalRecord
from tumpline.runtime.board import LineBoard
from tumpline.runtime.ports import RefusedRow
from tumpline.wire.catalogue import CATALOGUE, VAT_VOLUME, kind_of
from tumpline.wire.markup import Html, el, join

SECTIONS = ("meters", "missing", "refusals")
LONGEST_PAYLOAD = 300


def parts(board: LineBoard, style: Style, *, now: float) -> dict[str, Html]:
    """The sections of the page."""
    return {
        "meters": _meters(board.live, style, now=now),
        "missing": _missing(board.live, style),
        "refusals": _refusals(board, style, now=now),
    }


def _meters(live: Live | None, style: Style, *, now: float) -> Html:
    words = style.words
    title = el("h2", words("signals.title"))
    if live is None:
        return join(title, el("p", words("figure.nothing-yet"), class_="note"))
    records = {record.name: record for record in live.heard}
    rows = (_meter(signal, records.get(signal.name), style, now=now) for signal in live.signals)
    return join(title, el("ul", *rows, class_="rows meters"))


def _meter(signal: SignalNow, record: SignalRecord | None, style: Style, *, now: float) -> Html:
    words = style.words
    kind = kind_of(signal.name)
    if signal.at is None:
        state = words("signals.never")
    else:
        age = duration(now - signal.at)
        state = words(
            "signals.fresh" if signal.fresh else "signals.silent", age=age, time=style.clock.second(signal.at)
        )
    return el(
        "li",
        el("p", signal.name, class_="what"),
        el("p", reading(signal, style), class_="last") if signal.at is not None else None,
        el("p", state, class_="note when-live" if signal.fresh else "wrong"),
        el("p", words("signals.counts", **_counts(record)), class_="note") if record else None,
        el("p", _gaps(record, words), class_="note") if record else None,
        el("p", words.line(kind.meaning).text, class_="note") if kind else None,
    )


def reading(signal: SignalNow, style: Style) -> str:
    """The newest value in the unit documents use, or what stands for it."""
    kind = kind_of(signal.name)
    if signal.value is None:
        return ""
    if kind is None or kind.unit not in METRIC:  # a status is a plain number
        return style.words.number(signal.value, 2 if kind is None else 0)
    return style.figure(signal.value, kind.unit)


def _counts(record: SignalRecord) -> dict[str, int]:
    names = ("received", "used", "duplicate", "late", "refused")
    return {name: getattr(record, name) for name in names}


def _gaps(record: SignalRecord, words: Words) -> str:
    if record.missing <= 0.0:
        return words("signals.no-gaps")
    return words("signals.gaps", missing=duration(record.missing), longest=duration(record.longest_gap))


def _missing(live: Live | None, style: Style) -> Html:
    """The signals that are not fitted, and what each would add."""
    words = style.words
    names = {signal.name for signal in live.signals} if live else set()
    kinds = {name: kind for name, kind in CATALOGUE.items() if name not in names}
    if not any(name.startswith("vat/") for name in names):
        kinds["vat/…/volume"] = VAT_VOLUME
    title = el("h2", words("signals.not-fitted"))
    if not kinds:
        return join(title, el("p", words("signals.all-fitted"), class_="note"))
    rows = (
        el(
            "li",
            el("p", name, class_="what"),
            el("p", f"{words.line(kind.meaning).text}: {words.line(kind.adds).text}"),
            el("p", words("signals.expected"), class_="wrong") if kind.expected else None,
        )
        for name, kind in kinds.items()
    )
    return join(title, el("ul", *rows, class_="rows"))


def _refusals(board: LineBoard, style: Style, *, now: float) -> Html:
    """What could not be used, newest first, with the bytes that came."""
    words = style.words
    title = el("h2", words("signals.refused"))
    if not board.refusals:
        return join(title, el("p", words("signals.none-refused"), class_="note"))
    return join(title, el("ul", *(_refusal(row, style, now=now) for row in board.refusals), class_="rows"))


def _refusal(row: RefusedRow, style: Style, *, now: float) -> Html:
    words, reason = style.words, style.words.line(row.reason)
    return el(
        "li",
        el("p", row.subject, class_="what"),
        el("p", reason.text, lang=reason.lang),
        el("pre", readable(row.payload), tabindex=0, aria_label=words("signals.raw", name=row.subject)),
        el("p", style.clock.minute(row.arrived, now=now), class_="note"),
    )


def readable(payload: bytes) -> str:
    """The bytes as text where they are text, else in hexadecimal; cut where they are many."""
    text = payload[:LONGEST_PAYLOAD].hex(" ")
    with contextlib.suppress(UnicodeDecodeError):
        text = payload.decode()[:LONGEST_PAYLOAD]
    text = "".join(c if c.isprintable() or c == "\n" else "\N{REPLACEMENT CHARACTER}" for c in text)
    return f"{text}…" if len(payload) > LONGEST_PAYLOAD else text
