"""A cold process: `narrate sheet` of one sample to Word, its time and memory. Run by hand: python tests/bench/cold.py"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

SAMPLE = Path(__file__).resolve().parent.parent.parent / "samples" / "compressor-dictation.srt"


def main() -> None:
    with tempfile.TemporaryDirectory() as spot:
        best = 1e9
        for n in range(4):
            began = time.perf_counter()
            call = [sys.executable, "-m", "narrate", "sheet", str(SAMPLE), "--out", f"{spot}/sheet{n}.docx"]
            subprocess.run(call, check=True, capture_output=True)
            took = time.perf_counter() - began
            print(f"run {n + 1}: {took:.2f} s{' (the lexicon may be built and kept here)' if not n else ''}")
            best = min(best, took)
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
    print(f"best {best:.2f} s, peak memory {peak:.0f} MB")


if __name__ == "__main__":
    main()
