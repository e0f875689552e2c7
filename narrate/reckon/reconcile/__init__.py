"""Jobs and facts -> steps with their states, gaps with their questions, cautions.

In: what one narrative tells, the jobs told from it, and the trade's rules. Out: the records of the sheet. `quote` makes
evidence of character spans, with times where the narrative is timed.
"""

from collections.abc import Mapping, Sequence

from narrate.core.handoffs import Facts
from narrate.core.records import Caution, Gap, Job, Step
from narrate.reckon.evidence import RuleBook, Told, outermost
from narrate.reckon.jobs import JobHit
from narrate.reckon.reconcile.cautions import find_cautions
from narrate.reckon.reconcile.gaps import Quote, find_gaps
from narrate.reckon.reconcile.steps import JobCheck, Outcome
from narrate.reckon.replies import Replies

__all__ = ["check_jobs"]

_MOST_QUOTES = 6  # of one step: more shows nothing more


def check_jobs(
    facts: Facts | Told,
    jobs: Sequence[JobHit],
    book: RuleBook,
    quote: Quote,
    answered: Mapping[str, str] | None = None,
    replies: Replies | None = None,
) -> tuple[tuple[Job, ...], tuple[Gap, ...], tuple[Caution, ...]]:
    """Every step of every job judged; the gaps most urgent first; the cautions that the work calls for.

    `answered` holds steps that something else than the narrative answers, by id, and what does: the date of the notes,
    a shop's setting. They are not asked. `replies`: what answers given later make of the steps that they were about.
    """
    told = facts if isinstance(facts, Told) else Told(facts, book)
    by_job = [(hit, JobCheck(told, hit, jobs, answered or {}, replies or Replies()).outcomes()) for hit in jobs]
    outcomes = [o for _, own in by_job for o in own]
    sheet = tuple(
        Job(id=hit.id, title=hit.title, evidence=quote(hit.spans), steps=tuple(_step(o, quote) for o in own))
        for hit, own in by_job
    )
    return sheet, find_gaps(outcomes, jobs, told.facts, book, quote), find_cautions(told, jobs, outcomes)


def _step(outcome: Outcome, quote: Quote) -> Step:
    return Step(
        id=outcome.rule.id,
        label=outcome.rule.label,
        requirement=outcome.level,
        state=outcome.state,
        evidence=quote(outermost(outcome.proofs)[:_MOST_QUOTES]),
        reason=outcome.reason,
    )
