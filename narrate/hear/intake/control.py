"""Control characters and terminal escape sequences: set aside, with a notice, and nothing else of a text touched.

One such character makes a Word or spreadsheet writer fail. What a reader would have seen stays: a vertical tab or an
escape that moved the cursor leaves its words apart, a NUL or a colour code leaves nothing.
Sequences: ECMA-48, 5th edition, 5.3 to 5.6 (escape, control sequences, control strings).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from narrate.core.records import Notice

# A control string (OSC, DCS, PM, APC, SOS) runs to BEL or ST; the length keeps a lone opener harmless.
_ESCAPE = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]{0,64}[ -/]{0,8}([@-~])"
    r"|(?:\x1b[PX\]^_]|[\x90\x98\x9d-\x9f])[^\x07\x1b\x90-\x9f\n]{0,4096}(?:\x07|\x1b\\|\x9c)"
    r"|\x1b[ -/]{0,8}[0-~]"
)
_MOVES = frozenset("ABCDEFGHfad`ej")  # final bytes of control sequences that move the cursor: a reader sees a space
_LINE_BREAKS = re.compile("[\x0c\x85]")
_SPACES = re.compile("[\x0b\x1c-\x1f]")
# XML, and so .docx and .xlsx, can hold no C0 control but tab and line ends, no half of a surrogate pair and no U+FFFE
# or U+FFFF (XML 1.0, 2.2). A byte order mark inside a text is left from files that were joined.
_DROPPED = re.compile("[\x00-\x08\x0e-\x1b\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff\ufeff]")
_ANY = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff\ufeff]")


@dataclass(frozen=True, slots=True)
class Cleaned:
    """The text without what no reader sees; `characters` and `sequences` count what was set aside."""

    text: str
    characters: int = 0
    sequences: int = 0

    @property
    def notices(self) -> tuple[Notice, ...]:
        told = []
        if self.sequences:
            told.append(Notice(message=f"Set aside {_count(self.sequences, 'terminal escape sequence')}: no words."))
        if self.characters:
            told.append(Notice(message=f"Set aside {_count(self.characters, 'control character')}: no words."))
        return tuple(told)


def drop_controls(text: str) -> Cleaned:
    """The text with control characters and escape sequences set aside; tabs and line ends stay as they are."""
    text = text.removeprefix("\ufeff")
    if not _ANY.search(text):
        return Cleaned(text)
    text, sequences = _ESCAPE.subn(lambda m: " " if m[1] and m[1] in _MOVES else "", text)
    text, breaks = _LINE_BREAKS.subn("\n", text)
    text, spaces = _SPACES.subn(" ", text)
    text, dropped = _DROPPED.subn("", text)
    return Cleaned(text, breaks + spaces + dropped, sequences)


def _count(number: int, thing: str) -> str:
    return f"{number:,} {thing}{'' if number == 1 else 's'}"
