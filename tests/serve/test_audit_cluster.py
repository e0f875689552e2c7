"""Past one machine: the same findings on a Dask cluster as in one process, also when a worker is killed half-way."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pyarrow as arrow
import pyarrow.parquet as parquet
import pytest

from narrate.core.findings import NarrateError
from narrate.serve.audit.items import find_source
from narrate.serve.audit.policy import Policy
from narrate.serve.audit.results import Result
from narrate.serve.audit.run import Plan, run_audit
from narrate.serve.audit.tally import Tally
from tests.serve.audit_made import make_narratives, write_lines
from tests.serve.calling import narrate

pytest.importorskip("distributed")
COUNT = 240


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Path:
    """Narratives as JSON Lines and as Parquet in parts, and what one process finds in them."""
    folder = tmp_path_factory.mktemp("cluster")
    made = make_narratives(COUNT)
    write_lines(made, folder / "notes.jsonl")
    (folder / "parts").mkdir()
    rows = [json.loads(one.record()) for one in made]
    for part in range(4):
        held = arrow.Table.from_pylist(rows[part * COUNT // 4 : (part + 1) * COUNT // 4])
        parquet.write_table(held, folder / "parts" / f"part-{part}.parquet")
    done = narrate("audit", "notes.jsonl", "--workers", "1", "--out", "alone/", "--format", "parquet", cwd=folder)
    assert done.status == 0
    return folder


def same_tables(one: Path, other: Path) -> None:
    names = sorted(path.name for path in one.iterdir())
    assert names == sorted(path.name for path in other.iterdir())
    for name in names:
        assert parquet.read_table(one / name).equals(parquet.read_table(other / name)), name


@pytest.mark.parametrize("source", ["notes.jsonl", "parts"])
def test_two_workers_of_a_cluster_find_what_one_process_finds(desk, source):
    out = f"cluster-{source.partition('.')[0]}/"
    done = narrate("audit", source, "--cluster", "--workers", "2", "--out", out, "--format", "parquet", cwd=desk)
    assert (done.status, done.messages) == (0, [f"narrate: audit of {COUNT} narratives written to {out.rstrip('/')}."])
    same_tables(desk / "alone", desk / out)


@pytest.fixture
def scheduler(desk):
    """A scheduler with two workers, each a process of its own, as a shop's engine would be."""
    place = desk / "scheduler.json"
    place.unlink(missing_ok=True)
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    run = [sys.executable, "-m", "distributed.cli.dask_scheduler"]
    running = [subprocess.Popen([*run, "--port", "0", "--no-dashboard", "--scheduler-file", place], **quiet)]  # type: ignore[call-overload]
    work = [sys.executable, "-m", "distributed.cli.dask_worker", "--scheduler-file", str(place), "--nthreads", "1",
            "--no-nanny", "--no-dashboard"]  # fmt: skip
    running += [subprocess.Popen(work, **quiet) for _ in range(2)]  # type: ignore[call-overload]
    give_up = time.monotonic() + 60
    while not (place.exists() and place.read_text().strip()) and time.monotonic() < give_up:
        time.sleep(0.1)
    yield json.loads(place.read_text())["address"], running
    for one in running:
        one.kill()
        one.wait()


def test_a_worker_that_is_killed_half_way_costs_no_finding(desk, scheduler):
    from narrate.serve.audit.cluster import on_cluster

    address, (_, first, _) = scheduler
    seen: list[Result] = []

    def sink(result: Result) -> None:
        seen.append(result)
        if len(seen) == COUNT // 3:
            os.kill(first.pid, signal.SIGKILL)

    tally = Tally(Policy())
    with on_cluster(address, 2) as runner:
        run_audit(Plan((find_source(str(desk / "notes.jsonl")),), runner=runner, sinks=[sink]), tally)
    alone: list[Result] = []
    run_audit(Plan((find_source(str(desk / "notes.jsonl")),), sinks=[alone.append]), Tally(Policy()))
    assert first.poll() is not None
    assert len(seen) == COUNT
    assert seen == alone


def test_nobody_at_the_address_is_told_at_once():
    from narrate.serve.audit.cluster import on_cluster

    with pytest.raises(NarrateError, match="no scheduler answers"), on_cluster("nonsense://nowhere", 1):
        pass
