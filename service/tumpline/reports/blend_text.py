"""A blend as a few lines of plain text, for a terminal."""

from collections.abc import Iterator, Mapping
from typing import Any

Document = Mapping[str, Any]
"""`tumpline.blend/1`."""

_COLUMNS = (
    ("L", "juice_l", 0),
    ("°Bx", "brix", 1),
    ("acid g/L", "acidity_g_per_l", 2),
    ("as tartaric", "acidity_as_tartaric_g_per_l", 2),
    ("as sulfuric", "acidity_as_sulfuric_g_per_l", 2),
    ("tannin g/L", "tannin_g_per_l", 2),
)
_NAME, _WIDTH = 12, 13


def blend_text(blend: Document) -> str:
    """The vats, what they come to together, and the shares that reach a figure."""
    return "\n".join(_lines(blend)) + "\n"


def _lines(blend: Document) -> Iterator[str]:
    yield " " * _NAME + "".join(f"{name:>{_WIDTH}}" for name, _, _ in _COLUMNS) + "  class"
    for part in blend["parts"]:
        yield _row(part["vat"], part)
    yield _row("together", blend["blend"])
    yield ""
    if blend["reach"]:
        ((figure, target), *_) = blend["reach"].items()
        shares = " and ".join(f"{share['share_pct']:.1f} % of {share['vat']}" for share in blend["reach"]["shares"])
        yield f"{figure.removesuffix('_g_per_l').capitalize()} of {target:g} g/L: {shares}, by volume."
    yield "pH does not average: measure it."
    yield blend["note"]


def _row(name: str, figures: Document) -> str:
    cells = (f"{_number(figures[key], digits):>{_WIDTH}}" for _, key, digits in _COLUMNS)
    return f"{name:{_NAME}}" + "".join(cells) + f"  {figures['class'] or 'unknown'}"


def _number(value: float | None, digits: int) -> str:
    return "unknown" if value is None else f"{value:.{digits}f}"
