"""Put narratives, their sheets and later revisions into the book. What a function here returned is kept."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Passage
from narrate.core.records import Addendum, Sheet
from narrate.serve.archive.changes import tell_changes
from narrate.serve.archive.engine import Book, append, utc_now
from narrate.serve.archive.index import put_visit, row_of
from narrate.serve.archive.passages import passage_to_held
from narrate.serve.archive.tables import entries, visits
from narrate.serve.archive.visit import sum_up_visit


@dataclass(frozen=True, slots=True)
class Kept:
    """What was kept: the narrative's number, its newest revision, and the receipt of the entry that holds that.

    `new` is false where the book held it already, and nothing was written.
    """

    narrative: int
    revision: int
    receipt: str
    new: bool


@dataclass(frozen=True, slots=True)
class Told:
    """How a narrative was compiled, so that it can be again: `trade` None where it was told from the words."""

    dictated_on: date | None = None
    trade: str | None = None
    customer: str = ""


class Overtaken(Exception):
    """Another revision was kept since the one that this was made from: take that one in, and try again."""


def keep_narrative(
    book: Book, passage: Passage, sheet: Sheet, told: Told, made_at: str | None = None, *, again: bool = False,
    folders: tuple[Path, ...] = (),
) -> Kept:  # fmt: skip
    """A narrative with its first sheet. What was given before, byte for byte, is kept once, unless `again` says that it
    was told of another visit. `folders` hold the shop's own words that the sheet was made with."""
    at = made_at or utc_now()
    visit = sum_up_visit(sheet, at[:10], folders)  # before the book is ours: it may have to load a lexicon
    with book.writing() as conn:
        same = select(visits).where(visits.c.sha256 == passage.sha256).order_by(visits.c.narrative.desc())
        here = conn.execute(same.limit(1)).first()
        if here is not None and not again:
            receipt = _receipt(conn, here.revision_entry)
            return Kept(here.narrative, here.revision, receipt, new=False)
        number = _next_number(conn)
        held = {
            "number": number,
            "passage": passage_to_held(passage),
            "narrative_sha256": hash_narrative(passage.narrative),
            "customer": told.customer,
            "dictated_on": told.dictated_on.isoformat() if told.dictated_on else None,
            "trade": told.trade,
        }
        first = append(conn, "narrative", str(number), held, at)
        revision = {
            "narrative": number, "number": 1, "changes": [], "sheet": sheet.model_dump(mode="json", by_alias=True),
            "visit": visit,
        }  # fmt: skip
        last = append(conn, "revision", str(number), revision, at)
        put_visit(conn, row_of(held, first.seq, revision, last.seq))
    return Kept(number, 1, last.receipt, new=True)


def keep_revision(
    book: Book, narrative: int, base: int, sheet: Sheet, added: Sequence[Addendum] = (),
    folders: tuple[Path, ...] = (), made_at: str | None = None,
) -> Kept:  # fmt: skip
    """A further sheet of a narrative, made from revision `base` and the words `added` to it.

    Raises Overtaken where `base` is not the newest any more, NarrateError where the book holds no such narrative.
    """
    at = made_at or utc_now()
    visit = sum_up_visit(sheet, "", folders)
    with book.writing() as conn:
        row = conn.execute(select(visits).where(visits.c.narrative == narrative)).first()
        if row is None:
            raise NarrateError(f"holds no narrative {narrative}.", where=book.place, remedy="See “narrate book list”.")
        if row.revision != base:
            raise Overtaken
        before = _content(conn, row.revision_entry)
        first = _content(conn, row.entry)
        begun = conn.execute(select(entries.c.made_at).where(entries.c.seq == row.entry)).scalar_one()
        for addendum in added:
            words = sheet.narrative[addendum.start : addendum.end]
            answer = {"narrative": narrative, "revision": base + 1, "text": words, **addendum.model_dump(mode="json")}
            append(conn, "answer", str(narrative), answer, at)
        changes = tell_changes(Sheet.model_validate(before["sheet"]), sheet)
        visit["date"] = visit["date"] or begun[:10]
        revision = {
            "narrative": narrative, "number": base + 1, "changes": [c.model_dump(mode="json") for c in changes],
            "sheet": sheet.model_dump(mode="json", by_alias=True), "visit": visit,
        }  # fmt: skip
        last = append(conn, "revision", str(narrative), revision, at)
        put_visit(conn, row_of(first, row.entry, revision, last.seq))
    return Kept(narrative, base + 1, last.receipt, new=True)


def hash_narrative(text: str) -> str:
    """Of the text that offsets count in; half a surrogate pair, which some files hold, is hashed as it stands."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _next_number(conn: Connection) -> int:
    """Numbers are never given twice, not even that of a forgotten narrative."""
    newest = select(entries.c.about).where(entries.c.kind == "narrative").order_by(entries.c.seq.desc()).limit(1)
    return int(conn.execute(newest).scalar() or 0) + 1


def _receipt(conn: Connection, seq: int) -> str:
    return f"{seq}:{conn.execute(select(entries.c.hash).where(entries.c.seq == seq)).scalar_one()[:16]}"


def _content(conn: Connection, seq: int) -> dict[str, Any]:
    content = conn.execute(select(entries.c.content).where(entries.c.seq == seq)).scalar_one()
    return json.loads(content)  # type: ignore[no-any-return]
