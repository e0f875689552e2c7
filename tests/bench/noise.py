"""F1 against noise: how the sheet holds up as words are misheard. Run by hand: python tests/bench/noise.py [PNG]

Every gold narrative of dev and own is misheard (tests/gold/noise.py) at 0, 2, 5 and 10 % of its words, three times,
compiled, and scored by the gold's scorer. The table goes to standard output; the plot to samples/noise.png, or PNG.
"""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import yaml

import narrate

HERE = Path(__file__).resolve().parent
GOLD = HERE.parent / "gold"
SHARES = (0.0, 0.02, 0.05, 0.10)
SEEDS = (1, 2, 3)
STRICT = ("jobs", "parts", "amounts", "readings", "sizes")


def module(name: str) -> Any:
    spec = importlib.util.spec_from_file_location(f"gold_{name}", GOLD / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def measure(folder: str, share: float, seeds: Sequence[int]) -> dict[str, float]:
    """Totals over all narratives of a folder and all seeds: F1, and what was recorded as done and was not."""
    score, noise = module("score"), module("noise")
    hit = miss = extra = parts = kept = broken = swapped = words = 0
    for path in sorted((GOLD / folder).glob("*.yaml")):
        gold = yaml.safe_load(path.read_text(encoding="utf-8"))
        for seed in seeds:
            text, many = noise.misheard(gold["narrative"], share, seed)
            swapped, words = swapped + many, words + len(gold["narrative"].split())
            on = str(gold["dictated_on"]) if gold.get("dictated_on") else None
            sheet = narrate.compile_notes(text, name=path.stem, dictated_on=on, trade=gold.get("trade"))
            counts = score.score_one(gold, sheet.model_dump(mode="json"))
            for key in STRICT:
                if key in counts:
                    a, b, c = counts[key]
                    hit, miss, extra = hit + a, miss + b, extra + c
            parts += counts.get("parts", (0, 0, 0))[2]
            a, b, _ = counts.get("not_done", (0, 0, 0))
            kept, broken = kept + a, broken + b
    return {
        "f1": 2 * hit / (2 * hit + miss + extra),
        "broken": broken,
        "parts": parts / len(seeds),
        "not_done": kept + broken,
        "share": swapped / words,
    }


def draw(rows: dict[str, list[dict[str, float]]], path: Path) -> None:
    """The table as a plot, kept small."""
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib import pyplot as plt

    figure, axes = plt.subplots(figsize=(5, 3.2), dpi=90)
    for folder, own in rows.items():
        axes.plot([r["share"] * 100 for r in own], [r["f1"] for r in own], marker="o", label=folder)
    axes.set_xlabel("words misheard, %")
    axes.set_ylabel("sheet F1")
    axes.set_ylim(0, 1)
    axes.grid(visible=True, alpha=0.3)
    axes.legend()
    figure.tight_layout()
    figure.savefig(path, metadata={"Software": None})


def main(arguments: Sequence[str]) -> None:
    rows: dict[str, list[dict[str, float]]] = {}
    print("set   asked  misheard  sheet F1  recorded as done, and was not   parts nobody named, a run")
    for folder in ("dev", "own"):
        for share in SHARES:
            row = measure(folder, share, SEEDS if share else SEEDS[:1])
            rows.setdefault(folder, []).append(row)
            wrong = f"{row['broken']:.0f} of {row['not_done']:.0f}"
            print(
                f"{folder:5s} {share:5.0%} {row['share']:9.1%} {row['f1']:9.3f}  {wrong:30s} {row['parts']:.0f}",
                flush=True,
            )
    draw(rows, Path(arguments[0]) if arguments else HERE.parent.parent / "samples" / "noise.png")


if __name__ == "__main__":
    main(sys.argv[1:])
