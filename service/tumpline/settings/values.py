"""How single values are written in the settings: times, quantities, accuracies, time zones, names."""

from __future__ import annotations

import ipaddress
import re
from typing import Annotated
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, BeforeValidator, Field, FiniteFloat, StringConstraints

from tumpline.pressing.params import Accuracy, Quantity
from tumpline.wire.units import TIME, YIELD, parse_difference, parse_quantity
from tumpline.wire.words import Refused, did_you_mean, quoted

_PERCENT_OF = re.compile(r"(\d+(?:\.\d*)?|\.\d+)\s*%\s*of\s*(reading|span)", re.ASCII)


def is_loopback(host: str) -> bool:
    """True for a name or an address that only this computer itself can reach."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False


def limits_in(unit: str) -> str:
    """How limits of error are written."""
    return f'"1.5 % of reading", "0.5 % of span" or "0.1 {unit}"'


def _positive(dimension: str, *, or_zero: bool = False) -> BeforeValidator:
    def parse(text: object) -> float:
        value = parse_quantity(text, dimension)
        if isinstance(value, Refused):
            raise ValueError(value.reason)
        if value < 0.0 or (value == 0.0 and not or_zero):
            raise ValueError(f"{quoted(text)} is {'below' if or_zero else 'not above'} zero")
        return value

    return BeforeValidator(parse)


def _timezone(name: str) -> str:
    try:
        ZoneInfo(name)
    except (LookupError, OSError, ValueError):
        raise ValueError(f"{quoted(name)} is no time zone{did_you_mean(name, available_timezones())}") from None
    return name


Duration = Annotated[float, _positive(TIME)]
"""Seconds, written as `45 s`."""
MaybeNoDuration = Annotated[float, _positive(TIME, or_zero=True)]
MassFlow = Annotated[float, _positive(Quantity.MASS_FLOW.value)]
"""kg/s, written as `4 t/h`."""
Pressure = Annotated[float, _positive(Quantity.PRESSURE.value)]
"""Pa, written as `4.5 bar`."""
Extraction = Annotated[float, _positive(YIELD)]
"""m³/kg, written as `700 L/t`."""
Fraction = Annotated[float, _positive(Quantity.FRACTION.value)]
"""Of one, written as `16 %`."""
Timezone = Annotated[str, AfterValidator(_timezone)]
Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
Pair = tuple[FiniteFloat, FiniteFloat]
Level = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*$")]
"""One level of a topic."""
Levels = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.-]*(/[A-Za-z0-9][A-Za-z0-9_.-]*)*$")]
Port = Annotated[int, Field(ge=1, le=65535)]


def parse_accuracy(text: str, *, unit: str, dimension: str, span: float | None) -> Accuracy | Refused:
    """
    `1.5 % of reading`, `0.5 % of span`, `0.02 bar`, or several joined by ` + `, as limits ± in SI.

    `span` is the width of the range in SI, None where the settings give no range.
    """
    of_reading = fixed = 0.0
    for part in text.removeprefix("±").split("+"):
        share = _PERCENT_OF.fullmatch(part.strip())
        if share is None:
            absolute = parse_difference(part, dimension)
            if isinstance(absolute, Refused) or absolute < 0.0:
                return Refused(f"has {quoted(part.strip())}, which is no limit; {limits_in(unit)} is accepted")
            fixed += absolute
        elif share[2] == "reading":
            of_reading += float(share[1]) / 100.0
        elif span is None:
            return Refused(f'has {quoted(part.strip())} but there is no "range"; with one it is accepted')
        else:
            fixed += float(share[1]) / 100.0 * span
    return Accuracy(of_reading=of_reading, fixed=fixed)
