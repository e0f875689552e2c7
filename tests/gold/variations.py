"""The same narrative said or written otherwise: what is told must not change.

Each variation takes a narrative and gives another that tells the same facts. `facts_of` gives what is compared.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Callable
from typing import Any

import narrate

FILLERS = ("um", "uh", "er", "you know")
_SPELLINGS = (
    (r"\bft-lb\b", "foot pounds"), (r"\bin-lb\b", "inch pounds"), (r"\bmm\b", "millimeters"), (r"\bpsi\b", "PSI"),
    (r"\bqts?\b", "quarts"), (r"\bml\b", "mL"), (r"\bNm\b", "N·m"),
)


def lower_case(text: str) -> str:
    return text.lower()


def windows_lines(text: str) -> str:
    return text.replace("\n", "\r\n")


def fillers_added(text: str) -> str:
    """A filler after every 23rd word that is followed by a plain word; never inside figures or quotations of codes."""
    words = text.split(" ")
    draw = random.Random(23)
    out = []
    for i, word in enumerate(words):
        out.append(word)
        following = words[i + 1] if i + 1 < len(words) else ""
        if i % 23 == 22 and word in ("and", "so", "then", "the", "because", "but") and following.isalpha():
            out.append(draw.choice(FILLERS))
    return " ".join(out)


def units_spelt(text: str) -> str:
    for pattern, other in _SPELLINGS:
        text = re.sub(rf"(?<=\d ){pattern[2:]}", other, text)
    return text


def points_removed(text: str) -> str:
    """Sentence marks gone, as a recogniser leaves it: decimals, codes and line ends stay."""
    return re.sub(r"(?<=[a-z])[.,;](?=\s)", "", text)


VARIATIONS: dict[str, Callable[[str], str]] = {
    "lower case": lower_case,
    "windows line ends": windows_lines,
    "fillers added": fillers_added,
    "unit spellings swapped": units_spelt,
    "sentence marks removed": points_removed,
}


def facts_of(text: str, dictated_on: object, trade: str | None) -> Counter[tuple[Any, ...]]:
    """The strict lists of the sheet as a multiset: what is billed, moved, read and sized."""
    sheet = narrate.compile_notes(text, dictated_on=str(dictated_on) if dictated_on else None, trade=trade)
    out: Counter[tuple[Any, ...]] = Counter()
    for p in sheet.parts:
        if p.state == "done":
            out[("part", p.id, p.quantity, p.unit)] += 1
    for a in sheet.amounts:
        if a.state == "done":
            out[("amount", a.id, a.direction, a.measure.low, a.measure.high, a.measure.unit)] += 1
    for r in sheet.readings:
        if r.state == "done":
            out[("reading", r.measure.low, r.measure.high, r.measure.unit)] += 1
    for s in sheet.sizes:
        out[("size", s.measure.low, s.measure.high, s.measure.unit) if s.measure else ("size", s.text.lower())] += 1
    return out
