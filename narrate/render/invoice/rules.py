"""Hold a draft against rule packs: each rule is met, missing, left to the pen, or not called for."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable
from fnmatch import fnmatchcase

from narrate.core.records import Sheet
from narrate.render.invoice.packs import Need, Rule, When, read_pack
from narrate.render.invoice.prices import key_words
from narrate.render.invoice.records import Check, CheckState, Invoice, Line, Work

# What a need comes to: its state, and the lines or jobs that it misses.
Answer = tuple[CheckState, tuple[str, ...]]
MET: Answer = ("met", ())
BY_HAND: Answer = ("by hand", ())
_WORST: tuple[CheckState, ...] = ("missing", "by hand", "met")


def check_rules(invoice: Invoice, sheet: Sheet, names: Collection[str]) -> Invoice:
    """The draft with its checks. NarrateError where a pack is not known."""
    checks = []
    for name in dict.fromkeys(names):
        pack = read_pack(name)
        for rule in pack.rules:
            state, about = _judge(rule, invoice, sheet)
            checks.append(
                Check(pack=pack.title, rule=rule.id, state=state, requires=rule.requires, about=about,
                      source=rule.source, edition=rule.edition)
            )  # fmt: skip
    return invoice.model_copy(update={"checks": tuple(checks)})


def _judge(rule: Rule, invoice: Invoice, sheet: Sheet) -> Answer:
    if rule.when and not _called_for(rule.when, sheet):
        return "not called for", ()
    answers = [_NEEDS[need](invoice, sheet) for need in rule.needs]
    answers += [
        MET if _read(sheet, wanted.what, wanted.says) else ("missing", (" ".join((wanted.what, *wanted.says[:1])),))
        for wanted in rule.readings
    ]
    answers += [
        MET if _moved(sheet, moved.of, moved.direction) else ("missing", (f"amount {moved.direction}",))
        for moved in rule.amounts
    ]
    if rule.steps or rule.met_by:  # of other words than a sheet's lines only the sheet itself tells: see its own check
        answers.append(MET if any(_told(sheet, step) for step in rule.steps) else BY_HAND)
    if rule.vague:
        answers.append(_vague(invoice, rule.vague))
    worst = min((state for state, _ in answers), key=_WORST.index)
    return worst, tuple(dict.fromkeys(name for state, about in answers if state == worst for name in about))


def _called_for(when: When, sheet: Sheet) -> bool:
    return (
        _any_like((job.id for job in sheet.jobs), when.jobs)
        or _any_like((one.id for one in sheet.amounts if one.state == "done"), when.fluids)
        or _any_like((one.id for one in sheet.parts if one.state == "done"), when.parts)
    )


def _any_like(ids: Iterable[str], patterns: Collection[str]) -> bool:
    return any(fnmatchcase(one, pattern) for one in ids for pattern in patterns)


def _read(sheet: Sheet, what: str, says: Collection[str]) -> bool:
    """Whether a reading of that kind is on record as done, on something of that name."""
    return any(
        one.what == what
        and one.state == "done"
        and (not says or any(f" {key_words(word)} " in f" {key_words(one.subject or '')} " for word in says))
        for one in sheet.readings
    )


def _moved(sheet: Sheet, of: Collection[str], direction: str) -> bool:
    return any(one.state == "done" and one.direction == direction and _any_like((one.id,), of) for one in sheet.amounts)


def _vague(invoice: Invoice, phrases: Collection[str]) -> Answer:
    """Jobs of which nothing stands on the paper but a name that says too little."""
    vague = tuple(
        group.title
        for group in invoice.work
        if len(group.correction) < 2
        and not any(line.kind in ("part", "fluid") for line in group.lines)
        and any(f" {key_words(phrase)} " in f" {key_words(group.title)} " for phrase in phrases)
    )
    return ("missing", vague) if vague else MET


def _all(lacking: Iterable[str]) -> Answer:
    held = tuple(dict.fromkeys(lacking))
    return ("missing", held) if held else MET


def _known(value: object) -> Answer:
    return MET if value else ("missing", ())


def _given(value: str) -> Answer:
    """A fact about the shop: from the book, else from the pen."""
    return MET if value else BY_HAND


def _parts(invoice: Invoice) -> list[Line]:
    return [line for line in invoice.lines() if line.kind == "part"]


def _told(sheet: Sheet, step: str) -> bool:
    return any(one.id == step and one.state == "recorded" for job in sheet.jobs for one in job.steps)


def _each_job(invoice: Invoice, has: Callable[[Work], object], whole: object = False) -> Answer:
    return MET if whole and invoice.work else _all(group.title for group in invoice.work if not has(group))


def _priced(group: Work) -> bool:
    return bool(group.lines) and all(line.amount is not None for line in group.lines)


def _supplies(invoice: Invoice) -> Answer:
    """A fee needs its own words on the paper: what it is for."""
    fees = [line for line in invoice.lines() if line.kind == "fee"]
    return _all(line.description for line in fees if not line.say)


_NEEDS: dict[Need, Callable[[Invoice, Sheet], Answer]] = {
    "shop-name": lambda invoice, sheet: _given(invoice.shop.name),
    "shop-address": lambda invoice, sheet: _given(invoice.shop.address),
    "shop-registration": lambda invoice, sheet: _given(invoice.shop.registration),
    "customer": lambda invoice, sheet: BY_HAND,
    "customer-phone": lambda invoice, sheet: BY_HAND,
    "invoice-number": lambda invoice, sheet: BY_HAND,
    "work-order-number": lambda invoice, sheet: BY_HAND,
    "invoice-date": lambda invoice, sheet: BY_HAND,
    "authorization": lambda invoice, sheet: BY_HAND,
    "signature": lambda invoice, sheet: BY_HAND,
    "old-parts-offered": lambda invoice, sheet: BY_HAND,
    "odometer-out": lambda invoice, sheet: ("missing", ()),
    "statement": lambda invoice, sheet: ("missing", ()),
    "work-date": lambda invoice, sheet: _known(invoice.work_date),
    "year": lambda invoice, sheet: _known(invoice.unit.year),
    "make": lambda invoice, sheet: _known(invoice.unit.make),
    "model": lambda invoice, sheet: _known(invoice.unit.model),
    "vin": lambda invoice, sheet: _known(invoice.unit.vin),
    "plate": lambda invoice, sheet: _known(invoice.unit.plate),
    "plate-or-vin": lambda invoice, sheet: _known(invoice.unit.plate or invoice.unit.vin),
    "unit-number": lambda invoice, sheet: _known(invoice.unit.unit_number),
    "odometer": lambda invoice, sheet: _known(invoice.unit.odometer),
    "technician": lambda invoice, sheet: _known(_told(sheet, "tech")),
    "times": lambda invoice, sheet: _known([one for one in sheet.labour if one.basis == "said"]),
    "complaint": lambda invoice, sheet: _each_job(invoice, lambda group: group.complaint, invoice.complaint),
    "cause": lambda invoice, sheet: _each_job(invoice, lambda group: group.cause, invoice.cause),
    "correction": lambda invoice, sheet: _each_job(invoice, lambda group: group.correction),
    "part-condition": lambda invoice, sheet: _all(line.description for line in _parts(invoice) if not line.condition),
    "part-number": lambda invoice, sheet: _all(line.description for line in _parts(invoice) if not line.number),
    "part-price": lambda invoice, sheet: _all(line.description for line in _parts(invoice) if line.amount is None),
    "work-described": lambda invoice, sheet: _known(invoice.work),
    "work-priced": lambda invoice, sheet: _each_job(invoice, _priced),
    "labour-basis": lambda invoice, sheet: _all(
        line.description for line in invoice.lines() if line.kind == "labour" and line.amount is None
    ),
    "supplies-told": lambda invoice, sheet: _supplies(invoice),
    "parts-and-labour-apart": lambda invoice, sheet: MET,  # by the layout: no line is both
    "subtotals": lambda invoice, sheet: _known(invoice.work),
    "tax-apart": lambda invoice, sheet: _all(
        line.description for line in invoice.lines() if line.amount is not None and not line.tax
    ),
    "total": lambda invoice, sheet: _all(line.description for line in invoice.lines() if line.amount is None),
}
