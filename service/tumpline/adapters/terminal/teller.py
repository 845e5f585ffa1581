"""The line told in sentences, one for every change: for a log, a screen reader, or a terminal that cannot draw."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from tumpline.adapters.terminal import words
from tumpline.adapters.terminal.screen import Place
from tumpline.adapters.terminal.sight import Sight
from tumpline.adapters.terminal.words import between, gallons_per_ton, harmless, number, sentence
from tumpline.wire.glance import Glance, SeenAlarm

_FIGURES_EVERY = 60.0
"""Seconds of the line's own time."""


class Teller:
    """Remembers what it has told of one line."""

    def __init__(self, place: Place) -> None:
        self._place = place
        self._told: dict[str, str] = {}
        self._figures_at: datetime | None = None

    def tell(self, sight: Sight, *, now: float) -> list[str]:
        """What is new since the last call, a sentence or two each, with the line's time and name before it."""
        glance = sight.glance
        time = "--:--:--" if glance is None else words.clock(glance.at, self._place.zone)
        return [harmless(f"{time} {sight.line} {text}") for text in self._news(sight, sight.gone(now))]

    def _news(self, sight: Sight, gone: str) -> Iterator[str]:
        glance = sight.glance
        if gone or glance is None:
            if self._is_new("gone", gone):
                yield f"No data. {gone}"
            return
        returned = bool(self._told.pop("gone", ""))
        if self._is_new("condition", f"{glance.condition} {words.why(glance)}") or returned:
            yield f"{words.condition(glance.condition).capitalize()}. {words.why(glance)}"
        yield from self._alarms(glance)
        yield from self._book(glance)
        last = self._figures_at
        if last is None or abs((glance.at - last).total_seconds()) >= _FIGURES_EVERY:
            self._figures_at = glance.at
            yield _figures(glance, self._place)

    def _alarms(self, glance: Glance) -> Iterator[str]:
        standing = {f"alarm {words.alarm_name(alarm)}": alarm for alarm in words.in_order(glance.alarms)}
        for key, alarm in standing.items():
            if self._is_new(key, alarm.state):
                yield _alarm(alarm)
        for key in [key for key in self._told if key.startswith("alarm ") and key not in standing]:
            del self._told[key]
            yield f"Over: {key.removeprefix('alarm ')}."

    def _book(self, glance: Glance) -> Iterator[str]:
        load, vat, trailer = glance.load, glance.vat, glance.trailer
        for what, name in (
            ("Load", f"{load.load}, {load.grower}" if load else "none"),
            ("Vat", vat.vat if vat else "none"),
            ("Trailer", trailer.trailer if trailer else "none"),
        ):
            if self._is_new(what, name):
                yield f"{what}: {name}."

    def _is_new(self, key: str, told: str) -> bool:
        new = self._told.get(key) != told
        self._told[key] = told
        return new


def _alarm(alarm: SeenAlarm) -> str:
    urgency = words.PRIORITY.get(alarm.priority, alarm.priority)
    after = f", after {alarm.because_of.replace('-', ' ')}" if alarm.because_of else ""
    caution = f" {alarm.caution}" if alarm.caution and alarm.active else ""
    head = f"{urgency}: {words.alarm_name(alarm)}, {words.alarm_state(alarm)}{after}."
    return f"{head} {sentence(alarm.cause)}{caution}"


def _figures(glance: Glance, place: Place) -> str:
    def newest(value: float | None, decimals: int, unit: str) -> str:
        return "not known" if value is None else f"{number(value, decimals)} {unit}"

    recent, dry = glance.yield_10min_l_per_t, glance.pomace_dry_matter_pct
    per_tonne = f"not known ({glance.yield_10min_l_per_t_unknown})"
    if recent is not None:
        imperial = f", {gallons_per_ton(recent.value)}" if place.imperial else ""
        per_tonne = f"{number(recent.value)} L/t ({between(recent)}){imperial}"
    parts = (
        f"fruit in {newest(glance.throughput_t_per_h, 2, 't/h')}",
        f"juice out {newest(glance.juice_l_per_min, 1, 'L/min')}",
        f"pressure {newest(glance.pressure_bar, 2, 'bar')}",
        f"juice per tonne {per_tonne}",
        f"pomace dryness {'not known' if dry is None else f'about {number(dry.value, 1)} % ({between(dry, 1)})'}",
    )
    return f"Figures: {'; '.join(parts)}."
