"""Invoice drafts and papers of real narratives: nothing that was not done is billed or told, nothing done is lost."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import narrate
from narrate.render.invoice import PriceBook, draft_invoice, read_prices, write_invoice
from narrate.render.invoice.prices import key_words
from narrate.render.papers import write_paper

NARRATIVES = (Path(__file__).parent.parent / "gold").glob("*/*.yaml")
GOLD = sorted(path for path in NARRATIVES if path.parent.name != "traps")[::3]


@pytest.fixture(scope="module")
def book(tmp_path_factory) -> PriceBook:
    """A book that prices a few common things, so that priced and unpriced lines stand side by side."""
    path = tmp_path_factory.mktemp("book") / "prices.csv"
    path.write_text(
        "kind,item,price,unit,hours,rate,tax\nlabour,*,,,1.5,shop,labor\nrate,shop,120,h,,,labor\n"
        "part,oil filter,9.95,each,,,parts\npart,brake pad,61.25,set,,,parts\npart,drive belt,34.10,each,,,parts\n"
        "fluid,engine oil,8.40,qt,,,parts\nfluid,R-134a,14.55,lb,,,parts\nfluid,coolant,22.00,gal,,,parts\n"
        "tax,sales tax,6.25%,,,,parts\ntax,labor tax,0%,,,,labor\n"
    )
    return read_prices(path)


@pytest.fixture(scope="module", params=GOLD, ids=lambda path: path.stem)
def sheet(request) -> narrate.Sheet:
    gold = yaml.safe_load(request.param.read_text(encoding="utf-8"))
    return narrate.compile_notes(gold["narrative"], request.param.stem, gold.get("dictated_on"), gold.get("trade"))


def test_every_part_fitted_is_on_the_draft_once_and_no_other(sheet, book):
    made = draft_invoice(sheet, book)
    lines = [one for one in made.lines() if one.kind == "part"]
    done = [one for one in sheet.parts if one.state == "done"]
    named = [key_words(", ".join(filter(None, (part.name, part.position)))) for part in done]
    assert sorted(key_words(one.description) for one in lines) == sorted(named)
    assert {place for one in lines for place in one.evidence} == {place for one in done for place in one.evidence}
    assert {one.condition for one in lines} <= {"", "new", "used", "rebuilt"}


def test_every_substance_that_went_in_is_on_the_draft_once_a_job(sheet, book):
    made = draft_invoice(sheet, book)
    lines = [one for one in made.lines() if one.kind == "fluid"]
    known = {job.id for job in sheet.jobs}
    gone_in = {(one.id, one.job if one.job in known else None) for one in sheet.amounts
               if one.state == "done" and one.direction == "in"}  # fmt: skip
    assert len(lines) == len(gone_in)


def test_the_sums_add_up_and_unpriced_lines_are_in_none(sheet, book):
    made = draft_invoice(sheet, book)
    priced = [one.amount for one in made.lines() if one.amount is not None]
    totals = made.totals
    assert sum(priced) + totals.taxes - totals.discounts == totals.total
    assert totals.unpriced == sum(one.amount is None for one in made.lines())
    assert all(one.settle for one in made.lines() if one.amount is None)
    text = write_invoice(made, "text").decode()
    assert ("have no price" in text or "has no price" in text) == bool(totals.unpriced)


def test_the_customer_reads_no_question_no_quotation_and_every_part(sheet):
    text = " ".join(write_paper(sheet, "customer", "text").decode().split())
    for gap in sheet.gaps:
        assert gap.question not in text
    assert "“" not in text
    assert "not on record" not in text
    for part in sheet.parts:
        if part.state == "done":
            words = part.name.split()
            assert words[-1].lower() in text.lower()


def test_the_shop_reads_every_question_and_every_reason(sheet):
    text = " ".join(write_paper(sheet, "shop", "text").decode().split())
    for job in sheet.jobs:
        for step in job.steps:
            assert step.id in text
    assert len(sheet.gaps) == 0 or "Open questions" in text
