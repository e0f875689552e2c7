"""Facts -> the job that each belongs to.

A fact goes to the job that covers its thing; where several do, or none, to the one that is being told at that place.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from narrate.core.handoffs import Act, Fitted, Measured, Moved, Spans
from narrate.reckon.evidence import Told
from narrate.reckon.jobs.tell import JobHit


def assign_facts(told: Told, hits: Sequence[JobHit]) -> tuple[JobHit, ...]:
    """The jobs, each with the indexes of its acts, fitted parts, amounts and readings."""
    if not hits:
        return ()
    owners = [_owned(told, hit) for hit in hits]
    facts = told.facts
    groups: dict[str, Sequence[Act | Fitted | Moved | Measured]] = {
        "acts": facts.acts,
        "fitted": facts.fitted,
        "moved": facts.moved,
        "measured": facts.measured,
    }
    mine: list[dict[str, list[int]]] = [defaultdict(list) for _ in hits]
    for kind, group in groups.items():
        for index, fact in enumerate(group):
            if fact.state == "elsewhere":
                continue
            wider = told.book.wider.get(fact.thing or "", frozenset())
            claims = [n for n, owned in enumerate(owners) if not wider.isdisjoint(owned)]
            mine[_nearest(fact.spans, hits, claims)][kind].append(index)
    return tuple(
        replace(hit, facts={kind: tuple(indexes) for kind, indexes in own.items()})
        for hit, own in zip(hits, mine, strict=True)
    )


def _owned(told: Told, hit: JobHit) -> frozenset[str]:
    if hit.thing is not None:
        return frozenset((hit.thing,))
    job = told.book.procedure(hit.procedure)
    if hit.head is not None:
        return frozenset((hit.head, *job.covers))
    if hit.piece:
        piece = next(p for p in job.pieces if p.id == hit.piece)
        return frozenset(t for clue in piece.starts for t in (*clue.part, *clue.on, *clue.of)) or frozenset(job.heads)
    return frozenset((*job.heads, *job.covers))


def _nearest(spans: Spans, hits: Sequence[JobHit], claims: Sequence[int]) -> int:
    """The job being told at a place: the claimant whose words stand nearest."""
    among = claims or range(len(hits))
    at = spans[0][0] if spans else 0
    return min(among, key=lambda n: (min([abs(at - start) for start, _ in hits[n].spans]), n))
