"""The whole store as Parquet files, for whoever wants to analyse it with tools of their own."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

import msgspec

from tumpline.adapters.sqlite import Archive
from tumpline.app.errors import CommandError, Status
from tumpline.app.season import opened
from tumpline.wire.catalogue import kind_of
from tumpline.wire.flat import flat, parts_of
from tumpline.wire.times import from_rfc3339
from tumpline.wire.units import SCALES, Scale

try:
    import pyarrow as pa  # type: ignore[import-untyped]  # the library has no types
    import pyarrow.parquet as pq  # type: ignore[import-untyped]  # the library has no types
except ImportError:  # it is large, and an extra
    pa = None

_AT_ONCE = 100_000
"""Rows held in memory: a season has some millions of readings."""
_SHIFT = ("line", "shift", "start")
_PARTS = ("vats", "trailers", "stops", "alarms")
"""What a summary lists, each as a table of its own."""
_TIMES = frozenset({"at", "arrived", "start", "end", "on", "off", "raised", "cleared", "acknowledged", "shelved_until"})
"""Columns that are written as times."""
_WRITTEN = {
    "entries": ("entry", "line", "id", "kind", "at", "arrived", '"by"', "CAST(payload AS TEXT)"),
    "events": ("event", "line", "id", "kind", "at", "CAST(document AS TEXT)"),
}
_decode = msgspec.json.Decoder(dict[str, float]).decode

Columns = dict[str, Sequence[Any]]


def export_parquet(store: Path, folder: Path, *, say: Callable[[str], None]) -> None:
    """
    Write a file for each table into the folder, which is made where there is none; files of these names are replaced.

    `say` is told how many rows each has. Raises CommandError where the store cannot be read, the folder not written,
    or the library is not there.
    """
    if pa is None:
        sentence = "Parquet needs the library pyarrow; pip install 'tumpline[parquet]' adds it."
        raise CommandError(Status.BAD_SETTINGS, sentence)
    with opened(store) as archive:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            for name, batches in _tables(archive):
                say(f"{folder / name}.parquet: {_write(folder / f'{name}.parquet', batches)} rows")
        except OSError as error:
            raise CommandError(
                Status.BAD_SETTINGS, f"{folder} cannot be written ({error.strerror or error})."
            ) from error


def _tables(archive: Archive) -> Iterator[tuple[str, Iterable[Columns]]]:
    summaries, loads = archive.shifts()
    yield "shifts", [_columns([flat(summary) for summary in summaries])]
    yield "loads", [_columns([flat(load) for load in loads])]
    for part in _PARTS:
        yield part, [_columns([row for summary in summaries for row in parts_of(summary, part, *_SHIFT)])]
    for part in ("vats", "trailers"):
        yield f"loads_{part}", [_columns([row for load in loads for row in parts_of(load, part, *_SHIFT, "load")])]
    for name, (table, *columns) in _WRITTEN.items():
        yield name, _batches(archive, table, columns)
    yield "figures", _figures(archive)
    yield "readings", _readings(archive)


def _columns(rows: Sequence[Mapping[str, Any]]) -> Columns:
    names = dict.fromkeys(name for row in rows for name in row)
    columns = {name: [row.get(name) for row in rows] for name in names}
    return {name: values for name, values in columns.items() if any(value is not None for value in values)}


def _batches(archive: Archive, table: str, columns: Sequence[str]) -> Iterator[Columns]:
    """A table's columns, so many rows at a time; one that is made of another has that one's name."""
    names = [column.partition(" AS ")[0].removeprefix("CAST(").strip('"') for column in columns]
    rows = archive.rows(table, columns)
    while batch := list(islice(rows, _AT_ONCE)):
        yield dict(zip(names, zip(*batch, strict=True), strict=True))


def _figures(archive: Archive) -> Iterator[Columns]:
    """With every key that any moment has; one that was unknown then is null."""
    keys = dict.fromkeys(key for (text,) in archive.rows("figures", ("document",)) for key in _decode(text))
    for batch in _batches(archive, "figures", ("line", "at", "document")):
        figures = [_decode(text) for text in batch.pop("document")]
        yield {**batch, **{key: [one.get(key) for one in figures] for key in keys}}


def _readings(archive: Archive) -> Iterator[Columns]:
    """In the units of documents, which stand beside them."""
    signals = {str(signal): _unit(str(signal)) for (signal,) in archive.rows("series", ("signal",))}
    joined = "series JOIN reading ON reading.series = series.id"
    for batch in _batches(archive, joined, ("line", "signal", "at", "value", "quality")):
        scales = [signals[signal] for signal in batch["signal"]]
        values = [
            (value - scale.offset) / scale.factor for value, (scale, _) in zip(batch.pop("value"), scales, strict=True)
        ]
        late = [quality != 0 for quality in batch.pop("quality")]
        yield {**batch, "value": values, "unit": [unit for _, unit in scales], "late": late}


def _unit(signal: str) -> tuple[Scale, str]:
    """How to come from SI to the unit of documents; a signal that they do not know stays as it is."""
    kind = kind_of(signal)
    return (Scale(1.0), "SI") if kind is None else (SCALES[kind.quantity.value][kind.unit], kind.unit)


def _write(path: Path, batches: Iterable[Columns]) -> int:
    """Write the batches one after the other; how many rows there were. A table without any has no columns either."""
    count, writer = 0, None
    try:
        for batch in batches:
            table = pa.table({name: _array(name, values) for name, values in batch.items()})
            writer = writer or pq.ParquetWriter(path, table.schema)
            writer.write_table(table.cast(writer.schema))
            count += table.num_rows
    finally:
        if writer is not None:
            writer.close()
    return count


def _array(name: str, values: Sequence[Any]) -> Any:
    if name not in _TIMES:
        return pa.array(values, pa.float64() if all(value is None for value in values) else None)
    seconds = (from_rfc3339(value) if isinstance(value, str) else value for value in values)
    return pa.array([None if at is None else round(at * 1e6) for at in seconds], pa.timestamp("us", tz="UTC"))
