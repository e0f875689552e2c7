"""A book that is open: one SQLite file, or the same tables on a PostgreSQL server.

Readers see one moment of the book; writers take turns. In SQLite a writer begins with BEGIN IMMEDIATE and waits; on
PostgreSQL all writers of a book take one advisory lock. What a writer has committed is on the disk.
"""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, insert, select, text, update
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, NoSuchModuleError
from sqlalchemy.pool import NullPool

from narrate.core.findings import NarrateError
from narrate.serve.archive.chain import Entry, Kind, seal_entry
from narrate.serve.archive.tables import entries, head
from narrate.serve.archive.telling import BUSY_S, telling

_LOCK = 1851880050  # the advisory lock that writers on a PostgreSQL server take
_WRITES = "narrate_writes"


def utc_now() -> str:
    """This moment as the book writes it."""
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


class Book:
    """An open book. `place` is its address for people, without password."""

    def __init__(self, engine: Engine, place: str) -> None:
        self.engine, self.place = engine, place

    @property
    def dialect(self) -> str:
        return self.engine.dialect.name

    @property
    def file(self) -> Path | None:
        """The file of an embedded book."""
        return Path(self.engine.url.database or "") if self.dialect == "sqlite" else None

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One moment of the book, whatever others write meanwhile."""
        options: dict[str, Any] = {} if self.dialect == "sqlite" else {"isolation_level": "REPEATABLE READ"}
        with telling(self.place), self.engine.connect() as conn:
            conn = conn.execution_options(stream_results=self.dialect != "sqlite", **options)
            with conn.begin():
                yield conn

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """The book to this writer alone; committed to disk at the end, or not at all."""
        with telling(self.place), self.engine.connect() as conn:
            conn = conn.execution_options(**{_WRITES: True})
            with conn.begin():
                if self.dialect != "sqlite":
                    conn.execute(text(f"SET LOCAL lock_timeout = '{BUSY_S}s'"))
                    conn.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": _LOCK})
                yield conn

    def close(self) -> None:
        self.engine.dispose()


def append(conn: Connection, kind: Kind, about: str, held: object, made_at: str) -> Entry:
    """A new entry at the end of the chain; the writer holds the book."""
    last = conn.execute(select(head.c.seq, head.c.hash)).one()
    entry = seal_entry(last.seq + 1, last.hash, kind, about, made_at, held)
    conn.execute(
        insert(entries).values(
            seq=entry.seq,
            kind=kind,
            about=about,
            made_at=made_at,
            salt=entry.salt,
            content=entry.content,
            content_hash=entry.content_hash,
            previous=entry.previous,
            hash=entry.hash,
        )
    )
    conn.execute(update(head).values(seq=entry.seq, hash=entry.hash))
    return entry


def connect(address: str | URL) -> Book:
    """The book at an address, not looked into yet. NarrateError where the address is none that we can use."""
    url = _url_of(address)
    place = str(url.database) if url.get_backend_name() == "sqlite" else _without_password(url)
    try:
        if url.get_backend_name() == "sqlite":
            engine = create_engine(
                url, poolclass=NullPool, connect_args={"timeout": BUSY_S, "check_same_thread": False}
            )
            _prepare_sqlite(engine)
        else:
            engine = create_engine(url, poolclass=NullPool, connect_args={"connect_timeout": 10})
    except (NoSuchModuleError, ArgumentError, ModuleNotFoundError) as error:
        if isinstance(error, ModuleNotFoundError):
            raise NarrateError("PostgreSQL needs an extra.", where=place, remedy="Install narrate[postgres].") from None
        raise NarrateError("is no address of a book.", where=place, remedy=_ADDRESSES) from None
    return Book(engine, place)


_ADDRESSES = "Give a file, or postgresql://USER@HOST/DATABASE."


def _without_password(url: URL) -> str:
    return url.set(drivername="postgresql").render_as_string(hide_password=True)


def _url_of(address: str | URL) -> URL:
    if isinstance(address, URL):
        return address
    if "://" not in address:
        return URL.create("sqlite", database=str(Path(address).absolute()))
    try:
        url = make_url(address)
    except (ArgumentError, ValueError):
        raise NarrateError("is no address of a book.", where=address.split("@")[-1], remedy=_ADDRESSES) from None
    if url.drivername in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() not in ("sqlite", "postgresql"):
        kind = url.get_backend_name()
        raise NarrateError(f"a book is not kept on {kind}.", where="the book's address", remedy=_ADDRESSES)
    if url.get_backend_name() == "sqlite":
        if not url.database or url.database == ":memory:":
            raise NarrateError("names no file.", where=address, remedy=_ADDRESSES)
        return url.set(database=str(Path(url.database).absolute()))
    return url


def _prepare_sqlite(engine: Engine) -> None:
    """Our own transactions for the driver's, waiting for failing, and nothing left of what is forgotten."""

    @event.listens_for(engine, "connect")
    def _connect(raw: sqlite3.Connection, _: object) -> None:
        raw.isolation_level = None
        for pragma in (f"busy_timeout = {BUSY_S * 1000}", "synchronous = FULL", "secure_delete = ON"):
            raw.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begin(conn: Connection) -> None:
        conn.exec_driver_sql("BEGIN IMMEDIATE" if conn.get_execution_options().get(_WRITES) else "BEGIN")


def let_readers_in(book: Book) -> None:
    """Write ahead, so that readers and one writer do not wait for each other; where the file system allows it."""
    until = time.monotonic() + BUSY_S
    with telling(book.place):
        while True:
            raw = book.engine.raw_connection()
            try:
                mode = raw.cursor().execute("PRAGMA journal_mode").fetchone()[0]
                if mode != "wal":
                    raw.cursor().execute("PRAGMA journal_mode = WAL").fetchone()
                return
            except sqlite3.OperationalError as error:  # SQLite does not wait here, so we do
                if "locked" not in str(error) or time.monotonic() > until:
                    raise NarrateError(f"cannot be used: {error}.", where=book.place) from error
                time.sleep(0.02)
            except sqlite3.DatabaseError as error:
                raise NarrateError(
                    "is not a book, or it is damaged.",
                    where=book.place,
                    remedy="Name another file, or put a backup in its place.",
                ) from error
            finally:
                raw.close()
