"""How many narratives of 400 words an audit takes in a minute, and how much memory it holds. Run by hand.

    python tests/bench/audit.py speed [N] [WORKERS]     narratives a minute, end to end, all outputs but HTML
    python tests/bench/audit.py memory 1000 10000       the largest memory of the parent and of a worker, for each N
    python tests/bench/audit.py memory words=40 100000  the same with shorter narratives, where 400 words take too long
    python tests/bench/audit.py cluster [N]             N narratives on two Dask workers, one killed half-way

Every figure printed is measured in this run. Narratives are gold ones, joined and cut to 400 words, each with a
sentence of its own so that no two are alike.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import yaml

GOLD = Path(__file__).resolve().parent.parent / "gold"
WORDS = 400


def sources() -> list[str]:
    held = [
        yaml.safe_load(p.read_text(encoding="utf-8"))
        for p in sorted(GOLD.glob("dev/*.yaml")) + sorted(GOLD.glob("own/*.yaml"))
    ]
    return [one["narrative"] for one in held if one["style"] != "captions" and one["trade"] == "light-vehicle"]


def narratives(count: int, length: int = WORDS) -> Iterator[str]:
    texts = sources()
    for number in range(count):
        words = texts[number % len(texts)].split()
        more = number
        while len(words) < length - 3:
            more += 1
            words += texts[more % len(texts)].split()
        yield " ".join([*words[: length - 3], "bay", "number", str(number)])


def write(count: int, path: Path, length: int = WORDS) -> Path:
    with path.open("w", encoding="utf-8") as file:
        for number, text in enumerate(narratives(count, length)):
            held = {"name": f"note-{number:06d}", "text": text, "trade": "light-vehicle", "tech": f"T{number % 40:02d}",
                    "date": f"2026-{1 + number % 12:02d}-11"}  # fmt: skip
            file.write(json.dumps(held) + "\n")
    return path


def command(*arguments: object) -> list[str]:
    return [sys.executable, "-m", "narrate.serve.cli.main", "audit", *map(str, arguments)]


def speed(count: int, workers: int) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        few = write(workers * 8, folder / "few.jsonl")
        start, start_cpu = _timed(command(few, "--workers", workers, "--out", folder / "few.parquet"))
        lines = write(count, folder / "notes.jsonl")
        took, cpu = _timed(
            command(lines, "--workers", workers, "--resume", folder / "kept", "--out", folder / "f.parquet")
        )
        size = (folder / "kept").stat().st_size / count
    more = count - workers * 8
    print(f"{count:,} narratives of {WORDS} words, {workers} workers: {took:.1f} s, {60 * count / took:,.0f} a minute")
    print(f"  without the start ({start:.1f} s): {60 * more / (took - start):,.0f} a minute by the clock")
    print(f"  by processor time: {1000 * (cpu - start_cpu) / more:.1f} ms each, "
          f"{120 * more / (cpu - start_cpu):,.0f} a minute on two cores that do nothing else")  # fmt: skip
    print(f"  {size:,.0f} bytes of results each; load of the machine {os.getloadavg()[0]:.1f}")


def _timed(call: list[str]) -> tuple[float, float]:
    """Seconds by the clock, and of processors, the workers' included."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    began = time.perf_counter()
    subprocess.run(call, check=True, capture_output=True)
    took = time.perf_counter() - began
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return took, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def _peak(pid: int) -> tuple[int, int]:
    """The largest resident memory so far, of a process and of its largest child, in kB."""

    def high(one: int) -> int:
        try:
            text = Path(f"/proc/{one}/status").read_text()
        except OSError:
            return 0
        return next((int(line.split()[1]) for line in text.splitlines() if line.startswith("VmHWM")), 0)

    children = []
    for path in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = path.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == pid:
            children.append(int(path.parent.name))
    return high(pid), max(map(high, children), default=0)


def memory(counts: list[int], length: int) -> None:
    for count in counts:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place)
            lines = write(count, folder / "notes.jsonl", length)
            running = subprocess.Popen(
                command(lines, "--workers", 2, "--resume", folder / "kept", "--out", folder / "f.parquet"),
                stderr=subprocess.DEVNULL,
            )  # fmt: skip
            parent = worker = 0
            while running.poll() is None:
                now = _peak(running.pid)
                parent, worker = max(parent, now[0]), max(worker, now[1])
                time.sleep(0.2)
        print(f"{count:,} narratives of {length} words: parent {parent / 1024:.0f} MB, largest worker "
              f"{worker / 1024:.0f} MB at most", flush=True)  # fmt: skip


def _progress(kept: Path, count: int) -> Iterator[int]:
    """How many results are kept, looked at twice a second; each tenth is printed."""
    done, tenth = 0, 0
    while not kept.exists():
        time.sleep(0.5)
    with kept.open("rb") as file:
        while done < count:
            done += file.read().count(b"\n")
            if done * 10 // count > tenth:
                tenth = done * 10 // count
                print(f"  {done:,} kept", flush=True)
            yield done
            time.sleep(0.5)


def cluster(count: int) -> None:
    """One process first, then two workers of a Dask cluster, one of them killed when half is done."""
    import pyarrow.parquet as parquet

    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        lines = write(count, folder / "notes.jsonl")
        began = time.perf_counter()
        subprocess.run(command(lines, "--workers", 1, "--out", folder / "alone", "--format", "parquet"), check=True,
                       capture_output=True)  # fmt: skip
        print(f"one process: {time.perf_counter() - began:.0f} s", flush=True)
        files = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
        address = folder / "scheduler.json"
        schedule = [sys.executable, "-m", "distributed.cli.dask_scheduler", "--port", "0", "--no-dashboard"]
        running = [subprocess.Popen([*schedule, "--scheduler-file", str(address)], **files)]
        work = [sys.executable, "-m", "distributed.cli.dask_worker", "--scheduler-file", str(address), "--nthreads",
                "1", "--no-nanny", "--no-dashboard"]  # fmt: skip
        running += [subprocess.Popen(work, **files) for _ in range(2)]
        while not (address.exists() and address.read_text().strip()):
            time.sleep(0.1)
        where = json.loads(address.read_text())["address"]
        # half-way by the results kept, a worker is killed while the command runs
        kept = folder / "kept"

        def kill_half_way() -> None:
            for done in _progress(kept, count):
                if done >= count // 2:
                    break
            os.kill(running[1].pid, signal.SIGKILL)
            print(f"worker {running[1].pid} killed at {done:,}", flush=True)

        killer = threading.Thread(target=kill_half_way, daemon=True)
        killer.start()
        began = time.perf_counter()
        to = ("--out", folder / "shared", "--format", "parquet")
        subprocess.run(command(lines, "--cluster", where, "--resume", kept, *to), check=True, capture_output=True)
        print(f"two workers, one killed half-way: {time.perf_counter() - began:.0f} s")
        killer.join(timeout=5)
        for name in sorted(path.name for path in (folder / "alone").iterdir()):
            same = parquet.read_table(folder / "alone" / name).equals(parquet.read_table(folder / "shared" / name))
            print(f"  {name}: {'equal' if same else 'DIFFERENT'}")
        for one in running:
            one.kill()


if __name__ == "__main__":
    what, *rest = sys.argv[1:] or ["speed"]
    length = next((int(one[6:]) for one in rest if one.startswith("words=")), WORDS)
    numbers = [int(one) for one in rest if not one.startswith("words=")]
    if what == "memory":
        memory(numbers or [1_000, 10_000], length)
    elif what == "cluster":
        cluster(*(numbers or [20_000]))
    else:
        speed((numbers or [2_000])[0], numbers[1] if len(numbers) > 1 else 2)
    print(f"this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
