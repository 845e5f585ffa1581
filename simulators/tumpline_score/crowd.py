"""Many shifts on all cores: a fresh process for each, so that nothing of one shift reaches the next."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterable, Iterator
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess

from tumpline_score.draw import Draw
from tumpline_score.scored import Scored, scored


class ShiftFailedError(Exception):
    """The engine failed in a shift; the message says in which. Its traceback is on standard error."""


def score_all(draws: Iterable[Draw], *, jobs: int) -> Iterator[Scored]:
    """Each shift's score in the order of `draws`, whatever `jobs` is; with one job, in this process.

    Raises `ShiftFailedError` when the process of a shift ends without a score.
    """
    if jobs == 1:
        yield from map(scored, draws)
        return
    # No pool: a pool waits for ever for the answer of a worker that died.
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([scored.__module__])
    coming = enumerate(draws)
    running: dict[Connection, tuple[int, Draw, BaseProcess]] = {}
    done: dict[int, Scored] = {}
    told = 0
    try:
        while True:
            while len(running) < jobs and (another := next(coming, None)) is not None:
                ours, theirs = context.Pipe(duplex=False)
                begun = context.Process(target=_score, args=(another[1], theirs))
                begun.start()
                theirs.close()
                running[ours] = (*another, begun)
            if not running:
                return
            for ready in wait(list(running)):
                assert isinstance(ready, Connection)
                number, draw, process = running.pop(ready)
                done[number] = _received(ready, draw, process)
            while told in done:
                yield done.pop(told)
                told += 1
    finally:
        for _, _, left in running.values():
            left.terminate()


def _score(draw: Draw, answer: Connection) -> None:
    answer.send(scored(draw))


def _received(answer: Connection, draw: Draw, process: BaseProcess) -> Scored:
    try:
        score: Scored = answer.recv()
    except EOFError:
        process.join()
        raise ShiftFailedError(
            f"shift {draw.number} ended with status {process.exitcode} and no score; "
            f"look at it alone with --shifts 1 --first {draw.number} --jobs 1"
        ) from None
    process.join()
    return score
