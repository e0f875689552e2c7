"""How long the history of one vehicle takes to open, by the number of its visits. Run by hand.

python -m tests.bench.long_history [VISITS]      10,000 where left away
"""

from __future__ import annotations

import random
import subprocess
import sys
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

import yaml

from narrate.core.records import Measure, Sheet
from narrate.hear.intake import take_text
from narrate.pipeline import compile_passage
from narrate.serve.archive import Book, open_book
from narrate.serve.archive.chain import canonical
from narrate.serve.archive.engine import append
from narrate.serve.archive.index import put_visit, row_of
from narrate.serve.archive.keep import hash_narrative
from narrate.serve.archive.passages import passage_to_held
from narrate.serve.archive.visit import sum_up_visit
from narrate.serve.history import arrange_history, open_history

GOLD = Path(__file__).resolve().parent.parent / "gold"
VIN = "4T1BF3EK5BU123456"


def sheets() -> list[Sheet]:
    texts = [yaml.safe_load(path.read_text(encoding="utf-8")) for path in sorted(GOLD.glob("dev/*.yaml"))]
    return [compile_passage(take_text(t["narrative"]), "2020-01-01", "light-vehicle") for t in texts]


def fill(book: Book, visits: int) -> None:
    """Real sheets, over and over, as visits of one vehicle on one day after the other."""
    made = sheets()
    summed = [sum_up_visit(sheet, "2020-01-01") for sheet in made]
    chance = random.Random(7)
    with book.writing() as conn:
        for number in range(1, visits + 1):
            sheet, visit = made[number % len(made)], dict(summed[number % len(made)])
            visit["date"] = (date(1999, 1, 1) + timedelta(days=number)).isoformat()
            meter = Measure(low=number * 37, high=number * 37, unit="mi", text="x")
            visit["odometer"] = {"low": meter.low, "high": meter.high, "unit": "mi", "about": False, "bound": None}
            visit["vehicle"] = {**visit["vehicle"], "vin": VIN, "make": "toyota", "model": "camry"}
            passage = take_text(f"{sheet.narrative} {chance.random()}")
            first = {"number": number, "passage": passage_to_held(passage), "customer": "", "dictated_on": None,
                     "trade": None, "narrative_sha256": hash_narrative(passage.narrative)}  # fmt: skip
            revision = {"narrative": number, "number": 1, "changes": [], "visit": visit,
                        "sheet": sheet.model_dump(mode="json", by_alias=True)}  # fmt: skip
            one = append(conn, "narrative", str(number), first, "2026-01-01T00:00:00Z")
            two = append(conn, "revision", str(number), revision, "2026-01-01T00:00:00Z")
            put_visit(conn, row_of(first, one.seq, revision, two.seq))
    print(f"{visits} visits, {len(canonical(summed[0]))} bytes of summary for the first")


def main(visits: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        place = str(Path(folder) / "book.sqlite")
        fill(open_book(place), visits)
        print(f"book of {Path(place).stat().st_size / 1e6:.0f} MB")
        for _ in range(3):
            began = time.perf_counter()
            history = open_history(open_book(place, make=False), VIN)
            opened = time.perf_counter()
            page = arrange_history(history, last=20)
            arranged = time.perf_counter()
            print(
                f"open {opened - began:.3f} s, sum up and lay out {arranged - opened:.3f} s; "
                f"{len(history.visits)} visits, {len(history.trends)} trends, {len(history.promises.open)} open, "
                f"{len(page.blocks)} blocks"
            )
        for _ in range(3):
            began = time.perf_counter()
            command = [sys.executable, "-m", "narrate.serve.cli.main", "history", VIN, "--book", place]
            subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
            print(f"the whole command, from its start to its last line: {time.perf_counter() - began:.3f} s")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
