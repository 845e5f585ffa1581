"""What the time of a season went into, and what its alarms asked of people."""

from collections import Counter
from collections.abc import Iterator, Sequence

from tumpline.reports.bars import pareto, stop_bars
from tumpline.reports.groups import by_calendar
from tumpline.reports.season_plots import hours_plot
from tumpline.reports.sheet import HALF, paragraphs, side_by_side
from tumpline.reports.words import Clock, Document, count_of, figure, reason
from tumpline.wire.alarm_documents import season_alarms
from tumpline.wire.markup import Child, Html, el

_ALARMS_NAMED = 6


def hours(summaries: Sequence[Document], clock: Clock) -> Iterator[Child]:
    """By week what the line was doing, and what its stops were."""
    weeks = []
    for week, shifts in by_calendar(summaries, clock).items():
        time: dict[str, float] = {}
        for shift in shifts:
            for key, seconds in shift["time"].items():
                time[key] = time.get(key, 0.0) + seconds
        weeks.append((week, time))
    stops = [stop for summary in summaries for stop in summary["stops"]]
    reasons = stop_bars(stops, "reason", unnamed="no reason given")
    conditions = stop_bars(stops, "condition", unnamed="not known")
    yield el("h2", "Where the hours went")
    yield side_by_side(
        hours_plot(weeks),
        el(
            "div",
            pareto("season-reasons", "Stops by reason", reasons, HALF),
            pareto("season-conditions", "Stops by what the line was doing", conditions, HALF),
        ),
    )


def alarm_words(summaries: Sequence[Document]) -> Html:
    """How much the alarms asked of people, and which asked most."""
    found = season_alarms(list(map(dict, summaries)))
    alarms = (alarm for summary in summaries for alarm in summary["alarms"] if alarm.get("announced", True))
    once = {(alarm["name"], alarm["subject"], alarm["raised"]) for alarm in alarms}  # one may stand over two shifts
    names = Counter(name for name, _, _ in sorted(once, key=str))
    most = ", ".join(f"{name} {count}×" for name, count in names.most_common(_ALARMS_NAMED))
    rate = reason(found, "per_hour") or f"{figure(found, 'per_hour', 1)} an hour"
    said = [
        f"{count_of(found['count'], 'alarm')} asked for somebody{': ' + most if most else ''}.",
        f"Rate: {rate}; the worst ten minutes had {found['worst_10_minutes']}.",
    ]
    if found["chattering"]:
        said.append(f"Came and went again and again: {', '.join(found['chattering'])}.")
    return el("section", el("h2", "Alarms ", el("small", "those that asked for somebody")), paragraphs(said))
