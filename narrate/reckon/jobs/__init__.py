"""Facts -> jobs: what was done, as the lines of work that a customer would read.

In: what one narrative tells, and the trade's rules. Out: a JobHit for each job, with the facts that belong to it; ()
where nothing was done that the trade knows.
"""

from narrate.core.handoffs import Facts
from narrate.reckon.evidence import RuleBook, Told
from narrate.reckon.jobs.assign import assign_facts
from narrate.reckon.jobs.others import find_others
from narrate.reckon.jobs.tell import JobHit, find_procedures, part_of_job

__all__ = ["JobHit", "part_of_job", "tell_jobs"]


def tell_jobs(facts: Facts | Told, book: RuleBook) -> tuple[JobHit, ...]:
    """The jobs that were done, in the order in which they are told."""
    told = facts if isinstance(facts, Told) else Told(facts, book)
    kept, hits = find_procedures(told)
    every = (*hits, *find_others(told, kept, hits))
    return assign_facts(told, sorted(every, key=lambda hit: (hit.start, hit.id)))
