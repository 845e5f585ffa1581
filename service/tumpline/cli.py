"""Arguments in, exit status out."""

import argparse
import asyncio
import sys
from collections.abc import Callable, Coroutine, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar

import structlog

from tumpline.app.errors import CommandError, Status
from tumpline.runtime import logs

log = structlog.get_logger(__name__)

T = TypeVar("T")
_Command = Callable[[argparse.Namespace], None]

_ABOUT = """\
Monitor and shift book of a cider press line: reads its sensors over MQTT, says what they mean, sums up shifts.
It commands no machine, and is not a safety function."""

# Commands import what they need themselves: the broker's and the store's libraries take longer to load than
# `check` takes to run.


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit status. Whatever goes wrong, people get sentences."""
    given = _parser().parse_args(arguments)
    logs.configure(verbose=given.verbose)
    command: _Command = given.command
    try:
        command(given)
        sys.stdout.flush()
    except CommandError as error:
        _say(str(error))
        return error.status
    except KeyboardInterrupt:
        _say("Stopped.")
    except BrokenPipeError:  # whoever reads our output has seen enough
        sys.stdout = None  # or Python tries to write the rest at its end
    except Exception as error:  # a bug of ours: a sentence for people, the trace for whoever mends it
        log.debug("command.failed", exc_info=True)
        _say(f"A fault of the program itself: {type(error).__name__}: {error}. With --verbose the log says where.")
        return Status.OWN_FAULT
    return Status.DONE


def _run(given: argparse.Namespace) -> None:
    from tumpline.app.offline import read_settings
    from tumpline.app.service import Service
    from tumpline.runtime.clock import Clock

    _finish(Service(read_settings(given.config), clock=Clock()).run())


def _check(given: argparse.Namespace) -> None:
    from tumpline.app.offline import check

    sys.stdout.write(check(given.config, _say))


def _replay(given: argparse.Namespace) -> None:
    from tumpline.app.offline import replay_summary

    summary = replay_summary(
        given.recording, given.config, shift=given.shift, strict=given.strict, json=given.json, say=_say
    )
    sys.stdout.write(summary)


def _report(given: argparse.Namespace) -> None:
    from tumpline.app.offline import report

    text = report(given.config, given.store, given.format, shift=given.shift, season=given.season)
    if given.output is None:
        sys.stdout.write(text)
        return
    try:
        given.output.write_text(text, encoding="utf-8")
    except OSError as error:
        raise CommandError(Status.BAD_SETTINGS, f"{given.output} cannot be written ({error.strerror}).") from error


def _record(given: argparse.Namespace) -> None:
    from tumpline.app.offline import read_settings
    from tumpline.app.record import record
    from tumpline.runtime.clock import Clock

    count = _finish(record(read_settings(given.config), given.output, clock=Clock(), progress=_count))
    _say(f"{count} messages are in {given.output}.")


def _notify(given: argparse.Namespace) -> None:
    from tumpline.app.notify import describe_notices, try_notices
    from tumpline.app.offline import read_settings

    settings = read_settings(given.config)
    if given.test:
        _finish(try_notices(settings, given.config, _say))
    else:
        sys.stdout.write(describe_notices(settings, given.config))


def _watch(given: argparse.Namespace) -> None:
    from tumpline.app.offline import read_settings
    from tumpline.app.watch import watch
    from tumpline.runtime.clock import Clock

    settings = read_settings(given.config)
    _finish(watch(settings, given.line, plain=given.plain, clock=Clock(), out=sys.stdout, keys=sys.stdin))


def _demo(given: argparse.Namespace) -> None:
    from tumpline.app.demo import Wish, demo
    from tumpline.app.offline import written

    wish = Wish(
        speed=given.speed,
        hours=given.hours,
        seed=given.seed,
        faults=given.faults,
        once=given.once,
        port=given.port,
        folder=Path("var"),
    )
    summary = _finish(demo(wish, say=_say))
    if summary is not None:
        sys.stdout.write(written(summary, "Europe/London", json=given.json))


def _demo_season(given: argparse.Namespace) -> None:
    from tumpline.app.demo_season import SeasonWish, demo_season

    wish = SeasonWish(store=given.store, shifts=given.shifts, seed=given.seed, hours=given.hours, jobs=given.jobs)
    demo_season(wish, say=_say)


def _finish(work: Coroutine[Any, Any, T]) -> T:
    """Run asynchronous work to its end, with the faster event loop where there is one."""
    try:
        import uvloop

        runner = asyncio.Runner(loop_factory=uvloop.new_event_loop)
    except ImportError:  # there is none for Windows
        runner = asyncio.Runner()
    with runner:
        return runner.run(work)


def _say(sentences: str) -> None:
    for sentence in sentences.splitlines():
        print(f"tumpline: {sentence}", file=sys.stderr, flush=True)


def _count(messages: int) -> None:
    if sys.stderr.isatty():
        print(f"\rtumpline: {messages} messages", end="", file=sys.stderr, flush=True)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="tumpline", description=_ABOUT)
    parser.add_argument("--version", action="version", version=f"tumpline {version('tumpline')}")
    names = "demo | run | watch | check | replay | report | record | notify"
    verbs = parser.add_subparsers(required=True, metavar=names)
    verbose = _shared("-v", "--verbose", action="store_true", help="log what helps to find faults")
    config = _shared("--config", type=Path, required=True, metavar="FILE", help="the settings")
    json = _shared("--json", action="store_true", help="print the summary as one JSON document, and nothing else")

    def verb(name: str, command: _Command, words: str, *shared: argparse.ArgumentParser) -> argparse.ArgumentParser:
        parents = [verbose, *shared]
        added = verbs.add_parser(name, help=words, description=f"{words[0].upper()}{words[1:]}.", parents=parents)
        added.set_defaults(command=command)
        return added

    _demo_arguments(verb("demo", _demo, "show everything on a simulated line, with nothing to prepare", json))
    words = "make a store with a season of simulated shifts, to try documents on"
    _demo_season_arguments(verb("demo-season", _demo_season, words))
    verb("run", _run, "run the service until it is told to stop", config)
    _watch_arguments(verb("watch", _watch, "show a line in this terminal, until q is pressed", config))
    verb("check", _check, "read the settings, say what is wrong with them, list the signals", config)
    words = "work through a recording and print the summary of its last shift"
    _replay_arguments(verb("replay", _replay, words, config, json))
    _report_arguments(verb("report", _report, "write the summaries of stored shifts"))
    tape = verb("record", _record, "write a recording from the broker until told to stop", config)
    _output(tape, "compressed if it ends in .gz or .zst", required=True)
    told = verb("notify", _notify, "say who is told of alarms and when, or try it", config)
    told.add_argument("--test", action="store_true", help="send a test notice to every address")
    return parser


def _shared(*names: str, **how: Any) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(add_help=False)
    parser.add_argument(*names, **how)
    return parser


def _output(parser: argparse.ArgumentParser, words: str, *, required: bool) -> None:
    parser.add_argument("-o", "--output", type=Path, required=required, metavar="FILE", help=words)


def _demo_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--speed", type=_positive, default=30.0, metavar="X", help="times as fast as the clock (default: 30)")
    add("--hours", type=_positive, default=2.0, metavar="H", help="length of the shift (default: 2)")
    add("--seed", type=int, default=1, metavar="N", help="which shift (default: 1)")
    add("--faults", default="none", metavar="LIST", help="what goes wrong, as for tumpline-sim (default: none)")
    add("--once", action="store_true", help="stop at the end of the shift and print its summary")
    add("--port", type=_port, default=8080, metavar="P", help="of the page, or the next that is free (default: 8080)")


def _demo_season_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    store = Path("var/season.db")
    add("--store", type=Path, default=store, metavar="FILE", help="where; not there yet (default: %(default)s)")
    add("--shifts", type=_count_of, default=30, metavar="N", help="how many (default: 30)")
    add("--hours", type=_positive, default=2.0, metavar="H", help="length of a shift, more or less (default: 2)")
    add("--seed", type=int, default=1, metavar="N", help="which season (default: 1)")
    add("--jobs", type=_count_of, metavar="N", help="shifts made at a time (default: one a core)")


def _watch_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--line", metavar="ID", help="which line (default: the first)")
    parser.add_argument("--plain", action="store_true", help="write a sentence for every change instead of drawing")


def _replay_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("recording", type=Path, metavar="RECORDING", help="as mosquitto_sub -F %%j prints; .gz and .zst too")
    add("--shift", metavar="ID", help="this shift instead of the last")
    add("--strict", action="store_true", help="a broken line is an error instead of skipped")


def _report_arguments(parser: argparse.ArgumentParser) -> None:
    which = parser.add_mutually_exclusive_group()
    which.add_argument("--shift", metavar="ID", help="this shift (default: the last)")
    which.add_argument("--season", type=int, metavar="YEAR", help="all shifts from July of that year to the next June")
    parser.add_argument("--format", choices=("html", "pdf", "csv", "json"), default="json", help="(default: json)")
    _output(parser, "instead of standard output", required=False)
    parser.add_argument("--config", type=Path, metavar="FILE", help="settings that name the store")
    parser.add_argument("--store", type=Path, metavar="FILE", help="the store itself (default: var/tumpline.db)")


def _positive(text: str) -> float:
    value = float(text)
    if not 0.0 < value < 1e4:
        raise argparse.ArgumentTypeError(f"{text} is not a number above 0 and below 10 000")
    return value


def _count_of(text: str) -> int:
    value = int(text)
    if not 0 < value < 1000:
        raise argparse.ArgumentTypeError(f"{text} is not a whole number from 1 to 999")
    return value


def _port(text: str) -> int:
    value = int(text)
    if not 0 < value < 65536:
        raise argparse.ArgumentTypeError(f"{text} is not a port from 1 to 65535")
    return value


if __name__ == "__main__":
    sys.exit(main())
