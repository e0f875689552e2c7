"""What a database says when it refuses -> one clear error, with the book's place and never its password."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from narrate.core.findings import NarrateError

BUSY_S = 30  # how long a writer waits for another before it gives up
_REFUSALS = (
    ("readonly database", "may not be written to.", "Ask for the right to write it and its folder."),
    ("database or disk is full", "the disk is full.", "Make room and run it again; nothing was half written."),
    ("unable to open database file", "cannot be opened.", "Check the path, and the rights on its folder."),
    ("is not a database", "is not a book, or it is damaged.", "Name another file, or put a backup in its place."),
    ("malformed", "is damaged.", "Put a backup in its place; “narrate book verify” tells what can be told."),
    ("disk I/O error", "the disk failed.", "Check the disk, and put a backup in its place if need be."),
    ("is locked", f"another program has been writing for more than {BUSY_S} s.", "Run it again in a moment."),
    ("lock timeout", f"another program has been writing for more than {BUSY_S} s.", "Run it again in a moment."),
    ("is never", "refuses to have an entry changed.", "Additions are kept as new revisions."),
)


@contextmanager
def telling(place: str) -> Iterator[None]:
    """Turn what the database driver raises into a NarrateError."""
    try:
        yield
    except DBAPIError as error:
        said = str(error.orig)
        for words, what, remedy in _REFUSALS:
            if words in said:
                raise NarrateError(what, where=place, remedy=remedy) from error
        first = next((line for line in said.splitlines() if line.strip()), "no reason given").strip().rstrip(".")
        raise NarrateError(
            f"the database refuses: {first}.", where=place, remedy="Check its address and rights."
        ) from error
    except (sqlite3.DatabaseError, UnicodeDecodeError) as error:  # the driver itself stumbled over what it read
        what, remedy = next((what, remedy) for words, what, remedy in _REFUSALS if words == "malformed")
        raise NarrateError(what, where=place, remedy=remedy) from error
    except SQLAlchemyError as error:
        raise NarrateError(f"cannot be used: {str(error).splitlines()[0]}.", where=place) from error
