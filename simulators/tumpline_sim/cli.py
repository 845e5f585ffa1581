"""The command `tumpline-sim`: a simulated press line to try things on."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Sequence
from dataclasses import fields
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from tumpline_sim.encode import PAYLOADS, rfc3339
from tumpline_sim.faults import KINDS, FaultListError
from tumpline_sim.life import KINDS as EVENTS
from tumpline_sim.options import DEFAULT_START, LIVES, Options
from tumpline_sim.publish import BrokerUnreachableError, Publisher, publish
from tumpline_sim.record import record
from tumpline_sim.sensors import SENSORS, SignalChoiceError
from tumpline_sim.settings import settings_toml
from tumpline_sim.shift import Message, Shift, shift

if TYPE_CHECKING:
    Verbs = argparse._SubParsersAction[argparse.ArgumentParser]
    """What `add_parser` is called on."""

DONE, BAD_ARGUMENTS, NO_BROKER, INTERRUPTED = 0, 2, 4, 130

_ABOUT = """\
A simulated cider press line. It makes up a shift from the first load to the last juice: fruit from four invented
growers, a mill, a belt press, meters with errors as real ones have, and a crew that keeps the shift book. The same
seed gives the same shift. What truly happened can be written to a file of its own (--truth) to compare with."""

_FAULTS = f"""\
what goes wrong: none, random, or a list such as blocked@35,juice-low@80 (minutes from the start; it waits for
fruit where it needs some). signal-lost, frozen and at-limit may name their sensor: frozen:juice/flow@50.
Kinds: {", ".join(KINDS)} (default: none)"""

_LIFE = f"""\
plain, with only the gaps between loads, or full, with all that happens and is no fault: start-up,
{", ".join(EVENTS)}, and more various loads (default: plain)"""

_SIGNALS = f"""\
which sensors the line has: expected (the four every line needs), all, or names with commas out of
{", ".join(sensor.name for sensor in SENSORS)} (default: expected)"""


def main(arguments: Sequence[str] | None = None, *, more: Callable[[Verbs], None] | None = None) -> int:
    """Run the command; returns its exit status. `more` may add verbs that somebody else answers for."""
    given = _parser(more).parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = given.run
    try:
        return run(given)
    except (FaultListError, SignalChoiceError) as fault:
        return _refuse(str(fault), BAD_ARGUMENTS)
    except OSError as fault:
        return _refuse(f"cannot write {fault.filename}: {fault.strerror}", BAD_ARGUMENTS)
    except BrokerUnreachableError as fault:
        return _refuse(f"{fault}; start one there, or say where it is with --host and --port", NO_BROKER)
    except KeyboardInterrupt:
        return _refuse("stopped before the end of the shift", INTERRUPTED)


def _publish(given: argparse.Namespace) -> int:
    now = datetime.now(UTC)  # noqa: TID251 - a shift published live begins now
    simulated = shift(_options(given, given.start or now))
    publisher = Publisher(host=given.host, port=given.port)
    try:
        start = simulated.start
        sent = publish(simulated, publisher, start=start, speed=given.speed, progress=_Progress())
    finally:
        publisher.close()
    return _finish(simulated, given, f"published {sent} messages, all confirmed")


def _record(given: argparse.Namespace) -> int:
    simulated = shift(_options(given, given.start or DEFAULT_START))
    written = record(simulated, given.output)
    return _finish(simulated, given, f"wrote {written} messages to {given.output}")


def _settings(given: argparse.Namespace) -> int:
    text = settings_toml(_options(given, DEFAULT_START), host=given.host, port=given.port, store=given.store)
    if given.output:
        given.output.write_text(text, encoding="utf-8")
    else:
        sys.stdout.write(text)
    return DONE


def _finish(simulated: Shift, given: argparse.Namespace, done: str) -> int:
    truth = simulated.truth
    if given.truth:
        given.truth.write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")
    tonnes, litres = truth["fruit_kg"] / 1000.0, truth["juice_l"]
    print(f"tumpline-sim: {done}; truly {tonnes:.2f} t of fruit gave {litres:.0f} L", file=sys.stderr)
    return DONE


class _Progress:
    """One line on standard error, renewed as the shift goes; a line every ten minutes of it where nobody watches."""

    def __init__(self) -> None:
        self._watched = sys.stderr.isatty()
        self._next = 0.0

    def __call__(self, message: Message, sent: int) -> None:
        if message.arrived < self._next:
            return
        self._next = message.arrived + (1.0 if self._watched else 600.0)
        text = f"tumpline-sim: {rfc3339(int(message.arrived))}, {sent} messages"
        print(text, end="\r" if self._watched else "\n", file=sys.stderr, flush=True)


def _refuse(why: str, status: int) -> int:
    print(f"tumpline-sim: {why}", file=sys.stderr)
    return status


def _options(given: argparse.Namespace, start: datetime) -> Options:
    named = {field.name: getattr(given, field.name) for field in fields(Options) if field.name != "start"}
    return Options(start=start, **named)


def _parser(more: Callable[[Verbs], None] | None) -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="tumpline-sim", description=_ABOUT)
    verbs = parser.add_subparsers(required=True, metavar="VERB")
    line, running, broker = _line_arguments(), _running_arguments(), _broker_arguments()

    live = verbs.add_parser(
        "publish", help="send a shift to an MQTT broker as it happens", parents=[line, running, broker]
    )
    live.add_argument(
        "--speed", type=_positive, default=1.0, metavar="X", help="times as fast as the clock (default: 1)"
    )
    live.set_defaults(run=_publish)

    tape = verbs.add_parser("record", help="write a shift to a file, at once", parents=[line, running])
    tape.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="compressed if it ends in .gz or .zst"
    )
    tape.set_defaults(run=_record)

    settings = verbs.add_parser(
        "settings", help="print settings for a service that fit this line", parents=[line, broker]
    )
    settings.add_argument(
        "--store", default="var/tumpline.db", help="where the service keeps its data (default: %(default)s)"
    )
    settings.add_argument("-o", "--output", type=Path, metavar="FILE", help="instead of standard output")
    settings.set_defaults(
        run=_settings, seed=1, hours=2.0, faults="none", life="plain", first_vat=1, unbiased=False, tidy=False
    )
    if more is not None:
        more(verbs)
    return parser


def _line_arguments() -> argparse.ArgumentParser:
    add = argparse.ArgumentParser(add_help=False)
    add.add_argument("--root", type=_topic, default="tumpline", help="first part of every topic (default: %(default)s)")
    add.add_argument("--line", type=_topic, default="line-1", help="the line's id (default: %(default)s)")
    add.add_argument("--rate", type=_positive, default=4.0, metavar="T/H", help="rated throughput, t/h (default: 4)")
    add.add_argument("--signals", default="expected", metavar="WHICH", help=_SIGNALS)
    add.add_argument(
        "--payload", choices=PAYLOADS, default="senml", help="SenML with times, or bare numbers (default: senml)"
    )
    add.add_argument("--sump", action="store_true", help="juice runs through a sump: its meter reads in bursts")
    return add


def _running_arguments() -> argparse.ArgumentParser:
    add = argparse.ArgumentParser(add_help=False)
    add.add_argument(
        "--hours", type=_positive, default=2.0, metavar="H", help="planned length of the shift (default: 2)"
    )
    add.add_argument("--seed", type=int, default=1, metavar="N", help="which shift (default: 1)")
    add.add_argument(
        "--start",
        type=_time,
        metavar="TIME",
        help="when it begins, such as 2026-10-14T06:00:00Z (default: now; of a recording that very morning)",
    )
    add.add_argument("--faults", default="none", metavar="LIST", help=_FAULTS)
    add.add_argument("--life", choices=LIVES, default="plain", help=_LIFE)
    add.add_argument(
        "--first-vat", type=_counting, default=1, metavar="N", help="number of the crew's first vat (default: 1)"
    )
    add.add_argument("--unbiased", action="store_true", help="meters without a bias of their own, only noise")
    add.add_argument("--tidy", action="store_true", help="no drop-outs, duplicates or readings out of order")
    add.add_argument("--truth", type=Path, metavar="FILE", help="write what truly happened, as JSON; never published")
    return add


def _broker_arguments() -> argparse.ArgumentParser:
    add = argparse.ArgumentParser(add_help=False)
    add.add_argument("--host", default="127.0.0.1", help="the broker (default: %(default)s)")
    add.add_argument("--port", type=int, default=1883, help="its port (default: %(default)s)")
    return add


def _positive(text: str) -> float:
    value = float(text)
    if not 0.0 < value < 1e4:
        raise argparse.ArgumentTypeError(f"{text} is not a number above 0 and below 10 000")
    return value


def _counting(text: str) -> int:
    value = int(text)
    if not 0 < value < 10_000:
        raise argparse.ArgumentTypeError(f"{text} is not a number from 1 to 9999")
    return value


def _topic(text: str) -> str:
    if not text or set(text) & set("+#\0"):
        raise argparse.ArgumentTypeError(f"{text!r} cannot be part of a topic: it must not be empty nor hold + or #")
    return text


def _time(text: str) -> datetime:
    try:
        when = datetime.fromisoformat(text)
    except ValueError:
        when = None
    if when is None or when.tzinfo is None:
        raise argparse.ArgumentTypeError(f"{text!r} is not a time with its offset, such as 2026-10-14T06:00:00Z")
    return when


if __name__ == "__main__":
    sys.exit(main())
