"""What a watch says, and the watches there are."""

from __future__ import annotations

from typing import NamedTuple

from tumpline.pressing.records import Priority

NEAR_A_MACHINE = (
    "Stop the machine, isolate it and lock it off by the site's own procedure, and release stored air before anyone "
    "goes near it. Competent people only. This program is not a safety function."
)
NEAR_A_VAT = (
    "A vat is a confined space and holds carbon dioxide: the site's permit and gas detection come first. "
    "Competent people only. This program is not a safety function."
)

NAMES: dict[str, tuple[Priority, str | None]] = {
    "mill-blocked": (Priority.HIGH, NEAR_A_MACHINE),
    "fruit-starved": (Priority.MEDIUM, NEAR_A_MACHINE),
    "hard-object": (Priority.HIGH, NEAR_A_MACHINE),
    "flume-low": (Priority.MEDIUM, NEAR_A_MACHINE),
    "juice-low": (Priority.MEDIUM, NEAR_A_MACHINE),
    "yield-drift": (Priority.LOW, NEAR_A_MACHINE),
    "pressure-low": (Priority.MEDIUM, NEAR_A_MACHINE),
    "pressure-high": (Priority.MEDIUM, NEAR_A_MACHINE),
    "vat-nearly-full": (Priority.MEDIUM, NEAR_A_VAT),
    "trailer-nearly-full": (Priority.LOW, NEAR_A_MACHINE),
    "signal-lost": (Priority.LOW, NEAR_A_MACHINE),
    "balance-open": (Priority.LOW, NEAR_A_MACHINE),
}
"""The watches there are, how soon somebody is needed, and the caution where people may go near a machine."""


class Verdict(NamedTuple):
    """What a watch thinks at one moment."""

    active: bool
    value: float | None = None
    limit: float | None = None
    unit: str | None = None
    cause: str = ""
    subjects: tuple[str, ...] = ()
    """What it is about where the name alone does not say it: signals, vats, trailers."""


QUIET = Verdict(False)
