"""Caption text (WebVTT, SubRip, SBV) -> cues with their times and raw lines.

WebVTT: W3C, sections 4 (format) and 6 (parsing). SubRip has no specification; seen in the wild and read here: no
hours, no milliseconds, `.` for `,`, no blank line between cues, blank lines within one, no index lines. SBV is
`start,end` on a line of its own. A cue keeps its words whatever its time code is worth.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from narrate.hear.intake.timecodes import seconds_of

_CODE = r"\d[\d:.,;]*"
_TIMING = re.compile(rf"[ \t]*+({_CODE})[ \t]*+--+>[ \t]*+({_CODE})(?:[ \t]++(.*))?$")
_SBV = re.compile(r"(\d{1,3}:\d{2}:\d{2}\.\d{3}),(\d{1,3}:\d{2}:\d{2}\.\d{3})[ \t]*$")
_SETTINGS = re.compile(r"(?:[A-Za-z]\w*:\S++(?:[ \t]++|$))*$")  # line:0 align:left, X1:100
_HEADER = re.compile(r"WEBVTT(?:[ \t].*)?$")
_INDEX = re.compile(r"[ \t]*\d{1,7}[ \t]*$")
_BLOCK = re.compile(r"(NOTE(?:[ \t]|$)|STYLE[ \t]*$|REGION[ \t]*$)")
_FULL_STAMP = re.compile(r"\d+:\d+:\d+|[.,]\d")
LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True, slots=True)
class Cue:
    """One cue as written: `lines` still hold their tags. Times in seconds, None where the code is no time."""

    from_s: float | None
    to_s: float | None
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CueFile:
    """All cues in the order of the file; how many comment and style blocks, and bad time codes, were passed over."""

    cues: tuple[Cue, ...]
    blocks: int = 0
    bad_times: tuple[str, ...] = ()


def looks_like_captions(text: str) -> bool:
    """Told by content: a WEBVTT header, or timing lines of a kind that nobody writes in notes."""
    head = text.lstrip("\r\n \t")[:4096]
    if _HEADER.match(LINE_END.split(head, maxsplit=1)[0]):
        return True
    if "-->" not in text and not _SBV.match(LINE_END.split(head, maxsplit=1)[0]):
        return False
    plain = 0
    for line in LINE_END.split(text):
        timing = _timing(line) if "-->" in line else _SBV.match(line)
        if timing is None:
            continue
        plain += 1
        if plain > 1 or _FULL_STAMP.search(timing[1]) or _FULL_STAMP.search(timing[2]):
            return True
    return False


def _timing(line: str) -> re.Match[str] | None:
    """The line as a timing line; words may follow the codes only where these are written out in full."""
    found = _TIMING.match(line)
    if found is None or _SETTINGS.match(found[3] or ""):
        return found
    return found if _FULL_STAMP.search(found[1]) and _FULL_STAMP.search(found[2]) else None


def read_cues(text: str) -> CueFile:
    """The cues of caption text. Comment, style and region blocks and header lines are passed over, and counted."""
    lines = LINE_END.split(text)
    first = next((i for i, line in enumerate(lines) if line.strip()), 0)
    web = bool(_HEADER.match(lines[first])) if lines else False
    return _Reader(lines, web, first).run()


class _Reader:
    """One pass over the lines, with the state that a line alone does not tell: are we in a cue, a block, a header?"""

    def __init__(self, lines: list[str], web: bool, first: int) -> None:
        self.lines = lines
        self.web = web
        self.cues: list[Cue] = []
        self.bad: list[str] = []
        self.blocks = 0
        self.skipping = web  # inside the header, or a block that holds no words
        self.words: list[str] = []  # lines of the open cue
        self.times: tuple[float | None, float | None] = (None, None)
        self.at = first
        self.numbered = False  # whether the file's cues carry numbers
        self.all_numbered = False
        self.number = 0

    def run(self) -> CueFile:
        self._see_numbers()
        blank = not self.web  # whether the line before was empty
        started = False  # whether a cue has begun
        for i in range(self.at + self.web, len(self.lines)):
            line = self.lines[i]
            timing = _timing(line) if "-->" in line else _SBV.match(line)
            if timing:
                self._close()
                self._open(timing)
                self.skipping, blank, started = False, False, True
                continue
            if not line or (line.isspace() and not (self.web and started)):
                blank = True
                self.skipping = False
                continue
            if self._is_label(i, blank):
                blank = False
                continue
            if blank and self.web and _BLOCK.match(line):
                self.skipping = True
                self.blocks += 1
            elif blank and self.web and not started:
                self.skipping = True  # a block before the first cue that is none we know: the standard drops it, too
                self.blocks += 1
            blank = False
            if not self.skipping:
                self.words.append(line)
        self._close()
        return CueFile(tuple(self.cues), self.blocks, tuple(self.bad))

    def _see_numbers(self) -> None:
        """Whether cues carry numbers: the first one does; or every single one."""
        above = [
            i > self.at and bool(_INDEX.match(self.lines[i - 1]))
            for i in range(self.at, len(self.lines))
            if "-->" in self.lines[i] and _timing(self.lines[i])
        ]
        self.numbered = bool(above) and above[0]
        self.all_numbered = self.numbered and all(above)

    def _is_label(self, i: int, blank: bool) -> bool:
        """Whether line `i` is a cue's number or name: it stands right above a timing line, and is no cue's words.

        With no empty line above it, and not all cues numbered, a number counts only as the next in turn
        ("torqued to / 30" stays).
        """
        if i + 1 >= len(self.lines) or "-->" not in self.lines[i + 1] or not _timing(self.lines[i + 1]):
            return False
        line = self.lines[i]
        if not _INDEX.match(line):
            return self.web and blank
        number = int(line)
        counts = blank and (self.numbered or self.web)
        if counts or self.all_numbered or (self.numbered and number == self.number + 1):
            self.number = number
            return True
        return False

    def _open(self, timing: re.Match[str]) -> None:
        start, end = seconds_of(timing[1]), seconds_of(timing[2])
        for code, value in ((timing[1], start), (timing[2], end)):
            if value is None:
                self.bad.append(code)
        self.times = (start, end)
        rest = timing[3] if timing.re is _TIMING else None
        if rest and not self.web and not _SETTINGS.match(rest):
            self.words.append(rest)

    def _close(self) -> None:
        if self.words:
            self.cues.append(Cue(self.times[0], self.times[1], tuple(self.words)))
        self.words = []
