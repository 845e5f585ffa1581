"""What is on: the load being pressed, the vat its juice goes to, the trailer its pomace goes to."""

from tumpline.adapters.web.figures import LITRES, TONNES, Scale
from tumpline.adapters.web.words import Words, duration
from tumpline.pressing.entries import Load
from tumpline.pressing.records import Live, LoadRecord, TrailerRecord, Unknown, VatRecord
from tumpline.wire.markup import Html, el, join

NEARLY_FULL = 0.9


def draw(live: Live | None, words: Words) -> Html:
    """Heading and three rows."""
    if live is None:
        return join(el("h2", words("on.title")), el("p", words("figure.nothing-yet"), class_="note"))
    rows = (
        _load(live.load, live.load_left, words),
        _vat(live.vat, live.vat_full_in, words),
        _trailer(live.trailer, words),
    )
    return join(el("h2", words("on.title")), el("dl", *rows))


def _row(term: str, *words: Html | str | None) -> Html:
    return el("div", el("dt", term), el("dd", *words))


def bar(amount: float, room: float, *, warn: bool = True) -> Html:
    """A level as a bar, striped where nearly full; the words beside it say the same."""
    share = min(1.0, max(0.0, amount / room)) if room > 0.0 else 0.0
    fill = el("line", x2=f"{100 * share:.0f}%", y1="50%", y2="50%")
    return el("svg", fill, class_="bar nearly" if warn and share >= NEARLY_FULL else "bar", aria_hidden="true")


def level(scale: Scale, amount: float, room: float, words: Words) -> str:
    """`18 400 of 20 000 L, nearly full`."""
    text = words("on.level", amount=scale.number(amount, words), room=scale.number(room, words), unit=scale.unit)
    return f"{text}, {words('on.nearly-full')}" if amount >= NEARLY_FULL * room else text


def varieties(load: LoadRecord | Load, words: Words) -> str:
    """`bittersweet 70 %, sharp 30 %`."""
    return ", ".join(
        f"{variety.name} {words.number(100 * variety.share, 0)}\N{NO-BREAK SPACE}%" for variety in load.varieties
    )


def _load(load: LoadRecord | None, left: float | None, words: Words) -> Html:
    if load is None:
        return _row(words("on.load"), words("on.none"))
    name = el("p", f"{load.load}, {load.grower}", class_="what")
    fruit = el("p", varieties(load, words))
    net = TONNES.number(load.net, words)
    if isinstance(load.milled, Unknown):
        unknown = words("on.milled-unknown", net=net, why=words.line(load.milled.why).text)
        return _row(words("on.load"), name, el("p", unknown), fruit)
    milled = words("on.milled", milled=TONNES.number(load.milled.value, words), net=net)
    if left is not None:
        milled += f", {words('on.left', left=TONNES.number(max(0.0, left), words))}"
    return _row(words("on.load"), name, bar(load.milled.value, load.net, warn=False), el("p", milled), fruit)


def _vat(vat: VatRecord | None, full_in: float | None, words: Words) -> Html:
    if vat is None:
        return _row(words("on.vat"), words("on.none"))
    name = el("p", vat.vat, class_="what")
    into = words("on.vat-unknown")
    if not isinstance(vat.juice, Unknown):
        into = words("on.vat-this-shift", litres=LITRES.number(vat.juice.value, words))
    if vat.contents is None or not vat.capacity:
        return _row(words("on.vat"), name, el("p", words("on.level-unknown", into=into)))
    when = into if full_in is None else words("on.full-in", duration=duration(full_in))
    amount = level(LITRES, vat.contents, vat.capacity, words)
    return _row(words("on.vat"), name, bar(vat.contents, vat.capacity), el("p", amount), el("p", when))


def _trailer(trailer: TrailerRecord | None, words: Words) -> Html:
    if trailer is None:
        return _row(words("on.trailer"), words("on.none"))
    name = el("p", trailer.trailer, class_="what")
    if isinstance(trailer.pomace, Unknown):
        return _row(
            words("on.trailer"), name, el("p", words("on.pomace-unknown", why=words.line(trailer.pomace.why).text))
        )
    pomace = trailer.pomace.value
    interval = el("p", f"{TONNES.between(trailer.pomace, words)} t")
    if not trailer.capacity:
        about = words("on.about", what=f"{TONNES.number(pomace, words)} t")
        return _row(words("on.trailer"), name, el("p", about), interval)
    amount = words("on.about", what=level(TONNES, pomace, trailer.capacity, words))
    return _row(words("on.trailer"), name, bar(pomace, trailer.capacity), el("p", amount), interval)
