"""One audit from its sources to its sums: each narrative is compiled, or taken from what was kept, and tallied."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from pathlib import Path

from narrate.core.settings import Settings
from narrate.serve.audit.compare import Changes
from narrate.serve.audit.items import Item, Source, in_chunks, read_items
from narrate.serve.audit.keep import Head, Kept, read_head, read_results, this_head
from narrate.serve.audit.pool import CHUNK, Chunk, Done, Find, run_here
from narrate.serve.audit.results import Result, read_result
from narrate.serve.audit.tally import Tally

Runner = Callable[[Iterable[Chunk], Find], Iterator[Done]]
Sink = Callable[[Result], None]


@dataclass(slots=True)
class Plan:
    """What an audit takes: where results are kept (`resume`), how many processes, and who else sees each result."""

    sources: tuple[Source, ...]
    workers: int = 1
    resume: Path | None = None
    tech_of_folder: bool = False
    settings: Settings = field(default_factory=Settings)
    runner: Runner | None = None  # instead of processes of this machine
    more: Iterable[Item] = ()  # narratives beside those of the sources: the book's
    sinks: list[Sink] = field(default_factory=list)
    step: Callable[[int], None] = lambda count: None


def run_audit(plan: Plan, tally: Tally) -> Head:
    """Do it. Gives by what the results were made. What is interrupted is kept as far as it came, under `resume`."""
    here = made_by = this_head(plan.settings)
    for source in plan.sources:
        if source.kind == "results":
            made_by = read_head(source.place)
            for result in read_results(source.place):
                _take(result, tally, plan)
                plan.step(1)
    items = (
        item
        for source in plan.sources
        if source.kind != "results"
        for item in read_items(source, tech_of_folder=plan.tech_of_folder)
    )
    with ExitStack() as stack:
        kept = Kept(plan.resume, here) if plan.resume else None
        if kept:
            stack.callback(kept.close)
        find: Find = kept.find if kept else lambda key: None
        chunks = in_chunks(_chained(items, plan.more), CHUNK)
        work = plan.runner(chunks, find) if plan.runner else run_here(chunks, plan.workers, find, plan.settings)
        for done in work:
            if kept and done.made:
                kept.add(done.made)
            for line in done.results:
                _take(read_result(line), tally, plan)
            plan.step(len(done.chunk))
    return made_by


def _chained(items: Iterable[Item], more: Iterable[Item]) -> Iterator[Item]:
    yield from items
    yield from more


def _take(result: Result, tally: Tally, plan: Plan) -> None:
    tally.add(result)
    for sink in plan.sinks:
        sink(result)


def find_changes(here: Path, there: Path) -> Changes:
    """The sheets that two files of results both hold, and what changed in them.

    As a rule they stand in the same order; where they do not, the place of each in the other is looked up.
    """
    changes = Changes()
    places: dict[str, int] | None = None
    with there.open("rb") as other:
        other.readline()
        for result in read_results(here):
            line = b"" if places is not None else other.readline()
            if places is None and not (line.endswith(b"\n") and f'"key":"{result.key}"'.encode() in line[:64]):
                places = _places(there)
            if places is not None:
                at = places.get(result.key)
                if at is None:
                    continue
                other.seek(at)
                line = other.readline()
            changes.add(result, read_result(line))
    return changes


def _places(path: Path) -> dict[str, int]:
    places: dict[str, int] = {}
    with path.open("rb") as file:
        at = len(file.readline())
        for line in file:
            if line.endswith(b"\n"):
                places[line[8:40].decode("ascii", "replace")] = at
            at += len(line)
    return places
