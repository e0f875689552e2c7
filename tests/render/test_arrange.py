"""What stands where, and that nothing stands there without words behind it."""

from __future__ import annotations

from datetime import date
from typing import get_args

import pytest

from narrate.core.records import Evidence, State, StepState
from narrate.render.formats.page import Facts, Page, Piece, Row, Table, ranges, say_run
from narrate.render.sheet.arrange import arrange
from narrate.render.sheet.quotes import number_quotes
from narrate.render.sheet.wording import DONE, STATE, STEP
from tests.render.sample_sheet import NARRATIVE, bare_sheet, ev, rich_sheet


def tables(page: Page, block_id: str) -> list[Table]:
    return [body for block in page.blocks if block.id == block_id for body in block.body if isinstance(body, Table)]


def rows(page: Page, block_id: str) -> list[Row]:
    return [row for table in tables(page, block_id) for row in table.rows]


def facts(page: Page, block_id: str) -> dict[str, tuple[Piece, ...]]:
    bodies = [body for block in page.blocks if block.id == block_id for body in block.body]
    return {fact.label: fact.pieces for body in bodies if isinstance(body, Facts) for fact in body.facts}


def texts(found: list[Row], column: int) -> list[str]:
    return [row.cells[column].text for row in found]


@pytest.fixture(scope="module")
def page() -> Page:
    return arrange(rich_sheet())


def test_every_block_of_a_job_sheet_is_there_in_reading_order(page):
    assert [block.id for block in page.blocks] == [
        "unit", "standing", "complaint", "questions", "work", "job-1", "job-2", "job-none", "parts", "amounts",
        "readings", "sizes", "time", "later", "aside", "cautions", "unknown", "sign", "words", "source", "key",
    ]  # fmt: skip


def test_what_is_not_done_stands_in_no_ledger(page):
    assert texts(rows(page, "parts"), 1) == ["compressor", "sealing washer", "brake pads"]  # no drive belt
    assert "2 fl oz" not in texts(tables(page, "amounts")[0].rows, 1)  # the amount that was taken back
    assert "rotor limit" not in texts(rows(page, "readings"), 0)
    for block in ("job-1", "job-2", "job-none"):
        words = " ".join(piece.text for pieces in facts(page, block).values() for piece in pieces)
        for not_done in ("condenser", "bleed", "hang", "drive belt", "2 fl oz", "rotor limit"):
            assert not_done not in words


def test_what_was_said_and_not_done_stands_apart_with_its_state_in_words(page):
    aside = rows(page, "aside")
    assert list(zip(texts(aside, 0), texts(aside, 2), strict=True)) == [
        ("told as not done", "replace condenser"),
        ("planned, not told as done", "bleed brakes"),
        ("general advice, not this job", "hang caliper"),
        ("another unit, or another day", "replace condenser"),
        ("planned, not told as done", "drive belt"),
        ("said, then taken back", "2 fl oz PAG oil, out"),
        ("general advice, not this job", "rotor limit 10 mm"),
    ]


def test_only_done_has_the_mark_of_done():
    assert {state for state, (mark, _) in STATE.items() if mark == DONE} == {"done"}
    assert {state for state, (mark, _, _) in STEP.items() if mark == DONE} == {"recorded"}


def test_each_state_has_words_of_its_own_and_a_shape():
    assert set(STATE) == set(get_args(State))
    assert set(STEP) == set(get_args(StepState))
    assert len({words for _, words, _ in STEP.values()}) == len(STEP)
    assert len({mark.shape for mark, _, _ in STEP.values()}) == len(STEP)
    assert len({mark.letter for mark, _, _ in STEP.values()}) == len(STEP)


def test_steps_stand_with_state_reason_and_words(page):
    steps = {row.cells[1].text: row for row in rows(page, "job-1")}
    oil = steps["Oil drained from the old compressor and put in the new one"]
    assert oil.cells[0].text == "told two ways"
    assert oil.cells[1].note == "two ounces and three ounces are both said"
    assert oil.refs
    missing = steps["Vacuum held with the pump off, and for how long"]
    assert (missing.cells[0].text, missing.cells[2].text) == ("not on record", "required")
    assert missing.tone == "urgent"
    assert missing.refs == ()
    advised = steps["Vent temperature after the work"]
    assert (advised.cells[2].text, advised.tone) == ("advised", "plain")


def test_open_questions_keep_their_order_and_leave_room_for_an_answer(page):
    (table,) = tables(page, "questions")
    assert texts(table.rows, 1) == [gap.question for gap in rich_sheet().gaps]
    assert [column.heading for column in table.columns if column.blank] == ["Answer"]


def test_amounts_of_one_substance_stand_together_and_balances_follow(page):
    moved, balanced = tables(page, "amounts")
    assert texts(moved.rows, 0) == ["refrigerant R-134a"] * 2 + ["PAG oil"] * 3
    assert [(row.cells[1].text, row.cells[2].text) for row in moved.rows] == [
        ("1.1 lb", "–"), ("–", "1.6 lb"), ("≈ 0.5 fl oz", "–"), ("3 fl oz", "–"), ("–", "3.5 fl oz"),
    ]  # fmt: skip
    assert texts(balanced.rows, 4) == ["in and out agree", "more in than out", "cannot tell"]


def test_a_column_that_would_tell_nothing_is_left_out(page):
    def headings(laid_out: Page, block: str) -> list[str]:
        return [column.heading for column in tables(laid_out, block)[0].columns]

    assert headings(page, "readings") == ["Of what", "What", "Value", "Limit", "Job"]
    sheet = rich_sheet()
    unjudged = tuple(reading.model_copy(update={"verdict": None}) for reading in sheet.readings)
    plain = arrange(sheet.model_copy(update={"jobs": sheet.jobs[:1], "readings": unjudged}))
    assert headings(plain, "readings") == ["Of what", "What", "Value"]
    assert headings(plain, "amounts") == ["Substance", "Out", "In"]


def test_a_part_number_is_not_touched(page):
    assert "00123" in texts(rows(page, "parts"), 4)


def test_every_quotation_is_cited_and_every_citation_leads_to_one(page):
    cited = {ref for block in page.blocks for body in block.body for ref in _refs(body)}
    assert cited == {quote.number for quote in page.quotes}
    assert [row.anchor for row in rows(page, "words")] == [quote.number for quote in page.quotes]


def _refs(body: object) -> list[int]:
    found: list[int] = []
    if isinstance(body, Table):
        found += [ref for row in body.rows for ref in row.refs]
    if isinstance(body, Facts):
        found += [ref for fact in body.facts for piece in fact.pieces for ref in piece.refs]
    return found


def test_each_line_of_a_ledger_has_words_behind_it(page):
    for block in ("parts", "amounts", "readings", "sizes", "time", "later", "aside", "unknown"):
        for row in rows(page, block):
            assert row.refs, (block, row)


def test_a_line_is_cited_by_its_own_words(page):
    words = {quote.number: quote.text for quote in page.quotes}
    by_part = {row.cells[1].text: [words[ref] for ref in row.refs] for row in rows(page, "parts")}
    assert by_part["compressor"] == ["new compressor on"]
    assert by_part["brake pads"] == ["one set of pads"]


def test_quotations_stand_in_the_order_said_with_their_time(page):
    where = [quote.where for quote in page.quotes]
    assert where == sorted(where)
    assert where[0] == "00:02"
    places = [NARRATIVE.index(quote.text) for quote in page.quotes]
    assert places == sorted(places)


def test_words_that_are_not_timed_are_found_by_their_line():
    sheet = rich_sheet().model_copy(update={"vehicle": rich_sheet().vehicle.model_copy(
        update={"evidence": ev("new compressor on", timed=False), "odometer": None})})  # fmt: skip
    quotes = {quote.text: quote for quote in number_quotes(sheet).quotes}
    assert quotes["new compressor on"].where in ("line 6", "00:41")
    untimed = bare_sheet("one line\nnew pads").model_copy(
        update={"vehicle": sheet.vehicle.model_copy(
            update={"evidence": (Evidence(start=9, end=17, quote="new pads"),)})}
    )  # fmt: skip
    assert number_quotes(untimed).quotes[0].where == "line 2"
    single = untimed.model_copy(update={"narrative": "one line new pads"})
    assert number_quotes(single).quotes[0].where == "character 10"


def test_a_sheet_with_nothing_known_says_so():
    page = arrange(bare_sheet())
    assert page.headline == "No job could be told from these notes"
    said = {label: pieces[0].text for label, pieces in facts(page, "unit").items()}
    assert set(said.values()) == {"not said", "not given"}
    (silent,) = [block for block in page.blocks if block.id == "silent"]
    assert silent.body[0].pieces[0].text.startswith("Parts and materials, amounts in and out, readings, sizes")
    assert not page.quotes


def test_a_field_that_was_not_said_stays_unsaid(page):
    unit = facts(page, "unit")
    assert unit["VIN"][0].text == unit["Plate"][0].text == "not said"
    assert unit["Unit"][0].text == "2005 Chevrolet Silverado 1500"
    assert unit["Odometer"][0].text == "168,410 mi"


@pytest.mark.parametrize(
    ("valid", "note"), [(True, "check digit agrees"), (False, "check digit does not agree"), (None, "")]
)
def test_what_the_check_digit_tells(valid, note):
    vehicle = rich_sheet().vehicle.model_copy(update={"vin": "1M8GDM9AXKP042788", "vin_valid": valid})
    vin = facts(arrange(rich_sheet().model_copy(update={"vehicle": vehicle})), "unit")["VIN"][0]
    assert (vin.text, vin.note) == ("1M8GDM9AXKP042788", note)


def test_a_line_of_a_job_that_the_sheet_does_not_know_is_not_lost():
    sheet = rich_sheet().model_copy(update={"jobs": rich_sheet().jobs[:1]})
    assert "fit brake pads, rear" in [piece.text for piece in facts(arrange(sheet), "job-none")["Done"]]


def test_the_same_sheet_gives_the_same_page(page):
    assert arrange(rich_sheet()) == page
    assert page.dated == date(2026, 6, 11)


@pytest.mark.parametrize(
    ("refs", "words"), [((), []), ((4,), ["4"]), ((1, 2), ["1, 2"]), ((9, 3, 4, 5, 3), ["3–5", "9"])]
)
def test_numbers_in_a_row_are_drawn_together(refs, words):
    assert [say_run(run) for run in ranges(refs)] == words
