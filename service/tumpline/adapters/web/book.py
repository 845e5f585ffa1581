"""What is on: the load being pressed, the vat its juice goes to, the trailer its pomace goes to."""

from tumpline.adapters.web.words import Style, Words, duration
from tumpline.pressing.entries import Load
from tumpline.pressing.records import Live, LoadRecord, TrailerRecord, Unknown, VatRecord
from tumpline.wire.markup import Html, el, join

NEARLY_FULL = 0.9


def draw(live: Live | None, style: Style) -> Html:
    """Heading and three rows."""
    words = style.words
    if live is None:
        return join(el("h2", words("on.title")), el("p", words("figure.nothing-yet"), class_="note"))
    rows = (
        _load(live.load, live.load_left, style),
        _vat(live.vat, live.vat_full_in, style),
        _trailer(live.trailer, style),
    )
    return join(el("h2", words("on.title")), el("dl", *rows))


def _row(term: str, *words: Html | str | None) -> Html:
    return el("div", el("dt", term), el("dd", *words))


def bar(amount: float, room: float, *, warn: bool = True) -> Html:
    """A level as a bar, striped where nearly full; the words beside it say the same."""
    share = min(1.0, max(0.0, amount / room)) if room > 0.0 else 0.0
    fill = el("line", x2=f"{100 * share:.0f}%", y1="50%", y2="50%")
    return el("svg", fill, class_="bar nearly" if warn and share >= NEARLY_FULL else "bar", aria_hidden="true")


def level(unit: str, amount: float, room: float, style: Style) -> str:
    """`18 400 of 20 000 L, nearly full`."""
    text = style.words("on.level", amount=style.number(amount, unit), room=style.figure(room, unit))
    return f"{text}, {style.words('on.nearly-full')}" if amount >= NEARLY_FULL * room else text


def varieties(load: LoadRecord | Load, words: Words) -> str:
    """`bittersweet 70 %, sharp 30 %`."""
    return ", ".join(
        f"{variety.name} {words.number(100 * variety.share, 0)}\N{NO-BREAK SPACE}%" for variety in load.varieties
    )


def _load(load: LoadRecord | None, left: float | None, style: Style) -> Html:
    words = style.words
    if load is None:
        return _row(words("on.load"), words("on.none"))
    name = el("p", f"{load.load}, {load.grower}", class_="what")
    fruit = el("p", varieties(load, words))
    net = style.figure(load.net, "t")
    if isinstance(load.milled, Unknown):
        unknown = words("on.milled-unknown", net=net, why=words.line(load.milled.why).text)
        return _row(words("on.load"), name, el("p", unknown), fruit)
    done = load.milled.value if left is None else load.net - left  # in earlier shifts too
    milled = words("on.milled", milled=style.number(done, "t"), net=net)
    if left is not None:
        milled += f", {words('on.left', left=style.figure(max(0.0, left), 't'))}"
    return _row(words("on.load"), name, bar(done, load.net, warn=False), el("p", milled), fruit)


def _vat(vat: VatRecord | None, full_in: float | None, style: Style) -> Html:
    words = style.words
    if vat is None:
        return _row(words("on.vat"), words("on.none"))
    name = el("p", vat.vat, class_="what")
    into = words("on.vat-unknown")
    if not isinstance(vat.juice, Unknown):
        into = words("on.vat-this-shift", volume=style.figure(vat.juice.value, "L"))
    if vat.contents is None or not vat.capacity:
        return _row(words("on.vat"), name, el("p", words("on.level-unknown", into=into)))
    when = into if full_in is None else words("on.full-in", duration=duration(full_in))
    amount = level("L", vat.contents, vat.capacity, style)
    return _row(words("on.vat"), name, bar(vat.contents, vat.capacity), el("p", amount), el("p", when))


def _trailer(trailer: TrailerRecord | None, style: Style) -> Html:
    words = style.words
    if trailer is None:
        return _row(words("on.trailer"), words("on.none"))
    name = el("p", trailer.trailer, class_="what")
    if isinstance(trailer.pomace, Unknown):
        return _row(
            words("on.trailer"), name, el("p", words("on.pomace-unknown", why=words.line(trailer.pomace.why).text))
        )
    pomace = trailer.pomace.value
    interval = el("p", f"{style.between(trailer.pomace, 't')} {style.scale('t').unit}")
    if not trailer.capacity:
        about = words("on.about", what=style.figure(pomace, "t"))
        return _row(words("on.trailer"), name, el("p", about), interval)
    amount = words("on.about", what=level("t", pomace, trailer.capacity, style))
    return _row(words("on.trailer"), name, bar(pomace, trailer.capacity), el("p", amount), interval)
