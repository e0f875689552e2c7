"""What a file is, told by its first bytes: a Word document, plain text perhaps, or nothing that holds words for us.

Signatures: the formats' own specifications (PNG ISO/IEC 15948, JFIF, PDF ISO 32000-1 7.5.2, ZIP APPNOTE 4.3.7,
RIFF, ISO/IEC 14496-12 `ftyp`, Matroska EBML, Ogg RFC 3533, FLAC RFC 9639, gzip RFC 1952, ID3v2), from memory.
"""

from __future__ import annotations

from narrate.core.findings import NarrateError

_TEXT = "Give the notes as text, captions or .docx."
_PICTURE = "Type out what it shows, and give that as text."
_SOUND = "Have the recording written down first, and give the words as captions or text."

_SIGNATURES: tuple[tuple[bytes, str, str], ...] = (
    (b"\x89PNG\r\n\x1a\n", "a PNG picture", _PICTURE),
    (b"\xff\xd8\xff", "a JPEG picture", _PICTURE),
    (b"GIF87a", "a GIF picture", _PICTURE),
    (b"GIF89a", "a GIF picture", _PICTURE),
    (b"II*\x00", "a TIFF picture", _PICTURE),
    (b"MM\x00*", "a TIFF picture", _PICTURE),
    (b"%PDF-", "a PDF", "Copy its text out, and give that as text or .docx."),
    (b"{\\rtf", "an RTF document", "Save it as .docx or as plain text."),
    (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        "an old Word file (.doc) or one under a password",
        "Save it as .docx, without a password.",
    ),
    (b"ID3", "a sound recording (MP3)", _SOUND),
    (b"\xff\xfb", "a sound recording (MP3)", _SOUND),
    (b"\xff\xf3", "a sound recording (MP3)", _SOUND),
    (b"OggS", "a sound recording (Ogg)", _SOUND),
    (b"fLaC", "a sound recording (FLAC)", _SOUND),
    (b"\x1a\x45\xdf\xa3", "a video (Matroska or WebM)", _SOUND),
    (b"\x1f\x8b", "a gzip archive", "Unpack it, and give the notes inside."),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive", "Unpack it, and give the notes inside."),
    (b"Rar!\x1a\x07", "a RAR archive", "Unpack it, and give the notes inside."),
    (b"\x7fELF", "a program", _TEXT),
    (b"SQLite format 3\x00", "a database (SQLite)", _TEXT),
)
_SHORT = frozenset((b"ID3", b"OggS", b"fLaC"))  # could open a note, too: believed only where a NUL byte follows soon
_MARKUP: tuple[tuple[str, str, str], ...] = (
    ("<!doctype html", "a web page", "Copy its words out, and give them as text."),
    ("<html", "a web page", "Copy its words out, and give them as text."),
    ("<?xml", "XML", "Save the notes as text; timed captions as SubRip or WebVTT."),
)
ZIP = b"PK\x03\x04"
EMPTY_ZIP = b"PK\x05\x06"


def is_zip(data: bytes) -> bool:
    return data.startswith((ZIP, EMPTY_ZIP))


def refuse_foreign(data: bytes, where: str) -> None:
    """NarrateError that says what the file is, where its first bytes tell that it is no text."""
    for signature, what, remedy in _SIGNATURES:
        if data.startswith(signature) and (signature not in _SHORT or b"\x00" in data[:64]):
            raise NarrateError(f"is {what}, not text.", where=where, remedy=remedy)
    boxed = _boxed(data)
    if boxed:
        raise NarrateError(f"is {boxed[0]}, not text.", where=where, remedy=boxed[1])


def refuse_markup(text: str, where: str) -> None:
    """NarrateError for a web page or other marked-up file, whose tags would be read as words."""
    head = text[:64].lstrip().lower()
    for opening, what, remedy in _MARKUP:
        if head.startswith(opening):
            raise NarrateError(f"is {what}, not plain text.", where=where, remedy=remedy)


def _boxed(data: bytes) -> tuple[str, str] | None:
    """Formats whose mark stands a few bytes in."""
    if data[:4] == b"RIFF" and len(data) >= 12:
        kinds = {b"WAVE": ("a sound recording (WAV)", _SOUND), b"WEBP": ("a WebP picture", _PICTURE)}
        return kinds.get(data[8:12], ("a RIFF file", _TEXT))
    if data[4:8] == b"ftyp":
        still = data[8:12] in (b"heic", b"heix", b"mif1", b"avif")
        return ("a HEIC or AVIF picture", _PICTURE) if still else ("a sound or video recording (MP4)", _SOUND)
    if data[:2] == b"BM" and data[6:10] == b"\x00\x00\x00\x00":
        return ("a BMP picture", _PICTURE)
    if data[:2] == b"MZ" and b"\x00" in data[:64]:
        return ("a program", _TEXT)
    return None
