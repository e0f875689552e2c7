"""Kill a process that writes to a book at random moments, and count what was lost. Run by hand.

python -m tests.bench.kill_writers [TIMES] [PLACE]     TIMES 200 and a file in a new folder where left away
"""

from __future__ import annotations

import random
import re
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from narrate.serve.archive import open_book
from narrate.serve.archive.verify import verify_book

RECEIPT = re.compile(r"\d+ \d+ (\d+:[0-9a-f]{16})\n")


def main(times: int, place: str) -> None:
    chance = random.Random()
    receipts: list[str] = []
    began = time.perf_counter()
    open_book(place).close()
    for turn in range(times):
        writer = subprocess.Popen(
            [sys.executable, "-m", "tests.serve.keep_many", place, str(turn), "0"], stdout=subprocess.PIPE, text=True
        )
        assert writer.stdout is not None
        first = writer.stdout.readline()
        time.sleep(chance.random() * 0.15)
        writer.send_signal(signal.SIGKILL)
        receipts += RECEIPT.findall(first + writer.communicate()[0])
        book = open_book(place, make=False)
        problems = verify_book(book, receipts).problems if turn % 10 == 9 or turn == times - 1 else ()
        book.close()
        if problems:
            sys.exit(f"after {turn + 1} kills: " + "; ".join(map(str, problems[:5])))
    verdict = verify_book(open_book(place, make=False), receipts)
    print(
        f"{times} kills, {len(receipts)} revisions reported as kept, {len(verdict.problems)} lost or changed, "
        f"{verdict.entries} entries, {time.perf_counter() - began:.0f} s"
    )


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        named = sys.argv[2] if len(sys.argv) > 2 else str(Path(folder) / "book.sqlite")
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 200, named)
