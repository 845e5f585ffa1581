"""Documents: what leaves the service as JSON. Keys carry their unit; their order is fixed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from typing import Any

import msgspec

from tumpline.pressing.effects import TellEvent
from tumpline.pressing.records import (
    AlarmRecord,
    Balance,
    Condition,
    Known,
    Live,
    LoadRecord,
    Share,
    SignalNow,
    SignalRecord,
    StopRecord,
    Summary,
    TrailerRecord,
    Unknown,
    VatRecord,
)
