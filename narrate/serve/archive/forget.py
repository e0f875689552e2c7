"""Delete what the book holds of a customer or a vehicle, on request, and leave the chain provable.

Content and salt of their entries go; the hashes stay, and a new entry says which entries were forgotten, and nothing of
whose they were.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

from sqlalchemy import Connection, delete, or_, select, update
from sqlalchemy.exc import DBAPIError

from narrate.core.findings import NarrateError
from narrate.serve.archive.engine import Book, append, utc_now
from narrate.serve.archive.index import customer_key, key_of
from narrate.serve.archive.tables import entries, visits

_MANY = 500  # narratives named in one statement


@dataclass(frozen=True, slots=True)
class Forgotten:
    """What was forgotten, and whether the freed pages of the file were wiped too (else other readers held them)."""

    narratives: tuple[int, ...]
    entries: int
    receipt: str
    wiped: bool


def find_theirs(book: Book, whose: str) -> tuple[int, ...]:
    """The narratives of a customer (as named when they were kept) or of a vehicle (VIN, plate or unit number)."""
    with book.reading() as conn:
        return _theirs(conn, whose)


def _theirs(conn: Connection, whose: str) -> tuple[int, ...]:
    name, key = customer_key(whose), key_of(whose)
    marks = [visits.c.customer == name] if name else []
    if key:
        marks += [visits.c.vin == key, visits.c.plate == key, visits.c.unit_number == key]
    if not marks:
        raise NarrateError(
            "names nobody.", where=f"“{whose}”", remedy="Give a customer, a VIN, a plate or a unit number."
        )
    return tuple(conn.execute(select(visits.c.narrative).where(or_(*marks)).order_by(visits.c.narrative)).scalars())


def forget(book: Book, whose: str, made_at: str | None = None) -> Forgotten:
    """Forget all of theirs in one stroke. NarrateError where the book holds nothing of them."""
    with book.writing() as conn:
        numbers = _theirs(conn, whose)
        if not numbers:
            raise NarrateError(f"holds nothing of “{whose}”.", where=book.place, remedy="See “narrate book list”.")
        gone: list[int] = []
        for at in range(0, len(numbers), _MANY):
            some = numbers[at : at + _MANY]
            theirs = entries.c.about.in_([str(number) for number in some])
            gone += conn.execute(select(entries.c.seq).where(theirs)).scalars()
            conn.execute(update(entries).where(theirs).values(content=None, salt=None))
            conn.execute(delete(visits).where(visits.c.narrative.in_(some)))
        held = {"narratives": list(numbers), "entries": sorted(gone)}
        last = append(conn, "forgotten", "", held, made_at or utc_now())
    return Forgotten(numbers, len(gone), last.receipt, _wipe(book))


def _wipe(book: Book) -> bool:
    """Take the freed space out of the files as well; False where somebody else holds the book just now."""
    raw = book.engine.raw_connection()
    try:
        if book.dialect == "sqlite":
            with suppress(DBAPIError):
                cursor = raw.cursor()
                cursor.execute("VACUUM")
                return bool(cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0] == 0)
            return False
        raw.driver_connection.autocommit = True  # type: ignore[union-attr]
        raw.cursor().execute("VACUUM FULL entries")
        raw.cursor().execute("VACUUM FULL visits")
        return True
    except Exception:  # the forgetting itself is done and kept; that the wiping has to wait is said, not raised
        return False
    finally:
        raw.close()
