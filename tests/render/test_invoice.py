"""The invoice draft: equal to the cent to one worked out by hand, and nothing on it that was not done or not priced."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from pathlib import Path

import pytest

from narrate.core.findings import NarrateError
from narrate.core.records import Measure
from narrate.render.formats.seal import is_ours
from narrate.render.invoice import Invoice, draft_invoice, read_prices, write_invoice
from narrate.render.invoice.tables import is_our_json
from tests.render.invoice_by_hand import LINES, SUBTOTALS, TAXES, TOTALS, money
from tests.render.sample_sheet import HOSTILE, bare_sheet, hostile_sheet, rich_sheet

BOOK = Path(__file__).parent / "books" / "prices.csv"


@pytest.fixture(scope="module")
def draft() -> Invoice:
    return draft_invoice(rich_sheet(), read_prices(BOOK), discounts=["fleet"])


def line(invoice: Invoice, description: str):
    (found,) = [one for one in invoice.lines() if one.description == description]
    return found


def test_every_line_is_what_was_worked_out_by_hand(draft):
    told = [
        (group.title, one.description, one.quantity, one.unit, one.price, one.amount)
        for group in draft.groups()
        for one in group.lines
    ]
    by_hand = [(g, d, money(q), u, money(p), money(a)) for g, d, q, u, p, a in LINES]
    assert [one[:3] + one[4:] for one in told] == [one[:3] + one[4:] for one in by_hand]
    assert [one[3] for one in told if one[2] is not None] == [one[3] for one in by_hand if one[2] is not None]


def test_every_sum_is_what_was_worked_out_by_hand(draft):
    assert {group.title: str(group.subtotal) for group in draft.groups()} == SUBTOTALS
    assert [(t.name, str(t.rate), str(t.base), str(t.amount)) for t in draft.taxes] == TAXES
    held = draft.totals.model_dump()
    assert {name: str(held[name]) for name in TOTALS} == TOTALS
    assert held["unpriced"] == 1
    assert [(one.name, str(one.off)) for one in draft.discounts] == [("Fleet", "45.82")]


def test_a_discount_that_is_not_asked_for_is_not_given():
    plain = draft_invoice(rich_sheet(), read_prices(BOOK))
    assert plain.discounts == ()
    with pytest.raises(NarrateError, match="no discount is called “loyalty”"):
        draft_invoice(rich_sheet(), read_prices(BOOK), discounts=["loyalty"])


def test_cans_say_how_they_were_counted(draft):
    assert line(draft, "Refrigerant R-134a").say == "1.6 lb, in cans of 12 oz; 2.133 billed up to whole ones"


def test_nothing_planned_taken_back_or_told_of_another_unit_is_billed(draft):
    described = " ".join(one.description.lower() for one in draft.lines())
    for word in ("belt", "condenser", "brake fluid", "bleed"):
        assert word not in described
    assert line(draft, "PAG oil").quantity == Decimal("3.5")  # not what was taken back, nor what came out


def test_what_was_declined_has_the_price_of_an_offer_and_is_in_no_sum(draft):
    assert [(one.kind, one.price) for one in draft.offers] == [("declined", Decimal("84.00")), ("promised", None)]


def test_a_line_without_a_price_stands_out_and_is_in_no_sum():
    sheet = rich_sheet()
    unknown = sheet.parts[0].model_copy(update={"id": "fan-clutch", "name": "fan clutch"})
    more = sheet.model_copy(update={"parts": (*sheet.parts, unknown)})
    one, other = (draft_invoice(each, read_prices(BOOK)) for each in (sheet, more))
    bare = line(other, "Fan clutch")
    assert (bare.price, bare.amount, bare.settle) == (None, None, "not in the price book")
    assert other.totals.model_copy(update={"unpriced": 1}) == one.totals
    assert other.totals.unpriced == 2
    assert "Fan clutch: not in the price book." in other.settle
    text = write_invoice(other, "text").decode()
    assert "▲ Fan clutch" in text
    assert "Total of the priced lines" in text
    assert "2 lines have no price and are in no sum" in text


# what the book prices, what was said, and what is billed: quantity, or why not
BILLED = [
    ("lb", "", "", (28, 28, "oz", {}), "1.75", ""),
    ("can", "12 oz", "", (28, 28, "oz", {}), "3", ""),
    ("can", "12 oz", "", (24, 24, "oz", {}), "2", ""),
    ("can", "12 oz", "exact", (28, 28, "oz", {}), "2.333", ""),
    ("can", "12 oz", "", (2, 2, "can", {}), "2", ""),
    ("oz", "", "", (2, 2, "can", {}), None, "cannot be made into oz"),
    ("kg", "", "0.1", (1.1, 1.1, "lb", {}), "0.5", ""),  # 0.49895 kg
    ("lb", "", "", (800, 800, "g", {}), "1.764", ""),
    ("oz", "", "", (3, 3, "floz", {}), None, "cannot be made into oz"),  # a weight is no volume
    ("lb", "", "", (1, 1.5, "lb", {}), None, "a range was said"),
    ("lb", "", "", (1, 1, "lb", {"bound": "over"}), None, "only a bound was said"),
    ("lb", "", "", (1.5, 1.5, "lb", {"approximate": True}), "1.5", ""),
]


@pytest.mark.parametrize(("unit", "holds", "rounding", "said", "billed", "why"), BILLED)
def test_a_fluid_is_billed_in_the_units_of_the_book(tmp_path, unit, holds, rounding, said, billed, why):
    low, high, code, more = said
    sheet = rich_sheet()
    charge = sheet.amounts[-1].model_copy(
        update={"measure": Measure(low=low, high=high, unit=code, text="as said", **more)}
    )
    sheet = sheet.model_copy(update={"amounts": (charge,)})
    book = tmp_path / "book.csv"
    book.write_text(f"kind,item,price,unit,holds,round,tax\nfluid,r134a,10,{unit},{holds},{rounding},none\n")
    made = line(draft_invoice(sheet, read_prices(book)), "Refrigerant R-134a")
    assert made.quantity == money(billed)
    assert why in made.settle
    assert (made.amount is None) == bool(why)
    assert ("about" in made.say) == bool(more.get("approximate"))


def test_two_goes_out_of_one_can_are_one_can(tmp_path):
    sheet = rich_sheet()
    five = Measure(low=5, high=5, unit="oz", text="five")
    goes = [sheet.amounts[-1].model_copy(update={"measure": five})] * 2
    book = tmp_path / "book.csv"
    book.write_text("kind,item,price,unit,holds\nfluid,r134a,10,can,12 oz\n")
    made = draft_invoice(sheet.model_copy(update={"amounts": tuple(goes)}), read_prices(book))
    assert line(made, "Refrigerant R-134a").quantity == 1


def test_net_billing_takes_off_what_came_out(tmp_path):
    book = tmp_path / "book.csv"
    book.write_text("kind,item,price,unit,bill\nfluid,r134a,10,lb,net\n")
    made = line(draft_invoice(rich_sheet(), read_prices(book)), "Refrigerant R-134a")
    assert (made.quantity, made.amount) == (Decimal("0.5"), Decimal("5.00"))  # 1.6 lb in, 1.1 lb out


# the rows of the book, the part as said, and the price or the reason
PARTS = [
    (["A-1,pump,,,new,40,each"], {"number": "a1"}, "40", ""),
    (["A-1,pump,,,new,40,each", ",pump,,,,30,each"], {"number": "A-9"}, "30", ""),
    (["A-1,pump,,,new,40,each"], {"number": "A-9"}, None, "not in the price book"),
    (["A-1,pump,,,rebuilt,40,each"], {"number": "A-1", "condition": "new"}, None, "said to be new"),
    ([",pump,,,new,40,each", ",pump,,,rebuilt,25,each"], {"condition": "rebuilt"}, "25", ""),
    ([",pump,,,new,40,each", ",pump,,,reconditioned,25,each"], {"condition": "rebuilt"}, "25", ""),
    ([",pump,,,new,40,each", ",pump,,,rebuilt,25,each"], {}, None, "2 prices in the book"),
    ([",pump,,,new,40,each"], {}, "40", ""),
    ([",pump,,front,,40,each", ",pump,,rear,,25,each"], {"position": "rear"}, "25", ""),
    ([",pump,,front,,40,each"], {"position": "rear"}, None, "only for another place"),
    ([",pump,,,,40,each", ",pump,,rear,,25,each"], {"position": "left rear"}, "25", ""),
    ([",pump,,,,40,each"], {"quantity": None}, None, "how many was not said"),
    ([",pump,,,,40,set"], {"quantity": 4.0}, None, "priced for one set"),
    ([",pump,,,,40,pair"], {"quantity": 4.0}, "80", ""),
    ([",pump,,,,40,each"], {"quantity": 2.0, "unit": "pair"}, "160", ""),
    ([",hose,,,,2.50,ft"], {"name": "hose", "quantity": 18.0, "unit": "in"}, "3.75", ""),
    ([",pumps,,,,40,each"], {}, "40", ""),
    ([",oil,5W-30,,,40,each", ",oil,0W-20,,,50,each"], {"name": "oil", "quote": "a jug of 0W-20 oil"}, "50", ""),
    ([",oil,5W-30,,,40,each"], {"name": "oil", "quote": "a jug of oil"}, None, "only for another"),
]


@pytest.mark.parametrize(("rows", "said", "amount", "why"), PARTS, ids=lambda one: str(one)[:60])
def test_a_part_has_one_price_or_none(tmp_path, rows, said, amount, why):
    said = dict(said)
    sheet = rich_sheet()
    base = dict.fromkeys(("unit", "position", "condition", "number")) | {
        "id": "x-pump",
        "name": "pump",
        "quantity": 1.0,
    }
    quote = said.pop("quote", "the words")
    evidence = (sheet.parts[0].evidence[0].model_copy(update={"quote": quote}),)
    part = sheet.parts[0].model_copy(update={**base, **said, "evidence": evidence})
    book = tmp_path / "book.csv"
    book.write_text("kind,number,item,grade,position,condition,price,unit\n" + "".join(f"part,{row}\n" for row in rows))
    made = draft_invoice(sheet.model_copy(update={"parts": (part,), "amounts": ()}), read_prices(book))
    (found,) = [one for one in made.lines() if one.kind == "part"]
    assert found.amount == money(amount)
    assert why in found.settle
    assert bool(found.settle) == (amount is None)


def test_the_condition_of_a_part_is_never_made_up(tmp_path):
    book = tmp_path / "book.csv"
    book.write_text("kind,item,condition,price\npart,brake pads,new,61.25\n")
    made = line(draft_invoice(rich_sheet(), read_prices(book)), "Brake pads, rear")
    assert (made.condition, made.amount) == ("", None)  # one set is said, and the book prices one of them
    book.write_text("kind,item,condition,price,unit\npart,brake pads,new,61.25,set\n")
    invoice = draft_invoice(rich_sheet(), read_prices(book))
    made = line(invoice, "Brake pads, rear")
    assert (made.condition, made.say) == ("", "priced as new; the notes do not say")
    assert any("new, used, rebuilt or reconditioned?" in one for one in invoice.settle)


def test_time_said_is_billed_where_the_book_bills_it(tmp_path):
    book = tmp_path / "book.csv"
    book.write_text("kind,item,hours,rate,price\nlabour,*,said,shop,\nrate,shop,,,100\n")
    made = draft_invoice(rich_sheet(), read_prices(book))
    assert line(made, "Labor for the whole visit").amount == Decimal("250.00")  # about 2.5 h, said for all of it
    # the 31 minutes that only the recording's time codes tell are billed nowhere
    assert [one.amount for one in made.lines() if one.kind == "labour"] == [Decimal("250.00")]
    alone = rich_sheet()
    one_job = alone.model_copy(update={"jobs": alone.jobs[:1], "labour": alone.labour[:1]})
    assert line(draft_invoice(one_job, read_prices(book)), "Labor: A/C compressor").amount == Decimal("250.00")


def test_a_sheet_with_nothing_on_it_gives_an_empty_draft():
    made = draft_invoice(bare_sheet(), read_prices(BOOK))
    assert made.work == ()
    assert made.lines() == ()
    assert made.totals.total == Decimal("0.00")
    assert "No job could be told from these notes." in made.settle
    for fmt in ("text", "html", "docx", "csv", "json"):
        assert write_invoice(made, fmt)


@pytest.mark.parametrize("fmt", ["text", "html", "docx"])
def test_each_document_says_that_it_is_a_draft_and_is_known_as_ours(draft, fmt):
    data = write_invoice(draft, fmt, words=True)
    assert data == write_invoice(draft, fmt, words=True)
    assert is_ours(data, fmt)
    if fmt != "docx":
        assert "DRAFT" in data.decode()


def test_json_goes_out_and_back(draft):
    data = write_invoice(draft, "json")
    assert is_our_json(data)
    assert Invoice.model_validate_json(data) == draft
    held = json.loads(data)
    assert held["draft"] is True
    assert held["totals"]["total"] == "1170.41"
    assert all(one["evidence"] for group in held["work"] for one in group["lines"] if one["kind"] in ("part", "fluid"))


def test_csv_adds_up_to_its_own_total(draft):
    rows = list(csv.DictReader(io.StringIO(write_invoice(draft, "csv").decode("utf-8-sig"))))
    assert {row["status"] for row in rows} == {"DRAFT"}
    amounts = [Decimal(row["amount"]) for row in rows if row["kind"] != "total" and row["amount"]]
    assert sum(amounts) == Decimal(rows[-1]["amount"]) == Decimal("1170.41")


def test_hostile_words_break_out_of_no_document():
    made = draft_invoice(hostile_sheet(), read_prices(BOOK))
    html = write_invoice(made, "html", words=True).decode()
    assert "<script>" not in html
    assert "\x1b" not in write_invoice(made, "text").decode()
    cells = [cell for row in csv.reader(io.StringIO(write_invoice(made, "csv").decode("utf-8-sig"))) for cell in row]
    assert not [cell for cell in cells if cell[:1] in "=+@\t" and cell]
    assert HOSTILE[:8] in " ".join(cells)
