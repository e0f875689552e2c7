"""Tables to CSV and Parquet, streamed: no more than a few thousand rows are held at a time."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from datetime import date
from typing import Any, Protocol

from narrate.render.formats.as_csv import guard_text
from narrate.render.formats.page import clean_text
from narrate.render.formats.seal import CSV_HEAD
from narrate.serve.audit.items import need
from narrate.serve.audit.tables import Column, Kind, Row, Value

_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_ROWS = 20_000  # of a row group
PARQUET_HEAD = b"narrate_form"


class Target(Protocol):
    """Whatever takes bytes: a file that gets its name when it is whole."""

    def write(self, data: bytes) -> None: ...


class CsvTable:
    """A CSV table that is written row by row."""

    def __init__(self, target: Target, columns: tuple[Column, ...]) -> None:
        self.target, self.columns = target, columns
        target.write(_BYTE_ORDER_MARK)
        self._write([(CSV_HEAD, *(column.name for column in columns))])

    def add(self, rows: Iterable[Row]) -> None:
        self._write([("1", *map(_csv_cell, row)) for row in rows])

    def close(self) -> None:
        """Nothing is held back."""

    def _write(self, rows: list[tuple[str, ...]]) -> None:
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerows(rows)
        self.target.write(out.getvalue().encode("utf-8", "backslashreplace"))


def _csv_cell(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    # Most texts begin with a letter and hold nothing odd: those need no cleaning.
    return value if value[:1].isalnum() and value.isprintable() else guard_text(value)


class ParquetTable:
    """A Parquet table that is written a row group at a time."""

    def __init__(self, target: Target, columns: tuple[Column, ...]) -> None:
        self._arrow = need("pyarrow", "Parquet")
        parquet = need("pyarrow.parquet", "Parquet")
        self._schema = self._arrow.schema(
            [(column.name, _arrow_type(self._arrow, column.kind)) for column in columns], metadata={PARQUET_HEAD: b"1"}
        )
        self._held: list[Row] = []
        self._writer = parquet.ParquetWriter(_Handle(target), self._schema, compression="zstd")

    def add(self, rows: Iterable[Row]) -> None:
        self._held += rows
        if len(self._held) >= _ROWS:
            self._flush()

    def close(self) -> None:
        self._flush()
        self._writer.close()

    def _flush(self) -> None:
        if not self._held:
            return
        arrays = [
            self._arrow.array([_clean(value) for value in column], type=field.type)
            for column, field in zip(zip(*self._held, strict=True), self._schema, strict=True)
        ]
        self._writer.write_batch(self._arrow.record_batch(arrays, schema=self._schema))
        self._held = []


def _clean(value: Value) -> Value:
    return clean_text(value) if isinstance(value, str) and not value.isprintable() else value


def _arrow_type(arrow: Any, kind: Kind) -> Any:
    return {
        "text": arrow.string(), "whole": arrow.int64(), "share": arrow.float64(), "points": arrow.float64(),
        "truth": arrow.bool_(), "day": arrow.date32(),
    }[kind]  # fmt: skip


class _Handle:
    """A target as the kind of file that Parquet is written to."""

    closed = False

    def __init__(self, target: Target) -> None:
        self._target, self._at = target, 0

    def write(self, data: Any) -> int:
        held = bytes(data)
        self._target.write(held)
        self._at += len(held)
        return len(held)

    def tell(self) -> int:
        return self._at

    def writable(self) -> bool:
        return True

    def readable(self) -> bool:
        return False

    def seekable(self) -> bool:
        return False

    def flush(self) -> None:
        """The target is brought to the disk when it is whole."""

    def close(self) -> None:
        self.closed = True


def is_our_parquet(data: bytes) -> bool:
    """Whether some bytes are a Parquet file that we wrote."""
    parquet, arrow = need("pyarrow.parquet", "Parquet"), need("pyarrow", "Parquet")
    try:
        held = parquet.read_schema(arrow.BufferReader(data)).metadata or {}
    except (OSError, ValueError):
        return False
    return PARQUET_HEAD in held
