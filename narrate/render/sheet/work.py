"""Work by job: what was done, moved, fitted and read for each, and the state of each of its steps."""

from __future__ import annotations

from narrate.core.records import Action, Job, Part, Sheet
from narrate.render.formats.page import Block, Body, Column, Fact, Facts, Note, Piece, Row, Table
from narrate.render.sheet.measures import say_count, say_measure
from narrate.render.sheet.quotes import Quotes
from narrate.render.sheet.wording import REQUIREMENT, STATE, STEP, reading_kind

# States whose words say all that there is to say: a reason beside them would only say it again.
_PLAIN = ("recorded", "not recorded")


def no_job(sheet: Sheet) -> str:
    """What a sheet without a job says of itself."""
    return "Nothing said" if not sheet.narrative.strip() else "No job could be told from these notes"


def say_action(action: Action) -> str:
    """An act in words: "replace brake pads, rear"."""
    words = f"{action.verb} {action.component}" if action.component else action.verb
    return f"{words}, {action.position}" if action.position else words


def say_part(part: Part) -> str:
    """A part in words: "2 sealing washers, new"; a count only where one was said."""
    count = say_count(part.quantity, part.unit)
    named = f"{count} × {part.name}" if count else part.name
    rest = [word for word in (part.position, part.condition) if word]
    return ", ".join([named, *rest])


def work_blocks(sheet: Sheet, quotes: Quotes) -> list[Block]:
    """A heading, then a block a job, then what was done for no job that could be told."""
    known = {job.id for job in sheet.jobs}
    blocks = [Block(f"job-{at}", job.title, _job(sheet, job, quotes), 2) for at, job in enumerate(sheet.jobs, start=1)]
    loose = _done(sheet, None, quotes, known)
    if loose:
        heading = "Work that belongs to no job we know" if sheet.jobs else "What was done"
        blocks.append(Block("job-none", heading, (Facts(tuple(loose)),), 2))
    lead: tuple[Body, ...] = ()
    if not sheet.jobs:
        lead = (Note((Piece(f"{no_job(sheet)}, so no steps were looked for.", tone="strong"),)),)
    return [Block("work", "Work by job", lead), *blocks]


def _job(sheet: Sheet, job: Job, quotes: Quotes) -> tuple[Body, ...]:
    told = Fact("Told by", (Piece("these words", quotes.among(job.evidence), tone="faint"),))
    body: list[Body] = [Facts((*_done(sheet, job.id, quotes, set()), told))]
    asked = [step for step in job.steps if step.state != "not applicable"]
    if asked:
        rows = []
        for step in asked:
            mark, words, tone = STEP[step.state]
            missed = step.requirement == "must" and tone == "strong"
            cells = (
                Piece(words, mark=mark, tone="strong" if missed else "plain"),
                Piece(
                    step.label[:1].upper() + step.label[1:],
                    tone="strong" if missed else "plain",
                    note="" if step.state in _PLAIN else step.reason,
                ),
                Piece(REQUIREMENT[step.requirement], tone="plain" if step.requirement == "must" else "faint"),
            )
            rows.append(Row(cells, quotes.among(step.evidence), tone="urgent" if missed else "plain"))
        columns = (Column("State", 28), Column("Step", 58), Column("Step is", 14))
        body.append(Table(f"Steps of {job.title} and their state", columns, tuple(rows)))
    outside = [step for step in job.steps if step.state == "not applicable"]
    if outside:
        mark, words, _ = STEP["not applicable"]
        listed = "; ".join(f"{step.label} ({step.reason})" if step.reason else step.label for step in outside)
        body.append(Note((Piece(f"{words.capitalize()}: {listed}.", mark=mark, tone="faint"),)))
    if not job.steps:
        body.append(Note((Piece("No steps are known for this job.", tone="faint"),)))
    return tuple(body)


def _done(sheet: Sheet, job: str | None, quotes: Quotes, known: set[str]) -> list[Fact]:
    """What was done for one job; with `job` None, for none or for one that is not in `known`."""

    def mine(other: str | None) -> bool:
        return other == job if job is not None else other not in known

    acts: dict[str, list[int]] = {}
    for action in sheet.actions:
        if action.state == "done" and mine(action.job):
            acts.setdefault(say_action(action), []).extend(quotes.of(action))
    moved = {
        way: tuple(
            Piece(f"{say_measure(one.measure)} {one.substance}", quotes.of(one))
            for one in sheet.amounts
            if one.state == "done" and one.direction == way and mine(one.job)
        )
        for way in ("out", "in")
    }
    facts = [
        ("Done", tuple(Piece(words, tuple(refs)) for words, refs in acts.items())),
        (
            "Fitted",
            tuple(Piece(say_part(one), quotes.of(one)) for one in sheet.parts if one.state == "done" and mine(one.job)),
        ),
        ("Came out", moved["out"]),
        ("Went in", moved["in"]),
        (
            "Read or set",
            tuple(
                Piece(f"{one.subject or reading_kind(one.what)} {say_measure(one.measure)}", quotes.of(one))
                for one in sheet.readings
                if one.state == "done" and mine(one.job)
            ),
        ),
        (
            "Time spent",
            tuple(
                Piece(
                    say_measure(one.measure) + (" (inferred from the recording)" if one.basis == "inferred" else ""),
                    quotes.of(one),
                )
                for one in sheet.labour
                if mine(one.job)
            ),
        ),
    ]
    return [Fact(label, pieces, flow=True) for label, pieces in facts if pieces]


def aside_block(sheet: Sheet, quotes: Quotes) -> Block | None:
    """All that was said and is no work done here: plans, refusals, advice, other units, values taken back."""
    rows: list[Row] = []

    def add(kind: str, words: str, state: str, refs: tuple[int, ...]) -> None:
        if state != "done":
            mark, told = STATE[state]  # type: ignore[index]
            rows.append(Row((Piece(told, mark=mark), Piece(kind), Piece(words)), refs))

    for action in sheet.actions:
        add("act", say_action(action), action.state, quotes.of(action))
    for part in sheet.parts:
        add("part", say_part(part), part.state, quotes.of(part))
    for amount in sheet.amounts:
        words = f"{say_measure(amount.measure)} {amount.substance}, {amount.direction}"
        add("amount", words, amount.state, quotes.of(amount))
    for reading in sheet.readings:
        words = f"{reading.subject or reading_kind(reading.what)} {say_measure(reading.measure)}"
        add("reading", words, reading.state, quotes.of(reading))
    if not rows:
        return None
    columns = (Column("How it was said", 30), Column("Kind", 11), Column("What", 59))
    note = Note((Piece("None of this counts as work done, and none of it is billed or balanced.", tone="faint"),))
    return Block("aside", "Said, and not done here", (note, Table("Said, and not done here", columns, tuple(rows))))
