"""The ledgers over all jobs: parts, amounts in and out with their balance, readings, sizes, time. Done lines only."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from narrate.core.records import Measure, Sheet
from narrate.render.formats.page import Block, Column, Piece, Row, Table, Tone
from narrate.render.sheet.measures import say_count, say_measure
from narrate.render.sheet.quotes import Quotes
from narrate.render.sheet.wording import BALANCE, VERDICT, reading_kind

_UNSAID = Piece("not said", tone="faint")
_NONE = Piece("–", tone="faint")
_EMPTY = Piece("")


def ledger_blocks(sheet: Sheet, quotes: Quotes) -> list[Block]:
    """A block for each ledger that has a line; the job of each line stands beside it where there are several jobs."""
    titles = {job.id: job.title for job in sheet.jobs}

    def job_of(job: str | None) -> Piece:
        if len(titles) < 2:
            return _EMPTY
        return Piece(titles[job]) if job in titles else _NONE

    makers = (_parts, _amounts, _readings, _sizes, _time)
    return [block for maker in makers if (block := maker(sheet, quotes, job_of))]


JobOf = Callable[[str | None], Piece]


def _parts(sheet: Sheet, quotes: Quotes, job_of: JobOf) -> Block | None:
    rows = [
        Row(
            (
                Piece(say_count(part.quantity, part.unit)) if part.quantity is not None else _UNSAID,
                Piece(part.name, tone="strong"),
                Piece(part.position) if part.position else _NONE,
                Piece(part.condition) if part.condition else _UNSAID,
                Piece(part.number) if part.number else _NONE,
                job_of(part.job),
            ),
            quotes.of(part),
        )
        for part in sheet.parts
        if part.state == "done"
    ]
    columns = (
        Column("Quantity", 11, "right"),
        Column("Part or material", 27),
        Column("Where", 14),
        Column("New or used", 12),
        Column("Number", 15),
        Column("Job", 21),
    )
    return _block("parts", "Parts and materials", "Parts and materials fitted", columns, rows)


def _amounts(sheet: Sheet, quotes: Quotes, job_of: JobOf) -> Block | None:
    done = [amount for amount in sheet.amounts if amount.state == "done"]
    order = list(dict.fromkeys(amount.substance for amount in done))
    rows = [
        Row(
            (
                Piece(amount.substance, tone="strong"),
                Piece(say_measure(amount.measure)) if amount.direction == "out" else _NONE,
                Piece(say_measure(amount.measure)) if amount.direction == "in" else _NONE,
                job_of(amount.job),
            ),
            quotes.of(amount),
        )
        for amount in sorted(done, key=lambda one: order.index(one.substance))
    ]
    columns = (Column("Substance", 36), Column("Out", 18, "right"), Column("In", 18, "right"), Column("Job", 28))
    block = _block("amounts", "Amounts in and out", "Amounts that came out and went in", columns, rows)
    if not sheet.balances:
        return block
    body = (*(block.body if block else ()), _balances(sheet, quotes))
    return Block("amounts", "Amounts in and out", body)


def _balances(sheet: Sheet, quotes: Quotes) -> Table:
    def side(measure: Measure | None) -> Piece:
        return Piece(say_measure(measure)) if measure else _UNSAID

    rows = []
    for one in sheet.balances:
        mark, words = BALANCE[one.verdict]
        odd = one.verdict in ("short", "over")
        rows.append(
            Row(
                (
                    Piece(one.substance, tone="strong"),
                    side(one.out),
                    side(one.in_),
                    side(one.difference) if one.difference else _NONE,
                    Piece(words, mark=mark, tone="strong" if odd else "plain", note=one.reason),
                ),
                quotes.of(one),
                tone="urgent" if odd else "plain",
            )
        )
    columns = (
        Column("Balance of", 20),
        Column("All out", 14, "right"),
        Column("All in", 14, "right"),
        Column("Out less in", 14, "right"),
        Column("How it stands", 38),
    )
    return Table("Balance of each substance, out against in", columns, tuple(rows))


def _readings(sheet: Sheet, quotes: Quotes, job_of: JobOf) -> Block | None:
    rows = []
    judged = any(reading.verdict for reading in sheet.readings if reading.state == "done")
    for reading in sheet.readings:
        if reading.state != "done":
            continue
        if reading.verdict:
            mark, words = VERDICT[reading.verdict]
            tone: Tone = "strong" if reading.verdict == "outside" else "plain"
            verdict = Piece(words, mark=mark, tone=tone, note=reading.limit or "")  # who set it stands with it
        else:
            verdict = Piece("no limit named", tone="faint") if judged else _EMPTY
        cells = (
            Piece(reading.subject or reading_kind(reading.what), tone="strong"),
            Piece(reading_kind(reading.what)) if reading.subject else _EMPTY,
            Piece(say_measure(reading.measure)),
            verdict,
            job_of(reading.job),
        )
        rows.append(Row(cells, quotes.of(reading)))
    columns = (
        Column("Of what", 25),
        Column("What", 14),
        Column("Value", 17, "right"),
        Column("Limit", 23),
        Column("Job", 21),
    )
    return _block("readings", "Readings", "What was measured, set or timed", columns, rows)


def _sizes(sheet: Sheet, quotes: Quotes, job_of: JobOf) -> Block | None:
    rows = []
    for size in sheet.sizes:
        printed = say_measure(size.measure) if size.measure else size.text
        subject = Piece(size.subject, tone="strong") if size.subject else _UNSAID
        rows.append(Row((subject, Piece(printed)), quotes.of(size)))
    columns = (Column("Fastener, tool or hose", 60), Column("Size", 40))
    return _block("sizes", "Sizes", "Sizes said", columns, rows)


def _time(sheet: Sheet, quotes: Quotes, job_of: JobOf) -> Block | None:
    basis = {"said": "said", "inferred": "inferred from the recording, not measured"}
    rows = [
        Row(
            (job_of(one.job), Piece(say_measure(one.measure)), Piece(basis[one.basis])),
            quotes.of(one),
        )
        for one in sheet.labour
    ]
    columns = (Column("Job", 45), Column("Time", 20, "right"), Column("How it is known", 35))
    return _block("time", "Time spent", "Time spent", columns, rows)


def _block(id: str, heading: str, about: str, columns: tuple[Column, ...], rows: list[Row]) -> Block | None:
    """A ledger as a block, without the columns that are empty in every line; None where it has no line."""
    if not rows:
        return None
    used = [at for at in range(len(columns)) if any(row.cells[at].text for row in rows)]
    kept = tuple(replace(row, cells=tuple(row.cells[at] for at in used)) for row in rows)
    return Block(id, heading, (Table(about, tuple(columns[at] for at in used), kept),))
