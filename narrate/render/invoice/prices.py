"""The shop's own price book: one row a price, of nine kinds; nothing is priced that does not stand in it.

Columns (`COLUMNS` tells what each holds). A row is a part, a fluid, a labour operation, an hourly rate, a supply or
fee, a tax, a discount, an offer (the price of work that may be recommended), or a fact about the shop.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal, get_args

Kind = Literal["part", "fluid", "labour", "rate", "fee", "tax", "discount", "offer", "shop"]
KINDS: tuple[Kind, ...] = get_args(Kind)
SAID = "said"  # in the hours column: the time that the technician said
ALWAYS = "always"  # in the column when
EXEMPT = "none"  # the tax class of what is not taxed

COLUMNS: dict[str, str] = {
    "kind": "part, fluid, labour, rate, fee, tax, discount, offer or shop",
    "number": "the part number, which finds the row by itself",
    "item": "what it is, by the name or id that stands on the sheet: brake rotor, brake-rotor, engine oil; for labour "
    "a job (* for any other); for a rate, a fee, a discount its own name; for a shop row name, address, phone, "
    "registration, currency or rules",
    "also": "other names for the item, with ; between them",
    "grade": "words that must have been said of it for the row to apply: 5W-30",
    "position": "front, rear, left …: the row is for that place only",
    "condition": "new, used, rebuilt or reconditioned",
    "price": "for one unit; for a tax, a discount or a fee also a share, as 8.25%",
    "unit": "each, set, pair, ft, lb, qt, oz, can …: what the price is for; for labour h or job",
    "holds": "what one container holds, as 12 oz: for a fluid priced by the can or bottle",
    "round": "how a fluid is billed: exact, whole (up to the next whole unit) or a step, as 0.25 (up to the next one); "
    "whole where holds is given, else exact",
    "bill": "in (what went in, the usual way) or net (less what came out of it on this job)",
    "tax": "the tax class: rows of kind tax say its rates; none for what is not taxed",
    "core": "the core charge for one",
    "core_tax": "the tax class of the core charge, where it is not that of the part",
    "hours": "for labour: the hours of the operation, or said for the time that was said",
    "rate": "for labour: the name of the hourly rate",
    "of": "what a share is taken of: labour, parts, fluids, fees or all",
    "most": "the most that a fee comes to",
    "when": "for a fee or a discount: always, or the parts, fluids or jobs that bring it, with ; between them",
    "text": "for a shop row: what it says; else a note that is printed with the line",
}


@dataclass(frozen=True, slots=True)
class Price:
    """One row. `row` is its line in the book, to find it again; `share` a share of something (0.0825), else `price`
    is money for one `unit`. `hours` is None where the time said counts (`said` true)."""

    row: int
    kind: Kind
    item: str
    names: frozenset[str]  # keys of the item and of its other names
    number: str = ""
    grade: tuple[str, ...] = ()  # keys of the words that must have been said
    position: str = ""
    condition: str = ""
    price: Decimal | None = None
    share: Decimal | None = None
    unit: str = ""
    holds: tuple[Fraction, str] | None = None
    step: Fraction | None = None  # billed up to the next multiple of it; None: exactly
    net: bool = False
    tax: str = ""
    core: Decimal | None = None
    core_tax: str = ""
    hours: Decimal | None = None
    said: bool = False
    rate: str = ""
    of: str = "all"
    most: Decimal | None = None
    when: tuple[str, ...] = ()  # keys, or ("always",)
    text: str = ""

    @property
    def always(self) -> bool:
        return self.when == (ALWAYS,)


@dataclass(frozen=True, slots=True)
class PriceBook:
    """A whole book. `sha256` is of its bytes: a draft says by which book it was priced."""

    name: str
    sha256: str
    rows: tuple[Price, ...]

    def of(self, kind: Kind) -> tuple[Price, ...]:
        return tuple(row for row in self.rows if row.kind == kind)

    def shop(self, what: str) -> str:
        """A fact about the shop; empty where the book does not give it."""
        return next((row.text for row in self.of("shop") if row.item == what), "")

    def rate_named(self, name: str) -> Price | None:
        """The hourly rate of a name; with no name, the only one."""
        rates = self.of("rate")
        if name:
            return next((row for row in rates if key_words(name) in row.names), None)
        return rates[0] if len(rates) == 1 else None


def key_words(words: str) -> str:
    """Names as they are compared: lower case, no marks, no simple plural: "O-Rings" is "o ring"."""
    from narrate.core.lexicon.match import key_of

    spaced = "".join(char if char.isalnum() or char in "'./" else " " for char in words.lower().replace("’", "'"))
    return " ".join(key_of(word.strip(".'")) for word in spaced.split() if word.strip(".'"))


def key_number(number: str) -> str:
    """A part number as it is compared: letters and digits alone, in capitals; leading zeros count."""
    return "".join(char for char in number.upper() if char.isalnum())
