"""Vats as they stand at the end of a shift: how full, and whose fruit is in them."""

from collections.abc import Sequence
from typing import NamedTuple

from tumpline.reports.drawing import (
    FAINT,
    GREEN,
    INK,
    LEAF,
    LETTER,
    SOFT,
    WHITE,
    Box,
    drawing,
    hatch,
    rect,
    shortened,
    text,
)
from tumpline.reports.words import Document, count_of, figure, number, of_load, value_of
from tumpline.wire.markup import Html, el, join

_TANK = Box(0.0, 8.5, 15.0, 28.0)
_HEIGHT = 38.0
_LISTED = 6
_SEEN = 0.005  # of the juice: less is no line on paper
_FILLS = (LEAF, "url(#vat-a)", "#8fb296", "url(#vat-b)", "#e4ddc8", "url(#vat-c)", "#b7b2a3")
BEFORE = "from before"


class Layer(NamedTuple):
    """A part of what is in a vat."""

    words: str
    litres: float


def vats_picture(summary: Document, width: float, shown: int = 3) -> Html:
    """Tanks side by side, filled to what they hold, layered by load in the order in which it came."""
    growers = {load["load"]: load["grower"] for load in summary["loads"]}
    vats = summary["vats"][:shown]
    room = width / max(1, len(vats))
    patterns = (
        hatch("vat-a", stroke=GREEN, width=0.25),
        hatch("vat-b", stroke=SOFT, width=0.2, step=0.8),
        hatch("vat-c", stroke=INK, width=0.15, step=1.6),
    )
    tanks = [
        el("g", _tank(vat, layers_of(vat, growers), room), transform=f"translate({room * index:.1f} 0)")
        for index, vat in enumerate(vats)
    ]
    if not tanks:
        tanks = [text(0.0, 4.0, "No vat was named in this shift.", fill=SOFT)]
    return drawing("vats", width, _HEIGHT if vats else 8.0, el("defs", *patterns), *tanks, title="Vats, in litres")


def layers_of(vat: Document, growers: Document) -> list[Layer]:
    """What is in a vat, from the bottom up: what was there before, then the loads of the shift, the smallest as one."""
    juice = value_of(vat, "juice_l") or 0.0
    before = (vat["contents_l"] or 0.0) - juice
    known = [(share["load"], value_of(share, "juice_l")) for share in vat["from"]]
    layers = [
        Layer(" ".join(filter(None, (of_load(load), growers.get(load, "")))), litres)
        for load, litres in known
        if litres is not None
    ]
    layers.sort(key=lambda layer: -layer.litres)
    seen = [layer for layer in layers[:_LISTED] if layer.litres > _SEEN * juice]
    rest = layers[len(seen) :]
    if rest:
        seen.append(Layer(count_of(len(rest), "more load"), sum(layer.litres for layer in rest)))
    return [Layer(BEFORE, before), *seen] if before > _SEEN * juice else seen


def _tank(vat: Document, layers: Sequence[Layer], room: float) -> Html:
    held = sum(layer.litres for layer in layers)
    capacity = max(vat["capacity_l"] or held, held, 1.0)
    scale = _TANK.height / capacity
    level, fills, listed = _TANK.bottom, [], []
    for index, layer in enumerate(layers):
        thick = scale * max(0.0, layer.litres)
        level -= thick
        fill = FAINT if layer.words == BEFORE else _FILLS[index % len(_FILLS)]
        fills.append(rect(Box(0.5, level, _TANK.width - 1.0, thick), fill=fill, stroke=INK, stroke_width=0.1))
        listed.append((layer, fill))
    rows = [_row(layer, fill, index, held, room) for index, (layer, fill) in enumerate(reversed(listed))]
    known = "capacity not given" if vat["capacity_l"] is None else f"of {number(vat['capacity_l'])} L"
    return join(
        text(0.5, 2.8, f"Vat {vat['vat']}", font_weight="bold"),
        text(0.5, 6.6, f"{number(held)} L {known}, {figure(vat, 'juice_l')} L this shift", fill=SOFT),
        rect(Box(0.5, _TANK.y, _TANK.width - 1.0, _TANK.height), fill=WHITE),
        *fills,
        el(
            "rect",
            x=0.5,
            y=_TANK.y,
            width=_TANK.width - 1.0,
            height=_TANK.height,
            rx=1.6,
            fill="none",
            stroke=INK,
            stroke_width=0.4,
        ),
        *rows,
    )


def _row(layer: Layer, fill: str, index: int, held: float, room: float) -> Html:
    y = _TANK.y + 1.0 + 3.8 * index
    base = y + 0.8 * LETTER - 0.3
    return join(
        rect(Box(_TANK.width + 2.0, y - 0.3, 3.0, 2.4), fill=fill, stroke=INK, stroke_width=0.1),
        text(_TANK.width + 6.0, base, shortened(layer.words, room - _TANK.width - 29.0)),
        text(room - 12.0, base, f"{number(layer.litres)} L", anchor="end"),
        text(room - 3.0, base, f"{number(100.0 * layer.litres / held)} %" if held else "", anchor="end"),
    )
