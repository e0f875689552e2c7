"""What an invoice draft holds: lines by job, totals, what is still to be settled, and what the rules ask for.

Money is Decimal, written as text in JSON so that no cent is lost. A line without an `amount` has no price that the book
gives for certain; `settle` says why, and no total holds it.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Literal

from pydantic import Field

from narrate.core.records import DeferredKind, Evidence, Record

LineKind = Literal["part", "fluid", "labour", "core", "fee"]
CheckState = Literal["met", "missing", "by hand", "not called for"]


class Line(Record):
    """One line of the draft. `row` is the line of the price book that priced it; `tax` its tax class.

    `quantity` is in `unit`, as billed; None where it was not said or not for certain. `say` tells how a billing unit
    was reached ("28 oz, in cans of 12 oz"), or what the book notes.
    """

    kind: LineKind
    description: str
    number: str = ""
    condition: str = ""
    quantity: Decimal | None = None
    unit: str = ""
    price: Decimal | None = None
    amount: Decimal | None = None
    tax: str = ""
    row: int | None = None
    say: str = ""
    settle: str = ""
    evidence: tuple[Evidence, ...] = ()


class Work(Record):
    """One job with its lines; `job` None for what belongs to the whole visit. `subtotal` is of the priced lines."""

    job: str | None
    title: str
    complaint: tuple[str, ...] = ()
    cause: tuple[str, ...] = ()
    correction: tuple[str, ...] = ()
    lines: tuple[Line, ...] = ()
    subtotal: Decimal = Decimal("0.00")
    evidence: tuple[Evidence, ...] = ()


class Offer(Record):
    """Work recommended, declined, planned or promised: never billed, and priced only where the book prices it."""

    kind: DeferredKind
    text: str
    price: Decimal | None = None
    row: int | None = None
    evidence: tuple[Evidence, ...] = ()


class Discount(Record):
    """Money taken off; `off` is above zero, shared out over the tax classes that it touches."""

    name: str
    off: Decimal
    say: str
    row: int


class Tax(Record):
    """One tax: its rate as a share, what it is taken of, and what it comes to."""

    name: str
    tax: str
    rate: Decimal
    base: Decimal
    amount: Decimal
    row: int


class Totals(Record):
    """Sums of the priced lines; `unpriced` lines are in none of them."""

    parts: Decimal
    fluids: Decimal
    labour: Decimal
    core: Decimal
    fees: Decimal
    discounts: Decimal
    taxes: Decimal
    total: Decimal
    unpriced: int


class Shop(Record):
    """What the price book says of the shop; empty where it does not."""

    name: str = ""
    address: str = ""
    phone: str = ""
    registration: str = ""
    currency: str = ""


class Check(Record):
    """One rule about what an invoice holds, and how this draft stands to it. `about` names the lines that it misses."""

    pack: str
    rule: str
    state: CheckState
    requires: str
    about: tuple[str, ...] = ()
    source: str
    edition: str


class Unit(Record):
    """The unit under work as it stands on an invoice."""

    name: str = ""
    year: int | None = None
    make: str | None = None
    model: str | None = None
    vin: str | None = None
    plate: str | None = None
    unit_number: str | None = None
    odometer: str = ""
    engine_hours: str = ""


class Invoice(Record):
    """A draft. It is never final: prices are the book's, the words are the sheet's, and a person has to complete it."""

    narrate_invoice: Literal[1] = 1
    draft: Literal[True] = True
    source: str
    source_sha256: str
    book: str
    book_sha256: str
    shop: Shop = Shop()
    work_date: date | None = None
    unit: Unit
    complaint: tuple[str, ...] = ()
    cause: tuple[str, ...] = ()
    work: tuple[Work, ...] = ()
    visit: Work | None = None
    offers: tuple[Offer, ...] = ()
    discounts: tuple[Discount, ...] = ()
    taxes: tuple[Tax, ...] = ()
    totals: Totals
    rounding: str
    settle: tuple[str, ...] = Field(default=(), description="What a person has to settle before this goes out.")
    checks: tuple[Check, ...] = ()

    def groups(self) -> tuple[Work, ...]:
        """Every group of lines, that of the whole visit last."""
        return (*self.work, self.visit) if self.visit else self.work

    def lines(self) -> tuple[Line, ...]:
        return tuple(line for group in self.groups() for line in group.lines)
