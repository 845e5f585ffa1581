"""Where the mass went, as one picture: streams as wide as they are heavy."""

from tumpline.reports.drawing import (
    INK,
    LEAF,
    LETTER,
    SOFT,
    Box,
    drawing,
    rect,
    text,
)
from tumpline.reports.words import Document, figure, number, with_interval
from tumpline.wire.markup import Html, el, join, short

_HEIGHT = 39.0
_IN, _OUT = 40.0, 46.0
"""Room for the words on either side, mm."""
_THINNEST = 0.4


def balance_picture(summary: Document, width: float) -> Html:
    """Fruit and the water it carries on the left, juice and pomace on the right, by the reconciled figures."""
    found = summary["balance"]["reconciled"]
    masses = {key: (found.get(f"{key}_kg") or {}).get("value") for key in ("fruit", "water", "juice", "pomace")}
    fruit, juice, pomace = masses["fruit"], masses["juice"], masses["pomace"]
    if not fruit or juice is None or pomace is None:
        why = found.get("fruit_kg_unknown") or found.get("juice_kg_unknown") or found.get("pomace_kg_unknown")
        words = f"The balance is not known: {why or 'not all of its masses are measured'}."
        return drawing("balance", width, 8.0, text(0.0, 4.0, words, fill=SOFT), title="Mass balance")
    coming = fruit + (masses["water"] or 0.0)
    scale = 20.0 / max(coming, juice + pomace)
    trunk = Box(_IN + 8.0, 7.0, 12.0, scale * coming)
    right = width - _OUT
    return drawing(
        "balance",
        width,
        _HEIGHT,
        *_coming(summary, masses["fruit"] or 0.0, masses["water"], trunk, scale),
        rect(trunk, fill=LEAF),
        text(trunk.x + 0.5 * trunk.width, trunk.y + 0.5 * trunk.height + 1.0, "press", anchor="middle", fill=INK),
        _stream(trunk.right, trunk.y, right, 3.0, scale * juice, fill=LEAF),
        _stream(trunk.right, trunk.y + scale * juice, right, 12.0 + scale * juice, scale * pomace, fill="#d8cfb8"),
        _share(trunk, right, 3.0 + 0.5 * scale * juice, juice / coming),
        _share(trunk, right, 12.0 + scale * (juice + 0.5 * pomace), pomace / coming),
        _words(right + 1.5, 3.0 + 0.5 * scale * juice, "juice", summary, "juice_kg"),
        _words(right + 1.5, 12.0 + scale * (juice + 0.5 * pomace), "pomace", summary, "pomace_kg"),
        title="Mass balance: fruit and carried water in, juice and pomace out, in kilograms",
        described=f"Fruit {number(fruit)} kg in; juice {number(juice)} kg and pomace {number(pomace)} kg out.",
    )


def _coming(summary: Document, fruit: float, water: float | None, trunk: Box, scale: float) -> list[Html]:
    parts = [
        rect(Box(_IN, trunk.y, 8.0, scale * fruit), fill=LEAF),
        _words(_IN - 1.5, trunk.y + 0.5 * scale * fruit, "fruit", summary, "fruit_kg", anchor="end"),
    ]
    if water:
        top, thick = trunk.y + scale * fruit, max(_THINNEST, scale * water)
        parts.append(_stream(_IN, top + 6.0, trunk.x, top, thick, fill=SOFT))
        name = "water carried in"
        parts.append(_words(_IN - 1.5, top + 7.5 + 0.5 * thick, name, summary, "water_kg", anchor="end"))
    return parts


def _words(x: float, y: float, name: str, summary: Document, key: str, anchor: str = "start") -> Html:
    """A stream's name, its reconciled mass with the interval, and what the meters alone say."""
    found = summary["balance"]["reconciled"]
    lines = [text(x, y - 1.2, f"{name} {figure(found, key)} kg", anchor=anchor, font_weight="bold")]
    if found.get(key):
        ends = f"{number(found[key]['low'])} to {number(found[key]['high'])}"
        lines.append(text(x, y + LETTER - 0.6, ends, anchor=anchor, fill=SOFT))
    if summary.get(key):
        lines.append(text(x, y + 2.0 * LETTER, f"meters: {figure(summary, key)}", anchor=anchor, fill=SOFT))
    return join(*lines)


def _share(trunk: Box, right: float, y: float, share: float) -> Html:
    """A stream's part of all that came in, where it runs level."""
    return text(right - 0.1 * (right - trunk.right), y + 0.36 * LETTER, f"{number(100.0 * share)} %", anchor="end")


def _stream(x1: float, y1: float, x2: float, y2: float, thick: float, **how: str | float) -> Html:
    """A band of one thickness from the left at y1 to the right at y2, its edges level at both ends."""
    middle, thick = 0.5 * (x1 + x2), max(_THINNEST, thick)

    def bend(x: float, y: float, to: float, at: float) -> str:
        return f"C{short(middle)} {short(y)} {short(middle)} {short(at)} {short(to)} {short(at)}"

    there, back = bend(x1, y1, x2, y2), bend(x2, y2 + thick, x1, y1 + thick)
    return el("path", d=f"M{short(x1)} {short(y1)}{there}L{short(x2)} {short(y2 + thick)}{back}Z", **how)


def balance_words(summary: Document) -> str:
    """What the balance says, in sentences."""
    balance = summary["balance"]
    residual = with_interval(balance, "residual")
    said = [f"What came in less what went out, by the meters alone: {residual} kg."] if balance.get("residual") else []
    if balance["suspect"]:
        said.append(f"The meters do not agree; {balance['suspect']} fits the others least.")
    if balance.get("advice"):
        said.append(str(balance["advice"]))
    return " ".join(said)
