"""What some words are enough for: the jobs that they tell of, and the steps that they put on record."""

from __future__ import annotations

from narrate.core.handoffs import Facts
from narrate.reckon.evidence import RuleBook, Told, Weigher
from narrate.reckon.jobs import tell_jobs


def jobs_told(facts: Facts, book: RuleBook) -> tuple[str, ...]:
    """The titles of the jobs that these words alone tell of; () where they tell of none."""
    return tuple(hit.title for hit in tell_jobs(facts, book))


def steps_met(facts: Facts, book: RuleBook) -> tuple[str, ...]:
    """Every step that these words put on record, `module.step` or `job.step`, once each, in the order of the lexicon.

    A step that is only told of through another step or job is not listed: it needs the rest of a narrative.
    """
    told = Told(facts, book)
    out: dict[str, None] = {}
    for job in book.jobs:
        ask = Weigher(told, own=(*job.heads, *job.covers))
        for planned in book.steps[job.id]:
            clues = (*planned.rule.met_by, *(clue for value in planned.rule.values for clue in value.by))
            if any(proof.spans for proof in ask.proofs(clues)):
                out.setdefault(f"{planned.module or job.id}.{planned.rule.id}")
    return tuple(out)
