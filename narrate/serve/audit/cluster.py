"""The same work on an existing engine, Dask: chunks out to its workers, results back in the order of the input.

What comes back is the same lines that a process of this machine would give, so that sums and files are equal. A worker
that dies has its chunks done again by another; a narrative that kills worker after worker becomes a finding.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from narrate.core.findings import NarrateError
from narrate.core.settings import Settings
from narrate.serve.audit.compile import check, compile_chunk, prepare
from narrate.serve.audit.items import Item, need
from narrate.serve.audit.keep import Head, this_head
from narrate.serve.audit.pool import Asked, Chunk, Done, Find
from narrate.serve.audit.results import About, broken_line

LOCAL = "local"
_IN_FLIGHT = 4  # chunks for each thread of a worker
_WAIT_S = 30  # for an answer of the scheduler, and for the first worker
_DIED = "the workers that compiled it died (out of memory, or a crash)"


@contextmanager
def on_cluster(
    address: str, workers: int, settings: Settings | None = None
) -> Iterator[Callable[[Iterable[Chunk], Find], Iterator[Done]]]:
    """A runner on the scheduler of that address, or on a cluster of processes of this machine (`local`).

    NarrateError where nobody answers there, or where its workers have other word lists.
    """
    distributed = need("distributed", "--cluster", "cluster")
    heed = settings or Settings()
    with _client(distributed, address, workers) as client:
        _check_workers(client, address, heed)
        yield _Engine(distributed, client, heed).run


@contextmanager
def _client(distributed: Any, address: str, workers: int) -> Iterator[Any]:
    if address == LOCAL:
        with (
            distributed.LocalCluster(n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None,
                                     silence_logs=50) as cluster,
            distributed.Client(cluster) as client,
        ):  # fmt: skip
            yield client
        return
    try:
        client = distributed.Client(address, timeout=_WAIT_S)
    except (OSError, TimeoutError, ValueError) as error:
        raise NarrateError(f"no scheduler answers ({error or type(error).__name__}).", where=address,
                           remedy="Give its address, as tcp://host:8786.") from None  # fmt: skip
    try:
        yield client
    finally:
        client.close()


def _check_workers(client: Any, address: str, settings: Settings) -> None:
    """Every worker compiles with the same word lists as we would; else the findings would not be the same."""
    try:
        client.wait_for_workers(1, timeout=_WAIT_S)
    except TimeoutError:
        raise NarrateError("has no worker.", where=address, remedy="Start one: dask worker ADDRESS.") from None
    here = this_head(settings)
    try:
        heads: dict[str, Head] = client.run(this_head, settings)
    except Exception as error:  # whatever a worker without this package, or without the shop's folders, says
        raise NarrateError(f"a worker cannot run narrate ({error}).", where=address,
                           remedy="Install the same narrate there, with the same folders.") from None  # fmt: skip
    for worker, head in heads.items():
        if head != here:
            raise NarrateError(f"has other word lists ({head.say()}; here {here.say()}).", where=worker,
                               remedy="Install the same version of narrate there.") from None  # fmt: skip
    # The workers of an engine that was there before do others' work too: how they look for garbage is not ours to set.
    client.run(prepare if address == LOCAL else check, settings)


class _Engine:
    """The workers of a cluster, given chunks in the order of the input."""

    def __init__(self, distributed: Any, client: Any, settings: Settings) -> None:
        self.distributed, self.client, self.settings = distributed, client, settings

    def run(self, chunks: Iterable[Chunk], find: Find) -> Iterator[Done]:
        """Every chunk with its results, in order, with a few in flight for each thread of a worker."""
        waiting: deque[tuple[Asked, Any]] = deque()
        threads = sum(self.client.nthreads().values()) or 1
        for chunk in chunks:
            asked = Asked(chunk, [find(item.key) for item in chunk])
            waiting.append((asked, self._submit(asked.missing)))
            if len(waiting) >= threads * _IN_FLIGHT:
                yield self._take(*waiting.popleft())
        while waiting:
            yield self._take(*waiting.popleft())

    def _submit(self, chunk: Chunk) -> Any:
        # Not pure: two chunks that are alike are two chunks.
        return self.client.submit(compile_chunk, chunk, self.settings, pure=False) if chunk else None

    def _take(self, asked: Asked, future: Any) -> Done:
        if future is None:
            return asked.done([])
        try:
            return asked.done(future.result())
        except self.distributed.KilledWorker:
            return asked.done([self._alone(item) for item in asked.missing])

    def _alone(self, item: Item) -> bytes:
        """One narrative by itself, to tell which of a chunk it is that kills workers."""
        try:
            (line,) = self._submit([item]).result()
            return bytes(line)
        except self.distributed.KilledWorker:
            return broken_line(_DIED, About(item.key, item.name, item.tech, item.day))
