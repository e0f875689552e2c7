"""Text with the time of a recording pasted before its passages -> the words, and the times kept beside them.

`[00:12] ...`, `(1:03) ...`, `1:15:40 ...`, `[00:00.000 --> 00:04.200] ...`, `Speaker 1  00:12`. A time of day looks
the same, so stamps are believed only where they run like a recording: from near its start, never back, and before most
passages. Which times are believed is our own judgement, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from narrate.core.findings import NarrateError
from narrate.core.records import Notice
from narrate.hear.intake.cues import LINE_END
from narrate.hear.intake.made_up import Spoken, set_aside
from narrate.hear.intake.marks import Marked, blank_marks, is_numbered_speaker, repeated_labels, tell_of_marks, tidy
from narrate.hear.intake.pieces import Heard, Piece, spanning
from narrate.hear.intake.timecodes import seconds_of

_TIME = r"\d{1,3}:\d{2}(?::\d{2})?(?:[.,]\d{1,3})?"
_LABEL = r"(?:(?P<label>[A-Za-z][\w.'’-]{0,20}(?:[ \t][\w.'’-]{1,20}){0,2}?):?[ \t]++)?"
_LINE = re.compile(
    # possessive where blanks may be many: a line of them must not be tried in all its parts
    rf"(?m)^[ \t]*+{_LABEL}(?P<open>[\[(<]?)[ \t]*+(?P<start>{_TIME})"
    rf"(?:[ \t]*+(?:--?>|[-–—]|to)[ \t]*+(?P<end>{_TIME}))?(?:(?P<close>[ \t]*+[\])>])|(?=[\s:|,–—-]|$))"
    r"(?![ \t]*+[AaPp]\.?[Mm]\b)[ \t]*+(?:[:|,–—-](?=\s|$)[ \t]*+)?"
)
_INLINE = re.compile(rf"\[(?P<start>{_TIME})\]")
_PAIRS = frozenset(("", "[]", "()", "<>"))
WORK_BEGINS_S = 6 * 3600  # a first "time in the recording" from 6:00 on, as hours or as minutes, is a time of day
FIRST_BARE_S = 20  # a bare `0:05` on the first passage: where a recording's transcript begins
ORDERLY = 0.8  # of neighbouring stamps that do not run back
MOST_WRAPPED = 3  # lines under one stamp that are taken for one wrapped passage


@dataclass(frozen=True, slots=True)
class Stamp:
    """A time code at `start` to `end` of the text; `bare` with nothing that tells it from a time of day."""

    start: int
    end: int
    from_s: float
    to_s: float | None
    bare: bool
    clock_like: bool
    bracket: str = ""
    leads: bool = True  # at the beginning of its line


def find_stamps(text: str) -> tuple[Stamp, ...]:
    """The stamps of a text whose lines end in LF; () where it is not stamped text."""
    found = _line_stamps(text)
    strong = [s for s in found if not s.bare]
    if len(strong) >= 2:
        stamps = found if len(found) - len(strong) >= len(strong) and _orderly(found, 1.0) else strong
        if not _orderly(stamps, ORDERLY):
            return ()
    elif _begins_bare(found, text):
        stamps = found
    elif len(strong) == 1 and strong[0].bracket and not text[: strong[0].start].strip():
        stamps = strong
        if strong[0].clock_like and strong[0].bracket != "[]" and strong[0].from_s >= 600:
            return ()
    else:
        return ()
    if _times_of_day(stamps):
        return ()
    return _with_inline(text, stamps)


def _line_stamps(text: str) -> list[Stamp]:
    stamps: list[Stamp] = []
    headers: dict[str, int] = {}
    labelled: list[tuple[str, Stamp]] = []
    for m in _LINE.finditer(text):
        bracket = m["open"] + (m["close"] or "").strip()
        from_s = seconds_of(m["start"], minutes_over=True)
        if bracket not in _PAIRS or from_s is None:
            continue
        full = m["start"].count(":") == 2 or "." in m["start"] or "," in m["start"]
        to_s = seconds_of(m["end"], minutes_over=True) if m["end"] else None
        stamp = Stamp(m.start(), m.end(), from_s, to_s, not bracket and not full, not full, bracket)
        label = m["label"]
        if label is None or is_numbered_speaker(label):
            stamps.append(stamp)
        elif not stamp.bare and text[m.end() : m.end() + 1] in ("", "\n"):
            headers[label] = headers.get(label, 0) + 1
            labelled.append((label, stamp))
    stamps.extend(stamp for label, stamp in labelled if headers[label] > 1)
    return sorted(stamps, key=lambda s: s.start)


def _orderly(stamps: Sequence[Stamp], share: float) -> bool:
    pairs = len(stamps) - 1
    return sum(a.from_s <= b.from_s for a, b in pairwise(stamps)) >= share * pairs


def _begins_bare(stamps: Sequence[Stamp], text: str) -> bool:
    """Bare `0:00`, `0:07` ...: from the recording's first seconds, only forward, before at least every third line."""
    if len(stamps) < 2 or stamps[0].from_s > FIRST_BARE_S:
        return False
    lines = sum(1 for line in text.split("\n") if line.strip())
    return 3 * len(stamps) >= lines and all(a.from_s < b.from_s for a, b in pairwise(stamps))


def _times_of_day(stamps: Sequence[Stamp]) -> bool:
    """`[08:30] car in ... [09:15] pump on`: the first is a working hour and none is later than midnight."""
    hours = 60 if all(s.clock_like for s in stamps) else 1
    return stamps[0].from_s * hours >= WORK_BEGINS_S and max(s.from_s for s in stamps) * hours < 24 * 3600


def _with_inline(text: str, stamps: Sequence[Stamp]) -> tuple[Stamp, ...]:
    """Stamps in square brackets inside a line, too, where the leading ones are written so and the time runs on."""
    if stamps[0].bracket != "[]":
        return tuple(stamps)
    leading = {s.start + text[s.start : s.end].index("["): s for s in stamps if s.bracket == "[]"}
    out: list[Stamp] = [s for s in stamps if s.bracket != "[]"]
    last = 0.0
    for m in _INLINE.finditer(text):
        stamp = leading.pop(m.start(), None)
        from_s = seconds_of(m["start"], minutes_over=True)
        if stamp is None and from_s is not None and from_s >= last:
            stamp = Stamp(m.start(), m.end(), from_s, None, False, False, "[]", leads=False)
        if stamp is not None:
            out.append(stamp)
            last = stamp.from_s
    out.extend(leading.values())
    return tuple(sorted(out, key=lambda s: s.start))


def hear_stamped(text: str, where: str) -> Heard | None:
    """The words of stamped text with their times; None where it is not stamped, NarrateError where it has no words."""
    text = LINE_END.sub("\n", text)
    stamps = find_stamps(text)
    if not stamps:
        return None
    bodies = [text[s.end : t] for s, t in zip(stamps, [*(s.start for s in stamps[1:]), len(text)], strict=True)]
    preface = text[: stamps[0].start]
    labels = repeated_labels("\n".join((preface, *bodies)))
    sounds = songs = False
    first_s: float | None = None
    pieces: list[Piece] = []
    spoken: list[Spoken] = []
    ends: list[float | None] = [
        s.to_s if s.to_s is not None else (t.from_s if t else None)
        for s, t in zip(stamps, [*stamps[1:], None], strict=True)
    ]
    times: list[tuple[float | None, float | None]] = [(None, None), *zip((s.from_s for s in stamps), ends, strict=True)]
    for body, (from_s, to_s) in zip((preface, *bodies), times, strict=True):
        marked = blank_marks(body, labels)
        if (marked.sounds or marked.songs) and first_s is None:
            first_s = from_s
        sounds, songs = sounds or marked.sounds, songs or marked.songs
        words = _passage(marked)
        if words:
            pieces.append(Piece(words, spanning(words, from_s, to_s)))
            spoken.append(Spoken(words, from_s, to_s))
    kept, made_up = set_aside(spoken)
    if not kept:
        raise NarrateError("holds time codes and no words.", where=where, remedy="Check that it is the right file.")
    notices = (_tell(len(stamps)), *tell_of_marks(sounds, songs, first_s), *made_up)
    last = max(s.from_s if s.to_s is None else max(s.from_s, s.to_s) for s in stamps)
    return Heard(tuple(pieces[i] for i in kept), notices, last)


def _passage(marked: Marked) -> str:
    """The words under one stamp: a few lines are one wrapped passage, more keep their ends."""
    body = marked.text.strip()
    count = body.count("\n") + 1
    if marked.voices or count > MOST_WRAPPED or "\n\n" in body:
        return tidy(marked)
    return " ".join(body.split())


def _tell(count: int) -> Notice:
    noun = "1 time code" if count == 1 else f"{count:,} time codes"
    return Notice(message=f"Took {noun} of the recording out of the words, and kept the times beside them.")
