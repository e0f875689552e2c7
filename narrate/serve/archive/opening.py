"""Open a book: made on first use, brought to the newest form, refused where it is none of ours."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from sqlalchemy import URL, Connection, insert, inspect, select

from narrate.core.findings import NarrateError
from narrate.serve.archive.chain import GENESIS
from narrate.serve.archive.engine import Book, append, connect, let_readers_in, utc_now
from narrate.serve.archive.migrations import MIGRATIONS, Migration
from narrate.serve.archive.tables import entries, head
from narrate.serve.archive.telling import telling


def open_book(address: str | URL, *, make: bool = True, migrations: tuple[Migration, ...] = MIGRATIONS) -> Book:
    """The book at an address (a path, or postgresql://...). With `make`, one that is not there is begun.

    Raises NarrateError where there is none, where it cannot be reached, is another program's database, or was written
    by a later version of this program.
    """
    book = connect(address)
    if book.file is not None:
        _check_file(book.file, book.place, make)
    with book.reading() as conn:
        form = form_of(conn, book.place)
    _refuse_later(form, migrations, book.place)
    if not make and form == 0:
        raise NarrateError("holds no book yet.", where=book.place, remedy=_BEGIN)
    if make and book.file is not None:
        let_readers_in(book)
    if form < len(migrations):
        _migrate(book, migrations)
    return book


_BEGIN = "Keep a first narrative with “narrate book add NOTES”."


def form_of(conn: Connection, place: str) -> int:
    """How many migrations a book has been through; 0 for an empty database. NarrateError for one that is not a book."""
    names = set(inspect(conn).get_table_names())
    if "entries" not in names:
        if names and conn.dialect.name == "sqlite":
            raise NarrateError("is another program's database.", where=place, remedy="Name another file.")
        return 0
    columns = {column["name"] for column in inspect(conn).get_columns("entries")}
    if not set(entries.c.keys()) <= columns:
        raise NarrateError(
            "has a table “entries” that is none of ours.", where=place, remedy="Use a database of its own."
        )
    return len(conn.execute(select(entries.c.seq).where(entries.c.about == "", entries.c.kind == "migration")).all())


def _refuse_later(form: int, migrations: tuple[Migration, ...], place: str) -> None:
    if form > len(migrations):
        raise NarrateError(
            f"was written by a later version (form {form}; this one knows {len(migrations)}).",
            where=place,
            remedy="Bring this program up to date.",
        )


def _check_file(path: Path, place: str, make: bool) -> None:
    """A file that may be opened; begun as one that only its owner reads, for it holds what customers said."""
    with telling(place):
        try:
            mode = path.stat().st_mode
        except FileNotFoundError:
            if not make:
                raise NarrateError("there is no book yet.", where=place, remedy=_BEGIN) from None
            _begin_file(path, place)
            return
        except OSError as error:
            raise NarrateError(
                f"cannot be opened: {(error.strerror or str(error)).lower()}.", where=place, remedy="Check the path."
            ) from None
        if stat.S_ISDIR(mode):
            raise NarrateError("is a folder, not a book.", where=place, remedy="Name a file in it.")


def _begin_file(path: Path, place: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as error:
        raise NarrateError(
            f"cannot be begun: {(error.strerror or str(error)).lower()}.",
            where=place,
            remedy="Name another place with --book.",
        ) from None


def _migrate(book: Book, migrations: tuple[Migration, ...]) -> None:
    from narrate.serve.archive.index import refill

    with book.writing() as conn:
        form = form_of(conn, book.place)  # another process may have been quicker
        _refuse_later(form, migrations, book.place)
        for migration in migrations[form:]:
            for statement in migration.statements(book.dialect):
                conn.exec_driver_sql(statement)
            if migration.number == 1:
                conn.execute(insert(head).values(id=1, seq=0, hash=GENESIS))
            held = {"number": migration.number, "name": migration.name, "digest": migration.digest}
            append(conn, "migration", "", held, utc_now())
            if migration.refill:
                refill(conn)
