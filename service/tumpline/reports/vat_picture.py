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
from tumpline.reports.words import Document, count_of, figure, number, value_of
from tumpline.wire.markup import Html, el, join

_TANK = Box(0.0, 8.5, 15.0, 28.0)
_HEIGHT = 38.0
_LISTED = 6
_SEEN = 0.005  # of the juice: less is no line on paper
_FILLS = (LEAF, "url(#vat-a)", "#8fb296", "url(#vat-b)", "#e4ddc8", "url(#vat-c)", "#b7b2a3")
BEFORE = "from before, or of no load"


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
        el("clipPath", _wall(), id="vat-wall"),
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
    """What a vat holds, from the bottom up: what was there before, then the loads of it, the smallest as one."""
    parts = vat.get("holds") or vat["from"]
    known = [(part, value_of(part, "juice_l") or 0.0) for part in parts]
    layers = [Layer(_name(part, growers), litres) for part, litres in known if part["load"]]
    unnamed = sum(litres for part, litres in known if not part["load"])
    held = value_of(vat, "held_l") or vat["contents_l"] or 0.0
    before = max(unnamed, held - sum(layer.litres for layer in layers))
    layers.sort(key=lambda layer: -layer.litres)
    whole = before + sum(layer.litres for layer in layers)
    seen = [layer for layer in layers[:_LISTED] if layer.litres > _SEEN * whole]
    rest = layers[len(seen) :]
    if rest:
        seen.append(Layer(count_of(len(rest), "more load"), sum(layer.litres for layer in rest)))
    return [Layer(BEFORE, before), *seen] if before > _SEEN * whole else seen


def _name(part: Document, growers: Document) -> str:
    return " ".join(filter(None, (part["load"], part.get("grower") or growers.get(part["load"], ""))))


def _analysis(vat: Document) -> str:
    """`12.1 °Bx, 4.5 g/L acid, 2.0 g/L tannin, bittersweet`: what is known of the juice."""
    units = (("brix", "°Bx"), ("acidity_g_per_l", "g/L acid"), ("tannin_g_per_l", "g/L tannin"))
    known = [f"{number(vat[key], 1)} {unit}" for key, unit in units if vat[key] is not None]
    return ", ".join([*known, *([vat["class"]] if vat["class"] else [])])


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
        text(_TANK.width + 2.0, _TANK.bottom, shortened(_analysis(vat), room - _TANK.width - 4.0), fill=SOFT),
        el(
            "g",
            rect(Box(0.5, _TANK.y, _TANK.width - 1.0, _TANK.height), fill=WHITE),
            *fills,
            clip_path="url(#vat-wall)",
        ),
        _wall(fill="none", stroke=INK, stroke_width=0.4),
        *rows,
    )


def _wall(**how: str | float) -> Html:
    return el("rect", x=0.5, y=_TANK.y, width=_TANK.width - 1.0, height=_TANK.height, rx=1.6, **how)


def _row(layer: Layer, fill: str, index: int, held: float, room: float) -> Html:
    y = _TANK.y + 1.0 + 3.8 * index
    base = y + 0.8 * LETTER - 0.3
    return join(
        rect(Box(_TANK.width + 2.0, y - 0.3, 3.0, 2.4), fill=fill, stroke=INK, stroke_width=0.1),
        text(_TANK.width + 6.0, base, shortened(layer.words, room - _TANK.width - 29.0)),
        text(room - 12.0, base, f"{number(layer.litres)} L", anchor="end"),
        text(room - 3.0, base, f"{number(100.0 * layer.litres / held)} %" if held else "", anchor="end"),
    )
