"""A press line: events in, effects out, nothing else.

The caller feeds `handle` one event at a time and performs the returned effects in order. The line never reads a clock:
its time is the newest reading's, and `TimePassed` when nothing is read. The same events give the same effects, always.
"""

from __future__ import annotations

import math

from tumpline.pressing import lookout
from tumpline.pressing import shift as shifts
from tumpline.pressing import state as states
from tumpline.pressing.attribution import Attribution, Way
from tumpline.pressing.condition import PRESSING, Stops, lasting, time_spent
from tumpline.pressing.drift import Drift
from tumpline.pressing.effects import Effect, KeepFigures, KeepReading, ShowLive, TellEvent, TellSummary
from tumpline.pressing.entries import (
    Acknowledge,
    Correct,
    InService,
    Load,
    LoadOff,
    LoadOn,
    OutOfService,
    Reason,
    Reset,
    Shelve,
    ShiftEnd,
    ShiftStart,
    Trailer,
    Unshelve,
    Vat,
    VatKnown,
)
from tumpline.pressing.events import EntryMade, EntryRefused, Event, ReadingRefused, ReadingTaken, TimePassed
from tumpline.pressing.extraction import recent_yield
from tumpline.pressing.growth import Gauge
from tumpline.pressing.learning import EVERY, juice_of, learn, worth_a_look
from tumpline.pressing.ledger import TRACE, Ledger, close_bin, due, extent, in_bursts
from tumpline.pressing.params import LineParams
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Live
from tumpline.pressing.residence import BIN
from tumpline.pressing.view import View
from tumpline.pressing.watches import QUIET
from tumpline.pressing.watching import Watchman, stop_told

_WORSE = 1.5
"""Times the uncertainty there was: what is learned less surely came from an upset, not from the line."""
_IDLE_END = 3600.0
"""A shift that nobody named is over after an hour without fruit and juice."""


class PressLine:
    """One press line. See the module docstring for the caller's duties."""

    def __init__(self, params: LineParams, state: states.State | None = None) -> None:
        self.params = params
        self._s = state or states.fresh(params)
        self._s.pumped = self._s.pumped or params.juice_pump == "on-off"
        self._way = self._build_way()
        self._effects: list[Effect] = []
        self._view = View(params)
        self._watchman = Watchman(params)

    # Events in

    def handle(self, event: Event) -> list[Effect]:
        """Let one event happen; perform the effects in the order given. After an exception (a bug) feed no more."""
        effects: list[Effect] = []
        self._effects = effects
        if type(event) is ReadingTaken:
            self._reading(event)
        elif type(event) is TimePassed:
            self._advance(event.at)
        elif type(event) is EntryMade:
            self._entry(event)
        elif type(event) is ReadingRefused:
            signal = self._s.signals.get(event.signal)
            if signal is not None:
                signal.counts.received += 1
                signal.counts.refused += 1
                self._watchman.refused(self._s, event)
        elif type(event) is EntryRefused:
            self._refuse(event.kind, event.arrived, event.reason)
        return effects

    def finish(self) -> list[Effect]:
        """Nothing more will come: sum up what is open."""
        effects: list[Effect] = []
        self._effects = effects
        s = self._s
        if s.ending is not None:
            self._end_shift(s.ending)
        elif s.ledger is not None and s.clock > s.ledger.start:
            self._end_shift(s.clock)
        return effects

    def next_deadline(self) -> float | None:
        """Event time at which `TimePassed` would change something; None before the first reading."""
        return self._s.second + 1.0 if self._s.second > -math.inf else None

    def snapshot(self) -> bytes:
        """Everything the line remembers."""
        return states.encode(self._s)

    @classmethod
    def restore(cls, params: LineParams, data: bytes) -> PressLine:
        """The line as it was; raises `state.SnapshotUnreadable` when another build wrote the snapshot."""
        return cls(params, states.decode(params, data))

    def _reading(self, event: ReadingTaken) -> None:
        s = self._s
        signal = s.signals.get(event.signal)
        if signal is None:
            return
        quality = signal.take(event.at, event.value, self.params.lateness)
        if quality is None:
            return
        self._watchman.heard(s, event)
        self._effects.append(KeepReading(event.signal, event.at, event.value, quality))
        if event.at > s.clock:
            self._move_clock(event)

    def _move_clock(self, event: ReadingTaken) -> None:
        """A reading moves the clock unless its own clock runs ahead of all the others: then a second one must agree."""
        s = self._s
        name, told = s.doubted
        if s.clock == -math.inf or event.at <= max(event.arrived, s.clock + self.params.lateness):
            self._advance(event.at)
        elif name not in ("", event.signal) and event.at <= told + self.params.lateness:
            self._advance(min(event.at, told))
        else:
            s.doubted = (event.signal, event.at)

    def _entry(self, event: EntryMade) -> None:
        s = self._s
        if not s.book.is_new(event.id, event.at, event.entry):
            return
        entry, at = event.entry, event.at
        mistake = s.book.mistake(at, entry, s.attribution.pours)
        if mistake is not None:
            self._refuse(s.book.written[event.id].kind, at, mistake)
            return
        match entry:
            case ShiftStart():
                self._start_shift(at, entry.shift)
            case ShiftEnd():
                s.ending = at if s.ledger is not None else None
            case Reason():
                self._reason(event, entry)
            case Acknowledge() | Reset() | Shelve() | Unshelve() | OutOfService() | InService():
                refused = self._watchman.entry(s, at, event.by, entry, self._effects)
                if refused is not None:
                    self._refuse("alarm", at, refused)
            case Correct():
                self._correct(event, entry)
            case Load():
                self._tell("load.taken", at, load=entry.load, grower=entry.grower, net_kg=entry.net_kg)
            case LoadOn():
                self._tell("load.on", at, load=entry.load)
            case LoadOff():
                self._tell("load.off", at, load=entry.load)
            case Vat():
                self._tell("vat.switched", at, vat=entry.vat)
            case VatKnown():
                self._tell("vat.known", at, vat=entry.vat)
            case Trailer():
                self._tell("trailer.switched", at, trailer=entry.trailer)
            case _:
                pass
        if s.book.write(at, entry) and s.ledger is not None and at < s.ledger.end:
            self._attribute_anew()

    def _reason(self, event: EntryMade, given: Reason) -> None:
        s = self._s
        stop = s.stops.give_reason(given.stop, given.reason, given.note, event.by)
        summary = s.told.give_reason(given, event.by) if stop is None else None
        if summary is not None:
            self._effects.append(TellSummary(summary))
            stop = next(stop for stop in summary.stops if stop.id == given.stop)
        if stop is None:
            self._refuse("reason", event.at, f"There is no stop {given.stop} in this shift or in the last fortnight.")
        else:
            self._effects.append(stop_told("stop.reasoned", event.at, stop))

    def _correct(self, event: EntryMade, correction: Correct) -> None:
        s = self._s
        written = s.book.written.get(correction.entry)
        of = event.at if written is None else written.at
        corrected = s.book.correct(correction, at=event.at, by=event.by, pours=s.attribution.pours)
        if isinstance(corrected, str):
            self._refuse("correct", event.at, corrected)
            return
        old, new = corrected
        if isinstance(new, Reason):
            s.stops.give_reason(new.stop, new.reason, new.note, event.by)
        elif isinstance(old, ShiftStart) and isinstance(new, ShiftStart) and s.shift == old.shift:
            s.shift = new.shift
        right = s.book.corrections[-1]
        anew = s.told.correct(right, of, old, new, book=s.book, params=self.params)
        self._effects.extend(TellSummary(summary) for summary in anew)
        was = {"was": right.before, "by": right.by}
        self._tell("entry.corrected", event.at, entry=right.entry, fields=correction.fields, **was)
        self._attribute_anew()

    # Time

    def _advance(self, to: float) -> None:
        s = self._s
        if to <= s.clock:
            return
        first = s.clock == -math.inf
        s.clock = to
        if first:
            s.second = math.floor(to)
            if s.ledger is None:
                self._open_ledger(s.second, Ledger(s.second), Stops())
        while s.second + 1.0 <= to:
            s.second += 1.0
            self._second(s.second)

    def _second(self, now: float) -> None:
        """Look at the line once a second of event time."""
        s = self._s
        if s.ending is not None and now >= s.ending + self.params.lateness:
            self._end_shift(s.ending)
        ledger = s.ledger
        if ledger is None:
            return
        while due(ledger, self.params, s.signals, now):
            self._close(ledger, ledger.start + BIN * (ledger.bins + 1))
        self._watchman.second(s, now, self._effects)
        if now % self.params.live_every == 0.0:
            self._effects.append(ShowLive(now))
        if s.shift is None:
            self._unnamed(ledger, now)

    def _close(self, ledger: Ledger, end: float) -> None:
        s = self._s
        close_bin(ledger, self.params, s.signals, end, s.stuck)
        self._recognise_pump(ledger)
        s.attribution.extend(ledger, s.book, self._way)
        if ledger.bins in (EVERY // 2, EVERY) or (ledger.bins % EVERY == 0 and worth_a_look(ledger)):
            self._learn(ledger)
        for meter in self.params.signals:
            s.signals[meter.name].settle(end, meter.stale_after)
        self._check_meters(ledger, end)
        self._watchman.bin_closed(s, ledger)
        self._effects.append(KeepFigures(end, self._figures(ledger)))

    def _check_meters(self, ledger: Ledger, end: float) -> None:
        """Hold the meters against the vat's level and the pomace."""
        s = self._s
        vat = s.book.to_vat.at(end - 0.5 * BIN)
        level = lookout.level(s, self.params, vat, end)
        s.gauge.step(end, vat, level, ledger.juice.amounts[-1])
        lost = s.watches.juice.held.active
        if s.drift.bin_closed(ledger, s.attribution, self.params, vat, level, lost=lost):
            s.watches.balance = s.drift.verdict()
            by_vat, by_pomace = s.drift.by_vat.latest, s.drift.by_pomace.latest
            self._tell("balance.checked", end, vat_off_pct=100.0 * by_vat, pomace_off_pct=100.0 * by_pomace)

    def _figures(self, ledger: Ledger) -> dict[str, float]:
        figures = {
            "throughput_t_per_h": ledger.fruit.amounts[-1] / BIN * 3.6,
            "juice_l_per_min": ledger.juice.amounts[-1] / BIN * 60e3,
        }
        pressure = lookout.value(self._s, self.params, "press/pressure", ledger.end)
        if pressure is not None:
            figures["pressure_bar"] = pressure / 1e5
        steady = self.params.juice_pump == "steady"
        found = recent_yield(ledger, self._s.attribution, self._s.learned.u_mean, steady=steady)
        if isinstance(found, Estimate):
            value, low, high = found.figure(floor=0.0)
            figures |= {"yield_l_per_t": value * 1e6, "yield_low": low * 1e6, "yield_high": high * 1e6}
        return figures

    def _attribute_anew(self) -> None:
        """A switch was written down after its time: give the ledger away again."""
        s = self._s
        s.attribution = Attribution()
        if s.ledger is not None:
            s.attribution.extend(s.ledger, s.book, self._way)

    def _build_way(self) -> Way:
        pumped = self._s.pumped and self.params.juice_pump != "steady"
        return Way(self._s.learned.transport, pumped, self.params)

    def _recognise_pump(self, ledger: Ledger) -> None:
        """Whether juice comes in bursts is seen from the readings, unless the settings say it."""
        s = self._s
        if self.params.juice_pump == "auto" and not s.pumped and in_bursts(ledger):
            s.pumped = True
            self._way = self._build_way()
            self._attribute_anew()

    def _learn(self, ledger: Ledger) -> None:
        """Learn the way from mill to juice meter from this shift so far; what was known before it is the prior."""
        s = self._s
        fruit, juice = juice_of(ledger, self.params, pumped=self._way.pumped)
        found = learn(fruit, juice, s.known, self.params.rated_throughput, now=s.learned)
        if found == s.learned or found.u_mean > _WORSE * s.learned.u_mean:
            return
        s.learned = found
        self._way = self._build_way()
        self._attribute_anew()

    # Shifts

    def _open_ledger(self, start: float, ledger: Ledger, stops: Stops) -> None:
        s = self._s
        s.ledger, s.stops = ledger, stops
        s.known = s.learned.older()
        s.drift, s.gauge, s.watches.balance = Drift(), Gauge(), QUIET
        self._attribute_anew()
        s.spells = lasting(s.spells, start)
        s.occurrences = [a for a in s.occurrences if a.active or (a.raised is not None and a.raised >= start)]
        for signal in s.signals.values():
            signal.begin_counting(start)

    def _start_shift(self, at: float, name: str) -> None:
        s = self._s
        if s.ledger is not None and (s.shift is not None or sum(s.ledger.fruit.amounts) > 0.0):
            self._end_shift(min(s.ending, at) if s.ending is not None else at)
        self._open_ledger(at, s.ledger.split(at) if s.ledger is not None else Ledger(at), s.stops.split(at))
        s.book.begin_shift(at)
        s.shift, s.shift_start = name, at
        self._tell("shift.started", at, shift=name)

    def _unnamed(self, ledger: Ledger, now: float) -> None:
        """Without a shift-start, a shift lasts from the first fruit to the last juice."""
        s = self._s
        milled = s.milling or any(a > TRACE * BIN * self.params.rated_throughput for a in ledger.fruit.amounts[-24:])
        if s.shift_start is None:
            if milled:
                s.shift_start = now
            elif now - ledger.start > 120.0:
                self._open_ledger(now - 60.0, Ledger(now - 60.0), Stops())
        elif s.condition not in PRESSING and now - max(s.juiced_at, s.since) > _IDLE_END:
            self._end_shift(now)

    def _end_shift(self, at: float) -> None:
        s = self._s
        ledger = s.ledger
        s.ending = None
        if ledger is None:
            return
        while ledger.start + BIN * (ledger.bins + 1) <= at:
            self._close(ledger, ledger.start + BIN * (ledger.bins + 1))
        if ledger.end < at:
            self._close(ledger, at)
        next_ledger, next_stops = ledger.split(at), s.stops.split(at)
        self._learn(ledger)
        s.attribution.finish(ledger, s.book, self._way)
        name, end = s.shift, at
        start = ledger.start if s.shift_start is None else s.shift_start
        if name is None:
            start, end = extent(ledger, self.params)
            name = f"unnamed-{start:.0f}"
        if end > start:
            course = shifts.Course(
                name,
                start,
                end,
                time_spent(s.spells, start, end),
                s.stops.sum_up(end),
                tuple(a for a in s.occurrences if a.raised is None or a.raised < at),
                tuple(s.signals[m.name].record(at, m.stale_after) for m in self.params.signals),
            )
            summary = shifts.sum_up(self._shift(ledger), course)
            self._effects.append(TellSummary(summary))
            s.told.keep(summary)
            self._tell("shift.ended", at, shift=name)
        s.anchors = shifts.learned_anchors_of(self._shift(ledger))
        milled = {load: portion.fruit for load, portion in s.attribution.portions.items()}
        s.book.end_shift(at, shifts.vats_of(self._shift(ledger)).pours, milled)
        s.shift = s.shift_start = None
        self._open_ledger(at, next_ledger, next_stops)

    def _shift(self, ledger: Ledger) -> shifts.Shift:
        return shifts.shift_of(self.params, self._s, ledger)

    # Telling

    def _tell(self, kind: str, at: float, /, **data: object) -> None:
        self._effects.append(TellEvent(kind, at, data))

    def _refuse(self, kind: str, at: float, reason: str) -> None:
        self._tell("entry.refused", at, kind=kind, reason=reason)

    def live(self, at: float) -> Live:
        """What the line knows now, for `ShowLive`."""
        return self._view.live(self._s, at)
