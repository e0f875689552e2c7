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
from pathlib import Path
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


