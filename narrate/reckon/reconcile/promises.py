"""Open items: what was planned, promised, recommended or declined, and the later words that close one of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from narrate.core.handoffs import Deferral, Facts, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Deferred, Evidence
from narrate.reckon.reconcile.phrases import find

Quote = Callable[[Spans], tuple[Evidence, ...]]
_HARD_BEHIND = 14  # tokens from a promise to "and i did"
_OPPOSITE = (("front", "rear"), ("left", "right"))
WORK = frozenset(
    ("replace", "install", "repair", "clean", "adjust", "fill", "change", "torque", "retorque", "machine", "flush")
)


def close_promises(lines: tuple[Deferred, ...], facts: Facts, lexicon: Lexicon, quote: Quote) -> tuple[Deferred, ...]:
    """The open items with what closes them; they stand in the order of the facts. Advice is closed by work alone."""
    out = []
    for line, deferral in zip(lines, facts.deferred, strict=True):
        spans = tuple(closing(deferral, facts, lexicon))[:1]
        out.append(line.model_copy(update={"closed_by": quote(spans)}) if spans else line)
    return tuple(out)


def _same_act(deferral: Deferral, facts: Facts, lexicon: Lexicon, end: int) -> Iterator[tuple[int, int]]:
    """Where the very act that was left is told as done later: "will flush the coolant ... flushed the coolant"."""
    owed = [a for a in facts.acts if a.clause == deferral.clause and a.state == "planned" and a.thing is not None]
    for act in facts.acts:
        if act.state == "done" and act.thing is not None and act.spans[0][0] >= end:
            if any(a.verb == act.verb and lexicon.is_a(act.thing, (a.thing or "",)) for a in owed):
                clause = facts.clauses[act.clause]
                yield facts.tokens[clause.first].start, facts.tokens[clause.last - 1].end


def closing(deferral: Deferral, facts: Facts, lexicon: Lexicon) -> Iterator[tuple[int, int]]:
    """Later places that tell the thing as done: "and i did" hard behind it, or the part told as renewed or worked on."""
    end = deferral.spans[0][1]
    if deferral.kind in ("promised", "planned"):
        last = facts.clauses[deferral.clause].last
        for first, stop in find(facts, "kept", facts.clauses[deferral.clause].first, last + _HARD_BEHIND):
            if facts.clauses[facts.clause_of[first]].state in ("done", "planned"):
                yield facts.tokens[first].start, facts.tokens[stop - 1].end
                return
    named = tuple(
        t for t in deferral.things if t in lexicon.things and lexicon.kinds[t] not in ("place", "tool", "fluid")
    )
    if deferral.kind == "declined":
        return
    for part in facts.fitted:
        if part.state == "done" and part.thing in named and part.spans[0][0] >= end:
            if not _elsewhere(deferral, part.position, facts):
                yield part.spans[0]
    for act in facts.acts:
        if act.state == "done" and act.verb in WORK and act.thing in named and act.spans[0][0] >= end:
            if not _elsewhere(deferral, act.position, facts):
                yield act.spans[0]
    yield from _same_act(deferral, facts, lexicon, end)


def _elsewhere(deferral: Deferral, position: str | None, facts: Facts) -> bool:
    """Whether work was on the other side or axle than what was left: rear shocks are not done with the front ones."""
    clause = facts.clauses[deferral.clause]
    left = {facts.tokens[i].low for i in range(clause.first, clause.last)}
    done = set((position or "").split())
    return any(
        one in done and other in left and one not in left for pair in _OPPOSITE for one, other in (pair, pair[::-1])
    )
