"""The time spent, by job: each time said goes to the job that the words beside it tell of.

With one job on the sheet all of it is that job's. With several a time belongs to the job named nearest before it in the
same statement; told of the whole, or with no job near, it stays with none.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from narrate.core.handoffs import Facts
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Job, Labour
from narrate.core.tokens import phrase_keys

_REACH = 30  # tokens back from a time to the work that it was spent on
_AFTER = 8  # ... and on, where the time leads: "two hours on the alternator"


def with_jobs(labour: tuple[Labour, ...], jobs: Sequence[Job], facts: Facts, lexicon: Lexicon) -> tuple[Labour, ...]:
    """Each time with its job, in the order in which they were told."""
    if not labour or not jobs:
        return labour
    if len(jobs) == 1:
        return tuple(one if one.job else one.model_copy(update={"job": jobs[0].id}) for one in labour)
    starts = [token.start for token in facts.tokens]
    places = sorted((_token(starts, e.start), job.id) for job in jobs for e in job.evidence)
    out, since = [], 0
    for one in sorted(labour, key=lambda line: line.evidence[0].start):
        first, last = _token(starts, one.evidence[0].start), _token(starts, one.evidence[0].end - 1) + 1
        job = None if one.job or _of_all(facts, lexicon, first) else _nearest(places, facts, first, last, since)
        out.append(one.model_copy(update={"job": job}) if job else one)
        since = last
    return tuple(out)


def _token(starts: Sequence[int], at: int) -> int:
    return max(0, bisect_right(starts, at) - 1)


def _nearest(places: Sequence[tuple[int, str]], facts: Facts, first: int, last: int, since: int) -> str | None:
    """The job told nearest before a time, since the time told last; else the one hard behind it. None where two are."""
    before = [(at, job) for at, job in places if max(since, first - _REACH) <= at < first]
    if before:
        nearest = max(at for at, _ in before)
        near = {job for at, job in before if at == nearest}
        return near.pop() if len(near) == 1 else None
    behind = [(at, job) for at, job in places if last <= at < last + _AFTER and _same_sentence(facts, first, at)]
    near = {job for at, job in behind if at == min(a for a, _ in behind)}
    return near.pop() if len(near) == 1 else None


def _same_sentence(facts: Facts, one: int, other: int) -> bool:
    return facts.clauses[facts.clause_of[one]].sentence == facts.clauses[facts.clause_of[other]].sentence


def _of_all(facts: Facts, lexicon: Lexicon, at: int) -> bool:
    """Whether the clause says that the time is of everything."""
    clause = facts.clauses[facts.clause_of[at]]
    keys = [token.key for token in facts.tokens[clause.first : clause.last]]
    said = [phrase_keys(words) for words in lexicon.word_sets["whole-job"]]
    return any(tuple(keys[i : i + len(p)]) == tuple(p) for p in said for i in range(len(keys) - len(p) + 1))
