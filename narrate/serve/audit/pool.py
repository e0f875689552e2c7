"""Run the work over all cores, in order and with little in flight, so that memory stays flat however much there is.

A narrative that kills its process (the machine ran out of memory, a library crashed) is found out by running what was
in flight again one by one; it becomes a finding, and the rest goes on.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from dataclasses import dataclass

from narrate.core.findings import NarrateError
from narrate.core.settings import Settings
from narrate.serve.audit.compile import check, compile_chunk, prepare, release
from narrate.serve.audit.items import Item
from narrate.serve.audit.results import About, broken_line

CHUNK = 8  # narratives that a worker is handed at a time
_IN_FLIGHT = 3  # chunks for each worker
_DIED = "the process that compiled it died (out of memory, or a crash)"

Chunk = list[Item]
Work = Callable[[Chunk, Settings], list[bytes]]
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
    chunks: Iterable[Chunk],
    workers: int,
    find: Find = lambda key: None,
    settings: Settings | None = None,
    work: Work = compile_chunk,
) -> Iterator[Done]:
    """Every chunk with its results, in order. With one worker no process is started. `find` gives results that are
    known already."""
    heed = settings or Settings()
    if workers > 1:
        yield from _Pool(workers, heed, work).run(chunks, find)
        return
    ready, swept = False, gc.isenabled()
    try:
        for chunk in chunks:
            asked = Asked(chunk, [find(item.key) for item in chunk])
            if asked.missing and not ready:
                prepare(heed)
                ready = True
            yield asked.done(work(asked.missing, heed) if asked.missing else [])
    finally:
        if ready:
            release(swept)


class Asked:
    """A chunk with what is known of it already."""

    def __init__(self, chunk: Chunk, known: list[bytes | None]) -> None:
        self.chunk, self.known = chunk, known
        self.missing = [item for item, result in zip(chunk, known, strict=True) if result is None]

    def done(self, made: list[bytes]) -> Done:
        """All results in the order of the chunk, and those that are new."""
        fresh = iter(made)
        return Done(self.chunk, [result if result is not None else next(fresh) for result in self.known], made)


def _start(settings: Settings) -> None:
    """What a worker does first; the process that started it tells what cannot be used."""
    with suppress(NarrateError):
        prepare(settings)


class _Pool:
    """Processes of this machine, started again where one of them died."""

    def __init__(self, workers: int, settings: Settings, work: Work) -> None:
        self.workers, self.settings, self.work = workers, settings, work
        self.pool = self._new(workers)
        self.waiting: deque[tuple[Asked, Future[list[bytes]]]] = deque()

    def run(self, chunks: Iterable[Chunk], find: Find) -> Iterator[Done]:
        """Every chunk with its results, in order."""
        ready = False
        try:
            for chunk in chunks:
                asked = Asked(chunk, [find(item.key) for item in chunk])
                self.waiting.append((asked, self._submit(asked.missing)))
                if asked.missing and not ready:
                    # While the workers start: what cannot be read is told here, once, and not by each narrative.
                    check(self.settings)
                    ready = True
                if len(self.waiting) >= self.workers * _IN_FLIGHT:
                    yield self._take_first()
            while self.waiting:
                yield self._take_first()
        finally:
            self.pool.shutdown(wait=True, cancel_futures=True)

    def _new(self, workers: int) -> ProcessPoolExecutor:
        # Started afresh, not forked: a fork of a process with threads (a progress bar has one) can hang.
        return ProcessPoolExecutor(
            workers, mp_context=multiprocessing.get_context("spawn"), initializer=_start, initargs=(self.settings,)
        )

    def _submit(self, chunk: Chunk) -> Future[list[bytes]]:
        if not chunk:
            nothing: Future[list[bytes]] = Future()
            nothing.set_result([])
            return nothing
        try:
            return self.pool.submit(self.work, chunk, self.settings)
        except BrokenProcessPool as error:  # it broke since we last looked: told when its turn comes
            failed: Future[list[bytes]] = Future()
            failed.set_exception(error)
            return failed

    def _take_first(self) -> Done:
        """The first chunk's results; where the pool broke, that chunk is tried one by one, and the others again."""
        asked, future = self.waiting.popleft()
        try:
            return asked.done(future.result())
        except BrokenProcessPool:
            self.pool.shutdown(wait=False, cancel_futures=True)
        results = [result for item in asked.missing for result in self._alone(item)]
        self.pool = self._new(self.workers)
        for at, (other, _) in enumerate(list(self.waiting)):
            self.waiting[at] = (other, self._submit(other.missing))
        return asked.done(results)

    def _alone(self, item: Item) -> list[bytes]:
        """One narrative in a process of its own."""
        with self._new(1) as pool:
            try:
                return pool.submit(self.work, [item], self.settings).result()
            except BrokenProcessPool:
                return [broken_line(_DIED, About(item.key, item.name, item.tech, item.day))]
