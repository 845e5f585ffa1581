"""What every command accepts on the command line."""

import argparse
from pathlib import Path


def output(parser: argparse.ArgumentParser, words: str, *, required: bool) -> None:
    """Where the command writes."""
    parser.add_argument("-o", "--output", type=Path, required=required, metavar="FILE", help=words)


def demo(parser: argparse.ArgumentParser) -> None:
    """`demo`."""
    add = parser.add_argument
    add("--speed", type=_positive, default=30.0, metavar="X", help="times as fast as the clock (default: 30)")
    add("--hours", type=_positive, default=2.0, metavar="H", help="length of the shift (default: 2)")
    add("--seed", type=int, default=1, metavar="N", help="which shift (default: 1)")
    add("--faults", default="none", metavar="LIST", help="what goes wrong, as for tumpline-sim (default: none)")
    add("--once", action="store_true", help="stop at the end of the shift and print its summary")
    add("--port", type=_port, default=8080, metavar="P", help="of the page, or the next that is free (default: 8080)")


def demo_season(parser: argparse.ArgumentParser) -> None:
    """`demo-season`."""
    add = parser.add_argument
    store = Path("var/season.db")
    add("--store", type=Path, default=store, metavar="FILE", help="where; not there yet (default: %(default)s)")
    add("--shifts", type=_count_of, default=30, metavar="N", help="how many (default: 30)")
    add("--hours", type=_positive, default=1.5, metavar="H", help="length of a shift, more or less (default: 1.5)")
    add("--seed", type=int, default=1, metavar="N", help="which season (default: 1)")
    add("--jobs", type=_count_of, metavar="N", help="shifts made at a time (default: one a core)")


def watch(parser: argparse.ArgumentParser) -> None:
    """`watch`."""
    parser.add_argument("--line", metavar="ID", help="this line alone")
    parser.add_argument("--plain", action="store_true", help="write a sentence for every change instead of drawing")


def replay(parser: argparse.ArgumentParser) -> None:
    """`replay`."""
    add = parser.add_argument
    add("recording", type=Path, metavar="RECORDING", help="as mosquitto_sub -F %%j prints; .gz and .zst too")
    add("--shift", metavar="ID", help="this shift instead of the last")
    add("--watch", metavar="NAME", help="when this alarm would have been raised, with the limits of these settings")
    add("--strict", action="store_true", help="a broken line is an error instead of skipped")


def report(parser: argparse.ArgumentParser) -> None:
    """`report`."""
    add = parser.add_argument
    add("--shift", metavar="ID", help="this shift (default: the last)")
    add("--season", type=int, metavar="YEAR", help="all shifts from July of that year to the next June")
    add("--grower", metavar="NAME", help="the statement of this grower's loads, of that season or the newest")
    add("--vat", metavar="NAME", help="whose fruit is in this vat, and where its juice went")
    add("--load", metavar="NAME", help="where this load went")
    add("--trailer", metavar="NAME", help="the sheet that goes with this trailer of pomace (of that shift)")
    _document(parser)


def plan(parser: argparse.ArgumentParser) -> None:
    """`plan`."""
    add = parser.add_argument
    add("--to-come", required=True, metavar="MASS", help='fruit still to be delivered, such as "40 t"')
    add("--days", required=True, type=_count_of, metavar="N", help="days over which it comes")
    add("--waiting", metavar="MASS", help="fruit in the yard now (default: none)")
    add("--room", metavar="VOLUME", help="what the vats still take (default: as the season's last shifts left them)")
    add("--shifts-a-day", type=_positive, default=1.0, metavar="N", help="(default: 1)")
    add("--spoilt", type=_positive, default=1.0, metavar="PERCENT", help="of waiting fruit lost a day (default: 1)")
    add("--season", type=int, metavar="YEAR", help="learn from this season (default: the newest)")
    _document(parser)


def _document(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--format", choices=("html", "pdf", "csv", "json"), default="json", help="(default: json)")
    output(parser, "instead of standard output", required=False)
    _store(parser)


def _store(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--config", type=Path, metavar="FILE", help="settings that name the store")
    parser.add_argument("--store", type=Path, metavar="FILE", help="the store itself (default: var/tumpline.db)")


def import_(parser: argparse.ArgumentParser) -> None:
    """`import`."""
    add = parser.add_argument
    add("what", choices=("loads", "vats"), help="what the table is of")
    add("file", type=Path, metavar="FILE", help="comma-separated, its first row names the columns")
    add("--line", metavar="ID", help="whose book, where there are several lines")
    add("--by", metavar="NAME", help="who says so, where the table has no column for it")
    add("--partly", action="store_true", help="take the good rows although others are rejected")


def export(parser: argparse.ArgumentParser) -> None:
    """`export`."""
    add = parser.add_argument
    add("what", nargs="?", choices=("loads", "vats", "shifts"), help="as comma-separated values")
    output(parser, "instead of standard output", required=False)
    add("--season", type=int, metavar="YEAR", help="from July of that year to the next June (default: all there is)")
    add("--parquet", type=Path, metavar="FOLDER", help="everything, a file for each table")
    _store(parser)


def trace(parser: argparse.ArgumentParser) -> None:
    """`trace`."""
    which = parser.add_mutually_exclusive_group(required=True)
    which.add_argument("--vat", metavar="NAME", help="whose juice is in this vat, and who took of it")
    which.add_argument("--load", metavar="NAME", help="the vats and trailers to which this load went")
    which.add_argument("--trailer", metavar="NAME", help="whose pomace went with this trailer, and to whom")
    parser.add_argument("--season", type=int, metavar="YEAR", help="of that season (default: the newest)")
    _store(parser)


def blend(parser: argparse.ArgumentParser) -> None:
    """`blend`."""
    add = parser.add_argument
    add("parts", nargs="+", metavar="VAT=LITRES", help="so much of each, such as V1=1200 V2=600")
    add("--reach", metavar="FIGURE=G/L", help="the share of two vats that comes to acidity_g_per_l or tannin_g_per_l")
    _store(parser)


def person(parser: argparse.ArgumentParser) -> None:
    """`person`."""
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
