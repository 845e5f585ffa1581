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
    from tumpline.app.report import Request, report

    wanted = Request(
        shift=given.shift,
        season=given.season,
        grower=given.grower,
        vat=given.vat,
        load=given.load,
        trailer=given.trailer,
    )
    _write(given.output, report(given.config, given.store, given.format, wanted))


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


def _person(given: argparse.Namespace) -> None:
    from tumpline.app import people
    from tumpline.app.offline import read_settings

    path = people.people_file(read_settings(given.config, secrets=False), given.config)
    if given.what == "add":
        _say(people.add(path, given.name, given.role, people.ask_password(given.name)))
    elif given.what == "remove":
        _say(people.remove(path, given.name))
    else:
        sys.stdout.write(people.listing(path))


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


def _import(given: argparse.Namespace) -> None:
    from tumpline.app.importing import import_document, import_table, told
    from tumpline.app.offline import read_settings
    from tumpline.runtime.clock import Clock
    from tumpline.wire.documents import encode

    settings = read_settings(given.config)
    how = {"line": given.line, "by": given.by, "partly": given.partly}
    result = _finish(import_table(settings, given.what, given.file, **how, clock=Clock()))
    if given.json:
        sys.stdout.write(encode(import_document(given.file, given.what, result)).decode() + "\n")
    if result.rejected:
        raise CommandError(Status.BAD_DATA, told(given.file, result))
    _say(told(given.file, result))


def _export(given: argparse.Namespace) -> None:
    from tumpline.app.exporting import export_csv
    from tumpline.app.offline import store_of

    store = store_of(given.config, given.store)
    if given.parquet is not None:
        from tumpline.app.parquet import export_parquet

        export_parquet(store, given.parquet, say=_say)
    elif given.what is not None:
        _write(given.output, export_csv(given.what, store, given.season))
    else:
        sentence = "It is not said what to export; loads, vats or shifts, or --parquet with a folder is accepted."
        raise CommandError(Status.BAD_SETTINGS, sentence)


def _finish(work: Coroutine[Any, Any, T]) -> T:
    """Run asynchronous work to its end, with the faster event loop where there is one."""
    try:
        import uvloop

        runner = asyncio.Runner(loop_factory=uvloop.new_event_loop)
    except ImportError:  # there is none for Windows
        runner = asyncio.Runner()
    with runner:
        return runner.run(work)


def _trace(given: argparse.Namespace) -> None:
    from tumpline.app.offline import store_of
    from tumpline.app.tracing import TRACES, trace
    from tumpline.reports.trace_text import trace_text
    from tumpline.wire.documents import encode

    ((kind, name),) = ((k, n) for k in TRACES if (n := getattr(given, k)) is not None)
    document = trace(store_of(given.config, given.store), kind, name, given.season)
    sys.stdout.write(encode(document).decode() + "\n" if given.json else trace_text(document))


def _write(path: Path | None, content: str | bytes) -> None:
    """Into the file, or to standard output where there is none."""
    content = content.encode() if isinstance(content, str) else content
    if path is None:
        sys.stdout.buffer.write(content)
        return
    try:
        path.write_bytes(content)
    except OSError as error:
        raise CommandError(Status.BAD_SETTINGS, f"{path} cannot be written ({error.strerror}).") from error


def _say(sentences: str) -> None:
    for sentence in sentences.splitlines():
        print(f"tumpline: {sentence}", file=sys.stderr, flush=True)


def _count(messages: int) -> None:
    if sys.stderr.isatty():
        print(f"\rtumpline: {messages} messages", end="", file=sys.stderr, flush=True)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="tumpline", description=_ABOUT)
    parser.add_argument("--version", action="version", version=f"tumpline {version('tumpline')}")
    verbs = parser.add_subparsers(required=True, metavar="COMMAND")
    verbose = _shared("-v", "--verbose", action="store_true", help="log what helps to find faults")
    config = _shared("--config", type=Path, required=True, metavar="FILE", help="the settings")
    json = _shared("--json", action="store_true", help="print one JSON document, and nothing else")

    def verb(name: str, command: _Command, words: str, *shared: argparse.ArgumentParser) -> argparse.ArgumentParser:
        parents = [verbose, *shared]
        added = verbs.add_parser(name, help=words, description=f"{words[0].upper()}{words[1:]}.", parents=parents)
        added.set_defaults(command=command)
        return added

    _demo_arguments(verb("demo", _demo, "show everything on a simulated line, with nothing to prepare", json))
    words = "make a store with a season of simulated shifts, to try documents on"
    _demo_season_arguments(verb("demo-season", _demo_season, words))
    verb("run", _run, "run the service until it is told to stop", config)
    _watch_arguments(verb("watch", _watch, "show the lines in this terminal, until q is pressed", config))
    verb("check", _check, "read the settings, say what is wrong with them, list the signals", config)
    words = "work through a recording and print the summary of its last shift"
    _replay_arguments(verb("replay", _replay, words, config, json))
    _report_arguments(verb("report", _report, "write a document about shifts that are over"))
    words = "take loads or vats from a table into the book of the running service"
    _import_arguments(verb("import", _import, words, config, json))
    _export_arguments(verb("export", _export, "write what is stored as tables"))
    words = "say whose fruit is in a vat or on a trailer, or where a load went"
    _trace_arguments(verb("trace", _trace, words, json))
    tape = verb("record", _record, "write a recording from the broker until told to stop", config)
    _output(tape, "compressed if it ends in .gz or .zst", required=True)
    _person_arguments(verb("person", _person, "say who may log in to the page", config))
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
    parser.add_argument("--line", metavar="ID", help="this line alone")
    parser.add_argument("--plain", action="store_true", help="write a sentence for every change instead of drawing")


def _replay_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("recording", type=Path, metavar="RECORDING", help="as mosquitto_sub -F %%j prints; .gz and .zst too")
    add("--shift", metavar="ID", help="this shift instead of the last")
    add("--strict", action="store_true", help="a broken line is an error instead of skipped")


def _report_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("--shift", metavar="ID", help="this shift (default: the last)")
    add("--season", type=int, metavar="YEAR", help="all shifts from July of that year to the next June")
    add("--grower", metavar="NAME", help="the statement of this grower's loads, of that season or the newest")
    add("--vat", metavar="NAME", help="whose fruit is in this vat, and where its juice went")
    add("--load", metavar="NAME", help="where this load went")
    add("--trailer", metavar="NAME", help="the sheet that goes with this trailer of pomace (of that shift)")
    add("--format", choices=("html", "pdf", "csv", "json"), default="json", help="(default: json)")
    _output(parser, "instead of standard output", required=False)
    _store_arguments(parser)


def _store_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--config", type=Path, metavar="FILE", help="settings that name the store")
    parser.add_argument("--store", type=Path, metavar="FILE", help="the store itself (default: var/tumpline.db)")


def _import_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("what", choices=("loads", "vats"), help="what the table is of")
    add("file", type=Path, metavar="FILE", help="comma-separated, its first row names the columns")
    add("--line", metavar="ID", help="whose book, where there are several lines")
    add("--by", metavar="NAME", help="who says so, where the table has no column for it")
    add("--partly", action="store_true", help="take the good rows although others are rejected")


def _export_arguments(parser: argparse.ArgumentParser) -> None:
    add = parser.add_argument
    add("what", nargs="?", choices=("loads", "vats", "shifts"), help="as comma-separated values")
    _output(parser, "instead of standard output", required=False)
    add("--season", type=int, metavar="YEAR", help="from July of that year to the next June (default: all there is)")
    add("--parquet", type=Path, metavar="FOLDER", help="everything, a file for each table")
    _store_arguments(parser)


def _trace_arguments(parser: argparse.ArgumentParser) -> None:
    which = parser.add_mutually_exclusive_group(required=True)
    which.add_argument("--vat", metavar="NAME", help="whose juice is in this vat, and who took of it")
    which.add_argument("--load", metavar="NAME", help="the vats and trailers to which this load went")
    which.add_argument("--trailer", metavar="NAME", help="whose pomace went with this trailer, and to whom")
    parser.add_argument("--season", type=int, metavar="YEAR", help="of that season (default: the newest)")
    _store_arguments(parser)


def _person_arguments(parser: argparse.ArgumentParser) -> None:
    which = parser.add_subparsers(dest="what", required=True, metavar="add | remove | list")
    words = "let somebody log in, or give them another password or role; the password is asked for"
    add = which.add_parser("add", help=words, description=f"{words.capitalize()}.")
    add.add_argument("name", metavar="NAME")
    add.add_argument("--role", choices=("look", "operate", "manage"), default="operate", help="(default: operate)")
    gone = which.add_parser("remove", help="let somebody log in no more", description="Let somebody log in no more.")
    gone.add_argument("name", metavar="NAME")
    which.add_parser("list", help="print everybody with their role", description="Print everybody with their role.")


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
