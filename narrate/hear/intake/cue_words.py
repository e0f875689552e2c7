"""One cue's lines -> its words: no tags, position codes, entities, sound notes or speaker marks; word times kept.

WebVTT cue text: W3C WebVTT, 4.2.2 and 6.4. Tags go before entities are decoded, so that "gap &lt; 1 mm" keeps its
sign, and only known tags go, so that "< 1 mm" does.
"""

from __future__ import annotations

import html
import re
from bisect import bisect_right
from dataclasses import dataclass

from narrate.hear.intake.control import drop_controls
from narrate.hear.intake.cues import Cue
from narrate.hear.intake.marks import blank_marks
from narrate.hear.intake.timecodes import STAMP, seconds_of

_TAG = re.compile(
    rf"<(?P<time>{STAMP})>"
    r"|<(?P<voice>v(?:[.\s][^<>\n]{0,200})?)>"
    r"|</?(?:b|i|u|s|c|v|p|em|br|rt|lang|ruby|span|font|strong)(?:[.\s/][^<>\n]{0,200})?>"
    r"|\{\\[^{}\n]{0,200}\}"
    r"|(?-i:\\[Nh])"
    r"|&(?:#\d{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,30});",
    re.IGNORECASE,
)
_INVISIBLE = re.compile("[\u200b\u200e\u200f\u2060]")  # &lrm; &rlm; and their like


@dataclass(frozen=True, slots=True)
class Word:
    """One word of a cue: the line it stands on, when it begins where that is written, and whether a voice begins."""

    text: str
    line: int
    from_s: float | None = None
    opens: bool = False


@dataclass(frozen=True, slots=True)
class CueWords:
    """A cue's words, and whether notes of sounds or song were set aside from it."""

    words: tuple[Word, ...]
    sounds: bool = False
    songs: bool = False


def plain_lines(cue: Cue) -> tuple[str, list[tuple[int, float]], list[int]]:
    """The cue's text without tags, entities decoded; where word times apply; where a voice tag stood."""
    raw = "\n".join(cue.lines)
    out: list[str] = []
    stamps: list[tuple[int, float]] = []
    voices: list[int] = []
    at = length = 0
    for found in _TAG.finditer(raw):
        bit, put = raw[at : found.start()], ""
        at = found.end()
        tag = found[0]
        if found["time"]:
            time = seconds_of(found["time"])
            if time is not None:
                stamps.append((length + len(bit), time))
        elif found["voice"]:
            voices.append(length + len(bit))
        elif tag.startswith("&"):
            put = _INVISIBLE.sub("", drop_controls(html.unescape(tag)).text)
        elif tag.startswith("\\") or tag[1:3].lower() == "br":
            put = " "
        out.extend((bit, put))
        length += len(bit) + len(put)
    out.append(raw[at:])
    return "".join(out), stamps, voices


def words_of(cue: Cue, labels: frozenset[str]) -> CueWords:
    """The words said in one cue, in order."""
    text, stamps, voices = plain_lines(cue)
    marked = blank_marks(text, labels)
    opened = sorted({*voices, *marked.voices})
    begins = [at for at, _ in stamps]
    words: list[Word] = []
    before = 0
    for number, (start, line) in enumerate(_lines(marked.text)):
        for found in re.finditer(r"\S+", line):
            at = start + found.start()
            k = bisect_right(begins, at)
            opens = bisect_right(opened, at) > bisect_right(opened, before - 1) if before else False
            words.append(Word(found[0], number, stamps[k - 1][1] if k else None, opens))
            before = at + 1
    return CueWords(tuple(words), marked.sounds, marked.songs)


def _lines(text: str) -> list[tuple[int, str]]:
    out = []
    at = 0
    for line in text.split("\n"):
        out.append((at, line))
        at += len(line) + 1
    return out
