"""One record, however it is given: notes that are compiled now, or the JSON of a sheet that was compiled before."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from narrate.core.findings import NarrateError
from narrate.serve.cli.notes import STDIN
from narrate.serve.cli.saying import complain
from narrate.serve.cli.shop import Shop

if TYPE_CHECKING:
    from narrate.core.records import Sheet

_SHEET_HEAD = b'"schema_version"'


def read_record(
    given: str, dictated_on: str | None = None, trade: str | None = None, shop: Shop | None = None
) -> Sheet:
    """The sheet of one narrative. Raises NarrateError or OSError, each with the place."""
    from narrate.hear.intake import take_bytes
    from narrate.pipeline import compile_file, compile_passage

    if given == STDIN:
        if sys.stdin.isatty():
            complain("reading notes from the keyboard; end them with Ctrl-D.")
        data = sys.stdin.buffer.read()
        held = _held(data, "standard input")
        if held:
            return held
        settings = (shop or Shop()).settings()
        return compile_passage(take_bytes(data, "standard input"), dictated_on, trade, settings=settings)
    path = Path(given)
    if path.is_dir():
        raise NarrateError("is a folder, not one narrative.", where=given, remedy="Name a file in it.")
    if path.suffix.lower() in (".json", ".jsonl"):
        held = _held(path.read_bytes(), given)
        if held:
            return held
    return compile_file(path, None, dictated_on, trade, (shop or Shop()).settings(path))


def _held(data: bytes, where: str) -> Sheet | None:
    """The sheet that some bytes are; None where they are something else. More than one sheet is an error."""
    if _SHEET_HEAD not in data[:4096]:
        return None
    from pydantic import ValidationError

    from narrate.core.records import Sheet

    try:
        return Sheet.model_validate_json(data)
    except ValidationError as error:
        lines = [line for line in data.splitlines() if line.strip()]
        if len(lines) > 1 and all(_SHEET_HEAD in line for line in lines):
            raise NarrateError(f"holds {len(lines)} sheets.", where=where,
                               remedy="Give one: a file for each, or one of its lines.") from None  # fmt: skip
        first = error.errors()[0]
        place = ".".join(str(part) for part in first["loc"]) or "the whole"
        raise NarrateError(f"is no sheet that can be read: {place}: {first['msg'].lower()}.", where=where,
                           remedy="Write it again with “narrate sheet --format json”.") from None  # fmt: skip
