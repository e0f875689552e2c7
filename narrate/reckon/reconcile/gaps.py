"""Steps that are not on record -> what an auditor would ask, most urgent first."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from narrate.core.handoffs import Facts, Spans
from narrate.core.lexicon.procedures import Procedure
from narrate.core.records import Evidence, Gap, GapKind
from narrate.read.status.turns import DOUBTFUL
from narrate.reckon.evidence import RuleBook, outermost
from narrate.reckon.jobs import JobHit
from narrate.reckon.reconcile.readings import strange_readings
from narrate.reckon.reconcile.steps import Outcome

Quote = Callable[[Spans], tuple[Evidence, ...]]
_URGENCY = {"safety": 0, "money": 1, "record": 2}
_KIND: dict[str, GapKind] = {
    "not recorded": "missing",
    "value missing": "value missing",
    "promised only": "promised only",
    "out of range": "out of range",
    "contradicted": "contradicted",
}


def find_gaps(
    outcomes: Iterable[Outcome], hits: Iterable[JobHit], facts: Facts, book: RuleBook, quote: Quote
) -> tuple[Gap, ...]:
    """Every gap of a sheet, safety first, then money, then what only completes the record; a shared step once."""
    ranked: list[tuple[tuple[int, int, int], Gap]] = []
    asked: set[str] = set()
    for place, outcome in enumerate(outcomes):
        name = outcome.rule.id if outcome.module else f"{outcome.job.procedure}.{outcome.rule.id}"
        gap = _gap_of(outcome, quote)
        if gap is None or name in asked:
            continue
        asked.add(name)
        must = 0 if gap.severity == "must" else 1
        ranked.append(((must, _URGENCY[outcome.rule.urgency], place), gap))
    ranked += [((0, _URGENCY["money"], -1), gap) for gap in _about_the_unit(facts, quote)]
    ranked += [((0, _URGENCY["money"], len(ranked)), gap) for gap in strange_readings(facts, book, quote)]
    ranked += [((0, _URGENCY["money"], len(ranked)), gap) for gap in _did_or_did_not(facts, quote)]
    hits = tuple(hits)
    ranked += [((0, _URGENCY["money"], -3), gap) for gap in _close_readings(hits, book, facts, quote)]
    if not hits:
        ranked.append(((0, _URGENCY["money"], -2), _no_job()))
    ranked.sort(key=lambda pair: pair[0])
    return tuple(gap for _, gap in ranked)


def step_name(outcome: Outcome) -> str:
    """Id and label, as readable words."""
    return f"{outcome.rule.id}: {outcome.rule.label}"


def _gap_of(outcome: Outcome, quote: Quote) -> Gap | None:
    rule = outcome.rule
    if outcome.state == "recorded" and outcome.lacking:
        return Gap(
            job=outcome.job.id,
            step=step_name(outcome),
            kind="value missing",
            severity="should",
            message=f"{_first(rule.label)}: told, but not {_listed(outcome)}.",
            question=_asks(outcome),
            evidence=quote(_spans(outcome)),
        )
    kind = _KIND.get(outcome.state)
    if kind is None:
        return None
    return Gap(
        job=outcome.job.id,
        step=step_name(outcome),
        kind=kind,
        severity=outcome.level,
        message=_message(outcome),
        question=_asks(outcome) if outcome.state == "value missing" else rule.ask,
        evidence=quote(_spans(outcome)),
    )


def _spans(outcome: Outcome) -> Spans:
    """The words of the step, else the words that made it a job."""
    return outermost(outcome.proofs)[:3] or outcome.job.spans[:1]


def _message(outcome: Outcome) -> str:
    rule = outcome.rule
    if outcome.state == "value missing":
        return f"{_first(rule.label)}: told, but not {_listed(outcome)}."
    if outcome.state == "promised only":
        return f"{_first(rule.label)}: promised, and not told as done."
    if outcome.state == "out of range":
        return f"{_first(rule.label)}: {outcome.reason}. Was it misheard?"
    if outcome.refused:
        return f"{_first(rule.label)}: said not to be done, and not why."
    return rule.missing or f"{_first(rule.label)}: not on record."


def _listed(outcome: Outcome) -> str:
    return " and ".join(v.name for v in outcome.lacking)


def _asks(outcome: Outcome) -> str:
    return " ".join(v.ask for v in outcome.lacking)


def _first(words: str) -> str:
    return words[:1].upper() + words[1:]


def _about_the_unit(facts: Facts, quote: Quote) -> Iterable[Gap]:
    unit = facts.unit
    if unit.vin and unit.vin_valid is False:
        first, last = unit.spans.get("vin", (0, 1))
        spans = ((facts.tokens[first].start, facts.tokens[last - 1].end),) if facts.tokens else ()
        yield Gap(
            step="vin-check: VIN check digit",
            kind="impossible",
            severity="must",
            message=f"The VIN {unit.vin} does not agree with its own check digit.",
            question="Read me the VIN again, one character at a time?",
            evidence=quote(spans),
        )


def _did_or_did_not(facts: Facts, quote: Quote) -> Iterable[Gap]:
    for clause in facts.clauses:
        if clause.rule == DOUBTFUL:
            span = (facts.tokens[clause.first].start, facts.tokens[clause.last - 1].end)
            said = facts.narrative[span[0] : span[1]]
            yield Gap(
                step="did or did not: what was done",
                kind="unclear",
                severity="should",
                message=f"“{said}”: the recording may have lost a “not” here, so it is not recorded as done.",
                question=f"“{said}”: was that done, or not?",
                evidence=quote((span,)),
            )


def _close_readings(hits: Iterable[JobHit], book: RuleBook, facts: Facts, quote: Quote) -> Iterable[Gap]:
    """Jobs that the words tell of about as much as of another: the sheet says so, and asks which it was."""
    for hit in hits:
        if hit.vague and not hit.rivals:
            yield _which_part(hit, book, quote)
        if not hit.rivals:
            continue
        kinds = [_kind_of_job(book.procedure(job)) for job in hit.rivals]
        named = f"{', '.join(kinds[:-1])} or {kinds[-1]}"
        start, end = hit.spans[0]
        words = " ".join(facts.narrative[start:end].split())
        yield Gap(
            job=hit.id,
            step="which-job: which job it was",
            kind="unclear",
            severity="must",
            message=f"“{words}” may be {named}: the words tell of one about as much as of the other.",
            question=f"Which was it: {named}?",
            evidence=quote(hit.spans[:1]),
        )


def _which_part(hit: JobHit, book: RuleBook, quote: Quote) -> Gap:
    name = book.things[hit.thing or ""].name
    return Gap(
        job=hit.id,
        step="which-part: which part it was",
        kind="unclear",
        severity="should",
        message=f"A {name} went in, and nothing tells which {name} it was.",
        question=f"Which {name} was it?",
        evidence=quote(hit.spans[:1]),
    )


def _kind_of_job(job: Procedure) -> str:
    """A job type in words, whatever was fitted: its title without blanks, else its own words."""
    title = " ".join(job.title.replace("{side}", "").replace("{axle}", "").split())
    return (job.id.replace("-", " ") if "{" in title else title).lower()


def _no_job() -> Gap:
    return Gap(
        step="job: what was done",
        kind="unclear",
        severity="must",
        message="No job of this trade can be told from these words.",
        question="What was done on it, in a few words?",
    )
