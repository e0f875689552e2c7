"""What the rules on invoices ask for: every pack loads, names its source and edition, and misses what is missing."""

from __future__ import annotations

from pathlib import Path

import pytest

from narrate.core.findings import NarrateError
from narrate.core.records import Reading
from narrate.render.invoice import draft_invoice, read_prices, write_invoice
from narrate.render.invoice.packs import packs, read_pack
from narrate.render.invoice.rules import _NEEDS
from tests.render.sample_sheet import bare_sheet, measure, rich_sheet

BOOK = Path(__file__).parent / "books" / "prices.csv"


def checks(sheet, pack, book=BOOK):
    return {one.rule: one for one in draft_invoice(sheet, read_prices(book), packs=[pack]).checks}


@pytest.mark.parametrize("name", packs())
def test_every_pack_can_be_asked_of_any_sheet(name):
    pack = read_pack(name)
    assert pack.id == name
    for sheet in (rich_sheet(), bare_sheet()):
        found = checks(sheet, name)
        assert set(found) == {rule.id for rule in pack.rules}
        for rule in pack.rules:
            assert found[rule.id].source == rule.source
            assert found[rule.id].edition == rule.edition


def test_every_rule_tells_its_edition_and_whether_it_was_looked_up():
    for name in packs():
        for rule in read_pack(name).rules:
            assert "2026-" in rule.edition, rule.id
            assert any(word in rule.edition for word in ("looked up", "memory", "put together")), rule.id


def test_every_need_is_asked_for_by_some_rule_and_can_be_answered():
    asked = {need for name in packs() for rule in read_pack(name).rules for need in rule.needs}
    assert asked <= set(_NEEDS)
    assert set(_NEEDS) - asked <= {"customer-phone", "unit-number", "signature", "old-parts-offered", "statement"}


def test_a_pack_that_is_not_there_is_refused_with_those_that_are():
    with pytest.raises(NarrateError, match="no rule pack is called “us-tx”") as refused:
        draft_invoice(rich_sheet(), read_prices(BOOK), packs=["us-tx"])
    assert "us-ca-invoice" in refused.value.remedy


def test_california_misses_what_the_sheet_does_not_hold():
    found = checks(rich_sheet(), "us-ca-invoice")
    assert (found["part-condition"].state, found["part-condition"].about) == ("missing", ("Brake pads, rear",))
    assert (found["registration"].state, found["agreed"].state) == ("by hand", "by hand")
    assert (found["each-part"].state, found["apart"].state) == ("met", "met")
    assert found["sums"].state == "missing"  # the labor for the whole visit has no price


def test_registration_is_met_by_the_price_book(tmp_path):
    book = tmp_path / "prices.csv"
    book.write_text(BOOK.read_text() + "shop,,registration,,,,,,,,,,,,,,,,,,R 000000\n")
    assert checks(rich_sheet(), "us-ca-invoice", book)["registration"].state == "met"


def test_pressures_and_vent_temperature_are_asked_for_where_air_conditioning_was_worked_on():
    sheet = rich_sheet()
    assert checks(sheet, "us-ca-invoice")["air-conditioning"].state == "missing"
    read = [("pressure", "high side"), ("pressure", "low side pressure"), ("temperature", "center vent")]
    readings = tuple(
        Reading(what=what, subject=subject, state="done", measure=measure("a hundred", "psi", 100),
                evidence=sheet.readings[0].evidence)
        for what, subject in read
    )  # fmt: skip
    whole = sheet.model_copy(update={"readings": readings})
    assert checks(whole, "us-ca-invoice")["air-conditioning"].state == "met"
    planned = tuple(one.model_copy(update={"state": "planned"}) for one in readings)
    left = checks(sheet.model_copy(update={"readings": planned}), "us-ca-invoice")["air-conditioning"]
    assert left.state == "missing"
    assert len(left.about) == 3
    brakes = sheet.model_copy(update={"jobs": sheet.jobs[1:]})
    assert checks(brakes, "us-ca-invoice")["air-conditioning"].state == "not called for"


@pytest.mark.parametrize(("title", "state"), [("Tune-up", "missing"), ("Spark plugs renewed", "met")])
def test_a_vague_description_alone_does_not_suffice(title, state):
    sheet = rich_sheet()
    job = sheet.jobs[1].model_copy(update={"title": title, "steps": ()})
    alone = sheet.model_copy(update={"jobs": (job,), "parts": (), "amounts": ()})
    assert checks(alone, "us-ca-invoice")["not-vague"].state == state
    assert checks(sheet.model_copy(update={"jobs": (job,)}), "us-ca-invoice")["not-vague"].state == "met"  # parts tell


def test_shop_supplies_need_words_of_their_own(tmp_path):
    assert checks(rich_sheet(), "us-md-invoice")["supplies"].state == "missing"  # the handling fee says nothing
    book = tmp_path / "prices.csv"
    book.write_text("kind,item,price,when,text\nfee,Shop supplies,4.00,always,rags\n")
    assert checks(rich_sheet(), "us-md-invoice", book)["supplies"].state == "met"


def test_open_points_stand_on_the_draft_and_met_ones_are_counted():
    text = write_invoice(draft_invoice(rich_sheet(), read_prices(BOOK), packs=["us-ca-invoice"]), "text").decode()
    assert "points are met by this draft as it stands" in text
    assert "16 CCR 3356" in text
    assert "Labor and parts stand apart" not in text


def test_the_book_names_its_own_packs_and_common_practice_is_the_last_resort(tmp_path):
    assert {one.pack for one in draft_invoice(rich_sheet(), read_prices(BOOK)).checks} == {"common practice"}
    book = tmp_path / "prices.csv"
    book.write_text("kind,item,text,price\nshop,rules,us-ny-invoice,\npart,pump,,4\n")
    told = {one.pack for one in draft_invoice(rich_sheet(), read_prices(book)).checks}
    assert told == {read_pack("us-ny-invoice").title}
