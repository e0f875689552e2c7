"""The shop's copy: the whole job sheet with its gaps and quotations, and why each step stands as it does."""

from __future__ import annotations

from dataclasses import replace

from narrate.core.records import Sheet
from narrate.render.formats.page import Block, Column, Page, Piece, Row, Table
from narrate.render.sheet.arrange import arrange
from narrate.render.sheet.quotes import number_quotes
from narrate.render.sheet.wording import REQUIREMENT, STEP

TITLE = "For the shop"
_BEFORE = "sign"  # the reasoning stands before the signatures


def arrange_shop(sheet: Sheet) -> Page:
    """The job sheet's page with the reasoning put in; nothing of it is left away."""
    page = arrange(sheet)
    reasons = _reasons(sheet)
    blocks: list[Block] = []
    for block in page.blocks:
        if block.id == _BEFORE:
            blocks += reasons
        blocks.append(block)
    running = page.running.replace(page.title, TITLE, 1)
    return replace(page, title=TITLE, running=running, blocks=tuple(blocks))


def _reasons(sheet: Sheet) -> list[Block]:
    """Every step with its state and the reason for it, a table a job; those that do not apply too."""
    quotes = number_quotes(sheet)
    blocks = []
    columns = (Column("Step, and its rule", 40), Column("State", 24), Column("Why", 36))
    for number, job in enumerate((job for job in sheet.jobs if job.steps), start=1):
        rows = []
        for step in job.steps:
            mark, words, tone = STEP[step.state]
            label = step.label[:1].upper() + step.label[1:]
            cells = (
                Piece(label, note=f"{job.id} · {step.id} · {REQUIREMENT[step.requirement]}"),
                Piece(words, mark=mark, tone="strong" if tone == "strong" else "plain"),
                Piece(step.reason or "–"),
            )
            rows.append(Row(cells, quotes.among(step.evidence)))
        table = Table(f"Reasons for {job.title}", columns, tuple(rows))
        blocks.append(Block(f"reasons-{number}", job.title, (table,), 2))
    return [Block("reasons", "Why each step stands as it does", ()), *blocks] if blocks else []
