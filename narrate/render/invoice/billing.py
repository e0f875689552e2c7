"""Sheet + price book → invoice draft. Prices are the book's; where it gives none for certain, none is put."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from narrate.core.records import Finding, FindingKind, Job, Sheet
from narrate.render.invoice.labour import labour_lines
from narrate.render.invoice.lines import done_amounts, done_parts, fluid_lines, part_lines
from narrate.render.invoice.match import find_offer
from narrate.render.invoice.money import ROUNDING
from narrate.render.invoice.prices import PriceBook
from narrate.render.invoice.records import Invoice, Line, Offer, Shop, Unit, Work
from narrate.render.invoice.totals import fee_lines, sum_of, take_discounts, take_taxes, total_up
from narrate.render.papers.plain import plain_steps, plain_title, tidy, words_of
from narrate.render.sheet.measures import say_measure
from narrate.render.sheet.top import unit_name


def bill_sheet(sheet: Sheet, book: PriceBook, discounts: Collection[str] = ()) -> Invoice:
    """The draft, without the check of content rules (`rules.check_rules` adds it).

    `discounts` names rows of the book that do not apply by themselves. NarrateError where one is not in it.
    """
    known = frozenset(job.id for job in sheet.jobs)
    labour, shared_time = labour_lines(sheet, book)
    work = [_work(sheet, job, book, known, labour.get(job.id)) for job in sheet.jobs]
    loose = [
        *part_lines(done_parts(sheet, None, known), book),
        *fluid_lines(done_amounts(sheet, None, known), book),
        *([shared_time] if shared_time else []),
    ]
    before_fees = [line for group in work for line in group.lines] + loose
    fees = fee_lines(sheet, book, before_fees)
    visit = None
    if loose or fees:
        all_of_it = (*loose, *fees)
        visit = Work(job=None, title="The whole visit", lines=all_of_it, subtotal=sum_of(all_of_it))
    lines = (*before_fees, *fees)
    taken, off_class = take_discounts(sheet, book, lines, discounts)
    taxes = take_taxes(book, lines, off_class)
    offers = tuple(_offers(sheet, book))
    return Invoice(
        source=sheet.source.name or "notes without a name",
        source_sha256=sheet.source.sha256,
        book=book.name,
        book_sha256=book.sha256,
        shop=Shop(**{name: book.shop(name) for name in Shop.model_fields}),
        work_date=sheet.work_date,
        unit=_unit(sheet),
        complaint=_loose_findings(sheet, "complaint"),
        cause=_loose_findings(sheet, "cause"),
        work=tuple(work),
        visit=visit,
        offers=offers,
        discounts=tuple(taken),
        taxes=tuple(taxes),
        totals=total_up(lines, taken, taxes),
        rounding=ROUNDING,
        settle=tuple(_settle(sheet, lines)),
    )


def _work(sheet: Sheet, job: Job, book: PriceBook, known: frozenset[str], labour: Line | None) -> Work:
    lines = (
        *([labour] if labour else []),
        *part_lines(done_parts(sheet, job.id, known), book),
        *fluid_lines(done_amounts(sheet, job.id, known), book),
    )
    return Work(
        job=job.id,
        title=plain_title(job.title),
        complaint=_findings(sheet, job, "complaint"),
        cause=_cause(sheet, job),
        correction=(plain_title(job.title), *plain_steps(job)),
        lines=lines,
        subtotal=sum_of(lines),
        evidence=job.evidence,
    )


def _findings(sheet: Sheet, job: Job, kind: FindingKind) -> tuple[str, ...]:
    """The complaints or causes of one job: all where it is the only one, else those that its own steps rest on."""
    found = (one for one in sheet.findings if one.kind == kind)
    if len(sheet.jobs) > 1:
        found = (one for one in found if _jobs_of(sheet, one) == [job.id])
    return _tidied(found)


def _cause(sheet: Sheet, job: Job) -> tuple[str, ...]:
    """What was told as the cause; else the faults that steps of this job rest on, and of which nothing is left to do."""
    left = [one for item in sheet.deferred for one in item.evidence]
    faults = (
        one
        for one in sheet.findings
        if one.kind == "fault"
        and _jobs_of(sheet, one) == [job.id]
        and not any(a.start < b.end and b.start < a.end for a in one.evidence for b in left)
    )
    return _findings(sheet, job, "cause") or _tidied(faults)


def _loose_findings(sheet: Sheet, kind: FindingKind) -> tuple[str, ...]:
    """Those that no one job can be given for certain."""
    if len(sheet.jobs) == 1:
        return ()
    return _tidied(one for one in sheet.findings if one.kind == kind and len(_jobs_of(sheet, one)) != 1)


def _tidied(found: Iterable[Finding]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(tidy(words_of(one)) for one in found))


def _jobs_of(sheet: Sheet, finding: Finding) -> list[str]:
    """The jobs with a step that rests on words of the finding, save what every job is asked for (who, what, when)."""
    places = [(one.start, one.end) for one in finding.evidence]
    return [
        job.id
        for job in sheet.jobs
        if any(
            one.start < end and start < one.end for step in job.steps for one in step.evidence for start, end in places
        )
    ]


def _unit(sheet: Sheet) -> Unit:
    unit = sheet.vehicle
    return Unit(
        name=unit_name(unit), year=unit.year, make=unit.make, model=unit.model, vin=unit.vin, plate=unit.plate,
        unit_number=unit.unit_number,
        odometer=say_measure(unit.odometer) if unit.odometer else "",
        engine_hours=say_measure(unit.engine_hours) if unit.engine_hours else "",
    )  # fmt: skip


def _offers(sheet: Sheet, book: PriceBook) -> Iterable[Offer]:
    rows = book.of("offer")
    for one in sheet.deferred:
        if one.closed_by:
            continue  # it was done later on, and is billed as work
        row = find_offer(rows, one.text)
        yield Offer(kind=one.kind, text=tidy(one.text), price=row.price if row else None, row=row.row if row else None,
                    evidence=one.evidence)  # fmt: skip


def _settle(sheet: Sheet, lines: Iterable[Line]) -> Iterable[str]:
    """What a person has to settle: lines with no price first, then what the book leaves open, then the sheet's gaps."""
    held = list(lines)
    for line in held:
        if line.amount is None:
            yield f"{line.description}: {line.settle or 'no price in the book'}."
    for line in held:
        if line.amount is not None and not line.tax:
            yield f"{line.description}: its tax class is not in the book, so no tax is taken on it."
    for line in held:
        if line.kind == "part" and not line.condition:
            yield f"{line.description}: new, used, rebuilt or reconditioned? The notes do not say."
    required = sum(gap.severity == "must" for gap in sheet.gaps)
    if required:
        yield (f"The job sheet still has {required} required "
               f"{'question' if required == 1 else 'questions'} open.")  # fmt: skip
    if not sheet.jobs:
        yield "No job could be told from these notes."
