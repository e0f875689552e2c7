"""The head of the sheet: the unit under work, how things stand, what was wrong, and what is still to be answered."""

from __future__ import annotations

from dataclasses import replace

from narrate.core.records import Evidence, FindingKind, Measure, Sheet, Vehicle
from narrate.core.written import write_name
from narrate.render.formats.page import Block, Column, Fact, Facts, Note, Piece, Row, Table
from narrate.render.sheet.measures import say_measure
from narrate.render.sheet.quotes import Quotes
from narrate.render.sheet.wording import BALANCE, FOUND, NOT_SAID, REQUIREMENT

_UNSAID = Piece(NOT_SAID, tone="faint")


def unit_name(vehicle: Vehicle) -> str:
    """Year, make and model as far as they were said, with capitals; empty where none was."""
    said = (str(vehicle.year) if vehicle.year else None, vehicle.make, vehicle.model)
    return write_name(" ".join(part for part in said if part))


def unit_block(sheet: Sheet, quotes: Quotes) -> Block:
    """The unit under work. A field that was not said says so, and stays empty."""
    vehicle = sheet.vehicle
    everywhere = quotes.among(vehicle.evidence)

    def said(text: str | None, note: str = "", own: tuple[Evidence, ...] = ()) -> Piece:
        return Piece(text, quotes.among(own) or everywhere, tone="strong", note=note) if text else _UNSAID

    def metered(measure: Measure | None) -> Piece:
        return said(say_measure(measure), own=measure.evidence) if measure else _UNSAID

    vin_note = {True: "check digit agrees", False: "check digit does not agree", None: ""}[vehicle.vin_valid]
    facts = [
        Fact("Unit", (said(unit_name(vehicle)),)),
        Fact("VIN", (said(vehicle.vin, vin_note),)),
        Fact("Odometer", (metered(vehicle.odometer),)),
        Fact("Plate", (said(vehicle.plate),)),
    ]
    if vehicle.engine_hours:
        facts.append(Fact("Engine hours", (metered(vehicle.engine_hours),)))
    if vehicle.unit_number:
        facts.append(Fact("Unit number", (said(vehicle.unit_number),)))
    worked = Piece(sheet.work_date.isoformat(), tone="strong") if sheet.work_date else _UNSAID
    noted = (
        Piece(sheet.dictated_on.isoformat(), tone="strong") if sheet.dictated_on else Piece("not given", tone="faint")
    )
    facts += [Fact("Work done on", (worked,)), Fact("Notes made on", (noted,))]
    return Block("unit", "Unit under work", (Facts(tuple(facts), across=4),))


def standing_block(sheet: Sheet) -> Block:
    """How many steps are on record, how many questions are open, how the fluids stand: nothing new."""
    steps = [step for job in sheet.jobs for step in job.steps if step.state != "not applicable"]
    on_record = sum(step.state == "recorded" for step in steps)
    answered = sum(step.state == "not done with reason" for step in steps)
    required = sum(gap.severity == "must" for gap in sheet.gaps)
    open_now = Piece(str(len(sheet.gaps)) if sheet.gaps else "none", tone="strong")
    if required:
        open_now = replace(open_now, note=f"{required} of them required")
    said = f"{on_record} of {len(steps)}" if steps else "no steps known"
    note = f"{answered} more not done, with the reason given" if answered else ""
    fluids = tuple(
        Piece(f"{one.substance}: {BALANCE[one.verdict][1]}", mark=BALANCE[one.verdict][0]) for one in sheet.balances
    )
    facts = (
        Fact("Steps on record", (Piece(said, tone="strong", note=note),)),
        Fact("Open questions", (open_now,)),
        Fact("Fluids out and in", fluids or (Piece("nothing to compare", tone="faint"),)),
    )
    return Block("standing", "In short", (Facts(facts, across=3),))


def complaint_block(sheet: Sheet, quotes: Quotes) -> Block:
    """Complaint, cause and correction, and what else was found, in the speaker's words."""

    def found(kind: FindingKind) -> tuple[Piece, ...]:
        return tuple(Piece(one.text, quotes.of(one)) for one in sheet.findings if one.kind == kind)

    facts = [Fact(FOUND[kind], found(kind) or (_UNSAID,)) for kind in ("complaint", "cause")]
    correction = tuple(Piece(job.title) for job in sheet.jobs)
    facts.append(Fact("Correction", correction or (Piece("no job could be told from these notes", tone="faint"),)))
    facts += [Fact(FOUND[kind], found(kind)) for kind in ("fault", "observation") if found(kind)]
    return Block("complaint", "Complaint, cause, correction", (Facts(tuple(facts)),))


def questions_block(sheet: Sheet, quotes: Quotes) -> Block:
    """What an auditor would ask, most urgent first, with room on paper for the answer."""
    if not sheet.gaps:
        none = "No question is open." if sheet.jobs else "No question is open, because no job is known."
        return Block("questions", "Open questions", (Note((Piece(none),)),))
    titles = {job.id: job.title for job in sheet.jobs} if len(sheet.jobs) > 1 else {}
    rows = []
    for number, gap in enumerate(sheet.gaps, start=1):
        plain = gap.kind == "missing" and gap.severity == "should"  # the question says it all
        about = " · ".join(part for part in (titles.get(gap.job or "", ""), "" if plain else gap.message) if part)
        rows.append(
            Row(
                (
                    Piece(str(number)),
                    Piece(gap.question, tone="strong", note=about),
                    Piece(REQUIREMENT[gap.severity], tone="strong" if gap.severity == "must" else "plain"),
                    Piece(""),
                ),
                quotes.of(gap),
                tone="urgent" if gap.severity == "must" else "plain",
            )
        )
    columns = (
        Column("No.", 5, "right"),
        Column("Question, and why", 54),
        Column("Answer is", 12),
        Column("Answer", 29, blank=True),
    )
    return Block("questions", "Open questions", (Table("Open questions, most urgent first", columns, tuple(rows)),))
