"""Two statements that cannot both stand -> one question with both quotations.

Only what is told of the same thing with no place, stage or time between: a front and a rear bolt may differ, and a leak
found after the last look is the next finding and no contradiction.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from narrate.core.handoffs import Facts, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Gap
from narrate.reckon.reconcile.phrases import find, says
from narrate.reckon.reconcile.retorqued import retold_torques

Quote = Callable[[Spans], tuple[Evidence, ...]]
_ABOUT = 10  # tokens before a seal kept within which it is named
_REMEDIES = frozenset(
    (
        "replace",
        "repair",
        "tighten",
        "install",
        "seal",
        "torque",
        "retorque",
        "re-seal",
        "reseal",
        "clean",
        "fit",
        "put-in",
    )
)
_KEEPS = frozenset(("reuse", "refit"))


def find_contradictions(facts: Facts, lexicon: Lexicon, quote: Quote) -> list[Gap]:
    """Every pair of statements that contradict each other."""
    return [*retold_torques(facts, lexicon, quote), *_renewed(facts, lexicon, quote), *_dry_and_leaking(facts, quote)]


def _renewed(facts: Facts, lexicon: Lexicon, quote: Quote) -> Iterator[Gap]:
    """A seal told as new, and the old one told as used again, of the same part with no place between them."""
    kept = [(a.thing, a.clause, a.spans[0]) for a in facts.acts if a.verb in _KEEPS and a.state == "done"]
    kept += _kept_by_name(facts, lexicon)
    for part in facts.fitted:
        if part.state != "done" or part.condition != "new" or lexicon.kinds[part.thing] != "seal":
            continue
        for thing, clause, words in kept:
            if thing != part.thing or clause == part.clause:
                continue
            if _located(clause, part.thing, facts) or _located(part.clause, part.thing, facts):
                continue
            yield Gap(
                step=f"contradiction: {part.name} new or reused", kind="contradicted", severity="must",
                message=f"The {part.name} is told as new and as used again.",
                question=f"Was the {part.name} new, or was the old one used again?",
                reasoning=("the same seal, no place between (rule of this program)",),
                evidence=quote((part.spans[0], words)),
            )  # fmt: skip
            return


def _kept_by_name(facts: Facts, lexicon: Lexicon) -> list[tuple[str | None, int, tuple[int, int]]]:
    """ "the old o-rings were good, so reused them": the one seal named shortly before in that sentence."""
    out: list[tuple[str | None, int, tuple[int, int]]] = []
    for first, last in find(facts, "reused", 0, len(facts.tokens)):
        clause = facts.clauses[facts.clause_of[first]]
        renewed = {
            h.id: h for h in facts.hits
            if h.layer == "thing" and first - _ABOUT <= h.first < last and h.id in lexicon.things
            and lexicon.kinds[h.id] == "seal" and facts.clauses[facts.clause_of[h.first]].sentence == clause.sentence
        }  # fmt: skip
        if clause.state == "done" and len(renewed) == 1:
            thing, hit = renewed.popitem()
            out.append((thing, facts.clause_of[hit.first], (facts.tokens[hit.first].start, facts.tokens[last - 1].end)))
    return out


def _located(clause: int, thing: str, facts: Facts) -> bool:
    """Whether the clause names another part, or a place, that a seal can be of."""
    here = facts.clauses[clause]
    others = any(h.layer == "thing" and h.id != thing and here.first <= h.first < here.last for h in facts.hits)
    return others or says(facts, "places", here.first, here.last)


def _dry_and_leaking(facts: Facts, quote: Quote) -> Iterator[Gap]:
    """Told as dry, then a leak told with nothing done about it after: which of the two stands?"""
    end = len(facts.tokens)
    dry = [span for span in find(facts, "all_dry", 0, end) if _stands(span, facts)]
    leaks = [span for span in find(facts, "leak_found", 0, end) if _stands(span, facts)]
    if not dry or not leaks or leaks[-1][0] < max(last for _, last in dry):
        return
    leak = leaks[-1]
    if says(facts, "excused", max(last for _, last in dry), leak[1] + 8):
        return
    at = facts.tokens[leak[0]].start
    later = any(
        a.spans[0][0] >= at and a.verb in _REMEDIES and a.state in ("done", "planned", "not_done") for a in facts.acts
    )
    if later or any(d.spans[-1][1] >= at for d in facts.deferred) or any(f.spans[0][0] >= at for f in facts.fitted):
        return
    yield Gap(
        step="contradiction: dry or leaking", kind="contradicted", severity="must",
        message="It is told as dry, and after that a leak is told with nothing done about it.",
        question="You said that it was dry, and then told of a leak: which is it now?",
        reasoning=("a leak told after the last dry look, with no work after it (rule of this program)",),
        evidence=quote(tuple(_clause(span[0], facts) for span in (dry[-1], leak))),
    )  # fmt: skip


def _stands(span: tuple[int, int], facts: Facts) -> bool:
    clause = facts.clauses[facts.clause_of[span[0]]]
    at = facts.tokens[span[0]].start
    complained = any(n.kind == "complaint" and any(a <= at < b for a, b in n.spans) for n in facts.noted)
    return clause.state in ("done", "not_done") and not complained


def _clause(token: int, facts: Facts) -> tuple[int, int]:
    clause = facts.clauses[facts.clause_of[token]]
    return facts.tokens[clause.first].start, facts.tokens[clause.last - 1].end
