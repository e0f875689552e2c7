"""Run the work over all cores, in order and with little in flight, so that memory stays flat however much there is.

A narrative that kills its process (the machine ran out of memory, a library crashed) is found out by running what was
in flight again one by one; it becomes a finding, and the rest goes on.
"""

from __future__ import annotations

import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass

from narrate.serve.audit.compile import compile_chunk, prepare
from narrate.serve.audit.items import Item
from narrate.serve.audit.results import About, broken_line

CHUNK = 8  # narratives that a worker is handed at a time
_IN_FLIGHT = 3  # chunks for each worker
_DIED = "the process that compiled it died (out of memory, or a crash)"

Chunk = list[Item]
Work = Callable[[Chunk], list[bytes]]
Find = Callable[[str], bytes | None]


@dataclass(frozen=True, slots=True)
class Done:
    """A chunk with its results, one for each item and in their order; `made` are those that were not known before."""

    chunk: Chunk
    results: list[bytes]
    made: list[bytes]


def count_cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def run_here(
    chunks: Iterable[Chunk], workers: int, find: Find = lambda key: None, work: Work = compile_chunk
) -> Iterator[Done]:
    """Every chunk with its results, in order. With one worker no process is started. `find` gives results that are
    known already."""
    if workers > 1:
        yield from _run_apart(chunks, workers, find, work)
        return
    ready = False
    for chunk in chunks:
        asked = Asked(chunk, [find(item.key) for item in chunk])
        if asked.missing and not ready:
            prepare()
            ready = True
        yield asked.done(work(asked.missing) if asked.missing else [])


class Asked:
    """A chunk with what is known of it already."""

    def __init__(self, chunk: Chunk, known: list[bytes | None]) -> None:
        self.chunk, self.known = chunk, known
        self.missing = [item for item, result in zip(chunk, known, strict=True) if result is None]

    def done(self, made: list[bytes]) -> Done:
        """All results in the order of the chunk, and those that are new."""
        fresh = iter(made)
        return Done(self.chunk, [result if result is not None else next(fresh) for result in self.known], made)


def _run_apart(chunks: Iterable[Chunk], workers: int, find: Find, work: Work) -> Iterator[Done]:
    waiting: deque[tuple[Asked, Future[list[bytes]]]] = deque()
    pool, ready = _new_pool(workers), False
    try:
        for chunk in chunks:
            asked = Asked(chunk, [find(item.key) for item in chunk])
            if asked.missing and not ready:
                prepare()  # word lists that cannot be read are told here, once, and not by each narrative
                ready = True
            waiting.append((asked, _submit(pool, work, asked.missing)))
            if len(waiting) >= workers * _IN_FLIGHT:
                pool, done = _take_first(pool, waiting, workers, work)
                yield done
        while waiting:
            pool, done = _take_first(pool, waiting, workers, work)
            yield done
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _new_pool(workers: int) -> ProcessPoolExecutor:
    # Started afresh, not forked: a fork of a process with threads (a progress bar has one) can hang.
    return ProcessPoolExecutor(workers, mp_context=multiprocessing.get_context("spawn"), initializer=prepare)


def _submit(pool: ProcessPoolExecutor, work: Work, chunk: Chunk) -> Future[list[bytes]]:
    if not chunk:
        nothing: Future[list[bytes]] = Future()
        nothing.set_result([])
        return nothing
    try:
        return pool.submit(work, chunk)
    except BrokenProcessPool as error:  # it broke since we last looked: told when its turn comes
        failed: Future[list[bytes]] = Future()
        failed.set_exception(error)
        return failed


def _take_first(
    pool: ProcessPoolExecutor, waiting: deque[tuple[Asked, Future[list[bytes]]]], workers: int, work: Work
) -> tuple[ProcessPoolExecutor, Done]:
    """The first chunk's results; where the pool broke, that chunk is tried one by one, and the others again."""
    asked, future = waiting.popleft()
    try:
        return pool, asked.done(future.result())
    except BrokenProcessPool:
        pool.shutdown(wait=False, cancel_futures=True)
    results = [result for item in asked.missing for result in _alone(item, work)]
    fresh = _new_pool(workers)
    for at, (other, _) in enumerate(list(waiting)):
        waiting[at] = (other, _submit(fresh, work, other.missing))
    return fresh, asked.done(results)


def _alone(item: Item, work: Work) -> list[bytes]:
    """One narrative in a process of its own."""
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn"), initializer=prepare) as pool:
        try:
            return pool.submit(work, [item]).result()
        except BrokenProcessPool:
            return [broken_line(_DIED, About(item.key, item.name, item.tech, item.day))]
