"""Numbered changes of the book's tables, each run once, in order, and never edited after it was released.

A migration that has run is an entry of the book, with a digest of what it did; so the book itself tells its form.
"""

from __future__ import annotations

from narrate.serve.archive.migrations.m0001_entries import ENTRIES
from narrate.serve.archive.migrations.m0002_visits import VISITS
from narrate.serve.archive.migrations.migration import Migration

__all__ = ["MIGRATIONS", "Migration"]

MIGRATIONS: tuple[Migration, ...] = (ENTRIES, VISITS)
