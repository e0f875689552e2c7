"""The reasoning on paper: for each question, balance and verdict the rule, the numbers, the conversion and the source."""

from __future__ import annotations

from collections.abc import Iterator

from narrate.core.records import Record, Sheet
from narrate.render.formats.page import Block, Column, Piece, Row, Table
from narrate.render.sheet.measures import say_measure
from narrate.render.sheet.quotes import Quotes
from narrate.render.sheet.wording import reading_kind


def reasons_block(sheet: Sheet, quotes: Quotes) -> Block | None:
    """A row for each line that was reckoned, so that anybody can redo it; None where nothing was."""
    rows = tuple(
        Row((Piece(what, tone="strong"), *_lines(lines)), quotes.of(one)) for what, lines, one in _reckoned(sheet)
    )
    if not rows:
        return None
    columns = (Column("What was reckoned", 30), Column("How, and by whose rule", 70))
    return Block("reasons", "How it was reckoned", (Table("Rules, numbers and sources", columns, rows),))


def _lines(lines: tuple[str, ...]) -> tuple[Piece, ...]:
    return (Piece(lines[0], note=" · ".join(lines[1:])),)


def _reckoned(sheet: Sheet) -> Iterator[tuple[str, tuple[str, ...], Record]]:
    told: set[tuple[str, ...]] = set()  # a question, and the balance or reading that it asks about, are reckoned alike
    for gap in sheet.gaps:
        if gap.reasoning:
            told.add(gap.reasoning)
            yield gap.step, gap.reasoning, gap
    for balance in sheet.balances:
        if balance.reasoning and balance.reasoning not in told:
            yield f"balance of {balance.substance}", balance.reasoning, balance
    for reading in sheet.readings:
        if reading.reasoning and reading.state == "done" and reading.reasoning not in told:
            yield (
                f"{reading.subject or reading_kind(reading.what)}, {say_measure(reading.measure)}",
                reading.reasoning,
                reading,
            )
