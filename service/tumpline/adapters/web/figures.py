"""The figures of the page: each with its interval in words, or a dash and the reason."""

from collections.abc import Sequence

from msgspec import Struct

from tumpline.adapters.web.words import Clock, between, number, sentence
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

    def number(self, value: float) -> str:
        """An SI value as the page writes it, without the unit."""
        return number(from_si(value, self.unit, self.dimension), self.decimals)

    def between(self, known: Known, *, ceiling: float = float("inf")) -> str:
        """The interval in words; empty where the figure is not known."""
        if isinstance(known, Unknown):
            return ""
        figure = known.figure(floor=0.0, ceiling=ceiling)
        low, high = (from_si(end, self.unit, self.dimension) for end in (figure.low, figure.high))
        return between(low, high, self.decimals)


TONNES = Scale("t", MASS, 1)
LITRES = Scale("L", VOLUME, 0)
LITRES_PER_TONNE = Scale("L/t", YIELD, 0)
GALLONS_PER_TON = Scale("imp gal/long ton", YIELD, 0)
PERCENT = Scale("%", FRACTION, 1)


class Card(Struct, frozen=True):
    """One figure as it stands on the page."""

    key: str
    title: str
    unit: str
    value: str | None
    """None where it is not known; then the first note says why."""
    notes: tuple[str, ...]


def cards(board: LineBoard, clock: Clock, *, imperial: bool) -> Sequence[Card]:
    """The six figures, in reading order."""
    live = board.live
    if live is None:
        blank = [("yield", "Juice per tonne"), ("fruit", "Fruit in"), ("juice", "Juice")]
        blank += [("pressure", "Press pressure"), ("dryness", "Pomace dryness"), ("shift", "Shift so far")]
        return [Card(key, title, "", None, ("Nothing heard yet.",)) for key, title in blank]
    return [
        _yield(live, imperial=imperial),
        _signal("fruit", "Fruit in", "mill/throughput", Scale("t/h", MASS_FLOW, 1), live, clock),
        _signal("juice", "Juice", "juice/flow", Scale("L/min", VOLUME_FLOW, 0), live, clock),
        _signal("pressure", "Press pressure", "press/pressure", Scale("bar", PRESSURE, 2), live, clock),
        _dryness(live),
        _shift(live, board.summary, clock, imperial=imperial),
    ]


def draw(card: Card) -> Html:
    """The inside of a card's section."""
    if card.value is None:
        value = el("p", el("span", DASH, class_="value"), class_="reading unknown")
    else:
        value = el(
            "p", el("span", card.value, class_="value"), " ", el("span", card.unit, class_="unit"), class_="reading"
        )
    return join(el("h2", card.title), value, *(el("p", note, class_="note") for note in card.notes if note))


def imperial_words(known: Known) -> str:
    """A yield in gallons per ton, the gallon and the ton named; empty where it is not known."""
    return "" if isinstance(known, Unknown) else f"{GALLONS_PER_TON.number(known.value)} imperial gal/long ton"


def _signal(key: str, title: str, name: str, scale: Scale, live: Live, clock: Clock) -> Card:
    now = next((signal for signal in live.signals if signal.name == name), None)
    if now is None:
        return Card(key, title, scale.unit, None, ("No meter for this is set up.",))
    if now.value is None or now.at is None:
        return Card(key, title, scale.unit, None, ("The meter has not been heard yet.",))
    if not now.fresh:
        return Card(key, title, scale.unit, None, (f"The meter was last heard {clock.second(now.at)}.",))
    return Card(key, title, scale.unit, scale.number(now.value), ())


def _yield(live: Live, *, imperial: bool) -> Card:
    known, title = live.recent_yield, "Juice per tonne"
    if isinstance(known, Unknown):
        return Card("yield", title, "L/t", None, (sentence(known.why),))
    notes = (LITRES_PER_TONNE.between(known), "last 10 min", imperial_words(known) if imperial else "")
    return Card("yield", title, "L/t", LITRES_PER_TONNE.number(known.value), notes)


def _dryness(live: Live) -> Card:
    known, title = live.pomace_dry_matter, "Pomace dryness"
    if isinstance(known, Unknown):
        return Card("dryness", title, "%", None, (sentence(known.why),))
    return Card(
        "dryness",
        title,
        "%",
        f"\N{ALMOST EQUAL TO}{PERCENT.number(known.value)}",
        (PERCENT.between(known, ceiling=1.0), "dry matter, an estimate"),
    )


def _shift(live: Live, last: Summary | None, clock: Clock, *, imperial: bool) -> Card:
    title = f"Shift so far: {live.shift}" if live.shift else "Shift so far"
    made = _made(live.fruit, live.juice, live.shift_yield, imperial=imperial)
    if not isinstance(live.fruit, Unknown):
        return Card("shift", title, "t", TONNES.number(live.fruit.value), made[1:])
    notes = [sentence(live.fruit.why)]
    if last is not None:
        before = "; ".join(_made(last.fruit, last.juice, last.extraction, imperial=imperial))
        notes.append(f"Shift {last.shift} ended {clock.minute(last.end, now=live.at)}: {before}")
    return Card("shift", title, "t", None, tuple(notes))


def _made(fruit: Known, juice: Known, extraction: Known, *, imperial: bool) -> tuple[str, ...]:
    fruit_words = "fruit not known" if isinstance(fruit, Unknown) else f"{TONNES.number(fruit.value)} t"
    juice_words = "juice not known" if isinstance(juice, Unknown) else f"{LITRES.number(juice.value)} L of juice"
    if isinstance(extraction, Unknown):
        return fruit_words, juice_words, f"L/t not known: {extraction.why}"
    per_tonne = f"{LITRES_PER_TONNE.number(extraction.value)} L/t, {LITRES_PER_TONNE.between(extraction)}"
    return fruit_words, juice_words, per_tonne, imperial_words(extraction) if imperial else ""
