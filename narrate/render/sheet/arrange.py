"""Sheet → Page: what stands where on a job sheet, decided once for all formats.

The reader's order: what it is about, what was wrong, what is still to be answered, what was done job by job, the
ledgers over all jobs, what was left, and at the end the words that all of it rests on.
"""

from __future__ import annotations

from narrate.core.records import Notice, Sheet
from narrate.render.formats.page import Block, Column, Fact, Facts, Note, Page, Piece, Row, Signatures, Table
from narrate.render.sheet.ledgers import ledger_blocks
from narrate.render.sheet.measures import say_duration, say_time
from narrate.render.sheet.quotes import Quotes, number_quotes
from narrate.render.sheet.reasons import reasons_block
from narrate.render.sheet.top import complaint_block, questions_block, standing_block, unit_block, unit_name
from narrate.render.sheet.wording import ASIDE, CLASH, DEFERRED, DONE, LEFT, MISSING, ODD, ONLY_SAID, PARTLY
from narrate.render.sheet.work import aside_block, no_job, work_blocks

TITLE = "Job sheet"


def arrange(sheet: Sheet) -> Page:
    """Lay a job sheet out. Nothing stands on the page that does not stand on the sheet."""
    quotes = number_quotes(sheet)
    notes = sheet.source.name or "notes without a name"
    headline = " · ".join(job.title for job in sheet.jobs) or no_job(sheet)
    unit = unit_name(sheet.vehicle)
    blocks = [
        unit_block(sheet, quotes),
        standing_block(sheet),
        complaint_block(sheet, quotes),
        questions_block(sheet, quotes),
        *work_blocks(sheet, quotes),
        *ledger_blocks(sheet, quotes),
        _deferred(sheet, quotes),
        aside_block(sheet, quotes),
        _cautions(sheet),
        _unknown(sheet, quotes),
        _nothing_said(sheet),
        _signatures(),
        reasons_block(sheet, quotes),
        _words(quotes),
        _source(sheet),
        _key() if quotes.quotes else None,
    ]
    return Page(
        title=TITLE,
        headline=headline,
        running=" · ".join(part for part in (TITLE, unit, notes) if part),
        origin=f"Notes: {notes} · SHA-256 {sheet.source.sha256[:16]}",
        blocks=tuple(block for block in blocks if block is not None),
        quotes=quotes.quotes,
        keywords=tuple(job.title for job in sheet.jobs),
        dated=sheet.dictated_on,
    )


def _deferred(sheet: Sheet, quotes: Quotes) -> Block | None:
    if not sheet.deferred:
        return None
    rows = []
    for one in sheet.deferred:
        mark, word = DEFERRED[one.kind]
        kept = " … ".join(place.quote for place in one.closed_by)
        stands = Piece("done since", mark=DONE, note=f"“{kept}”") if kept else Piece(word, mark=mark)
        rows.append(Row((stands, Piece(one.text)), quotes.of(one)))
    columns = (Column("How it stands", 22), Column("What", 78))
    return Block("later", "Recommended, or left for later", (Table("Work not done", columns, tuple(rows)),))


def _cautions(sheet: Sheet) -> Block | None:
    if not sheet.cautions:
        return None
    rows = tuple(Row((Piece(one.text), Piece(one.source, tone="faint"))) for one in sheet.cautions)
    columns = (Column("Caution", 72), Column("Who says so", 28))
    return Block("cautions", "Cautions for this work", (Table("Cautions", columns, rows, cited=False),))


def _unknown(sheet: Sheet, quotes: Quotes) -> Block | None:
    if not sheet.unknown:
        return None
    note = Piece("These words sound like a part, an act or a measure, and are not in the word lists.", tone="faint")
    rows = tuple(Row((Piece(one.text),), quotes.of(one)) for one in sheet.unknown)
    table = Table("Words not known", (Column("As given", 100),), rows)
    return Block("unknown", "Words not known", (Note((note,)), table))


def _nothing_said(sheet: Sheet) -> Block | None:
    """What the notes do not mention at all, in one line in place of an empty block each."""
    silent = [
        name
        for name, lines in (
            ("parts and materials", sheet.parts),
            ("amounts in and out", sheet.amounts),
            ("readings", sheet.readings),
            ("sizes", sheet.sizes),
            ("time spent", sheet.labour),
            ("work recommended or left for later", sheet.deferred),
        )
        if not lines
    ]
    if not silent:
        return None
    return Block("silent", "Not said in these notes", (Note((Piece(", ".join(silent).capitalize() + "."),)),))


def _signatures() -> Block:
    statement = "What is signed for is this sheet as it stands, open questions included."
    return Block("sign", "Signatures", (Signatures(statement, ("Work done by", "Checked by", "Received by")),))


def _words(quotes: Quotes) -> Block | None:
    if not quotes.quotes:
        return None
    timed = any(":" in quote.where for quote in quotes.quotes)
    where = "In the recording" if timed else "In the notes"
    rows = tuple(
        Row((Piece(str(quote.number)), Piece(quote.where), Piece(f"“{quote.text}”")), anchor=quote.number)
        for quote in quotes.quotes
    )
    columns = (Column("No.", 6, "right"), Column(where, 17), Column("Words as given", 77))
    return Block("words", "The words behind each value", (Table("Quotations", columns, rows, cited=False),))


def _source(sheet: Sheet) -> Block:
    source = sheet.source
    length = "not timed" if source.duration_s is None else say_duration(source.duration_s)
    facts = [
        Fact("Name", (Piece(source.name or "none given"),)),
        Fact("What they are", (Piece(f"{source.kind}, {source.words:,} words, {length}"),)),
        Fact("SHA-256 as given", (Piece(source.sha256),)),
        Fact("Read as", (Piece(sheet.trade),)),
    ]
    if source.notices:
        facts.append(Fact("Set aside", tuple(Piece(_say_notice(notice)) for notice in source.notices)))
    return Block("source", "The notes", (Facts(tuple(facts)),))


def _say_notice(notice: Notice) -> str:
    return notice.message if notice.time_s is None else f"{notice.message} (at {say_time(notice.time_s)})"


def _key() -> Block:
    shapes = (
        Piece("done, on record", mark=DONE),
        Piece("on record, value missing", mark=PARTLY),
        Piece("planned or promised", mark=ONLY_SAID),
        Piece("not on record, or cannot tell", mark=MISSING),
        Piece("look at this", mark=ODD),
        Piece("told two ways", mark=CLASH),
        Piece("not done, or declined", mark=LEFT),
        Piece("does not apply, or does not count", mark=ASIDE),
    )
    signs = "≈ about; < less than; ≥ at least. Small numbers are those of the words behind each value."
    return Block("key", "How to read this sheet", (Note(shapes), Note((Piece(signs),))))
