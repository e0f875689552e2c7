"""Invoice draft → Page. It says that it is a draft at its head and on every page, and keeps room for pen and signature.

What a person has to settle stands in a last part of its own, to be taken out before the paper goes to a customer.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal

from narrate.core.records import Evidence
from narrate.render.formats.page import (
    Block,
    Body,
    Column,
    Fact,
    Facts,
    Note,
    Page,
    Piece,
    Quote,
    Row,
    Signatures,
    Table,
)
from narrate.render.invoice.money import say_money, say_rate
from narrate.render.invoice.records import Check, CheckState, Invoice, Line, Work
from narrate.render.sheet.measures import say_quantity
from narrate.render.sheet.wording import DEFERRED, DONE, LEFT, MISSING, ODD, ONLY_SAID

TITLE = "Draft of an invoice: it is none until it is completed and signed"
_BLANK = Piece("\u00a0_____________________", tone="faint")
_NONE = Piece("–", tone="faint")
_CONDITION_UNSAID = "not said"
_COLUMNS = (
    Column("Quantity", 11, "right"),
    Column("Part, fluid, labor or fee", 35),
    Column("Number", 14),
    Column("New or used", 12),
    Column("Price for one", 12, "right"),
    Column("Amount", 16, "right"),
)
_CHECKED: dict[CheckState, tuple[object, str]] = {
    "met": (DONE, "met"),
    "missing": (MISSING, "missing"),
    "by hand": (ONLY_SAID, "to be filled in"),
    "not called for": (LEFT, "not called for"),
}

Refs = Callable[[tuple[Evidence, ...]], tuple[int, ...]]


def arrange(invoice: Invoice, *, words: bool = False) -> Page:
    """Lay the draft out; with `words` the quotations behind each line stand at its end."""
    quotes, refs = _number(invoice) if words else ((), lambda evidence: ())
    unit = invoice.unit.name or "unit not said"
    blocks = [
        _parties(invoice),
        _unit(invoice),
        _whole_complaint(invoice),
        *_work(invoice, refs, words),
        _totals(invoice),
        _offers(invoice, refs, words),
        _authorisation(),
        _to_settle(invoice),
        *_rules(invoice),
        _words(quotes),
    ]
    return Page(
        title=TITLE,
        headline=f"DRAFT · {invoice.shop.name or 'Invoice'} · {unit}",
        running=f"DRAFT · {unit} · {invoice.source}",
        origin=f"Draft of {invoice.source} by {invoice.book} · SHA-256 {invoice.source_sha256[:16]}",
        blocks=tuple(block for block in blocks if block is not None),
        quotes=quotes,
        keywords=("draft", *(group.title for group in invoice.work)),
        dated=invoice.work_date,
    )


def _parties(invoice: Invoice) -> Block:
    shop = invoice.shop

    def known(text: str) -> tuple[Piece, ...]:
        return (Piece(text, tone="strong"),) if text else (_BLANK,)

    facts = (
        Fact("Shop", known(", ".join(part for part in (shop.name, shop.address, shop.phone) if part))),
        Fact("Registration number", known(shop.registration)),
        Fact("Invoice number", (_BLANK,)),
        Fact("Work order or estimate number", (_BLANK,)),
        Fact("Customer, name and address", (_BLANK, _BLANK)),
        Fact("Customer's telephone", (_BLANK,)),
        Fact("Work done on", known(invoice.work_date.isoformat() if invoice.work_date else "")),
        Fact("Date of invoice", (_BLANK,)),
    )
    return Block("parties", "Shop and customer", (Facts(facts, across=4),))


def _unit(invoice: Invoice) -> Block:
    unit = invoice.unit

    def known(text: str | None) -> tuple[Piece, ...]:
        return (Piece(text, tone="strong"),) if text else (_BLANK,)

    facts = [
        Fact("Unit", known(unit.name)),
        Fact("VIN", known(unit.vin)),
        Fact("Plate", known(unit.plate)),
        Fact("Odometer when it came", known(unit.odometer)),
    ]
    if unit.engine_hours:
        facts.append(Fact("Engine hours", known(unit.engine_hours)))
    if unit.unit_number:
        facts.append(Fact("Unit number", known(unit.unit_number)))
    return Block("unit", "Unit", (Facts(tuple(facts), across=4),))


def _whole_complaint(invoice: Invoice) -> Block | None:
    facts = _said(invoice.complaint, invoice.cause, ())
    return Block("complaint", "Complaint and cause, of the whole visit", (Facts(facts),)) if facts else None


def _said(complaint: tuple[str, ...], cause: tuple[str, ...], correction: tuple[str, ...]) -> tuple[Fact, ...]:
    listed = (("Complaint", complaint, False), ("Cause", cause, False), ("Correction", correction, True))
    return tuple(Fact(label, tuple(Piece(text) for text in texts), flow=flow) for label, texts, flow in listed if texts)


def _work(invoice: Invoice, refs: Refs, words: bool) -> list[Block]:
    groups = invoice.groups()
    if not groups:
        return [Block("work", "Work and charges", (Note((Piece("Nothing was told as done.", tone="strong"),)),))]
    blocks = [Block("work", "Work and charges", ())]
    for number, group in enumerate(groups, start=1):
        heading = group.title if group.job is None else f"Job {number}: {group.title}"
        body: list[Body] = []
        if group.job is not None:
            whole = "not told for this job" if len(invoice.work) > 1 else "not told"
            unsaid = (Piece(whole, tone="faint"),)
            said = {fact.label: fact for fact in _said(group.complaint, group.cause, group.correction)}
            body.append(
                Facts(tuple(said.get(label, Fact(label, unsaid)) for label in ("Complaint", "Cause", "Correction")))
            )
        if group.lines:
            body.append(_lines(invoice, group, refs, words))
        blocks.append(Block(f"work-{number}", heading, tuple(body), 2))
    return blocks


def _lines(invoice: Invoice, group: Work, refs: Refs, words: bool) -> Table:
    rows = [_row(line, refs) for line in group.lines]
    unpriced = sum(line.amount is None for line in group.lines)
    note = (
        "" if not unpriced else f"without {unpriced} {'line that has' if unpriced == 1 else 'lines that have'} no price"
    )
    empty = Piece("")
    rows.append(
        Row((empty, Piece("Sum of this job" if group.job else "Sum", tone="strong", note=note), empty, empty, empty,
             Piece(say_money(group.subtotal, _sign(invoice)), tone="strong")))
    )  # fmt: skip
    return Table(f"Lines of {group.title}", _COLUMNS, tuple(rows), cited=words)


def _row(line: Line, refs: Refs) -> Row:
    quantity = _NONE if line.quantity is None else Piece(_count(line))
    condition = line.condition or (_CONDITION_UNSAID if line.kind == "part" else "")
    notes = "; ".join(note for note in (line.say, line.settle) if note)
    bare = line.amount is None
    return Row(
        (
            quantity,
            Piece(line.description, mark=ODD if bare else None, tone="strong" if bare else "plain", note=notes),
            Piece(line.number) if line.number else _NONE,
            Piece(condition, tone="faint" if condition == _CONDITION_UNSAID else "plain") if condition else _NONE,
            _NONE if line.price is None else Piece(say_rate(line.price)),
            Piece("no price", tone="strong") if line.amount is None else Piece(say_money(line.amount)),
        ),
        refs(line.evidence),
        tone="urgent" if bare else "plain",
    )


def _count(line: Line) -> str:
    quantity = float(line.quantity or 0)
    return say_quantity(quantity, quantity, line.unit or "each", f"{line.quantity:f}")


def _sign(invoice: Invoice) -> str:
    return invoice.shop.currency


def _totals(invoice: Invoice) -> Block:
    totals, sign = invoice.totals, _sign(invoice)
    rows: list[Row] = []

    def add(label: str, value: Decimal, note: str = "", strong: bool = False) -> None:
        tone = "strong" if strong else "plain"
        rows.append(Row((Piece(label, tone=tone, note=note), Piece(say_money(value, sign), tone=tone))))  # type: ignore[arg-type]

    for label, value in (
        ("Labor", totals.labour), ("Parts", totals.parts), ("Fluids", totals.fluids),
        ("Core charges", totals.core), ("Supplies and fees", totals.fees),
    ):  # fmt: skip
        if value:
            add(label, value)
    for discount in invoice.discounts:
        add(discount.name, -discount.off, discount.say)
    for tax in invoice.taxes:
        add(f"{tax.name}, {(tax.rate * 100).normalize():f}%", tax.amount, f"on {say_money(tax.base, sign)}")
    left = totals.unpriced
    whole = "Total" if not left else "Total of the priced lines"
    lines = "line has" if left == 1 else "lines have"
    add(whole, totals.total, f"{left} {lines} no price and are in no sum" if left else "", strong=True)
    if left == 1:
        rows[-1] = Row((Piece(whole, tone="strong", note="1 line has no price and is in no sum"), rows[-1].cells[1]))
    columns = (Column("Sum of", 74), Column("Amount", 26, "right"))
    rounding = Note((Piece(invoice.rounding, tone="faint"),))
    return Block("totals", "Sums", (Table("Sums", columns, tuple(rows), cited=False), rounding))


def _offers(invoice: Invoice, refs: Refs, words: bool) -> Block | None:
    if not invoice.offers:
        return None
    rows = []
    for offer in invoice.offers:
        mark, word = DEFERRED[offer.kind]
        price = _NONE if offer.price is None else Piece(say_money(offer.price, _sign(invoice)))
        rows.append(Row((Piece(word, mark=mark), Piece(offer.text), price), refs(offer.evidence)))
    columns = (Column("How it stands", 20), Column("What", 60), Column("Price by the book", 20, "right"))
    note = Note((Piece("None of this was done, and none of it is in the sums above.", tone="faint"),))
    table = Table("Work not done", columns, tuple(rows), cited=words)
    return Block("later", "Recommended, declined, or left for later", (note, table))


def _authorisation() -> Block:
    facts = (
        Fact("Estimate given", (_BLANK,)),
        Fact("Further work, and its price", (_BLANK,)),
        Fact("Agreed to by, how, when", (_BLANK,)),
        Fact("Replaced parts back to the customer", (Piece("□ yes  □ no", tone="faint"),)),
    )
    sign = Signatures(
        "Signed when the blanks above are filled in.", ("Estimate agreed to", "Further work agreed to", "Received"),
        ("Name", "Signature", "Date and time"),
    )  # fmt: skip
    return Block("sign", "Authorization and signatures", (Facts(facts, across=4), sign))


def _to_settle(invoice: Invoice) -> Block | None:
    if not invoice.settle:
        return None
    rows = tuple(Row((Piece(str(at)), Piece(text), Piece(""))) for at, text in enumerate(invoice.settle, start=1))
    columns = (Column("No.", 6, "right"), Column("What is open", 64), Column("Settled", 30, blank=True))
    return Block(
        "settle",
        "For the writer: settle these, then take this part out",
        (Table("What is still open", columns, rows, cited=False),),
        fresh=True,
    )


def _rules(invoice: Invoice) -> list[Block]:
    """A block for each pack: what is missing and what is left to the pen. What is met is counted in one line."""
    blocks = []
    for number, pack in enumerate(dict.fromkeys(check.pack for check in invoice.checks), start=1):
        own = [check for check in invoice.checks if check.pack == pack]
        open_ones = [check for check in own if check.state in ("missing", "by hand")]
        met = sum(check.state == "met" for check in own)
        asked = sum(check.state != "not called for" for check in own)
        body: list[Body] = [Note((Piece(f"{met} of {asked} points are met by this draft as it stands."),))]
        if open_ones:
            columns = (Column("State", 18), Column("What the paper has to hold", 52), Column("Who says so", 30))
            rows = tuple(_check(check) for check in sorted(open_ones, key=lambda check: check.state != "missing"))
            body.append(Table(f"Open points of {pack}", columns, rows, cited=False))
        blocks.append(Block(f"rules-{number}", f"For the writer: content, by {pack}", tuple(body)))
    return blocks


def _check(check: Check) -> Row:
    mark, word = _CHECKED[check.state]
    about = "; ".join(check.about)
    return Row(
        (
            Piece(word, mark=mark, tone="strong" if check.state == "missing" else "plain"),  # type: ignore[arg-type]
            Piece(check.requires, note=about),
            Piece(check.source, tone="faint", note=check.edition),
        ),
        tone="urgent" if check.state == "missing" else "plain",
    )


def _number(invoice: Invoice) -> tuple[tuple[Quote, ...], Refs]:
    """Every place that some line rests on, numbered in the order of the narrative."""
    held = [one for line in invoice.lines() for one in line.evidence]
    held += [one for offer in invoice.offers for one in offer.evidence]
    places = {(one.start, one.end): one for one in held}
    number_of = {place: number for number, place in enumerate(sorted(places), start=1)}
    quotes = tuple(
        Quote(number, f"character {place[0] + 1}", places[place].quote) for place, number in number_of.items()
    )
    return quotes, lambda evidence: tuple(sorted({number_of[one.start, one.end] for one in evidence}))


def _words(quotes: tuple[Quote, ...]) -> Block | None:
    if not quotes:
        return None
    rows = tuple(
        Row((Piece(str(quote.number)), Piece(quote.where), Piece(f"“{quote.text}”")), anchor=quote.number)
        for quote in quotes
    )
    columns = (Column("No.", 6, "right"), Column("In the notes", 17), Column("Words as given", 77))
    table = Table("Quotations", columns, rows, cited=False)
    return Block("words", "For the writer: the words behind each line", (table,))
