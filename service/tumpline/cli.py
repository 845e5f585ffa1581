"""Arguments in, exit status out."""

import argparse
import asyncio
import sys
from collections.abc import Callable, Coroutine, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar

import structlog

from tumpline.app import arguments
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


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; returns its exit status. Whatever goes wrong, people get sentences."""
    given = _parser().parse_args(words)
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
    from tumpline.app.tuning import watch_told

    how: dict[str, Any] = {"shift": given.shift, "strict": given.strict, "json": given.json, "say": _say}
    if given.watch is None:
        sys.stdout.write(replay_summary(given.recording, given.config, **how))
    else:
        sys.stdout.write(watch_told(given.recording, given.config, given.watch, **how))


def _report(given: argparse.Namespace) -> None:
    from tumpline.app.report import Request, report

    _write(given.output, report(given.config, given.store, given.format, _wish(Request, given)))


def _plan(given: argparse.Namespace) -> None:
    from tumpline.app.plan import Outlook, plan_paper

    _write(given.output, plan_paper(given.config, given.store, given.format, _wish(Outlook, given)))


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


def _blend(given: argparse.Namespace) -> None:
    from tumpline.app.blending import blended
    from tumpline.app.offline import store_of
    from tumpline.reports.blend_text import blend_text
    from tumpline.wire.documents import encode

    document = blended(store_of(given.config, given.store), given.parts, given.reach)
    sys.stdout.write(encode(document).decode() + "\n" if given.json else blend_text(document))


def _wish(kind: type[T], given: argparse.Namespace) -> T:
    """A command's wish, a dataclass whose fields are named as the arguments are."""
    return kind(**{name: getattr(given, name) for name in kind.__annotations__})


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

    arguments.demo(verb("demo", _demo, "show everything on a simulated line, with nothing to prepare", json))
    words = "make a store with a season of simulated shifts, to try documents on"
    arguments.demo_season(verb("demo-season", _demo_season, words))
    verb("run", _run, "run the service until it is told to stop", config)
    arguments.watch(verb("watch", _watch, "show the lines in this terminal, until q is pressed", config))
    verb("check", _check, "read the settings, say what is wrong with them, list the signals", config)
    words = "work through a recording and print the summary of its last shift"
    arguments.replay(verb("replay", _replay, words, config, json))
    arguments.report(verb("report", _report, "write a document about shifts that are over"))
    arguments.plan(verb("plan", _plan, "work out what is left of a season from what was pressed so far"))
    words = "take loads or vats from a table into the book of the running service"
    arguments.import_(verb("import", _import, words, config, json))
    arguments.export(verb("export", _export, "write what is stored as tables"))
    words = "say whose fruit is in a vat or on a trailer, or where a load went"
    arguments.trace(verb("trace", _trace, words, json))
    arguments.blend(verb("blend", _blend, "work out what litres of several vats would be together", json))
    tape = verb("record", _record, "write a recording from the broker until told to stop", config)
    arguments.output(tape, "compressed if it ends in .gz or .zst", required=True)
    arguments.person(verb("person", _person, "say who may log in to the page", config))
    told = verb("notify", _notify, "say who is told of alarms and when, or try it", config)
    told.add_argument("--test", action="store_true", help="send a test notice to every address")
    return parser


def _shared(*names: str, **how: Any) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(add_help=False)
    parser.add_argument(*names, **how)
    return parser


if __name__ == "__main__":
    sys.exit(main())
