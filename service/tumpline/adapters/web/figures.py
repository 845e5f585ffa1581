"""The figures of the page: each with its interval and its plan in words, or a dash and the reason."""

from collections.abc import Sequence

from msgspec import Struct

from tumpline.adapters.web.words import Plan, Style, sentence
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Condition, Known, Live, Summary, Unknown
from tumpline.runtime.board import LineBoard
from tumpline.wire.markup import Html, el, join

DASH = "\N{EN DASH}"
AS_PLANNED = 0.03
"""Share of its plan by which a reading may differ and is still as planned (own rule)."""
KEYS = ("yield", "fruit", "juice", "pressure", "dryness", "shift")
"""The figures in reading order."""
_METERS = {
    "fruit": ("mill/throughput", "t/h"),
    "juice": ("juice/flow", "L/min"),
    "pressure": ("press/pressure", "bar"),
}


_AT_WORK = frozenset([Condition.PRESSING, Condition.SLOW])
"""Conditions in which it says something how far a reading is from its plan."""


class Ruler(Struct, frozen=True):
    """A figure and its interval against its plan, as shares of a scale whose middle is the plan."""

    low: float
    at: float
    high: float


class Card(Struct, frozen=True):
    """One figure as it stands on the page."""

    key: str
    title: str
    unit: str
    value: str | None
    """None where it is not known; then the first note says why."""
    notes: tuple[str, ...]
    ruler: Ruler | None = None


def cards(board: LineBoard, style: Style) -> Sequence[Card]:
    """The six figures."""
    live, words, plan = board.live, style.words, style.plans.get(board.line)
    if live is None:
        return [Card(key, words(f"figure.{key}"), "", None, (words("figure.nothing-yet"),)) for key in KEYS]
    return [
        _yield(live, plan, style),
        _meter("fruit", live, plan.throughput if plan else None, style),
        _meter("juice", live, plan.throughput * plan.extraction if plan else None, style),
        _meter("pressure", live, plan.pressure if plan else None, style),
        _dryness(live, style),
        _shift(live, board.summary, plan, style),
    ]


def draw(card: Card, more: str | None = None) -> Html:
    """The inside of a card's section; `more` is where the figure leads when it is touched."""
    if card.value is None:
        value = el("p", el("span", DASH, class_="value"), class_="reading unknown")
    else:
        value = el(
            "p", el("span", card.value, class_="value"), " ", el("span", card.unit, class_="unit"), class_="reading"
        )
    measured = draw_ruler(card.ruler) if card.ruler else None
    title = card.title if more is None else el("a", card.title, href=more, class_="more", data_key=card.key)
    return join(el("h2", title), value, measured, *(el("p", note, class_="note") for note in card.notes if note))


def draw_ruler(ruler: Ruler) -> Html:
    """The plan as a tick in the middle, the interval as a bar, the figure as a pointer."""
    low, high = (100.0 * min(1.0, max(0.0, share)) for share in (ruler.low, ruler.high))
    at = 100.0 * min(0.98, max(0.02, ruler.at))  # the pointer stays whole at either end
    return el(
        "svg",
        el("line", x2="100%", y1="50%", y2="50%", class_="base"),
        el("line", x1=f"{low:.1f}%", x2=f"{high:.1f}%", y1="50%", y2="50%", class_="span"),
        el("line", x1="50%", x2="50%", y2="100%", class_="plan"),
        el("svg", el("path", d="M-8 0H8L0 11Z"), x=f"{at:.1f}%", class_="now"),
        class_="ruler",
        aria_hidden="true",
    )


def _planned(value: float, plan: float, unit: str, style: Style, *, low: float, high: float, key: str = "plan") -> str:
    """A figure between `low` and `high` against its plan in words; SI, in what stands for that unit."""
    way = "above" if low > plan else "below" if high < plan else "as"
    by, planned = style.number(abs(value - plan), unit), style.number(plan, unit)
    return style.words(f"figure.{way}-{key}", by=by, plan=planned)


def _meter(key: str, live: Live, plan: float | None, style: Style) -> Card:
    """What a meter reads now, against its plan where there is one."""
    words, (name, unit) = style.words, _METERS[key]
    title, shown = words(f"figure.{key}"), style.scale(unit).unit
    now = next((signal for signal in live.signals if signal.name == name), None)
    if now is None:
        return Card(key, title, shown, None, (words("figure.no-meter"),))
    if now.value is None or now.at is None:
        return Card(key, title, shown, None, (words("figure.meter-unheard"),))
    if not now.fresh:
        return Card(key, title, shown, None, (words("figure.meter-silent", time=style.clock.second(now.at)),))
    value = style.number(now.value, unit)
    if plan is None:
        return Card(key, title, shown, value, ())
    about = AS_PLANNED * plan
    if live.condition in _AT_WORK:
        planned = _planned(now.value, plan, unit, style, low=now.value - about, high=now.value + about)
    else:
        planned = words("figure.plan", plan=style.number(plan, unit))
    share = 0.5 * now.value / plan
    return Card(key, title, shown, value, (planned,), Ruler(0.0, share, share))


def _yield(live: Live, plan: Plan | None, style: Style) -> Card:
    known, words = live.recent_yield, style.words
    title, unit = words("figure.yield-imperial" if style.imperial else "figure.yield"), style.scale("L/t").unit
    if isinstance(known, Unknown):
        return Card("yield", title, unit, None, (sentence(words.line(known.why).text),))
    notes = [words("figure.ten-minutes", between=style.between(known, "L/t"))]
    ruler = None
    if plan is not None:
        value, low, high = known.figure(floor=0.0)
        notes.append(_planned(value, plan.extraction, "L/t", style, low=low, high=high))
        ruler = Ruler(*(0.5 + (v / plan.extraction - 1.0) / 0.4 for v in (low, value, high)))
    if style.imperial:  # both are shown, as the trade talks in both
        notes[-1] += f"; {style.metric.figure(known.value, 'L/t')}"
    return Card("yield", title, unit, style.number(known.value, "L/t"), tuple(notes), ruler)


def _dryness(live: Live, style: Style) -> Card:
    known, words = live.pomace_dry_matter, style.words
    title = words("figure.dryness")
    if isinstance(known, Unknown):
        return Card("dryness", title, "%", None, (sentence(words.line(known.why).text),))
    value = f"\N{ALMOST EQUAL TO}{style.number(known.value, '%')}"
    return Card("dryness", title, "%", value, (style.between(known, "%", ceiling=1.0), words("figure.estimate")))


def _shift(live: Live, last: Summary | None, plan: Plan | None, style: Style) -> Card:
    words, unit = style.words, style.scale("t").unit
    title = words("figure.shift-named", shift=live.shift) if live.shift else words("figure.shift")
    fruit = live.fruit
    if not isinstance(fruit, Unknown):
        notes = [*_made(live.juice, live.shift_yield, style), *_by_now(live, fruit, plan, style)]
        return Card("shift", title, unit, style.number(fruit.value, "t"), tuple(notes))
    notes = [sentence(words.line(fruit.why).text)]
    if last is not None:
        milled = last.fruit
        shown = words("figure.fruit-unknown") if isinstance(milled, Unknown) else style.figure(milled.value, "t")
        before = "; ".join([shown, *_made(last.juice, last.extraction, style)])
        ended = style.clock.minute(last.end, now=live.at)
        notes.append(words("figure.last-shift", shift=last.shift, time=ended, made=before))
    return Card("shift", title, unit, None, tuple(notes))


def _by_now(live: Live, fruit: Estimate, plan: Plan | None, style: Style) -> list[str]:
    """The shift's fruit against what the line is rated for in the time since the shift began."""
    if plan is None or live.shift_start is None or live.at <= live.shift_start:
        return []
    _, low, high = fruit.figure(floor=0.0)
    planned = plan.throughput * (live.at - live.shift_start)
    about = AS_PLANNED * planned
    low, high = min(low, fruit.value - about), max(high, fruit.value + about)
    return [_planned(fruit.value, planned, "t", style, low=low, high=high, key="plan-by-now")]


def _made(juice: Known, extraction: Known, style: Style) -> list[str]:
    words = style.words
    if isinstance(juice, Unknown):
        made = words("figure.juice-unknown")
    else:
        made = words("figure.of-juice", volume=style.figure(juice.value, "L"))
    if isinstance(extraction, Unknown):
        why = words.line(extraction.why).text
        return [made, words("figure.yield-unknown", unit=style.scale("L/t").unit, why=why)]
    return [made, yield_of(extraction, style)]


def yield_of(known: Estimate, style: Style) -> str:
    """`706 L/t, between 698 and 714`."""
    return style.words("figure.yield-of", value=style.figure(known.value, "L/t"), between=style.between(known, "L/t"))
