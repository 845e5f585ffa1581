"""A store that holds shifts which are over."""

from datetime import datetime
from pathlib import Path

import msgspec

from records import SUMMARY
from tumpline.adapters.sqlite import SqliteStore
from tumpline.pressing.records import Summary
from tumpline.runtime.ports import Outputs, SummaryRow
from tumpline.wire.documents import encode, summary_document


def row(summary: Summary) -> SummaryRow:
    """A summary as it is stored."""
    document, record = encode(summary_document(summary)), msgspec.msgpack.encode(summary)
    return SummaryRow(summary.line, summary.shift, summary.start, summary.end, document, record)


def stored(path: Path, **shifts: datetime) -> Path:
    """A store with shifts of these names and starts, each of eight hours."""
    store, starts = SqliteStore(path), {name: start.timestamp() for name, start in shifts.items()}
    summaries = [
        msgspec.structs.replace(SUMMARY, shift=name, start=start, end=start + 28800.0) for name, start in starts.items()
    ]
    store.commit([], Outputs(summaries=[row(summary) for summary in summaries]), [])
    store.close()
    return path
