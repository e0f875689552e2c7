"""The book's tables as queries see them. Their making and changing stands in the numbered migrations alone.

`entries` is the book; `head` repeats its last entry, so that an entry taken off the end is missed; `visits` is an index
of where each narrative stands now, every field of which also stands in the entries.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, Column, Integer, MetaData, Table, Text

_metadata = MetaData()

entries = Table(
    "entries",
    _metadata,
    Column("seq", BigInteger, primary_key=True),
    Column("kind", Text, nullable=False),
    Column("about", Text, nullable=False),
    Column("made_at", Text, nullable=False),
    Column("salt", Text),
    Column("content", Text),
    Column("content_hash", Text, nullable=False),
    Column("previous", Text, nullable=False),
    Column("hash", Text, nullable=False),
)

head = Table(
    "head",
    _metadata,
    Column("id", Integer, primary_key=True),
    Column("seq", BigInteger, nullable=False),
    Column("hash", Text, nullable=False),
)

# One row a narrative that is not forgotten. `vin`, `plate`, `unit_number` and `customer` are keys to search by, ""
# where not said; `summary` is what a vehicle's history needs of the newest revision.
visits = Table(
    "visits",
    _metadata,
    Column("narrative", BigInteger, primary_key=True),
    Column("entry", BigInteger, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("revision_entry", BigInteger, nullable=False),
    Column("sha256", Text, nullable=False),
    Column("customer", Text, nullable=False),
    Column("vin", Text, nullable=False),
    Column("plate", Text, nullable=False),
    Column("unit_number", Text, nullable=False),
    Column("summary", Text, nullable=False),
)
