"""The order of the work: where "before" and "after" join two steps the wrong way round, that is a contradiction.

Joining words and times of day tell order for certain, "then" likely. The order of telling does not: people tell what
comes to mind.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Facts, Spans
from narrate.core.records import Evidence, Gap, Job, Step
from narrate.reckon.evidence import RuleBook
from narrate.reckon.reconcile.clock import minutes_of
from narrate.reckon.reconcile.phrases import find

Quote = Callable[[Spans], tuple[Evidence, ...]]
_QUARTER_DAY = 6 * 60  # minutes: with no morning or afternoon said, 11:50 and 12:20 are half an hour apart
_TIMES = frozenset(("s", "min", "h", "d"))
_TWO = 2  # clock times, to tell an order
_REACH = 14  # tokens about a joining word within which both steps stand


@dataclass(frozen=True, slots=True)
class Place:
    """Tokens of a step's evidence."""

    first: int
    last: int


def find_disorder(facts: Facts, jobs: Sequence[Job], book: RuleBook, quote: Quote) -> list[Gap]:
    """A contradiction for each pair of steps that the narrative clearly tells in the wrong order; each pair once."""
    joints = [(a, b, "before") for a, b in find(facts, "before_words", 0, len(facts.tokens))]
    joints += [(a, b, "after") for a, b in find(facts, "after_words", 0, len(facts.tokens))]
    clocks = _clocks(facts)
    thens = list(find(facts, "then_words", 0, len(facts.tokens)))
    if not joints and not thens and len(clocks) < _TWO:
        return []
    starts = {t.start: i for i, t in enumerate(facts.tokens)}
    gaps: dict[tuple[str, str], Gap] = {}
    for job in jobs:
        steps = {s.id: s for s in job.steps if s.state in ("recorded", "value missing") and s.evidence}
        for earlier, later in _must_order(job.id, book):
            if earlier not in steps or later not in steps or (earlier, later) in gaps:
                continue
            one, two = _places(steps[earlier], facts, starts), _places(steps[later], facts, starts)
            joint = next((j for j in joints if _broken(j, one, two, facts)), None)
            if joint is not None:
                gaps[earlier, later] = _ask(job, steps[earlier], steps[later], facts, joint, quote)
            elif (by := _by_clock(one, two, clocks, facts)) or (by := _by_then(one, two, thens, facts)):
                gaps[earlier, later] = _told(job, steps[earlier], steps[later], by, quote)
    return list(gaps.values())


def _must_order(job: str, book: RuleBook) -> list[tuple[str, str]]:
    """(earlier, later) by the procedure's `after` and `before`."""
    planned: Mapping[str, object] = {p.rule.id: p for p in book.steps.get(job, ())}
    pairs = []
    for p in book.steps.get(job, ()):
        pairs += [(one, p.rule.id) for one in p.rule.after if one in planned]
        pairs += [(p.rule.id, one) for one in p.rule.before if one in planned]
    return pairs


def _places(step: Step, facts: Facts, starts: Mapping[int, int]) -> list[Place]:
    out = []
    for evidence in step.evidence:
        first = starts.get(evidence.start)
        if first is None:
            continue
        last = first
        while last < len(facts.tokens) and facts.tokens[last].start < evidence.end:
            last += 1
        if (
            last - first <= _REACH and facts.clause_of[first] == facts.clause_of[last - 1]
        ):  # more is what leads up to it
            out.append(Place(first, last))
    return out


def _broken(joint: tuple[int, int, str], earlier: Sequence[Place], later: Sequence[Place], facts: Facts) -> bool:
    """ "LATER before EARLIER", "EARLIER after LATER": both within one sentence, each a clause of its own."""
    first, last, word = joint
    if facts.clauses[facts.clause_of[first]].state != "done":
        return False
    if any(q.unit in _TIMES and first <= q.first <= last + 1 for q in facts.quantities):
        return False  # "after an hour": a time, and no other step
    left, right = (later, earlier) if word == "before" else (earlier, later)
    return any(
        a.last <= first and first - a.last <= _REACH // 2 and b.first >= first and b.first - last <= _REACH // 2
        and facts.clauses[facts.clause_of[a.first]].sentence == facts.clauses[facts.clause_of[b.first]].sentence
        and facts.clause_of[b.first] == facts.clause_of[first]  # "0.3 L after run, sight glass mid" joins no glass
        for a in left for b in right
    )  # fmt: skip


def _clocks(facts: Facts) -> dict[int, tuple[int, str]]:
    """Clause -> minutes and words of the one time of day said in it; a clause with two tells a span and no moment."""
    said: dict[int, list[tuple[int, str]]] = {}
    for label in facts.labels:
        if label.kind == "clock" and (read := minutes_of(label.text)) is not None:
            said.setdefault(facts.clause_of[label.first], []).append((read[0], label.text))
    return {clause: times[0] for clause, times in said.items() if len(times) == 1}


def _by_clock(
    earlier: Sequence[Place], later: Sequence[Place], clocks: Mapping[int, tuple[int, str]], facts: Facts
) -> str | None:
    """What tells that the later step bears the earlier time of day; each with one time only, within six hours."""
    first = {clocks[c] for p in earlier if (c := facts.clause_of[p.first]) in clocks}
    second = {clocks[c] for p in later if (c := facts.clause_of[p.first]) in clocks}
    if len(first) != 1 or len(second) != 1:
        return None
    (late, late_words), (early, early_words) = first.pop(), second.pop()
    if not 0 < late - early < _QUARTER_DAY:
        return None
    return f"the clock times said, {early_words} and {late_words}, set their order: sure, if both are of one day"


def _by_then(
    earlier: Sequence[Place], later: Sequence[Place], thens: Sequence[tuple[int, int]], facts: Facts
) -> str | None:
    """ "charged it, then evacuated it", with neither told anywhere else: one sentence, "then" opening the second clause."""
    if len(earlier) != 1 or len(later) != 1 or earlier[0].first < later[0].last:
        return None
    a, b = facts.clauses[facts.clause_of[later[0].first]], facts.clauses[facts.clause_of[earlier[0].first]]
    opened = any(b.first <= first <= earlier[0].first and first - b.first <= 1 for first, _ in thens)
    if a.sentence != b.sentence or not opened or a.state != "done" or a.state != b.state:
        return None
    return "“then” opens the second of them: likely, since people also tell work by halves"


def _told(job: Job, earlier: Step, later: Step, by: str, quote: Quote) -> Gap:
    """The question for an order that times or words of sequence tell, with both quotations."""
    return Gap(
        job=job.id, step=f"order: {earlier.label} before {later.label}", kind="contradicted", severity="must",
        message=f"{later.label} is told as done before {earlier.label}; the procedure asks for it the other way round.",
        question=f"Which came first: {earlier.label}, or {later.label}?",
        reasoning=(by, f"the procedure of {job.title} sets their order"),
        evidence=quote(tuple((e.start, e.end) for e in (*later.evidence[:1], *earlier.evidence[:1]))),
    )  # fmt: skip


def _ask(job: Job, earlier: Step, later: Step, facts: Facts, joint: tuple[int, int, str], quote: Quote) -> Gap:
    clause = facts.clauses[facts.clause_of[joint[0]]]
    around = (facts.tokens[clause.first].start, facts.tokens[clause.last - 1].end)
    return Gap(
        job=job.id, step=f"order: {earlier.label} before {later.label}", kind="contradicted", severity="must",
        message=f"{later.label} is told as done before {earlier.label}; the procedure asks for it the other way round.",
        question=f"Which came first: {earlier.label}, or {later.label}?",
        reasoning=(f"“{facts.tokens[joint[0]].text}” joins the two; the procedure of {job.title} sets their order",),
        evidence=quote((around, *((e.start, e.end) for e in (*earlier.evidence[:1], *later.evidence[:1])))),
    )  # fmt: skip
