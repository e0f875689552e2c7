"""Which line ends only wrap: prose set to a width by hand, told by its lines nearly all being that long.

The splitter takes a line for wrapped by its marks and capitals. Prose without them shows it by its shape: but for the
last of a paragraph all lines are about as long as the longest, and lines that were ended on purpose never are.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace

from narrate.core.handoffs import Gap, Passage, Token

_LONG = 0.8  # of the longest line, from which on a line counts as full
_SHARE = 0.85  # of the lines within paragraphs that must be full
_FEWEST = 5  # lines within paragraphs from which a share can be told
_NARROW = 40  # characters; a list of short lines is no prose
_ITEM = re.compile(r"\s*(?:[-*•–·+]|\d{1,2}[.)])\s")


def join_wrapped(passage: Passage, tokens: Sequence[Token]) -> tuple[Token, ...]:
    """The tokens, with line ends that only wrap taken for no break (`Gap.SOFT`)."""
    if passage.pauses or passage.kind == "document":
        return tuple(tokens)
    lines = passage.narrative.split("\n")
    lengths = [len(line.rstrip()) for line in lines]
    width = max(lengths)
    inner = [k for k in range(len(lines) - 1) if lengths[k] and lengths[k + 1] and not _ITEM.match(lines[k + 1])]
    full = [k for k in inner if lengths[k] >= _LONG * width]
    if width < _NARROW or len(inner) < _FEWEST or len(full) < _SHARE * len(inner):
        return tuple(tokens)
    begins = [0]
    for line in lines:
        begins.append(begins[-1] + len(line) + 1)
    wraps = frozenset(k + 1 for k in full)  # the lines that run on from the one before
    return tuple(
        replace(t, gap=Gap.SOFT) if t.gap == Gap.LINE and bisect_right(begins, t.start) - 1 in wraps else t
        for t in tokens
    )
