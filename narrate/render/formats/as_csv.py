"""Sheet → CSV tables, one a kind of line, or all of them in one table with the name of each in a column.

Numbers are written as numbers. A text that a spreadsheet would run as a formula gets an apostrophe before it; any
other text, part numbers above all, stands character for character.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator

from narrate.core.records import SCHEMA_VERSION, Evidence, Measure, Sheet
from narrate.render.formats.page import clean_text
from narrate.render.formats.seal import CSV_HEAD

Value = str | int | float | bool | None
Line = dict[str, Value]

_MEASURE = ("low", "high", "unit", "approximate", "bound", "as_said")
_WORDS = ("start", "end", "time_s", "words")
_FIRST = (CSV_HEAD, "notes")
# The columns of each table, after `_FIRST`; the union of them, in this order, is the combined table.
TABLES: dict[str, tuple[str, ...]] = {
    "notes": ("kind", "sha256", "trade", "dictated_on", "work_date", "word_count", "duration_s"),
    "unit": ("year", "make", "model", "vin", "vin_valid", "odometer", "odometer_unit", "engine_hours", "plate",
             "unit_number", *_WORDS),
    "jobs": ("job", "name", *_WORDS),
    "steps": ("job", "id", "name", "requirement", "state", "reason", *_WORDS),
    "parts": ("job", "id", "name", "quantity", "unit", "position", "condition", "number", "state", *_WORDS),
    "amounts": ("job", "id", "name", "direction", *_MEASURE, "state", *_WORDS),
    "readings": ("job", "what", "name", *_MEASURE, "state", "verdict", *_WORDS),
    "sizes": ("name", "size", *_MEASURE, *_WORDS),
    "actions": ("job", "verb", "name", "id", "position", "state", *_WORDS),
    "labour": ("job", *_MEASURE, "basis", *_WORDS),
    "findings": ("kind", "text", *_WORDS),
    "deferred": ("kind", "text", *_WORDS),
    "balances": ("name", "out_low", "out_high", "out_unit", "in_low", "in_high", "in_unit", "difference_low",
                 "difference_high", "difference_unit", "verdict", "reason", *_WORDS),
    "gaps": ("job", "id", "kind", "requirement", "text", "question", *_WORDS),
    "unknown": ("text", *_WORDS),
    "cautions": ("text", "source"),
}  # fmt: skip
_LAST = ("reason", "text", "question", "source", *_WORDS)
_UNION = tuple(dict.fromkeys(name for columns in TABLES.values() for name in columns if name not in _LAST)) + _LAST
_RUNS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")


def write_tables(sheet: Sheet) -> dict[str, bytes]:
    """Every table by name, each a CSV file with a byte order mark, by which spreadsheets know UTF-8.

    All tables are always there, an empty one with its head alone, so that the same program reads any sheet.
    """
    lines: dict[str, list[Line]] = {name: [] for name in TABLES}
    for table, line in _lines(sheet):
        lines[table].append(line)
    return {
        name: b"\xef\xbb\xbf" + (head((*_FIRST, *columns)) + _rows(lines[name], (*_FIRST, *columns))).encode()
        for name, columns in TABLES.items()
    }


def write_combined(sheets: Iterable[Sheet], *, headed: bool = True) -> Iterator[bytes]:
    """One table of every line of every sheet, in pieces: its head (unless `headed` is false), then a piece a sheet."""
    columns = (*_FIRST, "table", *_UNION)
    if headed:
        yield head(columns).encode()
    for sheet in sheets:
        yield _rows([{**line, "table": table} for table, line in _lines(sheet)], columns).encode()


def head(columns: tuple[str, ...]) -> str:
    """The first line of a table."""
    return ",".join(columns) + "\n"


def guard_text(text: str) -> str:
    """A text that no spreadsheet runs: one that begins like a formula gets an apostrophe before it."""
    cleaned = clean_text(text)
    return f"'{cleaned}" if cleaned.startswith(_RUNS) else cleaned


def _rows(lines: list[Line], columns: tuple[str, ...]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    for line in lines:
        writer.writerow([_cell(line.get(column)) for column in columns])
    return out.getvalue()


def _cell(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    return str(value) if isinstance(value, int) else guard_text(value)


def _measure(measure: Measure | None) -> Line:
    if measure is None:
        return {}
    return {
        "low": measure.low, "high": measure.high, "unit": measure.unit, "approximate": measure.approximate,
        "bound": measure.bound, "as_said": measure.text,
    }  # fmt: skip


def _words(evidence: tuple[Evidence, ...]) -> Line:
    """Where the first of the words stand, and all of them."""
    if not evidence:
        return {}
    first = evidence[0]
    words = " … ".join(one.quote for one in evidence)
    return {"start": first.start, "end": first.end, "time_s": first.time_s, "words": words}


def _side(name: str, measure: Measure | None) -> Line:
    if measure is None:
        return {}
    return {f"{name}_low": measure.low, f"{name}_high": measure.high, f"{name}_unit": measure.unit}


def _lines(sheet: Sheet) -> Iterator[tuple[str, Line]]:
    first: Line = {CSV_HEAD: SCHEMA_VERSION, "notes": sheet.source.name or sheet.source.sha256[:16]}
    for table, line in _all(sheet):
        yield table, {**first, **line}


def _all(sheet: Sheet) -> Iterator[tuple[str, Line]]:
    source, unit = sheet.source, sheet.vehicle
    yield "notes", {
        "kind": source.kind, "sha256": source.sha256, "trade": sheet.trade, "word_count": source.words,
        "duration_s": source.duration_s,
        "dictated_on": sheet.dictated_on.isoformat() if sheet.dictated_on else None,
        "work_date": sheet.work_date.isoformat() if sheet.work_date else None,
    }  # fmt: skip
    yield "unit", {
        "year": unit.year, "make": unit.make, "model": unit.model, "vin": unit.vin, "vin_valid": unit.vin_valid,
        "odometer": unit.odometer.low if unit.odometer else None,
        "odometer_unit": unit.odometer.unit if unit.odometer else None,
        "engine_hours": unit.engine_hours.low if unit.engine_hours else None,
        "plate": unit.plate, "unit_number": unit.unit_number, **_words(unit.evidence),
    }  # fmt: skip
    for job in sheet.jobs:
        yield "jobs", {"job": job.id, "name": job.title, **_words(job.evidence)}
        for step in job.steps:
            yield "steps", {
                "job": job.id, "id": step.id, "name": step.label, "requirement": step.requirement,
                "state": step.state, "reason": step.reason, **_words(step.evidence),
            }  # fmt: skip
    for part in sheet.parts:
        yield "parts", {
            "job": part.job, "id": part.id, "name": part.name, "quantity": part.quantity, "unit": part.unit,
            "position": part.position, "condition": part.condition, "number": part.number, "state": part.state,
            **_words(part.evidence),
        }  # fmt: skip
    for amount in sheet.amounts:
        yield "amounts", {
            "job": amount.job, "id": amount.id, "name": amount.substance, "direction": amount.direction,
            **_measure(amount.measure), "state": amount.state, **_words(amount.evidence),
        }  # fmt: skip
    for reading in sheet.readings:
        yield "readings", {
            "job": reading.job, "what": reading.what, "name": reading.subject, **_measure(reading.measure),
            "state": reading.state, "verdict": reading.verdict, **_words(reading.evidence),
        }  # fmt: skip
    for size in sheet.sizes:
        yield "sizes", {"name": size.subject, "size": size.text, **_measure(size.measure), **_words(size.evidence)}
    for action in sheet.actions:
        yield "actions", {
            "job": action.job, "verb": action.verb, "name": action.component, "id": action.id,
            "position": action.position, "state": action.state, **_words(action.evidence),
        }  # fmt: skip
    for labour in sheet.labour:
        yield "labour", {
            "job": labour.job, **_measure(labour.measure), "basis": labour.basis, **_words(labour.evidence),
        }  # fmt: skip
    for finding in sheet.findings:
        yield "findings", {"kind": finding.kind, "text": finding.text, **_words(finding.evidence)}
    for deferred in sheet.deferred:
        yield "deferred", {"kind": deferred.kind, "text": deferred.text, **_words(deferred.evidence)}
    for balance in sheet.balances:
        yield "balances", {
            "name": balance.substance, **_side("out", balance.out), **_side("in", balance.in_),
            **_side("difference", balance.difference), "verdict": balance.verdict, "reason": balance.reason,
            **_words(balance.evidence),
        }  # fmt: skip
    for gap in sheet.gaps:
        yield "gaps", {
            "job": gap.job, "id": gap.step, "kind": gap.kind, "requirement": gap.severity, "text": gap.message,
            "question": gap.question, **_words(gap.evidence),
        }  # fmt: skip
    for unknown in sheet.unknown:
        yield "unknown", {"text": unknown.text, **_words(unknown.evidence)}
    for caution in sheet.cautions:
        yield "cautions", {"text": caution.text, "source": caution.source}
