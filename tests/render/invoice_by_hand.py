"""What the invoice of the sample sheet comes to, worked out with pencil and paper; no figure here is computed.

The sheet (tests/render/sample_sheet.py): a compressor job and rear brake pads. The book: tests/render/books/prices.csv.

    A/C compressor
      labor                  3.25 h   x 127.50   = 414.375    -> 414.38   (half a cent goes up)
      compressor, new        1        x 389.95                =  389.95
      core charge            1        x  75.00                =   75.00
      sealing washer 00123   2        x   3.49                =    6.98
      PAG oil                3.5 floz x   2.85   =   9.975    ->   9.98
      R-134a                 1.6 lb = 25.6 oz; 25.6 / 12 = 2.13 cans -> 3 whole cans
                             3        x  14.55                =   43.65
      sum                    414.38 + 389.95 + 75.00 + 6.98 + 9.98 + 43.65 = 939.94
    Rear brake pads
      labor                  1.1 h    x 127.50                =  140.25
      brake pads, rear       1 set    x  61.25                =   61.25
      sum                    201.50
    The whole visit
      shop supplies          4% of labor: 414.38 + 140.25 = 554.63; x 0.04 = 22.1852 -> 22.19 (below the most, 25.00)
      refrigerant handling   12.00
      labor for the visit    about 2.5 h was said for all of it, and no job is billed by time said: no price
      sum                    34.19

    parts     389.95 + 6.98 + 61.25 = 458.18
    fluids      9.98 + 43.65        =  53.63
    labor     554.63
    core       75.00
    fees       34.19
    discount  10% of parts: 45.818 -> 45.82, all of it from lines taxed as parts

    taxed as parts   458.18 + 53.63 + 22.19 (supplies) - 45.82 = 488.18
    taxed as labor   554.63
      state 6.25% of 488.18 = 30.51125  -> 30.51
      county 1.5% of 488.18 =  7.3227   ->  7.32
      city   0.5% of 554.63 =  2.77315  ->  2.77
    taxes     30.51 + 7.32 + 2.77 = 40.60

    total     458.18 + 53.63 + 554.63 + 75.00 + 34.19 = 1175.63; - 45.82 = 1129.81; + 40.60 = 1170.41
"""

from __future__ import annotations

from decimal import Decimal

# group, description, quantity, unit, price, amount
LINES = [
    ("A/C compressor", "Labor: A/C compressor", "3.25", "h", "127.50", "414.38"),
    ("A/C compressor", "Compressor", "1", "each", "389.95", "389.95"),
    ("A/C compressor", "Core charge: compressor", "1", "each", "75.00", "75.00"),
    ("A/C compressor", "Sealing washer, manifold", "2", "each", "3.49", "6.98"),
    ("A/C compressor", "PAG oil", "3.5", "floz", "2.85", "9.98"),
    ("A/C compressor", "Refrigerant R-134a", "3", "can", "14.55", "43.65"),
    ("Rear brake pads", "Labor: Rear brake pads", "1.1", "h", "127.50", "140.25"),
    ("Rear brake pads", "Brake pads, rear", "1", "set", "61.25", "61.25"),
    ("The whole visit", "Labor for the whole visit", None, None, None, None),
    ("The whole visit", "Shop supplies", None, "", None, "22.19"),
    ("The whole visit", "Refrigerant handling", "1", "", "12.00", "12.00"),
]
SUBTOTALS = {"A/C compressor": "939.94", "Rear brake pads": "201.50", "The whole visit": "34.19"}
TAXES = [
    ("State sales tax", "0.0625", "488.18", "30.51"),
    ("County tax", "0.015", "488.18", "7.32"),
    ("City labor tax", "0.005", "554.63", "2.77"),
]
TOTALS = {
    "parts": "458.18", "fluids": "53.63", "labour": "554.63", "core": "75.00", "fees": "34.19", "discounts": "45.82",
    "taxes": "40.60", "total": "1170.41",
}  # fmt: skip


def money(text: str | None) -> Decimal | None:
    return None if text is None else Decimal(text)
