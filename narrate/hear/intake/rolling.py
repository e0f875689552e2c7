"""Rolling captions -> each word once.

Automatic captions show the last line again above the new one, once more as a flash, or grow word by word. What a cue
shows that the cue before it showed last is not said again. In a file that does not roll, only whole lines that follow
at once are taken for copies, so that "it was loose / it was loose on the left" keeps its words.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.hear.intake.cue_words import Word

ROLLS_FROM = 0.5  # of neighbouring cues that overlap: a file of talk stays far below, a rolling one is near 1
FEWEST_PAIRS = 2
FEWEST_WORDS = 3  # of an overlap inside lines, and of a whole line repeated where the file does not roll


def new_from(cues: Sequence[Sequence[Word]]) -> list[int]:
    """For each cue, how many of its first words were shown already."""
    shown = [[w.text.casefold() for w in cue] for cue in cues]
    overlaps: list[int] = [0] * len(cues)
    before: int | None = None
    for i, words in enumerate(shown):
        if not words:
            continue
        if before is not None:
            overlaps[i] = _overlap(cues[before], shown[before], words)
        before = i
    pairs = sum(1 for words in shown if words) - 1
    rolling = sum(1 for n in overlaps if n)
    if rolling >= FEWEST_PAIRS and rolling >= ROLLS_FROM * pairs:
        return overlaps
    return [n if n >= FEWEST_WORDS and n == len(cue) else 0 for n, cue in zip(overlaps, cues, strict=True)]


def _overlap(before: Sequence[Word], shown: list[str], words: list[str]) -> int:
    """How many words at the end of what was shown are the first of `words`: from a line's start, or three and more."""
    length = _border(words, shown)
    while length:
        start = len(shown) - length
        opens_line = start == 0 or before[start].line != before[start - 1].line
        if opens_line or length >= FEWEST_WORDS:
            return length
        length = _border(words[: length - 1], shown)
    return 0


def _border(head: list[str], tail: list[str]) -> int:
    """The longest run of words that `head` begins with and `tail` ends with, in linear time (Knuth, Morris, Pratt)."""
    if not head:
        return 0
    fail = [0] * len(head)
    k = 0
    for i in range(1, len(head)):
        while k and head[i] != head[k]:
            k = fail[k - 1]
        k += head[i] == head[k]
        fail[i] = k
    k = 0
    for word in tail:
        if k == len(head):
            k = fail[k - 1]
        while k and word != head[k]:
            k = fail[k - 1]
        k += word == head[k]
    return k
