"""Everything in the book as JSON Lines or as CSV tables, a few entries at a time however long the book is.

JSON Lines: one entry a line, with its hashes and its content as values, so that the chain can be checked without this
program. CSV: a table of the entries and one of each kind of them, and all lines of every revision in one table.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterator
from typing import Any

from narrate.core.records import Sheet
from narrate.render.formats.as_csv import guard_text, write_combined
from narrate.serve.archive.chain import Entry
from narrate.serve.archive.engine import Book
from narrate.serve.archive.fetch import stream_entries

# The first of a table's columns are always the entry and when it was made.
TABLES: dict[str, tuple[str, ...]] = {
    "entries": ("kind", "about", "forgotten", "salt", "content_hash", "previous", "hash"),
    "narratives": ("narrative", "name", "customer", "kind", "sha256", "dictated_on", "trade", "words"),
    "revisions": ("narrative", "revision", "trade", "date", "vin", "plate", "unit_number", "odometer", "odometer_unit",
                  "jobs", "open_questions", "changes"),
    "answers": ("narrative", "revision", "made_on", "step", "question", "outcome", "text"),
    "changes": ("narrative", "revision", "kind", "what", "before", "after", "words"),
}  # fmt: skip
LINES = "lines"  # the table of all lines of all sheets
_MARK = b"\xef\xbb\xbf"  # by which spreadsheets know UTF-8


def export_lines(book: Book) -> Iterator[bytes]:
    """One line of JSON an entry, in order."""
    with book.reading() as conn:
        for entry in stream_entries(conn):
            line = {
                "seq": entry.seq, "kind": entry.kind, "about": entry.about, "made_at": entry.made_at,
                "salt": entry.salt, "content_hash": entry.content_hash, "previous": entry.previous, "hash": entry.hash,
                "content": entry.held(),
            }  # fmt: skip
            yield (json.dumps(line, ensure_ascii=True, separators=(",", ":")) + "\n").encode("ascii")


def export_tables(book: Book, write: Callable[[str, bytes], None]) -> int:
    """Every table piece by piece to `write` (its name, some bytes); how many entries there were."""
    for name, columns in TABLES.items():
        write(name, _MARK + _line(("entry", "made_at", *columns)))
    headed = b"".join(write_combined([]))
    write(LINES, _MARK + b"entry,narrative,revision," + headed)
    count = 0
    with book.reading() as conn:
        for entry in stream_entries(conn):
            count += 1
            for name, row in _rows(entry):
                cells = [row.get(column) for column in TABLES[name]]
                write(name, _line((entry.seq, entry.made_at, *cells)))
            if entry.kind == "revision" and entry.content is not None:
                write(LINES, b"".join(_sheet_lines(entry)))
    return count


def _rows(entry: Entry) -> Iterator[tuple[str, dict[str, Any]]]:
    yield "entries", {
        "kind": entry.kind, "about": entry.about, "forgotten": entry.content is None, "salt": entry.salt,
        "content_hash": entry.content_hash, "previous": entry.previous, "hash": entry.hash,
    }  # fmt: skip
    held = entry.held()
    if held is None:
        return
    if entry.kind == "narrative":
        passage = held["passage"]
        yield "narratives", {
            "narrative": held["number"], "name": passage["name"], "customer": held["customer"], "kind": passage["kind"],
            "sha256": passage["sha256"], "dictated_on": held["dictated_on"], "trade": held["trade"],
            "words": passage["narrative"],
        }  # fmt: skip
    elif entry.kind == "answer":
        yield "answers", held
    elif entry.kind == "revision":
        visit = held["visit"]
        meter = visit["odometer"] or {}
        yield "revisions", {
            "narrative": held["narrative"], "revision": held["number"], "trade": visit["trade"], "date": visit["date"],
            **{name: visit["vehicle"][name] for name in ("vin", "plate", "unit_number")},
            "odometer": meter.get("low"), "odometer_unit": meter.get("unit"), "jobs": "; ".join(visit["jobs"]),
            "open_questions": len(held["sheet"]["gaps"]), "changes": len(held["changes"]),
        }  # fmt: skip
        for change in held["changes"]:
            words = " … ".join(one["quote"] for one in change["evidence"])
            yield "changes", {"narrative": held["narrative"], "revision": held["number"], **change, "words": words}


def _sheet_lines(entry: Entry) -> Iterator[bytes]:
    """The lines of one revision's sheet, each with the entry, narrative and revision that it is of."""
    held = entry.held()
    table = b"".join(write_combined([Sheet.model_validate(held["sheet"])], headed=False)).decode()
    for row in csv.reader(io.StringIO(table)):
        yield _line((entry.seq, held["narrative"], held["number"]), row)


def _line(cells: tuple[Any, ...], guarded: list[str] | None = None) -> bytes:
    """One line of CSV; `guarded` are cells that a writer of ours made ready before."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerow([*map(_cell, cells), *(guarded or ())])
    return out.getvalue().encode("utf-8", "backslashreplace")


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else repr(value)
    return str(value) if isinstance(value, int) else guard_text(str(value))
