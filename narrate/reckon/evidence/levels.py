"""A shop's own levels of steps, over those of the lexicon: must, should, or off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from difflib import get_close_matches

from narrate.core.findings import NarrateError
from narrate.reckon.evidence.book import Planned, RuleBook


def with_levels(book: RuleBook, levels: Mapping[str, str], where: str = "levels") -> RuleBook:
    """The book with these levels: by step ("wheel-recheck"), or by job and step ("brake-disc.runout"), first.

    `off` takes the step out. NarrateError for a step that no job calls for.
    """
    if not levels:
        return book
    known = {p.rule.id for planned in book.steps.values() for p in planned}
    known |= {f"{job}.{p.rule.id}" for job, planned in book.steps.items() for p in planned}
    for name in levels:
        if name not in known:
            near = get_close_matches(name, known, n=1)
            raise NarrateError(
                f"there is no step “{name}” to give a level to.",
                where=where,
                remedy=f"Did you mean “{near[0]}”?" if near else "See “narrate lexicon show JOB”.",
            )
    steps = {
        job: tuple(
            own for p in planned if (own := _at_level(p, levels.get(f"{job}.{p.rule.id}", levels.get(p.rule.id))))
        )
        for job, planned in book.steps.items()
    }
    return replace(book, steps=steps)


def _at_level(planned: Planned, level: str | None) -> Planned | None:
    if level is None:
        return planned
    if level == "off":
        return None
    return replace(planned, level="must" if level == "must" else "should")
