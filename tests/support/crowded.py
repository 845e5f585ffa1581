"""A shift in which everything happened, to see whether its report still has room for it."""

import msgspec

from records import LOAD, SEVEN, STOP, SUMMARY, VAT, within
from tumpline.pressing.records import Share, Summary


def crowded() -> Summary:
    """A shift in which everything happened, with long names."""
    loads = tuple(
        msgspec.structs.replace(
            LOAD, load=f"load number {i} of many", grower="Coppice Farm and its Daughters", on=SEVEN + 1100.0 * i
        )
        for i in range(25)
    )
    stops = tuple(
        msgspec.structs.replace(STOP, id=f"stop-{i}", reason=f"reason {i}", note="words " * 40) for i in range(30)
    )
    shares = tuple(Share(load.load, within(0.1, 0.01)) for load in loads)
    vats = tuple(msgspec.structs.replace(VAT, vat=f"V{i}", shares=shares) for i in range(9))
    return msgspec.structs.replace(
        SUMMARY,
        loads=loads,
        stops=stops,
        vats=vats,
        notes=("a note of many words " * 20,) * 12,
        crew=("A. Person",) * 20,
    )
