"""Find narratives in the book, and take out what it holds of them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection, func, or_, select

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Passage
from narrate.core.records import Addendum, Sheet
from narrate.serve.archive.chain import Entry
from narrate.serve.archive.changes import Change
from narrate.serve.archive.engine import Book
from narrate.serve.archive.index import customer_key, key_of
from narrate.serve.archive.passages import passage_from_held
from narrate.serve.archive.tables import entries, visits

_CHUNK = 200  # rows held at once while a whole book goes by


@dataclass(frozen=True, slots=True)
class Held:
    """A narrative as the book holds it: how it was given, and its newest sheet with all that was added since."""

    narrative: int
    passage: Passage
    dictated_on: date | None
    trade: str | None
    customer: str
    revision: int
    sheet: Sheet

    @property
    def addenda(self) -> tuple[Addendum, ...]:
        return self.sheet.addenda


@dataclass(frozen=True, slots=True)
class Revision:
    """One sheet of a narrative, when it was kept, and what changed from the one before."""

    number: int
    made_at: str
    receipt: str
    changes: tuple[Change, ...]
    sheet: Sheet


@dataclass(frozen=True, slots=True)
class Listed:
    """One line of the list of what the book holds; `summary` as visit.py makes it."""

    narrative: int
    revision: int
    name: str | None
    summary: dict[str, Any]


def find_narrative(book: Book, sha256: str) -> int | None:
    """The number of the narrative whose file has this hash; the newest where it was kept more than once."""
    with book.reading() as conn:
        return conn.execute(
            select(visits.c.narrative).where(visits.c.sha256 == sha256).order_by(visits.c.narrative.desc()).limit(1)
        ).scalar()


def fetch_narrative(book: Book, number: int) -> Held:
    """A narrative with its newest sheet. NarrateError where the book holds none of that number, or has forgotten it."""
    with book.reading() as conn:
        row = conn.execute(select(visits).where(visits.c.narrative == number)).first()
        if row is None:
            raise _none(conn, book, number)
        first, last = _content(conn, row.entry), _content(conn, row.revision_entry)
    return Held(
        narrative=number,
        passage=passage_from_held(first["passage"]),
        dictated_on=date.fromisoformat(first["dictated_on"]) if first["dictated_on"] else None,
        trade=first["trade"],
        customer=first["customer"],
        revision=row.revision,
        sheet=Sheet.model_validate(last["sheet"]),
    )


def fetch_revision(book: Book, number: int, revision: int | None = None) -> Revision:
    """One revision of a narrative; the newest where none is named."""
    found = list(_revisions(book, number, revision))
    if not found:
        raise NarrateError(f"narrative {number} has no revision {revision}.", where=book.place,
                           remedy=f"See “narrate book show {number} --changes”.")  # fmt: skip
    return found[-1]


def fetch_revisions(book: Book, number: int) -> list[Revision]:
    """All revisions of a narrative, first to last."""
    return list(_revisions(book, number, None))


def _revisions(book: Book, number: int, only: int | None) -> Iterator[Revision]:
    with book.reading() as conn:
        rows = conn.execute(
            select(entries).where(entries.c.about == str(number), entries.c.kind == "revision").order_by(entries.c.seq)
        ).all()
        if not rows or rows[0].content is None:
            raise _none(conn, book, number)
    for row in rows:
        held = json.loads(row.content)
        if only is None or held["number"] == only:
            changes = tuple(Change.model_validate(one) for one in held["changes"])
            receipt = f"{row.seq}:{row.hash[:16]}"
            yield Revision(held["number"], row.made_at, receipt, changes, Sheet.model_validate(held["sheet"]))


def list_narratives(book: Book, vehicle: str | None = None, customer: str | None = None) -> Iterator[Listed]:
    """What the book holds, in the order it was kept: all of it, or that of one vehicle or customer."""
    query = select(visits.c.narrative, visits.c.revision, visits.c.summary, entries.c.content).join(
        entries, entries.c.seq == visits.c.entry
    )
    if vehicle is not None:
        query = query.where(is_vehicle(vehicle))
    if customer is not None:
        query = query.where(visits.c.customer == customer_key(customer))
    with book.reading() as conn:
        for row in conn.execute(query.order_by(visits.c.narrative)).yield_per(_CHUNK):
            name = json.loads(row.content)["passage"]["name"]
            yield Listed(row.narrative, row.revision, name, json.loads(row.summary))


def is_vehicle(said: str) -> Any:
    """The condition that a visit is of the vehicle of this VIN, plate or unit number."""
    key = key_of(said)
    if not key:
        raise NarrateError(f"“{said}” is no VIN, plate or unit number.", remedy="Give its letters and digits.")
    return or_(visits.c.vin == key, visits.c.plate == key, visits.c.unit_number == key)


def stream_entries(conn: Connection) -> Iterator[Entry]:
    """Every entry in order, a few at a time."""
    for row in conn.execute(select(entries).order_by(entries.c.seq)).yield_per(_CHUNK):
        yield Entry(row.seq, row.kind, row.about, row.made_at, row.salt, row.content, row.content_hash, row.previous,
                    row.hash)  # fmt: skip


def count_entries(conn: Connection) -> int:
    return conn.execute(select(func.count()).select_from(entries)).scalar_one()


def _none(conn: Connection, book: Book, number: int) -> NarrateError:
    gone = conn.execute(
        select(entries.c.seq).where(entries.c.about == str(number), entries.c.kind == "narrative")
    ).first()
    what = f"narrative {number} was forgotten on request." if gone else f"holds no narrative {number}."
    return NarrateError(what, where=book.place, remedy="See “narrate book list”.")


def _content(conn: Connection, seq: int) -> dict[str, Any]:
    content = conn.execute(select(entries.c.content).where(entries.c.seq == seq)).scalar_one()
    return json.loads(content)  # type: ignore[no-any-return]
