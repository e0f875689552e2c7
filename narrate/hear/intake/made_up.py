"""Words that a recogniser made up over silence, told by general evidence and set aside with their times.

Recognisers fill silence with a phrase they know from other recordings, mostly "Thank you.", often again and again. A
segment that anyone may have said is only dropped on evidence that nobody spoke; a phrase that goes on repeating itself
is kept once.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.records import Notice
from narrate.hear.intake.marks import sound_words
from narrate.hear.intake.timecodes import say_time

# The decoder's own defaults for "no speech here" in common open recognisers: 0.6, -1.0 and 2.4. From memory.
NO_SPEECH = 0.6
LOW_LOGPROB = -1.0
REPETITIVE = 2.4
# Our own judgement, no source: a few words that last so long, or come after so long a silence, were hardly said.
LONG_S = 8.0
FEW_WORDS = 6
STUCK = 3  # the same words so often in a row are a recogniser that is stuck
MOST_TIMES_TOLD = 8


@dataclass(frozen=True, slots=True)
class Spoken:
    """One segment: its words, its times, and the recogniser's own doubts where it gives them."""

    text: str
    from_s: float | None = None
    to_s: float | None = None
    no_speech: float | None = None
    logprob: float | None = None
    compression: float | None = None
    wordless: bool = False  # its list of words is there, and empty


def set_aside(segments: Sequence[Spoken]) -> tuple[list[int], tuple[Notice, ...]]:
    """The indexes of the segments to keep, and a notice for each run that was set aside."""
    keys = [" ".join(re.findall(r"[\w']+", s.text.lower())) for s in segments]
    kept: list[int] = []
    notices: list[Notice] = []
    i = 0
    while i < len(segments):
        j = i + 1
        while j < len(segments) and keys[j] == keys[i]:
            j += 1
        keep = _to_keep(segments, keys, i, j)
        kept.extend(range(i, i + keep))
        if i + keep < j:
            notices.append(_tell(segments[i + keep : j], again=keep > 0))
        i = j
    return kept, tuple(notices)


def _to_keep(segments: Sequence[Spoken], keys: Sequence[str], first: int, last: int) -> int:
    """How many of the alike segments `first` to `last` stay: all, one or none."""
    count, key = last - first, keys[first]
    length = len(key.split())
    figures = any(c.isdigit() for c in key)
    evidence = min(_doubts(segments, i) for i in range(first, last))
    closing = key in sound_words().closings
    if length <= FEW_WORDS and not figures:
        needed = (2 if count == 1 else 1) if closing else (2 if count > 1 else None)
        if needed is not None and evidence >= needed:
            return 0
    # "32" four times over may be four tires; the same three words three times over are no speech.
    return 1 if count >= STUCK and length >= STUCK else count


def _doubts(segments: Sequence[Spoken], i: int) -> int:
    """How many signs say that nobody spoke during this segment."""
    one = segments[i]
    signs = [
        one.no_speech is not None and one.no_speech >= NO_SPEECH,
        one.logprob is not None and one.logprob <= LOW_LOGPROB,
        one.compression is not None and one.compression >= REPETITIVE,
        one.wordless,
    ]
    start, end = one.from_s, one.to_s
    if start is not None and end is not None:
        before = segments[i - 1].to_s if i else None
        signs.append(end < start or end - start >= LONG_S or (before is not None and start - before >= LONG_S))
    return sum(signs)


def _tell(gone: Sequence[Spoken], again: bool) -> Notice:
    times = [say_time(s.from_s) for s in gone if s.from_s is not None]
    at = f" (at {', '.join(times[:MOST_TIMES_TOLD])}{' ...' if len(times) > MOST_TIMES_TOLD else ''})" if times else ""
    text = gone[0].text.strip()
    quote = text if len(text) <= 60 else text[:60] + "..."
    often = "once" if len(gone) == 1 else f"{len(gone)} times"
    why = (
        "the recogniser repeats itself, the first is kept"
        if again
        else ("a repeated closing phrase" if len(gone) > 1 else "a closing phrase") + " over silence, nobody said it"
    )
    return Notice(message=f"Set aside “{quote}”, {often}{at}: {why}.", time_s=gone[0].from_s)
