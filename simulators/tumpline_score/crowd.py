"""Many shifts on all cores: a fresh process for each, so that nothing of one shift reaches the next."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterable, Iterator

from tumpline_score.draw import Draw
from tumpline_score.scored import Scored, scored


def score_all(draws: Iterable[Draw], *, jobs: int) -> Iterator[Scored]:
    """Each shift's score in the order of `draws`, whatever `jobs` is; with one job, in this process."""
    if jobs == 1:
        yield from map(scored, draws)
        return
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([scored.__module__])
    with context.Pool(jobs, maxtasksperchild=1) as pool:
        yield from pool.imap(scored, draws)
