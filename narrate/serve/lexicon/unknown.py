"""Words that sound like a part, an act or a measure and are in no lexicon, counted over many narratives."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from narrate.core.records import Sheet
from narrate.core.tokens import phrase_keys

_AROUND = 40  # characters on either side of the words, to show how they are said


@dataclass
class Unknown:
    """One wording, however it was capitalised or made plural: how often, in how many narratives, and where once."""

    words: str
    times: int = 0
    narratives: int = 0
    name: str = ""
    said: str = ""
    trades: set[str] = field(default_factory=set)


def count_unknown(sheets: Iterable[tuple[str, Sheet]]) -> list[Unknown]:
    """The unknown words of some narratives (name, sheet), the most frequent first; equal ones in order of the words."""
    found: dict[tuple[str, ...], Unknown] = {}
    for name, sheet in sheets:
        here: set[tuple[str, ...]] = set()
        for unknown in sheet.unknown:
            keys = phrase_keys(unknown.text.lower())
            one = found.setdefault(keys, Unknown(" ".join(unknown.text.lower().split())))
            one.times += len(unknown.evidence)
            one.trades.add(sheet.trade)
            if keys not in here:
                one.narratives += 1
                here.add(keys)
            if not one.said:
                one.name, one.said = name, _around(sheet.narrative, unknown.evidence[0].start, unknown.evidence[0].end)
    return sorted(found.values(), key=lambda one: (-one.narratives, -one.times, one.words))


def _around(text: str, start: int, end: int) -> str:
    """The words with those beside them, cut at blanks."""
    before = text[max(0, start - _AROUND) : start]
    after = text[end : end + _AROUND]
    if start > _AROUND:
        before = "… " + before.partition(" ")[2]
    if end + _AROUND < len(text):
        after = after.rpartition(" ")[0] + " …"
    return " ".join(f"{before}{text[start:end]}{after}".split())
