"""What a speech recogniser wrote as JSON -> the words said, with the times of segments and words.

Numerals often have no word times, and segments may last no time at all: such words get the time between their
neighbours. What the recogniser made up over silence is set aside (made_up.py).
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.findings import NarrateError
from narrate.core.handoffs import TimedSpan
from narrate.core.records import Notice
from narrate.hear.intake.control import Cleaned, drop_controls
from narrate.hear.intake.json_shapes import Segment, Timed, read_segments
from narrate.hear.intake.made_up import Spoken, set_aside
from narrate.hear.intake.marks import blank_marks, repeated_labels, tell_of_marks, tidy
from narrate.hear.intake.pieces import Heard, Piece, spanning

LOOK_AHEAD = 200  # characters of a segment's text within which its next word must stand


def hear_transcript(text: str, where: str) -> Heard:
    """The words of a recogniser's JSON; NarrateError where it is broken, no transcript, or nobody says a word."""
    segments = read_segments(text, where)
    cleaned = [drop_controls(s.said.text) for s in segments]
    labels = repeated_labels("\n".join(c.text for c in cleaned))
    any_words = any(s.words for s in segments)
    sounds = songs = False
    first_s: float | None = None
    pieces: list[Piece] = []
    spoken: list[Spoken] = []
    for one, clean in zip(segments, cleaned, strict=True):
        marked = blank_marks(clean.text, labels)
        if (marked.sounds or marked.songs) and first_s is None:
            first_s = one.said.from_s
        sounds, songs = sounds or marked.sounds, songs or marked.songs
        words = tidy(marked)
        if words:
            pieces.append(Piece(words, _spans(words, one)))
            doubts = (one.no_speech, one.logprob, one.compression, one.wordless and any_words)
            spoken.append(Spoken(words, one.said.from_s, one.said.to_s, *doubts))
    kept, made_up = set_aside(spoken)
    if not kept:
        raise NarrateError("is a transcript in which nobody says a word.", where=where, remedy="Check the recording.")
    notices = (*_controls(cleaned), *tell_of_marks(sounds, songs, first_s), *made_up)
    return Heard(tuple(pieces[i] for i in kept), notices)


def _controls(cleaned: Sequence[Cleaned]) -> tuple[Notice, ...]:
    return Cleaned("", sum(c.characters for c in cleaned), sum(c.sequences for c in cleaned)).notices


def _spans(text: str, segment: Segment) -> tuple[TimedSpan, ...]:
    """Each word where it stands in the text, from and to its own times; the segment's times where no word has any."""
    if all(w.from_s is None for w in segment.words):
        return spanning(text, segment.said.from_s, segment.said.to_s)
    found: list[tuple[int, int, Timed]] = []
    at = 0
    for word in segment.words:
        said = word.text.strip()
        start = text.find(said, at, at + LOOK_AHEAD + len(said))
        if said and start >= 0:
            at = start + len(said)
            found.append((start, at, word))
    out: list[TimedSpan] = []
    until = segment.said.from_s
    for k, (start, end, word) in enumerate(found):
        from_s = word.from_s if word.from_s is not None else until
        to_s = word.to_s if word.to_s is not None else _next_start(found, k, segment)
        if from_s is None:
            continue
        out.append(TimedSpan(start, end, from_s, max(from_s, from_s if to_s is None else to_s)))
        until = out[-1].to_s
    return tuple(out)


def _next_start(found: Sequence[tuple[int, int, Timed]], k: int, segment: Segment) -> float | None:
    """When the next word with a time begins, among the few that follow; else when the segment ends."""
    following = (w.from_s for _, _, w in found[k + 1 : k + 6])
    return next((s for s in following if s is not None), segment.said.to_s)
