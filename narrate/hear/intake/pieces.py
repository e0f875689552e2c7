"""Pieces of a recording's words, each with its times, joined into one narrative with every time at its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from narrate.core.handoffs import Passage, TimedSpan
from narrate.core.records import Notice


@dataclass(frozen=True, slots=True)
class Piece:
    """The words of one cue, segment or stamped passage. `times` counts from the piece's first character.

    `before` is what a listener hears before it: the pause at a cue's beginning, another voice, or nothing at all.
    """

    text: str
    times: tuple[TimedSpan, ...] = ()
    before: Literal["pause", "voice", "nothing"] = "pause"


@dataclass(frozen=True, slots=True)
class Heard:
    """What a reader of one format hands back: its words, and what it set aside."""

    pieces: tuple[Piece, ...]
    notices: tuple[Notice, ...] = ()
    duration_s: float | None = None


SILENCE_S = (
    0.7  # between words that come one by one: a listener hears a pause from about here (common practice, no source)
)
FEW_WORDS = 2  # fewer words a cue than this, on average: cues are cut at words, and not where the speaker paused


def breathe(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """Pieces that came word by word: only a silence between them is a pause. Others are returned as they are."""
    if not pieces or sum(p.text.count(" ") + 1 for p in pieces) >= FEW_WORDS * len(pieces):
        return tuple(pieces)
    out: list[Piece] = []
    until: float | None = None
    for piece in pieces:
        start = piece.times[0].from_s if piece.times else None
        if piece.before == "pause" and start is not None and until is not None and start - until < SILENCE_S:
            piece = replace(piece, before="nothing")
        out.append(piece)
        until = piece.times[-1].to_s if piece.times else until
    return tuple(out)


def spanning(text: str, from_s: float | None, to_s: float | None) -> tuple[TimedSpan, ...]:
    """One span over the whole of `text`, or none where its beginning is not known; it never ends before it begins."""
    if from_s is None:
        return ()
    return (TimedSpan(0, len(text), from_s, max(from_s, from_s if to_s is None else to_s)),)


def join_pieces(heard: Heard, passage: Passage) -> Passage:
    """`passage` with its narrative, times, pauses and duration: pieces in order, on a line of their own each.

    A piece with nothing before it goes on in the line, after a space.
    """
    texts: list[str] = []
    times: list[TimedSpan] = []
    pauses: list[int] = []
    at = 0
    for piece in heard.pieces:
        if texts:
            texts.append(" " if piece.before == "nothing" else "\n")
            at += 1
        if piece.before == "pause":
            pauses.append(at)
        times.extend(TimedSpan(t.start + at, t.end + at, t.from_s, t.to_s) for t in piece.times)
        texts.append(piece.text)
        at += len(piece.text)
    return replace(
        passage,
        narrative="".join(texts),
        times=tuple(times),
        pauses=tuple(pauses),
        notices=(*passage.notices, *heard.notices),
        duration_s=heard.duration_s if heard.duration_s is not None else _last(times),
    )


def _last(times: Sequence[TimedSpan]) -> float | None:
    return max((t.to_s for t in times), default=None)
