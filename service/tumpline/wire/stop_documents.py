"""What the stops of a shift or of a season come to, as documents say it."""

from __future__ import annotations

from collections.abc import Iterable

from tumpline.pressing.pareto import Lost, pareto
from tumpline.wire.figures import PERCENT, Document, rounded, rounded_or_none, seconds

CONVENTIONS = {
    "availability": "ISO 22400-2: actual production time over planned busy time. Busy time is the whole shift, breaks "
    "included; production time is spent pressing, slow, filling and draining.",
    "effectiveness": "ISO 22400-2: planned run time per item times produced quantity, over actual production time. An "
    "item is a tonne of fruit; its planned run time follows from the rated throughput.",
    "mean_time_between_stops_s": "Production time divided by the number of stops. ISO 22400-2 divides by that number "
    "plus one (from memory), which is less.",
    "mean_stop_s": "Stopped time divided by the number of stops.",
}
"""How figures about time were computed, by their key."""


def stops_by(key: str, stops: Iterable[Document]) -> list[Document]:
    """Stop documents ranked by their `reason` or `condition`, the longest together first; null where none was given."""
    ended = [stop for stop in stops if stop["duration_s"] is not None]
    lost = [Lost(stop[key], stop["duration_s"], stop["fruit_not_pressed_kg"]) for stop in ended]
    return [
        {
            key: rank.name,
            "count": rank.stops,
            "duration_s": seconds(rank.seconds),
            "share_pct": rounded(PERCENT * rank.share),
            "cumulative_pct": rounded(PERCENT * rank.cumulative),
            "fruit_not_pressed_kg": rounded_or_none(rank.fruit),
        }
        for rank in pareto(lost)
    ]
