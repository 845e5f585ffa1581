"""What is on: the load being pressed, the vat its juice goes to, the trailer its pomace goes to."""

from tumpline.adapters.web.figures import LITRES, TONNES, Scale
from tumpline.adapters.web.words import duration, number
from tumpline.pressing.records import Live, LoadRecord, TrailerRecord, Unknown, VatRecord
from tumpline.wire.markup import Html, el, join

NEARLY_FULL = 0.9


def draw(live: Live | None) -> Html:
    """Heading and three rows."""
    if live is None:
        return join(el("h2", "On the line"), el("p", "Nothing heard yet.", class_="note"))
    rows = (
        _load(live.load, live.load_left),
        _vat(live.vat, live.vat_full_in),
        _trailer(live.trailer),
    )
    return join(el("h2", "On the line"), el("dl", *rows))


def _row(term: str, *words: Html | str | None) -> Html:
    return el("div", el("dt", term), el("dd", *words))


def _bar(amount: float, room: float, *, warn: bool = True) -> Html:
    """A level as a bar, striped where nearly full; the words beside it say the same."""
    share = min(1.0, max(0.0, amount / room)) if room > 0.0 else 0.0
    fill = el("line", x2=f"{100 * share:.0f}%", y1="50%", y2="50%")
    return el("svg", fill, class_="bar nearly" if warn and share >= NEARLY_FULL else "bar", aria_hidden="true")


def _level(scale: Scale, amount: float, room: float) -> str:
    nearly = ", nearly full" if amount >= NEARLY_FULL * room else ""
    return f"{scale.number(amount)} of {scale.number(room)} {scale.unit}{nearly}"


def _load(load: LoadRecord | None, left: float | None) -> Html:
    if load is None:
        return _row("Load", "none named")
    name = el("p", f"{load.load}, {load.grower}", class_="what")
    fruit = el(
        "p",
        ", ".join(f"{variety.name} {number(100 * variety.share, 0)}\N{NO-BREAK SPACE}%" for variety in load.varieties),
    )
    net = f"{TONNES.number(load.net)} t"
    if isinstance(load.milled, Unknown):
        return _row("Load", name, el("p", f"{net}; milled so far not known: {load.milled.why}"), fruit)
    milled = f"{TONNES.number(load.milled.value)} of {net} milled"
    still = "" if left is None else f", {TONNES.number(max(0.0, left))} t left"
    return _row("Load", name, _bar(load.milled.value, load.net, warn=False), el("p", milled + still), fruit)


def _vat(vat: VatRecord | None, full_in: float | None) -> Html:
    if vat is None:
        return _row("Vat", "none named")
    name = el("p", vat.vat, class_="what")
    into = "juice into it not known"
    if not isinstance(vat.juice, Unknown):
        into = f"{LITRES.number(vat.juice.value)} L this shift"
    if vat.contents is None or not vat.capacity:
        return _row("Vat", name, el("p", f"{into}; level not known"))
    when = into if full_in is None else f"full in about {duration(full_in)} at this rate"
    level = _level(LITRES, vat.contents, vat.capacity)
    return _row("Vat", name, _bar(vat.contents, vat.capacity), el("p", level), el("p", when))


def _trailer(trailer: TrailerRecord | None) -> Html:
    if trailer is None:
        return _row("Trailer", "none named")
    name = el("p", trailer.trailer, class_="what")
    if isinstance(trailer.pomace, Unknown):
        return _row("Trailer", name, el("p", f"pomace in it not known: {trailer.pomace.why}"))
    pomace = trailer.pomace.value
    interval = el("p", f"{TONNES.between(trailer.pomace)} t")
    if not trailer.capacity:
        return _row("Trailer", name, el("p", f"about {TONNES.number(pomace)} t"), interval)
    level = f"about {_level(TONNES, pomace, trailer.capacity)}"
    return _row("Trailer", name, _bar(pomace, trailer.capacity), el("p", level), interval)
