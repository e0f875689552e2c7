"""Caption text -> the words said, each line once, with the times of cues and words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate.core.findings import NarrateError
from narrate.core.handoffs import TimedSpan
from narrate.core.records import Notice
from narrate.hear.intake.cue_words import CueWords, Word, plain_lines, words_of
from narrate.hear.intake.cues import Cue, read_cues
from narrate.hear.intake.made_up import Spoken, set_aside
from narrate.hear.intake.marks import repeated_labels, tell_of_marks
from narrate.hear.intake.pieces import Heard, Piece, breathe, spanning
from narrate.hear.intake.rolling import new_from


def hear_captions(text: str, where: str) -> Heard:
    """The words of WebVTT, SubRip or SBV text; NarrateError where nobody says anything in it."""
    file = read_cues(text)
    labels = repeated_labels("\n".join(plain_lines(cue)[0] for cue in file.cues))
    said = [words_of(cue, labels) for cue in file.cues]
    pieces: list[Piece] = []
    spoken: list[Spoken] = []
    for cue, found, shown in zip(file.cues, said, new_from([s.words for s in said]), strict=True):
        new = _pieces(cue, found.words[shown:])
        pieces.extend(new)
        spoken.extend(Spoken(p.text, cue.from_s, cue.to_s) for p in new)
    kept, made_up = set_aside(spoken)
    if not kept:
        raise NarrateError(
            "holds captions in which nobody says a word.", where=where, remedy="Check that it is the right file."
        )
    notices = (*_blocks(file.blocks), *_bad_times(file.bad_times), *_marks(file.cues, said), *made_up)
    ends = [cue.to_s for cue in file.cues if cue.to_s is not None]
    return Heard(breathe([pieces[i] for i in kept]), notices, max(ends, default=None))


def _pieces(cue: Cue, words: Sequence[Word]) -> list[Piece]:
    """The new words of one cue: one piece, and one more for each voice that comes in."""
    groups: list[list[Word]] = []
    for word in words:
        if word.opens or not groups:
            groups.append([])
        groups[-1].append(word)
    timed = any(w.from_s is not None for w in words)
    out: list[Piece] = []
    for k, group in enumerate(groups):
        text = " ".join(w.text for w in group)
        after = groups[k + 1][0].from_s if k + 1 < len(groups) else None
        spans = _word_spans(group, cue, after) if timed else spanning(text, cue.from_s, cue.to_s)
        out.append(Piece(text, spans, "voice" if k else "pause"))
    return out


def _word_spans(group: Sequence[Word], cue: Cue, after: float | None) -> tuple[TimedSpan, ...]:
    """Each word from its own stamp (the first from the cue's) to the next one's."""
    starts: list[float | None] = [cue.from_s if w.from_s is None else w.from_s for w in group]
    ends = [*starts[1:], after if after is not None else cue.to_s]
    out: list[TimedSpan] = []
    at = 0
    for word, start, end in zip(group, starts, ends, strict=True):
        out.extend(replace(t, start=at, end=at + t.end) for t in spanning(word.text, start, end))
        at += len(word.text) + 1
    return tuple(out)


def _marks(cues: Sequence[Cue], said: Sequence[CueWords]) -> tuple[Notice, ...]:
    first = next((c.from_s for c, s in zip(cues, said, strict=True) if s.sounds or s.songs), None)
    return tell_of_marks(any(s.sounds for s in said), any(s.songs for s in said), first)


def _blocks(count: int) -> tuple[Notice, ...]:
    if not count:
        return ()
    noun = "1 block" if count == 1 else f"{count} blocks"
    return (Notice(message=f"Set aside {noun} of the caption file that hold comments or styles, and no speech."),)


def _bad_times(codes: Sequence[str]) -> tuple[Notice, ...]:
    if not codes:
        return ()
    noun = "1 time code is" if len(codes) == 1 else f"{len(codes)} time codes are"
    return (Notice(message=f"{noun} no time (the first is {codes[0][:40]}); the words are kept, without it."),)
