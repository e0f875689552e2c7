"""Sheet → JSON, the form that contract and schema promise: one readable object, or one line a sheet."""

from __future__ import annotations

import json

from narrate.core.records import Sheet


def write_json(sheet: Sheet) -> bytes:
    """One sheet, indented."""
    return (json.dumps(sheet.model_dump(mode="json", by_alias=True), ensure_ascii=False, indent=2) + "\n").encode(
        "utf-8", "backslashreplace"
    )


def write_json_line(sheet: Sheet) -> bytes:
    """One sheet on one line (JSON Lines), for many sheets in one file."""
    held = json.dumps(sheet.model_dump(mode="json", by_alias=True), ensure_ascii=False, separators=(",", ":"))
    # Two ends of line that JSON allows inside a text, and that some readers of lines cut at.
    held = held.replace("\u2028", "\\u2028").replace("\u2029", "\\u2029").replace("\x85", "\\u0085")
    return (held + "\n").encode("utf-8", "backslashreplace")
