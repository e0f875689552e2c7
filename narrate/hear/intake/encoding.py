"""Bytes -> text: byte order mark, then UTF-16 told by its NULs, then strict UTF-8, then Windows-1252.

Statistical detectors call short shop notes MacRoman or cp1250 and spoil every ½; this order is right for what shops
write. Five bytes that Windows-1252 leaves undefined become the C1 controls of the same number.
"""

from __future__ import annotations

import codecs

from narrate.core.findings import NarrateError
from narrate.core.records import Notice
from narrate.hear.intake.control import drop_controls

_MARKS = (  # the longer first: UTF-32-LE begins as UTF-16-LE does
    (codecs.BOM_UTF32_LE, "utf-32-le", "UTF-32"),
    (codecs.BOM_UTF32_BE, "utf-32-be", "UTF-32"),
    (codecs.BOM_UTF8, "utf-8", "UTF-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le", "UTF-16"),
    (codecs.BOM_UTF16_BE, "utf-16-be", "UTF-16"),
)
_SAMPLE = 4096
_UNDEFINED = {0x81: "\x81", 0x8D: "\x8d", 0x8F: "\x8f", 0x90: "\x90", 0x9D: "\x9d"}
_WINDOWS = [bytes([b]).decode("cp1252", "ignore") or _UNDEFINED[b] for b in range(256)]
_TABLE = "".join(_WINDOWS)
# Random bytes are about one tenth control characters, text of any code page almost none.
MOST_CONTROLS_GUESSED = 0.05  # where the encoding had to be guessed
MOST_CONTROLS = 0.3  # where it is certain: what is left beside them are still words


def decode(data: bytes, where: str) -> tuple[str, tuple[Notice, ...]]:
    """The text of `data` and what to tell of it; NarrateError where it is no text."""
    for mark, codec, name in _MARKS:
        if data.startswith(mark):
            return _decode_certain(data[len(mark) :], codec, name)
    data = data.rstrip(b"\x00\x1a")  # padding, and the end-of-file mark of old editors
    codec_by_nul = _utf16_by_nul(data)
    if codec_by_nul:
        return _decode_certain(data if len(data) % 2 == 0 else data + b"\x00", codec_by_nul, "UTF-16")
    try:
        text, certain = data.decode("utf-8"), True
    except UnicodeDecodeError:
        text, certain = codecs.charmap_decode(data, "strict", _TABLE)[0], False
    refuse_binary(text, where, MOST_CONTROLS if certain else MOST_CONTROLS_GUESSED)
    return text, ()


def refuse_binary(text: str, where: str, most: float = MOST_CONTROLS) -> None:
    """NarrateError where more than the share `most` of the text is control characters (escape sequences aside)."""
    controls = drop_controls(text).characters
    if controls > 1 and controls > most * len(text):
        raise NarrateError(
            "is binary data, not text.", where=where, remedy="Give the notes as text, captions or .docx."
        )


def _decode_certain(data: bytes, codec: str, name: str) -> tuple[str, tuple[Notice, ...]]:
    text = data.decode(codec, "replace")
    lost = text.count("\ufffd") - data.decode(codec, "ignore").count("\ufffd")
    if not lost:
        return text, ()
    broken = f"{lost:,} broken character{'' if lost == 1 else 's'}"
    return text, (Notice(message=f"The file says that it is {name}, but holds {broken} (shown as \ufffd)."),)


def _utf16_by_nul(data: bytes) -> str | None:
    """UTF-16 without a byte order mark: nearly every other byte of Western text is NUL, and always on the same side."""
    sample = data[:_SAMPLE]
    half = len(sample) // 2
    if half < 2:
        return None
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd >= 0.7 * half and even <= 0.05 * half:
        return "utf-16-le"
    if even >= 0.7 * half and odd <= 0.05 * half:
        return "utf-16-be"
    return None
