"""Whether time grows with the text: n, 2n, 4n words, and one line of 200 kB. By hand: python tests/bench/growth.py

Every figure is measured in this run. A ratio near 2 is linear growth, near 4 quadratic.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import yaml

import narrate

GOLD = Path(__file__).resolve().parent.parent / "gold"
WORDS = 2000
LINE = 200_000  # characters


def source() -> str:
    """The dictated narratives of dev, one after another, without marks and line ends: the hardest to cut."""
    texts = [yaml.safe_load(p.read_text(encoding="utf-8")) for p in sorted((GOLD / "dev").glob("*.yaml"))]
    return " ".join(" ".join(t["narrative"].split()) for t in texts if t["style"] == "dictated")


def of_words(words: int, form: Callable[[str], str] = str) -> str:
    all_words = source().split()
    return form(" ".join((all_words * (words // len(all_words) + 1))[:words]))


SHAPES: dict[str, Callable[[int], str]] = {
    "speech without marks": of_words,
    "one word over and over": lambda n: " ".join(["pump"] * n),
    "number words": lambda n: " ".join((["twenty", "five", "and", "a", "half"] * n)[:n]),
    "fillers": lambda n: " ".join((["um", "the", "you", "know"] * n)[:n]),
    "never a verb": lambda n: " ".join((["if", "not", "the", "new"] * n)[:n]),
    "capitals and stops": lambda n: of_words(n, lambda text: text.replace(" and ", ". And ")),
}


def seconds(text: str) -> float:
    """The best of two runs."""
    best = float("inf")
    for _ in range(2):
        began = time.perf_counter()
        narrate.compile_notes(text, trade="light-vehicle")
        best = min(best, time.perf_counter() - began)
    return best


def main() -> None:
    narrate.compile_notes("warm up", trade="light-vehicle")
    print(f"{'':24s}{'n words':>9s}{'n':>9s}{'2n':>9s}{'4n':>9s}  2n/n  4n/2n")
    for name, make in SHAPES.items():
        one, two, four = (seconds(make(WORDS * times)) for times in (1, 2, 4))
        print(f"{name:24s}{WORDS:9d}{one:8.2f}s{two:8.2f}s{four:8.2f}s{two / one:6.2f}{four / two:7.2f}", flush=True)
    line = (source() + " ") * (LINE // len(source()) + 1)
    took = seconds(line[:LINE])
    print(f"one line of {LINE // 1000} kB: {took:.2f} s, {len(line[:LINE].split()) / took:,.0f} words/s")


if __name__ == "__main__":
    main()
