"""A narrative as a recogniser might have heard it: words swapped for others of the same or a near sound."""

from __future__ import annotations

import random
import re
from functools import lru_cache
from pathlib import Path

import yaml


@lru_cache(maxsize=1)
def swaps() -> dict[str, list[str]]:
    """The table of noise.yaml: what is said -> what may be heard for it."""
    path = Path(__file__).with_name("noise.yaml")
    table: dict[str, list[str]] = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)["swaps"]
    return table


def misheard(text: str, share: float, seed: int) -> tuple[str, int]:
    """The text with about `share` of all its words (0 to 1) swapped, and how many were; the same seed, the same text.

    Only words of the table can be misheard; where it holds fewer than the share asked for, all of them are.
    """
    draw = random.Random(seed)
    parts = re.split(r"([A-Za-z']+)", text)
    table = swaps()
    known = [i for i in range(1, len(parts), 2) if parts[i].lower() in table]
    wanted = min(len(known), round(share * len(text.split())))
    for i in draw.sample(known, wanted):
        heard = draw.choice(table[parts[i].lower()])
        parts[i] = heard.capitalize() if parts[i][:1].isupper() else heard
    return "".join(parts), wanted
