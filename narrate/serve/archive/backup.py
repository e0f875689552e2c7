"""Copies of a book that is in use: a backup file, or the same book on another database.

A backup is an embedded book with the same chain, wherever the original is kept. It is looked over before it gets its
name; whoever waits for the original to write is not held up.
"""

from __future__ import annotations

import os
import secrets
import sqlite3
from contextlib import suppress
from pathlib import Path

from sqlalchemy import insert, select

from narrate.core.findings import NarrateError
from narrate.serve.archive.engine import Book, connect
from narrate.serve.archive.migrations import MIGRATIONS
from narrate.serve.archive.opening import form_of
from narrate.serve.archive.tables import entries, head, visits
from narrate.serve.archive.telling import telling
from narrate.serve.archive.verify import Verdict, verify_book

_ROWS = 200
_PAGES = 2000  # copied at a time, so that writers get in between


def back_up(book: Book, target: Path, *, force: bool = False) -> Verdict:
    """Write the book to a new file, whole or not at all. NarrateError where it exists, or the copy is not sound."""
    target = target.absolute()
    if target.is_dir():
        raise NarrateError("is a folder, not a file.", where=str(target), remedy="Name a file in it.")
    if target.exists() and not force:
        raise NarrateError("already exists.", where=str(target), remedy="Name another file, or use --force.")
    if book.file is not None and target.resolve() == book.file.resolve():
        raise NarrateError("is the book itself.", where=str(target), remedy="Name another file.")
    passing = target.parent / f".narrate-{secrets.token_hex(8)}.part"
    try:
        os.close(os.open(passing, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600))
    except OSError as error:
        raise NarrateError(f"cannot be written: {(error.strerror or str(error)).lower()}.", where=str(target.parent),
                           remedy="Name another place.") from None  # fmt: skip
    try:
        copy = connect(str(passing))
        if book.dialect == "sqlite":
            _copy_pages(book, passing)
        else:
            copy_rows(book, copy)
        verdict = verify_book(copy)
        if verdict.problems:
            raise NarrateError(f"the copy is not sound: {verdict.problems[0]}", where=book.place,
                               remedy="Run “narrate book verify”.")  # fmt: skip
        copy.close()
        with passing.open("rb") as done:
            os.fsync(done.fileno())
        passing.replace(target)
        return verdict
    finally:
        for leftover in (passing, *(passing.with_name(passing.name + end) for end in ("-wal", "-shm", "-journal"))):
            with suppress(OSError):
                leftover.unlink()


def _copy_pages(book: Book, passing: Path) -> None:
    with telling(book.place):
        source = book.engine.raw_connection()
        target = sqlite3.connect(passing)
        try:
            source.driver_connection.backup(target, pages=_PAGES)  # type: ignore[union-attr]
            target.execute("PRAGMA journal_mode = DELETE")  # one file, with nothing beside it
        finally:
            target.close()
            source.close()


def copy_rows(book: Book, other: Book) -> None:
    """Every row as it stands into an empty database; the chain stays what it is. NarrateError where it is not empty."""
    with book.reading() as source, other.writing() as target:
        if form_of(target, other.place):
            raise NarrateError("holds a book already.", where=other.place, remedy="Name an empty database.")
        if form_of(source, book.place) != len(MIGRATIONS):
            raise NarrateError("has another form than this version's.", where=book.place, remedy="Open it once first.")
        for migration in MIGRATIONS:
            for statement in migration.statements(other.dialect):
                target.exec_driver_sql(statement)
        for table in (entries, visits):
            rows = source.execute(select(table).order_by(*table.primary_key)).mappings().yield_per(_ROWS)
            for some in rows.partitions():
                target.execute(insert(table), [dict(row) for row in some])
        last = source.execute(select(head)).mappings().one()
        target.execute(insert(head).values(**last))
