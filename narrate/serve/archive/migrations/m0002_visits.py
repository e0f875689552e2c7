"""The index of visits: where each narrative stands now, and what a vehicle's history needs of it."""

from __future__ import annotations

from narrate.serve.archive.migrations.migration import Migration

_COLUMNS = """(
  narrative {number} PRIMARY KEY,
  entry {number} NOT NULL,
  revision INTEGER NOT NULL,
  revision_entry {number} NOT NULL,
  sha256 TEXT NOT NULL,
  customer TEXT NOT NULL,
  vin TEXT NOT NULL,
  plate TEXT NOT NULL,
  unit_number TEXT NOT NULL,
  summary TEXT NOT NULL
)"""
_INDEXES = tuple(
    f"CREATE INDEX visits_{name} ON visits ({name})" for name in ("sha256", "customer", "vin", "plate", "unit_number")
)

VISITS = Migration(
    number=2,
    name="visits",
    sqlite=(f"CREATE TABLE visits {_COLUMNS.format(number='INTEGER')}", *_INDEXES),
    postgresql=(f"CREATE TABLE visits {_COLUMNS.format(number='BIGINT')}", *_INDEXES),
    refill=True,
)
