"""Where the mass went, as one picture: streams as wide as they are heavy."""

from typing import Self

from msgspec import Struct

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
from tumpline.reports.words import Document, number, with_interval
from tumpline.wire.markup import Html, el, join, short

_HEIGHT = 39.0
_IN, _OUT = 40.0, 46.0
"""Room for the words on either side, mm."""
_THINNEST = 0.4
STRAW = "#d8cfb8"


def balance_picture(summary: Document, width: float) -> Html:
    """
    Fruit and the water it carries on the left, juice and pomace on the right: by the reconciled figures, where the
    meters do not contradict each other, else by each meter alone.
    """
    streams = [_Stream.of(summary, name) for name in ("fruit", "water", "juice", "pomace")]
    fruit, water, juice, pomace = streams
    if not fruit.mass or not juice.mass or not pomace.mass:
        words = f"The balance is not known: {_why(summary) or 'not all of its masses are measured'}."
        return drawing("balance", width, 8.0, text(0.0, 4.0, words, fill=SOFT), title="Mass balance")
    coming = fruit.mass + water.mass
    scale = 20.0 / max(coming, juice.mass + pomace.mass)
    trunk = Box(_IN + 8.0, 7.0, 12.0, scale * coming)
    right = width - _OUT
    out = ((juice, trunk.y, 3.0, LEAF), (pomace, trunk.y + scale * juice.mass, 12.0 + scale * juice.mass, STRAW))
    return drawing(
        "balance",
        width,
        _HEIGHT,
        *_coming(fruit, water, trunk, scale),
        rect(trunk, fill=LEAF),
        text(trunk.x + 0.5 * trunk.width, trunk.y + 0.5 * trunk.height + 1.0, "press", anchor="middle", fill=INK),
        *(_band(trunk.right, start, right, end, scale * stream.mass, fill=fill) for stream, start, end, fill in out),
        *(_share(trunk, right, end + 0.5 * scale * stream.mass, stream.mass / coming) for stream, _, end, _ in out),
        *(_words(right + 1.5, end + 0.5 * scale * stream.mass, stream) for stream, _, end, _ in out),
        title="Mass balance: fruit and carried water in, juice and pomace out, in kilograms",
        described="; ".join(f"{stream.name} {number(stream.mass)} kg" for stream in streams if stream.mass),
    )


class _Stream(Struct, frozen=True):
    """What flows in or out: its name, what all meters together make it, and what its own says."""

    name: str
    best: Document | None
    metered: Document | None

    @classmethod
    def of(cls, summary: Document, name: str) -> Self:
        found = summary["balance"]["reconciled"].get(f"{name}_kg")
        return cls("water carried in" if name == "water" else name, found, summary.get(f"{name}_kg"))

    @property
    def mass(self) -> float:
        """kg, 0 where it is not known."""
        known = self.best or self.metered
        return float(known["value"]) if known else 0.0


def _why(summary: Document) -> str | None:
    found = summary["balance"]["reconciled"]
    return next((found[key] for key in map("{}_kg_unknown".format, ("fruit", "juice", "pomace")) if key in found), None)


def _coming(fruit: _Stream, water: _Stream, trunk: Box, scale: float) -> list[Html]:
    parts = [
        rect(Box(_IN, trunk.y, 8.0, scale * fruit.mass), fill=LEAF),
        _words(_IN - 1.5, trunk.y + 0.5 * scale * fruit.mass, fruit, anchor="end"),
    ]
    if water.mass:
        top, thick = trunk.y + scale * fruit.mass, max(_THINNEST, scale * water.mass)
        parts.append(_band(_IN, top + 6.0, trunk.x, top, thick, fill=SOFT))
        parts.append(_words(_IN - 1.5, top + 7.5 + 0.5 * thick, water, anchor="end"))
    return parts


def _words(x: float, y: float, stream: _Stream, anchor: str = "start") -> Html:
    """A stream's name, its best mass with the interval, and what its meter says."""
    known = stream.best or stream.metered
    lines = [text(x, y - 1.2, f"{stream.name} {number(stream.mass)} kg", anchor=anchor, font_weight="bold")]
    if known:
        ends = f"{number(known['low'])} to {number(known['high'])}"
        lines.append(text(x, y + LETTER - 0.6, ends, anchor=anchor, fill=SOFT))
    if stream.metered:
        own = f"meters: {number(stream.metered['value'])}" if stream.best else "by the meter alone"
        lines.append(text(x, y + 2.0 * LETTER, own, anchor=anchor, fill=SOFT))
    return join(*lines)


def _share(trunk: Box, right: float, y: float, share: float) -> Html:
    """A stream's part of all that came in, where it runs level."""
    return text(right - 0.1 * (right - trunk.right), y + 0.36 * LETTER, f"{number(100.0 * share)} %", anchor="end")


def _band(x1: float, y1: float, x2: float, y2: float, thick: float, **how: str | float) -> Html:
    """A band of one thickness from the left at y1 to the right at y2, its edges level at both ends."""
    middle, thick = 0.5 * (x1 + x2), max(_THINNEST, thick)

    def bend(x: float, y: float, to: float, at: float) -> str:
        return f"C{short(middle)} {short(y)} {short(middle)} {short(at)} {short(to)} {short(at)}"

    there, back = bend(x1, y1, x2, y2), bend(x2, y2 + thick, x1, y1 + thick)
    return el("path", d=f"M{short(x1)} {short(y1)}{there}L{short(x2)} {short(y2 + thick)}{back}Z", **how)


def balance_words(summary: Document) -> str:
    """What the balance says, in sentences."""
    balance = summary["balance"]
    why = _why(summary)
    residual = with_interval(balance, "residual")
    said = [f"What came in less what went out, by the meters alone: {residual} kg."] if balance.get("residual") else []
    if why:
        said.append(f"No best estimate of all meters together: {why}.")
    if balance["suspect"]:
        said.append(f"The meters do not agree; {balance['suspect']} fits the others least.")
    if balance.get("advice"):
        said.append(str(balance["advice"]))
    return " ".join(said)
