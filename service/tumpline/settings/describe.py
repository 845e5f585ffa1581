"""What `tumpline check` says about settings that can be used."""

from __future__ import annotations

from collections.abc import Iterator

from tumpline.settings.models import Line, Settings
from tumpline.settings.signal import Signal
from tumpline.settings.typical import typical_of
from tumpline.wire.catalogue import CATALOGUE, VAT_VOLUME
from tumpline.wire.meters import LOOP


def describe(settings: Settings) -> str:
    """The signals of every line with what is taken for granted about them, and what more would add."""
    return "\n".join(text for line in settings.lines for text in _line(line, settings.broker.root)) + "\n"


def warnings(settings: Settings) -> list[str]:
    """A sentence for every expected signal that is not there."""
    return [
        f"{line.id}: {name} ({kind.meaning}) is expected and not there; it {kind.adds}."
        for line in settings.lines
        for name, kind in CATALOGUE.items()
        if kind.expected and name not in {signal.name for signal in line.signals}
    ]


def _line(line: Line, root: str) -> Iterator[str]:
    yield f"{line.id}: {line.rated_throughput * 3.6:g} t/h, {line.expected_yield * 1e6:g} L/t expected"
    for signal in line.signals:
        yield f"  {signal.name:20} {_signal(signal)}"
        yield f"  {'':20} from {signal.topic or f'{root}/{line.id}/signal/{signal.name}'}, {_payload(signal)}"
    yield "  watches, and what raises and ends each:"
    yield from (f"  {name:20} {watch.said()}" for name, watch in line.watch.by_name())
    names = {signal.name for signal in line.signals}
    missing = {name: kind for name, kind in CATALOGUE.items() if name not in names}
    if not any(name.startswith("vat/") for name in names):
        missing["vat/<vat>/volume"] = VAT_VOLUME
    if missing:
        yield "  not fitted, and what each would add:"
    for name, kind in missing.items():
        yield f"  {name:20} {kind.adds}"


def _signal(signal: Signal) -> str:
    low, high = signal.own_range
    assumed = signal.range is None and signal.to is None
    limits = f"± {signal.accuracy}" if signal.accuracy else f"± {typical_of(signal.name).accuracy} (assumed)"
    span = f"{low:g} to {high:g} {signal.own_unit}{' (assumed)' if assumed else ''}"
    return f"{span}, {limits}, stale after {signal.stale_after:g} s"


def _payload(signal: Signal) -> str:
    words: list[str] = [signal.payload]
    if signal.pointer is not None:
        words.append(f"at {signal.pointer or 'the whole document'}")
    if signal.from_ is not None and signal.to is not None:
        raw, meant = (f"{low:g} to {high:g}" for low, high in (signal.from_, signal.to))
        words.append(f"{raw} {'mA' if signal.from_ == LOOP else 'counts'} is {meant} {signal.own_unit}")
    return " ".join(words)
