"""The customer's copy: what was done, what went in, what was measured, and what is left to decide; in plain words.

It blames nobody, quotes nobody and asks nothing: gaps, quotations and reasoning are the shop's own matter.
"""

from __future__ import annotations

from collections.abc import Iterable

from narrate.core.records import Action, Deferred, DeferredKind, Job, Reading, Record, Sheet
from narrate.render.formats.page import Block, Column, Fact, Facts, Mark, Note, Page, Piece, Row, Signatures, Table
from narrate.render.invoice.prices import key_words
from narrate.render.papers.plain import (
    plain_steps,
    plain_title,
    say_plainly,
    split_names,
    urgency_of,
    without_answer,
    without_blame,
    words_of,
)
from narrate.render.papers.words import plain_words
from narrate.render.sheet.measures import say_count, say_measure
from narrate.render.sheet.top import unit_name
from narrate.render.sheet.wording import LEFT, ODD, ONLY_SAID

TITLE = "For the customer"
_LONGEST_CAUSE = 30  # words; a longer one is the technician thinking aloud

# How work that is left stands, the one that decides first: who declined a recommendation has decided.
_STANDS: dict[DeferredKind, tuple[int, Mark, str]] = {
    "declined": (0, LEFT, "You declined it"),
    "planned": (1, ONLY_SAID, "Planned"),
    "promised": (2, ONLY_SAID, "We said we would do it"),
    "recommended": (3, ODD, "We recommend it"),
}


def arrange_customer(sheet: Sheet) -> Page:
    """Lay the customer's copy out."""
    unit = unit_name(sheet.vehicle)
    blocks = [
        _unit(sheet),
        _told(sheet),
        *_work(sheet),
        _left(sheet),
        _cautions(sheet),
        Block("sign", "Received", (Signatures("This copy is yours to keep.", ("Handed over by", "Received by")),)),
    ]
    return Page(
        title=TITLE,
        headline=f"Work on your {unit}" if unit else "Work that was done",
        running=" · ".join(part for part in (TITLE, unit) if part),
        origin=f"Record {sheet.source.sha256[:16]}",
        blocks=tuple(block for block in blocks if block is not None),
        keywords=tuple(plain_title(job.title) for job in sheet.jobs),
        dated=sheet.work_date or sheet.dictated_on,
    )


def _unit(sheet: Sheet) -> Block | None:
    unit = sheet.vehicle
    known = (
        ("Unit", unit_name(unit)),
        ("VIN", unit.vin),
        ("Plate", unit.plate),
        ("Unit number", unit.unit_number),
        ("Odometer", say_measure(unit.odometer) if unit.odometer else None),
        ("Engine hours", say_measure(unit.engine_hours) if unit.engine_hours else None),
        ("Work done on", sheet.work_date.isoformat() if sheet.work_date else None),
    )
    facts = tuple(Fact(label, (Piece(said, tone="strong"),)) for label, said in known if said)
    return Block("unit", "Your unit", (Facts(facts, across=4),)) if facts else None


def _told(sheet: Sheet) -> Block | None:
    """The complaint as it was told, and the cause where it is told in a sentence that blames nobody."""
    complaints = _plain(words_of(one) for one in sheet.findings if one.kind == "complaint")
    causes = [
        cause
        for cause in _plain(words_of(one) for one in sheet.findings if one.kind == "cause")
        if len(cause.split()) <= _LONGEST_CAUSE
    ]
    listed = (("What you told us", complaints), ("What we found", causes))
    facts = tuple(Fact(label, tuple(Piece(text) for text in texts)) for label, texts in listed if texts)
    return Block("told", "Why it came in", (Facts(facts),)) if facts else None


def _work(sheet: Sheet) -> list[Block]:
    known = {job.id for job in sheet.jobs}
    blocks = [Block(f"work-{at}", plain_title(job.title), body, 2) for at, job in enumerate(sheet.jobs, start=1)
              if (body := _job(sheet, job, known))]  # fmt: skip
    loose = _job(sheet, None, known)
    if loose:
        blocks.append(Block("work-more", "Also done" if sheet.jobs else "What was done", loose, 2))
    if not blocks:
        return [Block("work", "What was done", (Note((Piece("No work is on record."),)),))]
    return [Block("work", "What was done", ()), *blocks]


def _job(sheet: Sheet, job: Job | None, known: set[str]) -> tuple[Facts | Table, ...]:
    """What was done for one job; with None, for none that is known."""

    def mine(of: str | None) -> bool:
        return of == job.id if job else of not in known

    steps = plain_steps(job) if job else ()
    went_in = [
        f"{say_plainly(one.measure)} {one.substance}"
        for one in sheet.amounts
        if one.state == "done" and one.direction == "in" and mine(one.job)
    ]
    measured = _say_readings(one for one in sheet.readings if mine(one.job) and _is_told(one))
    listed = (("Done", steps), ("Filled", went_in), ("Measured", measured))
    facts = tuple(
        Fact(label, tuple(Piece(text) for text in dict.fromkeys(texts)), flow=label == "Filled")
        for label, texts in listed
        if texts
    )
    rows = tuple(
        Row(
            (
                Piece(say_count(one.quantity, one.unit) or "–"),
                Piece(one.name[:1].upper() + one.name[1:], tone="strong"),
                Piece(one.position or "–"),
                Piece(one.condition or "not noted", tone="plain" if one.condition else "faint"),
            )
        )
        for one in sheet.parts
        if one.state == "done" and mine(one.job)
    )
    columns = (Column("Quantity", 14, "right"), Column("Part", 44), Column("Where", 22), Column("New or used", 20))
    table = (Table("Parts fitted", columns, rows, cited=False),) if rows else ()
    return (*((Facts(facts),) if facts else ()), *table)


def _is_told(reading: Reading) -> bool:
    return reading.state == "done" and reading.subject is not None and reading.what in plain_words().readings


def _say_readings(readings: Iterable[Reading]) -> list[str]:
    """Readings of one thing on a line: "Tread depth: left front 6/32 in, right front 5/32 in"."""
    lines: dict[str, list[str]] = {}
    for one in readings:
        thing, _, place = (one.subject or one.what).partition(", ")
        lines.setdefault(thing, []).append(f"{place} {say_plainly(one.measure)}".strip())
    return [f"{thing[:1].upper()}{thing[1:]}: {', '.join(values)}" for thing, values in lines.items()]


def _left(sheet: Sheet) -> Block | None:
    """Work that was not done: each thing once, in the state that decides, and how pressing it was said to be."""
    rows = []
    for group in _groups(one for one in sheet.deferred if not one.closed_by):
        rank, mark, stands = min((_STANDS[one.kind] for one in group), key=lambda held: held[0])
        urgency = urgency_of(said for one in group for said in (one.text, *(place.quote for place in one.evidence)))
        what = _what(sheet, group)
        cells = (
            Piece(what[:1].upper() + what[1:], tone="strong"),
            Piece(stands, mark=mark),
            Piece(urgency[:1].upper() + urgency[1:]) if urgency else Piece("no time was named", tone="faint"),
        )
        rows.append((rank, Row(cells, tone="urgent" if rank == 0 else "plain")))
    if not rows:
        return None
    ordered = tuple(row for _, row in sorted(rows, key=lambda held: held[0]))
    columns = (Column("Work", 44), Column("How it stands", 28), Column("How soon, as said", 28))
    return Block("left", "Not done, and still to decide", (Table("Work not done", columns, ordered, cited=False),))


def _groups(deferred: Iterable[Deferred]) -> list[list[Deferred]]:
    """What was said in the same words is one piece of work, recommended and then declined."""
    groups: list[list[Deferred]] = []
    for one in deferred:
        near = [group for group in groups if any(_overlaps(one, other) for other in group)]
        groups = [group for group in groups if group not in near]
        groups.append([*(other for group in near for other in group), one])
    return groups


def _what(sheet: Sheet, group: list[Deferred]) -> str:
    """What the work is: the acts that were named and not done, else the fewest words, less blame; never nothing."""
    said = f" {key_words(' '.join(one.text for one in group))} "
    acts = [
        _say_act(action)
        for action in sheet.actions
        if action.state != "done"
        and action.verb in plain_words().later_acts
        and action.component
        and f" {key_words(action.component)} " in said
        and any(_overlaps(action, one) for one in group)
    ]
    if acts:
        return "; ".join(dict.fromkeys(acts))
    named, words = min((split_names(one) for one in group), key=lambda held: len(held[1]))
    words = without_blame(without_answer(words))
    return (f"{named}: {words}" if named and words else named or words) or "further work, as we told you"


def _say_act(action: Action) -> str:
    return f"{action.verb} {action.component}" + (f", {action.position}" if action.position else "")


def _overlaps(one: Record, other: Record) -> bool:
    return any(
        a.start < b.end and b.start < a.end
        for a in getattr(one, "evidence", ())
        for b in getattr(other, "evidence", ())
    )


def _plain(texts: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(plain for text in texts if (plain := without_blame(text))))


def _cautions(sheet: Sheet) -> Block | None:
    """Of the cautions that the work calls for, those that whoever uses the unit has to know."""
    told = plain_words().for_users
    pieces = tuple(Piece(one.text, mark=ODD) for one in sheet.cautions if told.search(one.text))
    if not pieces:
        return None
    rows = tuple(Row((piece,)) for piece in pieces)
    table = Table("What to know", (Column("What to know", 100),), rows, cited=False)
    return Block("cautions", "Please note", (table,))
