"""The writer's desk through the command line alone: a technician's own words and the shop's workbook in, a draft out
that equals the one worked out by hand, to the cent.

The words (NOTES) tell a thermostat job on a 2013 Ford Escape, a used radiator cap, a rebuilt starter with its core,
refrigerant by weight, coolant in quarts, something that was planned, something declined, and a part of another car.

    Thermostat
      labor          1.8 h said for the operation in the book  x 118.00       = 212.40
      thermostat     1 x 31.45 (TH-7120, new)                                 =  31.45
      O-ring         1 x  2.75                                                =   2.75
      coolant        5.75 qt + 0.25 qt = 6 qt = 1.5 gal, billed by the gallon and whole gallons: 2 x 21.90 = 43.80
      sum            212.40 + 31.45 + 2.75 + 43.80                            = 290.40

    Starter
      labor          1.3 h of the book x 118.00                               = 153.40
      starter        1 x 164.20 (rebuilt)                                     = 164.20
      core charge    1 x  45.00                                               =  45.00
      sum            153.40 + 164.20 + 45.00                                  = 362.60

    The whole visit
      shop supplies  3.5% of labor: 212.40 + 153.40 = 365.80; x 0.035 = 12.803 -> 12.80 (below the most, 30.00)

    parts    31.45 + 2.75 + 164.20 = 198.40
    fluids   43.80
    labor    365.80
    core     45.00
    fees     12.80

    taxed as parts  198.40 + 43.80 + 12.80 (supplies) = 255.00
      state 7.25% of 255.00 = 18.4875 -> 18.49
      city  1.125% of 255.00 = 2.86875 -> 2.87
    taxed as labor  365.80
      county labor tax 0.5% of 365.80 = 1.829 -> 1.83
    taxes    18.49 + 2.87 + 1.83 = 23.19

    total    198.40 + 43.80 + 365.80 + 45.00 + 12.80 = 665.80; + 23.19 = 688.99
"""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import openpyxl
import pytest

from tests.serve.calling import narrate

NOTES = (
    "2013 Ford Escape, plate TST 4417, 96,240 miles. Customer states it cranks slowly and the heater is weak. "
    "Engine was cold. Drained 5.5 quarts of coolant. Installed a new thermostat, part number TH-7120, with a new O-ring. "
    "Refilled with 5.75 quarts of coolant and topped up 0.25 quarts of coolant after the road test. "
    "Replaced the starter with a rebuilt starter. "
    "The water pump is on order, will install a new water pump next week. "
    "Recommended a serpentine belt, customer declined. "
    "On the other car I replaced the alternator.\n"
)
BOOK: dict[str, list[list[Any]]] = {
    "part": [
        ["number", "item", "condition", "price", "unit", "tax", "core", "core_tax"],
        ["TH-7120", "thermostat", "new", 31.45, "each", "parts", None, None],
        [None, "O-ring", None, 2.75, "each", "parts", None, None],
        [None, "starter", "rebuilt", 164.20, "each", "parts", 45.00, "none"],
        [None, "starter", "new", 289.00, "each", "parts", None, None],
        [None, "water pump", None, 88.10, "each", "parts", None, None],
        [None, "alternator", None, 240.00, "each", "parts", None, None],
    ],
    "fluid": [
        ["item", "price", "unit", "round", "tax"],
        ["coolant", 21.90, "gal", "whole", "parts"],
    ],
    "labour": [
        ["item", "hours", "rate", "tax"],
        ["thermostat replacement", 1.8, "shop", "labor"],
        ["starter replacement", 1.3, "shop", "labor"],
        ["water pump replacement", 3.0, "shop", "labor"],
    ],
    "rate": [["item", "price", "unit", "tax"], ["shop", 118.00, "h", "labor"]],
    "fee": [["item", "price", "tax", "of", "most", "when"], ["Shop supplies", "3.5%", "parts", "labor", 30.00, "always"]],
    "tax": [
        ["item", "price", "tax"],
        ["State sales tax", "7.25%", "parts"],
        ["City tax", "1.125%", "parts"],
        ["County labor tax", "0.5%", "labor"],
    ],
    "shop": [["item", "text"], ["name", "Elm Street Garage"], ["currency", "$"]],
}  # fmt: skip


@pytest.fixture(scope="module")
def draft(tmp_path_factory) -> dict[str, Any]:
    desk = tmp_path_factory.mktemp("desk")
    (desk / "notes.txt").write_text(NOTES)
    book = openpyxl.Workbook()
    book.remove(book.active)
    for kind, rows in BOOK.items():
        sheet = book.create_sheet(kind)
        for row in rows:
            sheet.append(row)
    book.save(desk / "prices.xlsx")
    done = narrate("invoice", "notes.txt", "--prices", "prices.xlsx", "--format", "json", cwd=desk)
    assert (done.status, done.messages) == (0, [])
    held: dict[str, Any] = json.loads(done.out)
    return held


# group, description, quantity, unit, price, amount, condition
LINES = [
    ("Thermostat replacement", "Labor: Thermostat replacement", "1.8", "h", "118.00", "212.40", ""),
    ("Thermostat replacement", "Thermostat", "1", "each", "31.45", "31.45", "new"),
    ("Thermostat replacement", "O-ring", "1", "each", "2.75", "2.75", "new"),
    ("Thermostat replacement", "Coolant", "2", "gal", "21.90", "43.80", ""),
    ("Starter replacement", "Labor: Starter replacement", "1.3", "h", "118.00", "153.40", ""),
    ("Starter replacement", "Starter", "1", "each", "164.20", "164.20", "rebuilt"),
    ("Starter replacement", "Core charge: starter", "1", "each", "45.00", "45.00", ""),
    ("The whole visit", "Shop supplies", None, "", None, "12.80", ""),
]
SUBTOTALS = {"Thermostat replacement": "290.40", "Starter replacement": "362.60", "The whole visit": "12.80"}
TAXES = [
    ("State sales tax", "255.00", "18.49"),
    ("City tax", "255.00", "2.87"),
    ("County labor tax", "365.80", "1.83"),
]
TOTALS = {"parts": "198.40", "fluids": "43.80", "labour": "365.80", "core": "45.00", "fees": "12.80", "taxes": "23.19",
          "total": "688.99"}  # fmt: skip


def groups(draft: dict[str, Any]) -> list[dict[str, Any]]:
    return [*draft["work"], draft["visit"]]


def plain(
    title: str, what: str, quantity: str | None, unit: str, price: str | None, amount: str | None, condition: str
):
    """A line whose price counts as a number: a cell that was typed as 118.00 is read as 118."""
    return title, what, quantity, unit, Decimal(price) if price else None, amount, condition or ""


def test_each_line_is_the_one_worked_out(draft):
    told = [
        (group["title"], *(line[name] for name in ("description", "quantity", "unit", "price", "amount", "condition")))
        for group in groups(draft)
        for line in group["lines"]
    ]
    assert [plain(*line) for line in told] == [plain(*line) for line in LINES]


def test_each_sum_is_the_one_worked_out(draft):
    assert {group["title"]: group["subtotal"] for group in groups(draft)} == SUBTOTALS
    assert [(one["name"], one["base"], one["amount"]) for one in draft["taxes"]] == TAXES
    assert {name: draft["totals"][name] for name in TOTALS} == TOTALS


def test_what_was_planned_declined_or_done_to_another_car_is_on_no_line(draft):
    lines = json.dumps([line["description"] for group in groups(draft) for line in group["lines"]]).lower()
    for thing in ("water pump", "belt", "alternator"):
        assert thing not in lines
    offers = {offer["kind"]: offer for offer in draft["offers"]}
    assert "belt" in offers["declined"]["text"] and offers["declined"]["price"] is None
    assert any("water pump" in offer["text"].lower() for offer in draft["offers"])


def test_every_line_leads_to_words_of_the_notes(draft):
    for group in draft["work"]:
        for line in group["lines"]:
            if line["kind"] in ("part", "fluid"):
                assert line["evidence"]
            for place in line["evidence"]:
                assert NOTES[place["start"] : place["end"]] == place["quote"]
