"""An invented season: shifts and loads with round numbers, as `tumpline.season/1` has them."""

from typing import Any

import msgspec

from records import ALARM, LOAD, SEVEN, SUMMARY, within
from tumpline.pressing.entries import Variety
from tumpline.wire.documents import summary_document
from tumpline.wire.season import Means, load_rows, season_document

DAY = 86400.0
GROWERS = {"Coppice Farm": 700.0, "Long Acre": 690.0, "Withy Bottom": 640.0}
"""Yields that their loads give, L/t, more or less."""


def season(shifts: int = 10, year: int = 2026) -> dict[str, Any]:
    """
    So many shifts, a day each from 14 October: one load of each grower, 2 t each, pressed at 3.8, 4.0 and 4.2 t/h.

    Every second load gives 4 L/t more than its grower's yield, every other 4 L/t less.
    """
    summaries, rows = [], []
    for number in range(shifts):
        start = SEVEN + DAY * number
        loads = tuple(
            msgspec.structs.replace(
                LOAD,
                load=f"{number:02}-{grower[0]}",
                grower=grower,
                varieties=(Variety(f"{grower} Red", 0.75), Variety("Bottom Pippin", 0.25)),
                net=2010.0,
                milled=within(2000.0, 20.0),
                juice=within(2.0 * (yields + (4.0 if number % 2 else -4.0)) / 1000.0, 0.01),
                extraction=within((yields + (4.0 if number % 2 else -4.0)) * 1e-6, 5e-6),
            )
            for grower, yields in GROWERS.items()
        )
        raised = msgspec.structs.replace(ALARM, raised=start + 1800.0)
        summary = msgspec.structs.replace(
            SUMMARY,
            alarms=(raised,),
            shift=f"{number:02}",
            start=start,
            end=start + 28800.0,
            loads=loads,
            fruit=within(6000.0, 60.0),
        )
        document = summary_document(summary)
        summaries.append(document)
        rates = (3.8, 4.0, 4.2)
        rows += load_rows(document, {load.load: Means(4.5, rate) for load, rate in zip(loads, rates, strict=True)})
    return season_document(year, summaries, rows)
