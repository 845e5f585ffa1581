"""Recordings of a simulated shift."""

import gzip
import json
from pathlib import Path

import pytest
import zstandard

from tumpline_sim import Options, shift
from tumpline_sim.record import record

SHORT = Options(hours=0.1)


@pytest.mark.parametrize("ending", ["", ".gz", ".zst"])
def test_compression_follows_the_ending(tmp_path: Path, ending: str) -> None:
    """Plain, gzip or Zstandard hold the same lines, one a message, in order."""
    path = tmp_path / f"shift.ndjson{ending}"
    count = record(shift(SHORT), path)
    raw = path.read_bytes()
    if ending == ".gz":
        raw = gzip.decompress(raw)
    elif ending == ".zst":
        raw = zstandard.ZstdDecompressor().decompressobj().decompress(raw)
    lines = [json.loads(line) for line in raw.decode().splitlines()]
    assert len(lines) == count
    assert [(line["topic"], line["payload"].encode()) for line in lines] == [(m.topic, m.payload) for m in shift(SHORT)]


def test_the_same_shift_is_the_same_file(tmp_path: Path) -> None:
    """Recorded twice under two names, a shift gives the same bytes."""
    paths = tmp_path / "a.gz", tmp_path / "b.gz"
    for path in paths:
        record(shift(SHORT), path)
    assert paths[0].read_bytes() == paths[1].read_bytes()
