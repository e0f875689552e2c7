"""How fast the lexicon loads and matches: run by hand, never timed in tests.

    python tests/bench/lexicon_speed.py

Loads every trade first with nothing kept and then with everything kept, each in a process of its own; starts the
command line cold; and matches thirty thousand made-up phrases over made-up words.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from narrate.core.lexicon.load import trades
from narrate.core.lexicon.match import PhraseIndex
from narrate.core.tokens import split_words

LOAD = """
import sys, time
import narrate.pipeline
from narrate.core.tokens import split_words
split_words("the language tools are loaded")
began = time.perf_counter(), time.process_time()
for trade in sys.argv[1:]:
    narrate.pipeline.rule_book(narrate.pipeline.load_trade(trade))
print(time.perf_counter() - began[0], time.process_time() - began[1])
"""
NOTES = "2012 Honda Civic. Replaced the front brake pads, pads were down to 3 mm. Torqued the lug nuts to 80.\n" * 8
PHRASES, WORDS, VOCABULARY = 30_000, 100_000, 6_000


def run(code: list[str], cache: str, runs: int) -> tuple[float, ...]:
    """The median of what each of some runs prints."""
    env = {**os.environ, "NARRATE_CACHE": cache}
    said = []
    for _ in range(runs):
        done = subprocess.run(code, capture_output=True, text=True, check=True, env=env)
        said.append(done.stdout.split())
    return tuple(statistics.median(float(row[i]) for row in said) for i in range(len(said[0])))


def loading() -> None:
    for names in (*([trade] for trade in trades()), list(trades())):
        with tempfile.TemporaryDirectory() as cache:
            code = [sys.executable, "-c", LOAD, *names]
            first = run(code, cache, 1)
            after = run(code, cache, 7)
        title = names[0] if len(names) == 1 else f"all {len(names)} trades"
        print(
            f"{title:<16} first {first[0]:6.3f} s, after {after[0]:6.3f} s; of one core {first[1]:.3f}, {after[1]:.3f}"
        )


def command_line() -> None:
    with tempfile.TemporaryDirectory() as folder:
        notes = Path(folder) / "notes.txt"
        notes.write_text(NOTES, encoding="utf-8")
        env = {**os.environ, "NARRATE_CACHE": folder}
        call = [sys.executable, "-m", "narrate.serve.cli.main", "sheet", str(notes), "--format", "docx"]
        times = []
        for _ in range(8):
            began = time.perf_counter()
            subprocess.run(call, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=True, env=env)
            times.append(time.perf_counter() - began)
    print(f"narrate sheet to docx, cold: first {times[0]:.2f} s, after {statistics.median(times[1:]):.2f} s")


def matching() -> None:
    """Phrases of one to four words over a vocabulary as large as a trade's, a tenth of which is very common."""
    chance = random.Random(7)
    vocabulary = [f"w{number}" for number in range(VOCABULARY)]
    common = vocabulary[: VOCABULARY // 10]

    def word() -> str:
        return chance.choice(common if chance.random() < 0.5 else vocabulary)

    index = PhraseIndex()
    for number in range(PHRASES):
        index.add("thing", f"entry-{number}", tuple(word() for _ in range(chance.choice((1, 2, 2, 3, 3, 4)))))
    narratives = [split_words(" ".join(word() for _ in range(400))) for _ in range(WORDS // 400)]
    for round_ in ("first time", "after"):
        began = time.perf_counter()
        hits = sum(len(index.find(tokens)) for tokens in narratives)
        took = time.perf_counter() - began
        print(f"{PHRASES:,} phrases, {round_}: {WORDS / took:,.0f} words/s ({hits:,} hits in {WORDS:,} words)")


if __name__ == "__main__":
    loading()
    command_line()
    matching()
