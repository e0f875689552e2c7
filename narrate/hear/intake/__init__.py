"""Files, bytes and text -> one Passage each: the narrative that every offset counts in, and where it came from.

Told by content, never by name: plain text and Markdown (unchanged but for control characters), SubRip, WebVTT and SBV
captions, text with `[mm:ss]` stamps, the JSON of speech recognisers, and .docx. What is set aside is told in a notice;
what cannot be used raises NarrateError. `take_folder` lists the narratives of a folder.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Passage
from narrate.hear.intake.control import drop_controls
from narrate.hear.intake.cues import looks_like_captions
from narrate.hear.intake.encoding import decode, refuse_binary
from narrate.hear.intake.foreign import is_zip, refuse_foreign, refuse_markup
from narrate.hear.intake.from_captions import hear_captions
from narrate.hear.intake.from_docx import hear_document
from narrate.hear.intake.from_stamped import hear_stamped
from narrate.hear.intake.from_transcript import hear_transcript
from narrate.hear.intake.json_shapes import looks_like_json
from narrate.hear.intake.pieces import join_pieces

__all__ = ["MOST_BYTES", "MOST_DOCUMENT_BYTES", "SUFFIXES", "take_bytes", "take_file", "take_folder", "take_text"]

MOST_BYTES = 10_000_000  # of text: a thousand pages of notes, or a day of word-timed transcript
MOST_DOCUMENT_BYTES = 50_000_000  # of a Word file, which may hold pictures
SUFFIXES = (".txt", ".text", ".md", ".markdown", ".srt", ".vtt", ".sbv", ".json", ".docx")  # what `take_folder` lists


def take_text(text: str, name: str | None = None) -> Passage:
    """The passage of a text: a narrative, captions, stamped text or a recogniser's JSON, told by its content.

    `sha256` is of the text as UTF-8. NarrateError where it holds no words, or too many.
    """
    raw = text.encode("utf-8", "surrogatepass")
    _refuse_size(len(raw), name or "", MOST_BYTES)
    refuse_binary(text, name or "")
    return _passage(text, Passage("", hashlib.sha256(raw).hexdigest(), name=name))


def take_bytes(data: bytes, name: str | None = None) -> Passage:
    """The passage of a file's bytes, whatever the file is called. NarrateError where they hold no words for us."""
    where = name or ""
    document = is_zip(data)
    _refuse_size(len(data), where, MOST_DOCUMENT_BYTES if document else MOST_BYTES)
    blank = Passage("", hashlib.sha256(data).hexdigest(), name=name)
    if document:
        text, notices = hear_document(data, where)
        clean = drop_controls(text)
        return replace(blank, narrative=clean.text, kind="document", notices=(*clean.notices, *notices))
    refuse_foreign(data, where)
    text, notices = decode(data, where)
    return _passage(text, replace(blank, notices=notices))


def take_file(path: str | Path) -> Passage:
    """The passage of one file. NarrateError where it is missing, a folder, unreadable, too large or holds no words."""
    file, where = Path(path), str(path).replace("\x00", "\\0")
    try:
        with file.open("rb") as stream:
            data = stream.read(MOST_DOCUMENT_BYTES + 1)
    except FileNotFoundError:
        raise NarrateError("there is no such file.", where=where, remedy="Check the path.") from None
    except IsADirectoryError:
        raise NarrateError(
            "is a folder, not a file.", where=where, remedy="Name a file in it, or take all its files."
        ) from None
    except PermissionError:
        raise NarrateError(
            "may not be read.", where=where, remedy="Ask for the right to read it, or copy it."
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise NarrateError(
            f"cannot be read: {reason.lower()}.", where=where, remedy="Check the path and the disk."
        ) from None
    passage_name = file.name
    try:
        return take_bytes(data, passage_name)
    except NarrateError as error:
        place = where + error.where.removeprefix(passage_name) if error.where.startswith(passage_name) else error.where
        raise NarrateError(error.what, where=place or where, remedy=error.remedy) from None


def take_folder(path: str | Path) -> list[Path]:
    """The narratives of a folder, by suffix, in the order of their names; its own folders are not entered.

    Hidden files and lock files are no narratives. NarrateError where none is left.
    """
    folder, where = Path(path), str(path)
    try:
        files = sorted(p for p in folder.iterdir() if p.is_file() and p.suffix.lower() in SUFFIXES)
    except FileNotFoundError:
        raise NarrateError("there is no such folder.", where=where, remedy="Check the path.") from None
    except NotADirectoryError:
        raise NarrateError("is a file, not a folder.", where=where, remedy="Give the file itself.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise NarrateError(f"cannot be listed: {reason.lower()}.", where=where, remedy="Check the path.") from None
    found = [p for p in files if not p.name.startswith((".", "~$"))]
    if not found:
        raise NarrateError("holds no narratives.", where=where, remedy=f"Looked for {', '.join(SUFFIXES)}.")
    return found


def _passage(text: str, blank: Passage) -> Passage:
    where = blank.name or ""
    clean = drop_controls(text)
    text = clean.text
    if not text.strip():
        raise NarrateError(
            "holds no words.", where=where, remedy="Check that it is the right file, and that it was saved."
        )
    passage = replace(blank, narrative=text, notices=(*blank.notices, *clean.notices))
    if looks_like_json(text):
        return join_pieces(hear_transcript(text, where), replace(passage, kind="transcript"))
    if looks_like_captions(text):
        return join_pieces(hear_captions(text, where), replace(passage, kind="captions"))
    refuse_markup(text, where)
    stamped = hear_stamped(text, where)
    if stamped is not None:
        return join_pieces(stamped, replace(passage, kind="transcript"))
    return passage


def _refuse_size(size: int, where: str, most: int) -> None:
    if size > most:
        over = "more than " if size > MOST_DOCUMENT_BYTES else ""  # a file is read no further than that
        said = f"holds {over}{size / 1e6:.1f} MB; the most is {most // 1_000_000} MB."
        raise NarrateError(said, where=where, remedy="Split it, a job or a day a file.")
