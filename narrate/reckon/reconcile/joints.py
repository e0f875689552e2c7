"""Joints opened against seals renewed, where both were counted: "opened four joints", "three new o-rings"."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from narrate.core.handoffs import Facts, Fitted, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Gap
from narrate.reckon.reconcile.counts import count_of
from narrate.reckon.reconcile.phrases import find, says

Quote = Callable[[Spans], tuple[Evidence, ...]]
_NEAR = 5  # tokens from the verb to the count


def balance_joints(facts: Facts, lexicon: Lexicon, quote: Quote) -> list[Gap]:
    """A question where fewer seals went in than joints were opened; more may well go in, a joint has one or two."""
    opened = list(_opened(facts))
    if len(opened) != 1:
        return []
    many, first, last = opened[0]
    fresh = [f for f in facts.fitted if f.state == "done" and lexicon.kinds[f.thing] == "seal"]
    if not fresh or any(_count(f) is None for f in fresh):
        return []
    renewed = sum(_count(f) or 0 for f in fresh)
    if renewed >= many or says(facts, "reused", 0, len(facts.tokens)):
        return []
    place = (facts.tokens[first].start, facts.tokens[last - 1].end)
    name = lexicon.things[fresh[0].thing].name
    return [Gap(
        step="count: joints opened against what was renewed", kind="imbalance", severity="should",
        message=f"{many} joints were opened, and only {renewed} new are told: {name}.",
        question=f"{many} joints opened and {renewed} new ({name}): what of the other {many - renewed}?",
        reasoning=(f"{many} - {renewed} = {many - renewed}", "one new at least for each joint opened (common practice, no source)"),
        evidence=quote((place, *(f.spans[0] for f in fresh))),
    )]  # fmt: skip


def _count(part: Fitted) -> int | None:
    return None if part.quantity is None else int(part.quantity)


def _opened(facts: Facts) -> Iterator[tuple[int, int, int]]:
    """(how many, first, last token) of each count of joints behind a verb of opening that was done."""
    for first, last in find(facts, "undone", 0, len(facts.tokens)):
        clause = facts.clauses[facts.clause_of[first]]
        if clause.state != "done":
            continue
        for i in range(last, min(last + _NEAR, clause.last)):
            many = count_of(facts.tokens[i].low)
            joint = next((span for span in find(facts, "opened", i + 1, min(i + 4, clause.last))), None)
            if many is not None and joint is not None and many > 1:
                yield many, first, joint[1]
                break
