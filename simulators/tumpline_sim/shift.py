"""A whole simulated shift as the messages it publishes, in order of arrival, and the truth behind them."""

from __future__ import annotations

from collections.abc import Iterator
from heapq import heappop, heappush
from random import Random
from typing import Any, NamedTuple

from tumpline_sim.crew import Crew, Entry
from tumpline_sim.encode import entry_payload, reading_encoder, rfc3339
from tumpline_sim.faults import plan_faults
from tumpline_sim.life import plan_life
from tumpline_sim.loads import plan_loads
from tumpline_sim.options import Options
from tumpline_sim.sensors import Fitted, chosen
from tumpline_sim.truth import Ledger
from tumpline_sim.world import Plant, Second, World

_AFTER_END_S = 60.0
_DRAINING_S = 420.0


class Message(NamedTuple):
    """One MQTT message: arrival (epoch s), topic, payload."""

    arrived: float
    topic: str
    payload: bytes


class Shift:
    """Iterate once over it for the messages; then `truth` tells what happened."""

    def __init__(self, options: Options) -> None:
        self._options = options
        self.start = options.start.timestamp()
        """When it begins, epoch s."""
        self._seed = str(options.seed)
        self._truth: dict[str, Any] | None = None
        sensors = chosen(options.signals)
        first = min(270.0, 0.15 * options.hours * 3600.0)
        plan, full = self._rng("plan"), options.life == "full"
        loads = plan_loads(
            plan,
            day=f"{options.start:%m%d}",
            pressing_s=max(120.0, options.hours * 3600.0 - first - _DRAINING_S),
            rate=options.rate,
            various=full,
        )
        names = [sensor.name for sensor in sensors]
        last = options.hours * 3600.0 - _DRAINING_S
        faults = plan_faults(self._rng("faults"), options.faults, signals=names, first=first, last=last)
        events = plan_life(self._rng("life"), first=first, last=last) if full else []
        plant = Plant.drawn(plan, rate=options.rate, first_fruit=round(first), sump=options.sump, far_apart=full)
        self._world = World(self._rng("world"), plant, loads, faults=faults, events=events)
        self._ledger = Ledger(loads)
        self.name = f"{options.start:%Y-%m-%d}-{options.seed}"
        self._crew = Crew(
            self._rng("crew"), loads, shift=self.name, rate=options.rate, first_vat=options.first_vat, various=full
        )
        self._fitted = [
            Fitted(sensor, seed=self._seed, rate=options.rate, tidy=options.tidy, unbiased=options.unbiased)
            for sensor in sensors
        ]
        self._waiting: list[tuple[float, int, str, bytes]] = []
        self._queued = 0

    @property
    def truth(self) -> dict[str, Any]:
        """What happened; only after the last message."""
        if self._truth is None:
            raise RuntimeError("the truth is known after the last message of the shift")
        return self._truth

    def __iter__(self) -> Iterator[Message]:
        """Messages in order of arrival."""
        encoders = [reading_encoder(fitted.sensor, self._options.payload) for fitted in self._fitted]
        prefix = f"{self._options.root}/{self._options.line}"
        topics = [f"{prefix}/signal/{fitted.sensor.name}" for fitted in self._fitted]
        end = float("inf")
        second = Second(0.0)
        while second.now < end:
            second = self._world.step()
            for entry in self._work(second):
                at = self.start + entry.at
                self._queue(at, f"{prefix}/book/{entry.kind}", entry_payload({"at": rfc3339(at), **entry.fields}))
            for fitted, encode, topic in zip(self._fitted, encoders, topics, strict=True):
                true = second.values[fitted.sensor.name]
                for taken, value, delay in fitted.read(second.now, true, second.effects):
                    at = self.start + taken
                    self._queue(at + delay, topic, encode(at, value))
            yield from self._arrived(self.start + second.now - 0.1)
            if self._crew.ended_at is not None:
                end = self._crew.ended_at + _AFTER_END_S
        yield from self._arrived(float("inf"))
        self._truth = self._told(end)

    def _work(self, second: Second) -> list[Entry]:
        """Let the crew and the ledger have this second."""
        crew = self._crew
        pomace = second.values["pomace/flow"] / 3600.0
        self._ledger.take(second, vat=crew.vat, trailer=crew.trailer)
        entries = crew.step(second, juice_l=sum(second.metered_l.values()), pomace_kg=pomace)
        second.values["vat/V1/volume"] = crew.vat_volume("V1")
        second.values["vat/V2/volume"] = crew.vat_volume("V2")
        second.values["pomace/trailer"] = crew.trailer_kg
        return entries

    def _queue(self, arrives: float, topic: str, payload: bytes) -> None:
        self._queued += 1
        heappush(self._waiting, (arrives, self._queued, topic, payload))

    def _arrived(self, until: float) -> Iterator[Message]:
        while self._waiting and self._waiting[0][0] <= until:
            arrived, _, topic, payload = heappop(self._waiting)
            yield Message(arrived, topic, payload)

    def _told(self, end: float) -> dict[str, Any]:
        return {
            "seed": self._options.seed,
            "shift": self.name,
            "line": self._options.line,
            "start": rfc3339(self.start),
            "t0": self.start,
            **self._ledger.told(self._world, end),
            "filled": [
                {"kind": kind, "name": name, "four_fifths_at": times[0], "nine_tenths_at": (*times[1:], None)[0]}
                for (kind, name), times in self._crew.filled.items()
            ],
            "meter_biases": {
                fitted.sensor.name: {"of_reading": fitted.share, "offset": fitted.offset} for fitted in self._fitted
            },
            "dropouts": [
                {"signal": fitted.sensor.name, "at": start, "until": until}
                for fitted in self._fitted
                for start, until in fitted.dropouts
            ],
            "messages": self._queued,
        }

    def _rng(self, part: str) -> Random:
        """A stream of its own for each part, so that one more sensor changes nothing else."""
        return Random(f"{self._seed}/{part}")


def shift(options: Options) -> Shift:
    """A simulated shift: iterate over it for its messages, then read `truth`."""
    return Shift(options)
