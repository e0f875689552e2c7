"""Tell a document that we made, and that nobody changed since, from any other.

Each document carries a mark in a place of its format that readers do not see or mind: HTML its generator, Word its
identifier, text its last line. In the mark stands a checksum of all the rest. JSON and CSV have no such place: they
are known by their form, JSON by being a sheet written exactly as we write one, CSV by the head of its first column.
It guards against our own carelessness, not against forgery.
"""

from __future__ import annotations

import hashlib
import io
import re
import zipfile
import zlib
from collections.abc import Callable
from typing import Literal

Format = Literal["text", "html", "docx", "json", "csv"]

_BLANK = "0" * 16
PLACEHOLDER = f"narrate sheet, form 1, seal {_BLANK}"
CSV_HEAD = "narrate_form"
_SEAL = re.compile(rb"narrate sheet, form \d+, seal ([0-9a-f]{16})")
_PROPERTIES = "docProps/core.xml"
_EPOCH = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip entry can carry


def seal_html(text: str) -> bytes:
    """Put the checksum in place of the first placeholder, which stands before all that a sheet holds."""
    data = text.encode()
    return data.replace(PLACEHOLDER.encode(), PLACEHOLDER.replace(_BLANK, _digest(data)).encode(), 1)


def seal_text(text: str) -> bytes:
    """Add a last line with the checksum of all the others."""
    data = f"{text}{PLACEHOLDER}\n".encode()
    return f"{text}{PLACEHOLDER.replace(_BLANK, _digest(data))}\n".encode()


def seal_docx(data: bytes) -> bytes:
    """Put the checksum of all parts but the properties into the properties."""
    seal = PLACEHOLDER.replace(_BLANK, _digest_parts(data)).encode()
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            entry = zipfile.ZipInfo(name, _EPOCH)  # no clock in our bytes
            entry.compress_type = zipfile.ZIP_DEFLATED
            part = old.read(name)
            new.writestr(entry, part.replace(PLACEHOLDER.encode(), seal) if name == _PROPERTIES else part)
    return out.getvalue()


def is_ours(data: bytes, fmt: Format) -> bool:
    """Whether some bytes are a document of this format that we made, as we made it."""
    if fmt == "html":
        return _sealed(data, _SEAL.search(data))
    if fmt == "text":
        return _sealed(data, _SEAL.search(data, data.rfind(b"\n", 0, -1) + 1))
    if fmt == "docx":
        return _is_our_docx(data)
    if fmt == "csv":
        return data.removeprefix(b"\xef\xbb\xbf").startswith((CSV_HEAD + ",").encode())
    return _is_our_json(data)


def _sealed(data: bytes, seal: re.Match[bytes] | None) -> bool:
    if not seal:
        return False
    blanked = data[: seal.start(1)] + _BLANK.encode() + data[seal.end(1) :]
    return _digest(blanked).encode() == seal[1]


def _is_our_docx(data: bytes) -> bool:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as parts:
            seal = _SEAL.search(parts.read(_PROPERTIES))
        return seal is not None and _digest_parts(data).encode() == seal[1]
    except (zipfile.BadZipFile, KeyError, OSError, NotImplementedError, RuntimeError, EOFError, zlib.error):
        return False  # no zip file, or one that is broken, locked or without properties


def _is_our_json(data: bytes) -> bool:
    from pydantic import ValidationError

    from narrate.core.records import Sheet
    from narrate.render.formats.as_json import write_json, write_json_line

    def written(part: bytes, write: Callable[[Sheet], bytes]) -> bool:
        try:
            return write(Sheet.model_validate_json(part)) == part
        except ValidationError:
            return False

    lines = data.splitlines(keepends=True)
    return written(data, write_json) or (bool(lines) and all(written(line, write_json_line) for line in lines))


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[: len(_BLANK)]


def _digest_parts(data: bytes) -> str:
    whole = hashlib.sha256()
    with zipfile.ZipFile(io.BytesIO(data)) as parts:
        for name in sorted(parts.namelist()):
            if name != _PROPERTIES:
                part = parts.read(name)
                whole.update(f"{name}:{len(part)}\n".encode())
                whole.update(part)
    return whole.hexdigest()[: len(_BLANK)]
