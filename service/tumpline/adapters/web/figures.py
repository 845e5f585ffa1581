"""The figures of the page: each with its interval and its plan in words, or a dash and the reason."""

from collections.abc import Sequence

from msgspec import Struct

from tumpline.adapters.web.words import Plan, Style, Words, sentence
from tumpline.pressing.params import Quantity
from tumpline.pressing.records import Known, Live, Summary, Unknown
from tumpline.runtime.board import LineBoard
from tumpline.wire.markup import Html, el, join
from tumpline.wire.units import YIELD, from_si

DASH = "\N{EN DASH}"
MASS, VOLUME, FRACTION = Quantity.MASS.value, Quantity.VOLUME.value, Quantity.FRACTION.value
MASS_FLOW, VOLUME_FLOW, PRESSURE = Quantity.MASS_FLOW.value, Quantity.VOLUME_FLOW.value, Quantity.PRESSURE.value


class Scale(Struct, frozen=True):
    """The unit a figure is shown in, and its decimals."""

    unit: str
    dimension: str
    decimals: int

    def number(self, value: float, words: Words) -> str:
        """An SI value as the page writes it, without the unit."""
        return words.number(from_si(value, self.unit, self.dimension), self.decimals)

    def between(self, known: Known, words: Words, *, ceiling: float = float("inf")) -> str:
        """The interval in words; empty where the figure is not known."""
        if isinstance(known, Unknown):
            return ""
        figure = known.figure(floor=0.0, ceiling=ceiling)
        low, high = (from_si(end, self.unit, self.dimension) for end in (figure.low, figure.high))
        return words.between(low, high, self.decimals)


TONNES = Scale("t", MASS, 1)
LITRES = Scale("L", VOLUME, 0)
LITRES_PER_TONNE = Scale("L/t", YIELD, 0)
GALLONS_PER_TON = Scale("imp gal/long ton", YIELD, 0)
PERCENT = Scale("%", FRACTION, 1)
TONNES_PER_HOUR = Scale("t/h", MASS_FLOW, 1)


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
    """The six figures, in reading order."""
    live, words, plan = board.live, style.words, style.plans.get(board.line)
    if live is None:
        keys = ("yield", "fruit", "juice", "pressure", "dryness", "shift")
        return [Card(key, words(f"figure.{key}"), "", None, (words("figure.nothing-yet"),)) for key in keys]
    fruit = _signal("fruit", "mill/throughput", TONNES_PER_HOUR, live, style)
    return [
        _yield(live, plan, style),
        _against_rated(fruit, live, plan, words) if plan and fruit.value is not None else fruit,
        _signal("juice", "juice/flow", Scale("L/min", VOLUME_FLOW, 0), live, style),
        _signal("pressure", "press/pressure", Scale("bar", PRESSURE, 2), live, style),
        _dryness(live, words),
        _shift(live, board.summary, style),
    ]


def draw(card: Card) -> Html:
    """The inside of a card's section."""
    if card.value is None:
        value = el("p", el("span", DASH, class_="value"), class_="reading unknown")
    else:
        value = el(
            "p", el("span", card.value, class_="value"), " ", el("span", card.unit, class_="unit"), class_="reading"
        )
    ruler = _ruler(card.ruler) if card.ruler else None
    return join(el("h2", card.title), value, ruler, *(el("p", note, class_="note") for note in card.notes if note))


def _ruler(ruler: Ruler) -> Html:
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


def imperial_words(known: Known, words: Words) -> str:
    """A yield in gallons per ton, the gallon and the ton named; empty where it is not known."""
    if isinstance(known, Unknown):
        return ""
    return words("figure.gallons", value=GALLONS_PER_TON.number(known.value, words))


def _signal(key: str, name: str, scale: Scale, live: Live, style: Style) -> Card:
    words = style.words
    title = words(f"figure.{key}")
    now = next((signal for signal in live.signals if signal.name == name), None)
    if now is None:
        return Card(key, title, scale.unit, None, (words("figure.no-meter"),))
    if now.value is None or now.at is None:
        return Card(key, title, scale.unit, None, (words("figure.meter-unheard"),))
    if not now.fresh:
        return Card(key, title, scale.unit, None, (words("figure.meter-silent", time=style.clock.second(now.at)),))
    return Card(key, title, scale.unit, scale.number(now.value, words), ())


def _against_rated(card: Card, live: Live, plan: Plan, words: Words) -> Card:
    """Fruit in against what the line is rated for."""
    value = next(s.value for s in live.signals if s.name == "mill/throughput") or 0.0
    share = 0.5 * value / plan.throughput
    rated = words("figure.rated", plan=TONNES_PER_HOUR.number(plan.throughput, words))
    return Card(card.key, card.title, card.unit, card.value, (rated,), Ruler(0.0, share, share))


def _yield(live: Live, plan: Plan | None, style: Style) -> Card:
    known, words = live.recent_yield, style.words
    title = words("figure.yield")
    if isinstance(known, Unknown):
        return Card("yield", title, "L/t", None, (sentence(words.line(known.why).text),))
    notes = [words("figure.ten-minutes", between=LITRES_PER_TONNE.between(known, words))]
    ruler = None
    if plan is not None:
        figure = known.figure(floor=0.0, ceiling=float("inf"))
        key = "above" if figure.low > plan.extraction else "below" if figure.high < plan.extraction else "as"
        by = LITRES_PER_TONNE.number(abs(known.value - plan.extraction), words)
        planned = words(f"figure.{key}-plan", by=by, plan=LITRES_PER_TONNE.number(plan.extraction, words))
        notes.append(planned)
        ruler = Ruler(*(0.5 + (v / plan.extraction - 1.0) / 0.4 for v in (figure.low, known.value, figure.high)))
    if style.imperial:
        notes.append(imperial_words(known, words))
    return Card("yield", title, "L/t", LITRES_PER_TONNE.number(known.value, words), tuple(notes), ruler)


def _dryness(live: Live, words: Words) -> Card:
    known, title = live.pomace_dry_matter, words("figure.dryness")
    if isinstance(known, Unknown):
        return Card("dryness", title, "%", None, (sentence(words.line(known.why).text),))
    value = f"\N{ALMOST EQUAL TO}{PERCENT.number(known.value, words)}"
    return Card("dryness", title, "%", value, (PERCENT.between(known, words, ceiling=1.0), words("figure.estimate")))


def _shift(live: Live, last: Summary | None, style: Style) -> Card:
    words = style.words
    title = words("figure.shift-named", shift=live.shift) if live.shift else words("figure.shift")
    made = _made(live.fruit, live.juice, live.shift_yield, style)
    if not isinstance(live.fruit, Unknown):
        return Card("shift", title, "t", TONNES.number(live.fruit.value, words), made[1:])
    notes = [sentence(words.line(live.fruit.why).text)]
    if last is not None:
        before = "; ".join(filter(None, _made(last.fruit, last.juice, last.extraction, style)))
        ended = style.clock.minute(last.end, now=live.at)
        notes.append(words("figure.last-shift", shift=last.shift, time=ended, made=before))
    return Card("shift", title, "t", None, tuple(notes))


def _made(fruit: Known, juice: Known, extraction: Known, style: Style) -> tuple[str, ...]:
    words = style.words
    if isinstance(fruit, Unknown):
        fruit_words = words("figure.fruit-unknown")
    else:
        fruit_words = f"{TONNES.number(fruit.value, words)} t"
    if isinstance(juice, Unknown):
        juice_words = words("figure.juice-unknown")
    else:
        juice_words = words("figure.of-juice", litres=LITRES.number(juice.value, words))
    if isinstance(extraction, Unknown):
        return fruit_words, juice_words, words("figure.yield-unknown", why=words.line(extraction.why).text)
    per_tonne = words(
        "figure.yield-of",
        value=LITRES_PER_TONNE.number(extraction.value, words),
        between=LITRES_PER_TONNE.between(extraction, words),
    )
    return fruit_words, juice_words, per_tonne, imperial_words(extraction, words) if style.imperial else ""
