"""The price book as a file: what is read, from what kinds of file, and what is refused, with its line."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest

from narrate.core.findings import NarrateError
from narrate.render.invoice import COLUMNS, draft_invoice, read_prices
from narrate.render.invoice.money import exact, share_out, to_cents, to_quantity
from tests.render.sample_sheet import rich_sheet

BOOK = Path(__file__).parent / "books" / "prices.csv"


def test_a_workbook_prices_like_the_csv_it_was_made_of(tmp_path):
    rows = [line.split(",") for line in BOOK.read_text().splitlines() if '"' not in line]
    book = openpyxl.Workbook()
    sheet = book.active
    for row in rows:
        numbers = [cell.replace(".", "", 1).isdigit() and not cell.startswith("0") for cell in row]
        sheet.append([float(cell) if number else cell for cell, number in zip(row, numbers, strict=True)])
    path = tmp_path / "prices.xlsx"
    book.save(path)
    made = draft_invoice(rich_sheet(), read_prices(path), discounts=["fleet"])
    flat = tmp_path / "prices.csv"
    flat.write_text("\n".join(line for line in BOOK.read_text().splitlines() if '"' not in line))
    plain = draft_invoice(rich_sheet(), read_prices(flat), discounts=["fleet"])
    assert made.totals == plain.totals
    assert [one.amount for one in made.lines()] == [one.amount for one in plain.lines()]


def test_a_sheet_for_each_kind_needs_no_column_of_kinds(tmp_path):
    book = openpyxl.Workbook()
    parts = book.active
    parts.title = "Parts"
    parts.append(["Item", "Price", "Unit", "Tax"])
    parts.append(["pump", 40.1, "each", "goods"])
    taxes = book.create_sheet("tax")
    taxes.append(["item", "price", "tax"])
    taxes.append(["sales tax", 0.0625, "goods"])
    taxes["B2"].number_format = "0.00%"
    book.create_sheet("notes to self").append(["call the supplier"])
    path = tmp_path / "prices.xlsx"
    book.save(path)
    held = read_prices(path)
    assert [(row.kind, row.price, row.share) for row in held.rows] == [
        ("part", Decimal("40.1"), None), ("tax", None, Decimal("0.0625")),
    ]  # fmt: skip


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
def test_a_csv_as_spreadsheets_save_it(tmp_path, delimiter, encoding):
    path = tmp_path / "prices.csv"
    text = "\r\n".join(delimiter.join(row) for row in (["kind", "item", "price"], ["part", "joint ½ in", "1234.50"]))
    path.write_bytes(text.encode(encoding))
    (row,) = read_prices(path).rows
    assert (row.item, row.price, row.row) == ("joint ½ in", Decimal("1234.50"), 2)


# a table, and what is said of it
REFUSED = [
    ("", "holds no prices"),
    ("kind,item,price\n", "holds no prices"),
    ("item,price\npump,4\n", "has no column “kind”"),
    ("kind,item,prise\npart,pump,4\n", "the column “prise” is not known"),
    ("kind,item,item,price\npart,pump,a,4\n", "the column “item” stands twice"),
    ("kind,item,price\npart,pump,4,5\n", ":2: has more cells"),
    ("kind,item,price\nparts,pump,4\n", "“parts” is no kind of row"),
    ("kind,item,price\npart,pump,\n", "a row of kind part needs “price”"),
    ("kind,item,price\npart,,4\n", "a part needs a number or an item"),
    ("kind,item,price\npart,pump,four\n", ":2: “four” in the column “price” is no amount of money"),
    ("kind,item,price\npart,pump,-4\n", "is no amount of money"),
    ("kind,item,price\npart,pump,4%\n", "is no amount of money"),
    ("kind,item,price\nfluid,oil,4\n", "needs “unit”"),
    ("kind,item,price,unit,holds\nfluid,oil,4,can,lots\n", "“lots” is no content"),
    ("kind,item,price,unit,holds\nfluid,oil,4,can,0 oz\n", "holds nothing"),
    ("kind,item,price,unit,round\nfluid,oil,4,qt,up\n", "no amount of money"),
    ("kind,item,price,tax\ntax,sales,4,goods\n", "is no share"),
    ("kind,item,price,tax\npart,pump,4,goods\n", ":2: the tax class “good” has no rate"),
    ("kind,item,hours\nlabour,pump,\n", "needs hours or a price"),
    ("kind,item,hours,rate\nlabour,pump,2,night\n", "the rate “night” is not in the book"),
    ("kind,item,price,when\nfee,rags,4,\n", "needs “when”"),
    ("kind,item,price,condition\npart,pump,4,mint\n", "“mint” in the column “condition” is not known"),
    ("kind,item,text\nshop,owner,me\n", "is no fact about the shop"),
]


@pytest.mark.parametrize(("table", "message"), REFUSED)
def test_a_book_that_cannot_be_used_is_refused_with_its_line(tmp_path, table, message):
    path = tmp_path / "prices.csv"
    path.write_text(table)
    with pytest.raises(NarrateError) as refused:
        read_prices(path)
    assert message in str(refused.value)
    assert "prices.csv" in refused.value.where
    assert refused.value.remedy


@pytest.mark.parametrize("data", [b"PK\x03\x04 no zip", b"\x00\x01\x02\x03" * 50])
def test_what_is_no_table_is_refused(tmp_path, data):
    path = tmp_path / "prices.xlsx"
    path.write_bytes(data)
    with pytest.raises(NarrateError):
        read_prices(path)


def test_every_column_is_told_of():
    assert all(len(meaning) > 5 for meaning in COLUMNS.values())
    head = BOOK.read_text().split("\n", 1)[0].split(",")
    assert set(head) == set(COLUMNS)


ROUNDED = [("2.675", "2.68"), ("2.665", "2.67"), ("0.005", "0.01"), ("0.00499", "0.00"), ("-0.005", "-0.01"),
           ("1e-9", "0.00"), ("123456789012345.675", "123456789012345.68")]  # fmt: skip


@pytest.mark.parametrize(("value", "cents"), ROUNDED)
def test_half_a_cent_goes_up(value, cents):
    from fractions import Fraction

    assert to_cents(Fraction(value)) == Decimal(cents)


def test_a_float_of_the_sheet_is_the_number_that_was_said():
    assert str(exact(1.1)) == "11/10"
    assert str(exact(1 / 3)) == "1/3"
    assert to_quantity(exact(28 / 16)) == Decimal("1.75")


def test_shares_add_up_to_the_last_cent():
    shares = share_out(Decimal("10.00"), [Decimal("1"), Decimal("1"), Decimal("1")])
    assert (sum(shares), shares) == (Decimal("10.00"), [Decimal("3.34"), Decimal("3.33"), Decimal("3.33")])
    assert sum(share_out(Decimal("-0.05"), [Decimal("3"), Decimal("7")])) == Decimal("-0.05")
    assert share_out(Decimal("5.00"), [Decimal("0")]) == [Decimal("0.00")]
