"""Readings against their plausible ranges -> "did you mean": a figure that the instrument could hardly have shown."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from narrate.core.handoffs import Facts, Measured, Spans
from narrate.core.records import Evidence, Gap
from narrate.reckon.evidence import RuleBook
from narrate.reckon.reconcile.figures import shown
from narrate.reckon.reconcile.site import GAUGE

_BESIDE = 3  # tokens between a figure and the name of what it is of


def _surely(reading: Measured, subject: str, facts: Facts, book: RuleBook) -> bool:
    """Whether the clause names this subject, no other that the figure would suit, and one figure of the kind."""
    if sum(m.clause == reading.clause and m.what == reading.what for m in facts.measured) > 1:
        return False
    hits = [h for h in facts.hits if h.id in book.subjects and facts.clause_of[h.first] == reading.clause]
    first, last = reading.quantity.first, reading.quantity.last
    if not any(h.id == subject and max(first - h.last, h.first - last) <= _BESIDE for h in hits):
        return False  # named somewhere in the clause, and not beside the figure: it may be of anything
    named = {h.id for h in hits}
    others = (book.ranges.get(s) for s in named if s != subject and book.subjects[s].what == reading.what)
    return subject in named and not any(r is not None and r.holds(reading.quantity) for r in others)


def strange_readings(facts: Facts, book: RuleBook, quote: Callable[[Spans], tuple[Evidence, ...]]) -> Iterator[Gap]:
    """A gap for each reading, told as done, that lies outside of its subject's range."""
    for reading in facts.measured:
        plausible = book.ranges.get(reading.thing or "")
        if plausible is None or reading.state != "done" or plausible.holds(reading.quantity):
            continue
        if reading.what == "vacuum" and reading.quantity.unit in GAUGE and reading.quantity.low > plausible.high:
            continue  # deeper than the air allows: asked about as that (site.py)
        subject = book.subjects[reading.thing or ""]
        if subject.what != reading.what or not _surely(reading, subject.id, facts, book):
            continue
        said = shown(reading.quantity)
        yield Gap(
            step=f"{subject.id}: {subject.name}",
            kind="out of range",
            severity="must",
            message=f"{subject.name}: {said} is outside of what is plausible, {plausible} ({subject.source}).",
            question=f"Did you mean {said} for the {subject.name}?",
            reasoning=(
                f"plausible: {plausible} ({subject.source})",
                f"read: {said}",
                "outside of it a figure was probably misheard; it is nobody's limit",
            ),
            evidence=quote(reading.spans),
        )
