"""What litres of several vats would be together, from the newest summaries: arithmetic, and no advice."""

from __future__ import annotations

from collections.abc import Sequence

from tumpline.pressing import blend
from tumpline.pressing.blend import Juice
from tumpline.pressing.juice import OutOfRange
from tumpline.wire.figures import LITRES, Document, plain, rounded
from tumpline.wire.words import Refused, did_you_mean, listed, quoted

BLEND = "tumpline.blend/1"
REACHED = {"acidity_g_per_l": "acidity", "tannin_g_per_l": "tannin"}
"""Figures that two vats can be blended to: those that mix by volume."""
_NAMED = 8
_PART = "this is not known of every vat"
_NOTE = "Arithmetic on what the book knows of the vats, taken as mixed; what to blend is the maker's to decide."


def blend_document(
    summaries: Sequence[Document], parts: Sequence[tuple[str, float]], reach: tuple[str, float] | None
) -> Document | Refused:
    """
    `tumpline.blend/1` of so many litres of each vat; `reach` is a figure of `REACHED` and the value (g/L) that two vats
    should come to, for which the litres do not count.
    """
    vats = {vat["vat"]: vat for summary in sorted(summaries, key=lambda s: s["end"]) for vat in summary["vats"]}
    unknown = next((name for name, _ in parts if name not in vats), None)
    if unknown is not None:
        there = f"{listed([*vats][-_NAMED:])} is accepted" if vats else "there is none yet"
        return Refused(f"There is no vat {quoted(unknown)}{did_you_mean(unknown, vats)}; {there}.")
    juices = [_juice(vats[name], litres) for name, litres in parts]
    reached = _reached(parts, juices, reach) if reach is not None else None
    if isinstance(reached, Refused):
        return reached
    return {
        "schema": BLEND,
        "until": max(summary["end"] for summary in summaries),
        "parts": [
            {"vat": name, "held_l": vats[name].get("contents_l"), **_figures(juice)}
            for (name, _), juice in zip(parts, juices, strict=True)
        ],
        "blend": _figures(blend.blend(juices)),
        "reach": reached,
        "note": _NOTE,
    }


def _juice(vat: Document, litres: float) -> Juice:
    return Juice(volume=litres / LITRES, acidity=vat["acidity_g_per_l"], tannin=vat["tannin_g_per_l"], brix=vat["brix"])


def _figures(juice: Juice) -> Document:
    acidity = juice.acidity
    return {
        "juice_l": rounded(juice.volume * LITRES),
        **plain("brix", juice.brix, _PART),
        **plain("acidity_g_per_l", acidity, _PART),
        **plain("acidity_as_tartaric_g_per_l", acidity and acidity / blend.MALIC_PER_TARTARIC, _PART),
        **plain("acidity_as_sulfuric_g_per_l", acidity and acidity / blend.MALIC_PER_SULFURIC, _PART),
        **plain("tannin_g_per_l", juice.tannin, _PART),
        "class": juice.fruit_class,
    }


def _reached(
    parts: Sequence[tuple[str, float]], juices: Sequence[Juice], reach: tuple[str, float]
) -> Document | Refused:
    """The share of each of two vats."""
    figure, target = reach
    if len(parts) != 2:
        return Refused(f"A figure is reached with two vats, and {len(parts)} are named; two are accepted.")
    one, other = (getattr(juice, REACHED[figure]) for juice in juices)
    if one is None or other is None:
        return Refused(f"The {REACHED[figure]} of both vats is not known; two vats of which it is are accepted.")
    share = blend.pearson(one, other, target)
    if isinstance(share, OutOfRange):
        return Refused(share.sentence)
    shares = zip((name for name, _ in parts), (share, 1.0 - share), strict=True)
    return {figure: target, "shares": [{"vat": name, "share_pct": rounded(100.0 * part)} for name, part in shares]}
