"""Is the book as it was kept? Every entry is hashed anew, and everything else that the book says is held against them.

A byte changed in any column of any row is found, and named by entry and column. An entry taken out, put in or moved
breaks the chain at its place. The chain alone cannot tell that its end was cut off together with `head`; a receipt
noted elsewhere ("12:3fa9c2d1e4b57a06") can, and `expect` takes such receipts.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, select, text
from sqlalchemy.exc import DBAPIError

from narrate.serve.archive.chain import GENESIS, Entry, hash_content, hash_entry
from narrate.serve.archive.engine import Book
from narrate.serve.archive.fetch import stream_entries
from narrate.serve.archive.index import row_of
from narrate.serve.archive.keep import hash_narrative
from narrate.serve.archive.migrations import MIGRATIONS
from narrate.serve.archive.tables import head, visits


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that is not as it was kept: where it stands, and what is wrong with it."""

    where: str
    what: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """How many entries were looked at, how many of them were forgotten on request, and what is wrong."""

    entries: int
    forgotten: int
    receipt: str
    problems: tuple[Problem, ...]


def verify_book(book: Book, expect: Sequence[str] = ()) -> Verdict:
    """Hash everything anew, and collect all that does not fit; damage that stops the reading is a problem too."""
    walk = _Walk(dict(_receipts(expect)))
    try:
        with book.engine.connect() as conn, conn.begin():
            walk.problems += _structure(conn, book)
            for entry in stream_entries(conn):
                walk.take(entry)
            walk.finish()
            walk.check_head(conn)
            walk.check_visits(conn)
    except (DBAPIError, sqlite3.DatabaseError) as error:
        reason = str(getattr(error, "orig", error)).strip().rstrip(".")
        after = f"after entry {walk.last.seq}" if walk.last else "before its first entry"
        walk.problems.append(Problem("the file", f"cannot be read {after}: {reason}."))
    except (UnicodeDecodeError, ValueError) as error:
        after = f"after entry {walk.last.seq}" if walk.last else "before its first entry"
        walk.problems.append(Problem("the file", f"holds something unreadable {after} ({type(error).__name__})."))
    receipt = walk.last.receipt if walk.last else "0:" + GENESIS[:16]
    return Verdict(walk.count, walk.gone, receipt, tuple(dict.fromkeys(walk.problems)))


def _receipts(expect: Sequence[str]) -> Iterator[tuple[int, str]]:
    from narrate.core.findings import NarrateError

    for one in expect:
        seq, _, mark = one.strip().partition(":")
        if not seq.isdecimal() or len(mark) < 8:
            raise NarrateError(f"“{one}” is no receipt.", where="--expect", remedy="It reads like 12:3fa9c2d1e4b57a06.")
        yield int(seq), mark.lower()


def say_entry(entry: Entry) -> str:
    """An entry for people: "entry 12 (revision of narrative 5, kept 2026-03-16T14:02:11Z)"."""
    about = f" of narrative {entry.about}" if entry.about and entry.kind != "narrative" else f" {entry.about}".rstrip()
    return f"entry {entry.seq} ({entry.kind}{about}, kept {entry.made_at})"


@dataclass(frozen=True, slots=True)
class _First:
    """A narrative's own entry, without its words: where it stands, what it holds, and how long the narrative is."""

    seq: int
    held: dict[str, Any]
    length: int


def _hash(words: str) -> str:
    return hashlib.sha256(words.encode("utf-8", "surrogatepass")).hexdigest()


@dataclass
class _Walk:
    """What is known on the way along the chain."""

    expect: dict[int, str]
    problems: list[Problem] = field(default_factory=list)
    count: int = 0
    gone: int = 0
    last: Entry | None = None
    broken: bool = False
    empty: set[int] = field(default_factory=set)  # entries with no content
    released: set[int] = field(default_factory=set)  # entries that were forgotten on request
    narratives: dict[int, _First] = field(default_factory=dict)
    rows: dict[int, dict[str, Any]] = field(default_factory=dict)  # number -> the index row, its summary as a hash
    forms: int = 0

    def say(self, entry: Entry, what: str) -> None:
        self.problems.append(Problem(say_entry(entry), what))

    def take(self, entry: Entry) -> None:
        """One entry: its place in the chain, its own hash, its content, and what that says."""
        self.count += 1
        previous, number = (self.last.hash, self.last.seq + 1) if self.last else (GENESIS, 1)
        if entry.seq != number:
            gap = f"entry {number}" if entry.seq == number + 1 else f"entries {number} to {entry.seq - 1}"
            self.problems.append(Problem(gap, "taken out of the book."))
        elif entry.previous != previous:
            self.say(entry, "its column “previous” is not the hash of the entry before it.")
        own = hash_entry(entry.seq, entry.kind, entry.about, entry.made_at, entry.content_hash, entry.previous)
        if own != entry.hash:
            self.say(entry, "a column of seq, kind, about, made_at, content_hash, previous and hash was changed.")
        expected = self.expect.pop(entry.seq, None)
        if expected is not None and not entry.hash.startswith(expected):
            self.say(entry, "is not the entry that the receipt names.")
        self.last = entry
        if entry.content is None:
            if entry.salt is not None:
                self.say(entry, "its content is gone, and its salt is not.")
            self.empty.add(entry.seq)
            self.gone += 1
        elif entry.salt is None or hash_content(entry.salt, entry.content) != entry.content_hash:
            self.say(entry, "its column “content” or “salt” was changed.")
        else:
            self._hear(entry, json.loads(entry.content))

    def _hear(self, entry: Entry, held: dict[str, Any]) -> None:
        if entry.kind == "forgotten":
            self.released |= set(held["entries"])
            for number in held["narratives"]:
                self.rows.pop(number, None)
        elif entry.kind == "narrative":
            passage = held.pop("passage")
            if hash_narrative(passage["narrative"]) != held["narrative_sha256"]:
                self.say(entry, "the narrative is not the one that its hash is of.")
            held["passage"] = {"sha256": passage["sha256"]}
            self.narratives[held["number"]] = _First(entry.seq, held, len(passage["narrative"]))
        elif entry.kind == "revision" and held["narrative"] in self.narratives:
            first = self.narratives[held["narrative"]]
            if hash_narrative(held["sheet"]["narrative"][: first.length]) != first.held["narrative_sha256"]:
                self.say(entry, "its sheet is not of the narrative as it was given.")
            row = row_of(first.held, first.seq, held, entry.seq)
            self.rows[held["narrative"]] = {**row, "summary": _hash(row["summary"])}
        elif entry.kind == "migration":
            self._migration(entry, held)

    def _migration(self, entry: Entry, held: dict[str, Any]) -> None:
        self.forms += 1
        known = MIGRATIONS[held["number"] - 1] if 0 < held["number"] <= len(MIGRATIONS) else None
        if known is None or held["number"] != self.forms:
            self.say(entry, "is a change of form that this version does not know.")
        elif held["digest"] != known.digest:
            self.say(entry, "was another change of form than the one of this version.")

    def finish(self) -> None:
        for seq in sorted(self.empty - self.released):
            what = "its content is gone, and no request to forget it is on record."
            self.problems.append(Problem(f"entry {seq}", what))
        for seq in sorted(self.released - self.empty):
            self.problems.append(Problem(f"entry {seq}", "was to be forgotten, and still has content."))
        for seq in self.expect:
            self.problems.append(Problem(f"entry {seq}", "a receipt names it, and the book does not hold it."))

    def check_head(self, conn: Connection) -> None:
        rows = conn.execute(select(head)).all()
        here = (self.last.seq, self.last.hash) if self.last else (0, GENESIS)
        if len(rows) != 1 or rows[0].id != 1 or (rows[0].seq, rows[0].hash) != here:
            named = f"entry {rows[0].seq}" if rows else "none"
            self.problems.append(Problem("table head", f"names {named} as the last; the last is entry {here[0]}."))

    def check_visits(self, conn: Connection) -> None:
        for row in conn.execute(select(visits).order_by(visits.c.narrative)).mappings().yield_per(200):
            where = f"table visits, narrative {row['narrative']}"
            ought = self.rows.pop(row["narrative"], None)
            if ought is None:
                self.problems.append(Problem(where, "stands for a narrative that the entries do not hold."))
                continue
            is_now = {**row, "summary": _hash(row["summary"])}
            wrong = [name for name, value in ought.items() if is_now[name] != value]
            if wrong:
                columns = "column " + wrong[0] if len(wrong) == 1 else "columns " + ", ".join(wrong)
                self.problems.append(Problem(where, f"{columns} changed: not what the entries say."))
        for number in sorted(self.rows):
            self.problems.append(Problem(f"table visits, narrative {number}", "the row is missing."))


def _structure(conn: Connection, book: Book) -> list[Problem]:
    """Whether tables, indexes and triggers are what the migrations made, and whether SQLite finds its pages sound."""
    if book.dialect != "sqlite":
        found = set(conn.execute(text("SELECT tgname FROM pg_trigger WHERE tgrelid = 'entries'::regclass")).scalars())
        return [
            Problem(f"trigger {name}", "is missing.") for name in ("entries_stay", "entries_last") if name not in found
        ]
    problems = [
        Problem("the file", f"{row[0]}.")
        for row in conn.exec_driver_sql("PRAGMA integrity_check(20)")
        if row[0] != "ok"
    ]
    here = {str(name): str(sql) for name, sql in conn.exec_driver_sql(_MADE)}
    ought = _made_anew()
    for name in sorted(here.keys() | ought.keys()):
        if here.get(name) != ought.get(name):
            problems.append(Problem(f"{name}", "is not what the program made."))
    return problems


_MADE = "SELECT type || ' ' || name, sql FROM sqlite_master WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%'"


def _made_anew() -> dict[str, str]:
    with sqlite3.connect(":memory:") as raw:
        for migration in MIGRATIONS:
            for statement in migration.sqlite:
                raw.execute(statement)
        return dict(raw.execute(_MADE).fetchall())
