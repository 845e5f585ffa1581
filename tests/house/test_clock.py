"""Time is an argument: only `runtime/clock.py` reads it. Tasks are owned: only `runtime/supervise.py` starts them."""

import ast
from collections.abc import Iterator

import pytest

from source_tree import SERVICE, Offence, broken, dotted, imported_names, python_files

CLOCKS = frozenset(
    [
        "time.time",
        "time.time_ns",
        "time.monotonic",
        "time.monotonic_ns",
        "time.perf_counter",
        "time.perf_counter_ns",
        "time.clock_gettime",
        "time.clock_gettime_ns",
        "time.process_time",
        "time.localtime",
        "time.gmtime",
        "time.ctime",
        "time.asctime",
        "datetime.datetime.now",
        "datetime.datetime.utcnow",
        "datetime.datetime.today",
        "datetime.date.today",
    ]
)
STARTERS = frozenset(["create_task", "ensure_future", "run_coroutine_threadsafe"])


def clock_readings(source: str) -> Iterator[Offence]:
    """Every place that reads a clock, however it was imported, an event loop's own clock included."""
    tree = ast.parse(source)
    names = imported_names(tree)
    for node in ast.walk(tree):
        match node:
            case ast.Name() | ast.Attribute() if (name := dotted(node, names)) in CLOCKS:
                yield Offence(node.lineno, f"reads {name}")
            case ast.Call(func=ast.Attribute(attr="time"), args=[], keywords=[]):
                yield Offence(node.lineno, "reads a loop's time()")


def task_starts(source: str) -> Iterator[Offence]:
    """Every place that starts a task by itself."""
    tree = ast.parse(source)
    names = imported_names(tree)
    for node in ast.walk(tree):
        match node:
            case ast.Attribute(attr=attr) if attr in STARTERS:
                yield Offence(node.lineno, f"uses {attr}")
            case ast.Name(id=name) if names.get(name, "").rpartition(".")[2] in STARTERS:
                yield Offence(node.lineno, f"uses {name}")


def test_only_the_clock_reads_time() -> None:
    """The same readings give the same figures whenever they are worked through."""
    clock = SERVICE / "runtime" / "clock.py"
    assert broken(clock_readings, (path for path in python_files(SERVICE) if path != clock)) == []


def test_only_the_supervisor_starts_tasks() -> None:
    """Every task has a name and an owner that waits for it."""
    owner = SERVICE / "runtime" / "supervise.py"
    assert broken(task_starts, (path for path in python_files(SERVICE) if path != owner)) == []


@pytest.mark.parametrize(
    "source",
    [
        "import time\ntime.time()",
        "import time as t\nt.monotonic()",
        "from time import perf_counter\nperf_counter()",
        "from time import monotonic as now\nclock = now",
        "import datetime\ndatetime.datetime.now()",
        "from datetime import datetime\ndatetime.now(tz=UTC)",
        "from datetime import date\ndate.today()",
        "import asyncio\nasyncio.get_running_loop().time()",
        "def f(loop):\n    return loop.time()",
    ],
)
def test_a_clock_read_elsewhere_is_found(source: str) -> None:
    """No spelling of reading a clock slips through."""
    assert list(clock_readings(source)) != []


@pytest.mark.parametrize(
    "source",
    [
        "import asyncio\nasyncio.create_task(f())",
        "from asyncio import ensure_future\nensure_future(f())",
        "def f(loop):\n    loop.create_task(g())",
        "async def f():\n    async with TaskGroup() as group:\n        group.create_task(g())",
    ],
)
def test_a_task_started_elsewhere_is_found(source: str) -> None:
    """No spelling of starting a task slips through."""
    assert list(task_starts(source)) != []


def test_times_that_are_arguments_are_allowed() -> None:
    """Computing with times is not reading a clock."""
    assert (
        list(clock_readings("from datetime import datetime, UTC\ndatetime.fromtimestamp(at, tz=UTC)\nevent.time\n"))
        == []
    )
