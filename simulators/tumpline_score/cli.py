"""The command `tumpline-sim` with all its verbs: those of the simulated line, and `score`."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from itertools import islice

from tumpline_score.bar import watched
from tumpline_score.crowd import ShiftFailedError, score_all
from tumpline_score.draw import CONDITIONS, LABELS, draws
from tumpline_score.table import text
from tumpline_score.totals import document
from tumpline_sim import cli as simulated

_ABOUT = """\
Many different shifts, everything about them drawn from the seed, go through the service's engine in memory; every
figure is held against what truly happened, and every alarm against what was truly wrong."""

_FAILED = 1


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command; returns its exit status."""
    return simulated.main(arguments, more=_add_score)


def _add_score(verbs: simulated.Verbs) -> None:
    score = verbs.add_parser(
        "score", help="hold the service's figures and alarms against the truth of many shifts", description=_ABOUT
    )
    score.add_argument("--shifts", type=_count, default=20, metavar="N", help="how many (default: 20)")
    score.add_argument("--seed", type=int, default=1, metavar="S", help="which shifts (default: 1)")
    score.add_argument(
        "--first", type=int, default=0, metavar="NUMBER", help="number of the first, to look at one again (default: 0)"
    )
    score.add_argument(
        "--conditions", choices=CONDITIONS, default="both", help="whether things go wrong (default: both, drawn)"
    )
    score.add_argument(
        "--only",
        type=_labels,
        default=frozenset(),
        metavar="WORDS",
        help=f"only shifts with all of these: {', '.join(sorted(LABELS))}",
    )
    score.add_argument(
        "--jobs", type=_count, default=len(os.sched_getaffinity(0)), metavar="N", help="processes (default: one a core)"
    )
    score.add_argument("--each", action="store_true", help="also tell shift by shift what was wrong")
    score.add_argument("--json", action="store_true", help="one JSON document instead of tables")
    score.set_defaults(run=_score)


def _score(given: argparse.Namespace) -> int:
    wanted = list(
        islice(draws(given.seed, conditions=given.conditions, only=given.only, first=given.first), given.shifts)
    )
    try:
        scores = list(watched(score_all(wanted, jobs=min(given.jobs, len(wanted))), len(wanted)))
    except ShiftFailedError as fault:
        print(f"tumpline-sim: {fault}", file=sys.stderr)
        return _FAILED
    told = document(scores, seed=given.seed, conditions=given.conditions)
    sys.stdout.write(json.dumps(told, indent=1) + "\n" if given.json else text(told, each=given.each))
    return simulated.DONE


def _count(text: str) -> int:
    number = int(text)
    if not 0 < number < 1_000_000:
        raise argparse.ArgumentTypeError(f"{text} is not a whole number above 0")
    return number


def _labels(text: str) -> frozenset[str]:
    words = frozenset(word.strip() for word in text.split(","))
    for word in words - LABELS:
        raise argparse.ArgumentTypeError(f"{word!r} says nothing of a shift; one of {', '.join(sorted(LABELS))} does")
    return words


if __name__ == "__main__":
    sys.exit(main())
