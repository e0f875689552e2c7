"""Speed of text to sheet on one core, and the share of each stage. Run by hand: python tests/bench/speed.py

Narratives of about 400 words are made by joining the gold ones; every figure printed is measured in this run.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import yaml

GOLD = Path(__file__).resolve().parent.parent / "gold"


def narratives() -> list[str]:
    texts = [
        yaml.safe_load(p.read_text(encoding="utf-8"))
        for p in sorted(GOLD.glob("dev/*.yaml")) + sorted(GOLD.glob("own/*.yaml"))
    ]
    return [t["narrative"] for t in texts if t["style"] != "captions" and t.get("trade") == "light-vehicle"]


def main() -> None:
    started = time.perf_counter()
    import narrate

    narrate.compile_notes("warm up", trade="light-vehicle")
    print(f"load {time.perf_counter() - started:.2f} s")
    texts = narratives()
    words = sum(len(t.split()) for t in texts)
    for text in texts:
        narrate.compile_notes(text, trade="light-vehicle")
    best = 0.0
    for _ in range(3):
        began = time.perf_counter()
        for text in texts:
            narrate.compile_notes(text, trade="light-vehicle")
        best = max(best, words / (time.perf_counter() - began))
    print(f"{len(texts)} narratives, {words} words: {best:,.0f} words/s")
    if "--profile" in sys.argv:
        import cProfile
        import pstats

        profile = cProfile.Profile()
        profile.enable()
        for text in texts:
            narrate.compile_notes(text, trade="light-vehicle")
        profile.disable()
        pstats.Stats(profile).sort_stats("tottime").print_stats(25)


if __name__ == "__main__":
    main()
