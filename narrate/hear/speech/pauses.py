"""Which ends of captions are breaks in what was said, and which only ends of a line on a screen.

Some captions are cut where the speaker breathed; others every so many letters, in the midst of "thirty | seven". These
show themselves: their cues end on words that nothing ends on. Such a cue's end says nothing, unless it was silent
for a while.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Sequence
from dataclasses import replace

from narrate.core.handoffs import Gap, Passage, Token

_HANGING = 0.08  # the share of cue ends on hanging words from which cues are taken to be cut by length
_SILENCE_S = 0.7  # between two cues, from which on it is a break all the same; from memory of such files, no source
_FEWEST = 6  # cue ends from which a share can be told


def weigh_pauses(
    passage: Passage, tokens: Sequence[Token], hanging: Collection[str], numbers: Collection[str]
) -> tuple[Token, ...]:
    """The tokens, with the break before those that only begin a new cue taken back, where cues are cut by length.

    There a silence between two cues is the end of a statement, as a line end is in writing.
    """
    places = [i for i, t in enumerate(tokens) if t.gap == Gap.PAUSE and i]
    if len(places) < _FEWEST:
        return tuple(tokens)
    cut = sum(_hangs(tokens, i, hanging, numbers) for i in places)
    if cut < _HANGING * len(places):
        return tuple(tokens)
    starts = [span.start for span in passage.times]
    out = list(tokens)
    for i in places:
        silent = _silence(passage, starts, tokens[i].start) >= _SILENCE_S
        stops = silent and not _hangs(tokens, i, hanging, numbers)
        out[i] = replace(tokens[i], gap=Gap.LINE if stops else Gap.SPACE)
    return tuple(out)


def _hangs(tokens: Sequence[Token], i: int, hanging: Collection[str], numbers: Collection[str]) -> bool:
    """Whether the cue that ends before token i breaks off: on a word that wants another, or within a number."""
    last = tokens[i - 1].low
    if last in numbers:
        return tokens[i].low in numbers
    return last in hanging


def _silence(passage: Passage, starts: Sequence[int], at: int) -> float:
    """Seconds between the words before and from this place."""
    k = bisect_left(starts, at)
    if not 0 < k < len(starts):
        return 0.0
    return passage.times[k].from_s - passage.times[k - 1].to_s
