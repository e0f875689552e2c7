"""The index of visits: where each narrative stands now. It repeats what the entries hold, and can be made anew."""

from __future__ import annotations

import re
from typing import Any

from sqlalchemy import Connection, delete, insert, select

from narrate.serve.archive.chain import canonical
from narrate.serve.archive.tables import entries, visits

_NOT_WORD = re.compile(r"[\W_]+")


def key_of(said: str | None) -> str:
    """A VIN, plate or unit number as it is searched by: letters and digits alone, capital; "" where none was said."""
    return _NOT_WORD.sub("", said or "").upper()


def customer_key(name: str | None) -> str:
    """A customer's name as it is searched by: capitals and spaces do not tell two apart."""
    return " ".join((name or "").split()).casefold()


def row_of(
    narrative: dict[str, Any], narrative_entry: int, revision: dict[str, Any], revision_entry: int
) -> dict[str, Any]:
    """The index row of one narrative, from its own entry and that of its newest revision."""
    vehicle = revision["visit"]["vehicle"]
    return {
        "narrative": narrative["number"],
        "entry": narrative_entry,
        "revision": revision["number"],
        "revision_entry": revision_entry,
        "sha256": narrative["passage"]["sha256"],
        "customer": customer_key(narrative["customer"]),
        "vin": key_of(vehicle["vin"]),
        "plate": key_of(vehicle["plate"]),
        "unit_number": key_of(vehicle["unit_number"]),
        "summary": canonical(revision["visit"]),
    }


def put_visit(conn: Connection, row: dict[str, Any]) -> None:
    """The row in place of the narrative's row before it, if there was one."""
    conn.execute(delete(visits).where(visits.c.narrative == row["narrative"]))
    conn.execute(insert(visits).values(**row))


def refill(conn: Connection) -> None:
    """Make the whole index anew from the entries."""
    import json

    conn.execute(delete(visits))
    numbers = (
        conn.execute(
            select(entries.c.about)
            .where(entries.c.kind == "narrative", entries.c.content.is_not(None))
            .order_by(entries.c.seq)
        )
        .scalars()
        .all()
    )
    for about in numbers:
        of_it = select(entries.c.seq, entries.c.content).where(entries.c.about == about)
        first = conn.execute(of_it.where(entries.c.kind == "narrative")).one()
        newest = conn.execute(of_it.where(entries.c.kind == "revision").order_by(entries.c.seq.desc()).limit(1)).one()
        put_visit(conn, row_of(json.loads(first.content), first.seq, json.loads(newest.content), newest.seq))
