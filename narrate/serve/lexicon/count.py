"""How much each trade knows: job types, steps, parts, fluids, readings, phrases, and the sources that it names."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.schema import Cue, Subject, Thing, Verb
from narrate.reckon.evidence import RuleBook

NO_SOURCE = "common practice"


@dataclass(frozen=True, slots=True)
class Count:
    """One trade, with what it takes from the trades that it builds on. `sources` are different ones, named outright."""

    trade: str
    title: str
    jobs: int
    modules: int
    steps: int
    parts: int
    fluids: int
    readings: int
    acts: int
    cues: int
    phrases: int
    examples: int
    cautions: int
    sources: int


def count_trade(lexicon: Lexicon, book: RuleBook) -> Count:
    """Steps are counted once each, however many jobs ask for them; phrases as the matcher holds them."""
    rules = {(p.module or job, p.rule.id): p.rule for job, planned in book.steps.items() for p in planned}
    entries: list[Thing | Subject | Verb | Cue] = [
        *lexicon.things.values(),
        *lexicon.subjects.values(),
        *lexicon.verbs.values(),
        *lexicon.cues.values(),
    ]
    named: Iterable[str] = (
        *(e.source for e in entries), *(r.source for r in rules.values()), *(j.source for j in book.jobs),
        *(c.source for c in book.cautions.values()), *(b.source for j in book.jobs for b in j.balance),
    )  # fmt: skip
    return Count(
        trade=lexicon.id,
        title=lexicon.title,
        jobs=len(book.jobs),
        modules=len(book.modules),
        steps=len(rules),
        parts=sum(1 for thing in lexicon.things.values() if thing.kind != "fluid"),
        fluids=sum(1 for thing in lexicon.things.values() if thing.kind == "fluid"),
        readings=len(lexicon.subjects),
        acts=len(lexicon.verbs),
        cues=len(lexicon.cues),
        phrases=sum(1 for _ in lexicon.index.phrases()) + book.sayings.count,
        examples=sum(len(e.examples) for e in entries),
        cautions=len(book.cautions),
        sources=len({source for source in named if not source.lower().startswith(NO_SOURCE)}),
    )


def count_all(
    trades: Iterable[str], load: Callable[[str], Lexicon], book: Callable[[Lexicon], RuleBook]
) -> list[Count]:
    """Every trade by itself."""
    return [count_trade(lexicon, book(lexicon)) for lexicon in map(load, trades)]


def as_table(counts: Iterable[Count]) -> list[tuple[str, ...]]:
    """A heading and a row for each trade, as words."""
    heading = ("trade", "job types", "steps", "parts", "fluids", "readings", "acts", "phrases", "examples", "sources")
    rows = [
        (
            c.title,
            *(
                f"{n:,}"
                for n in (c.jobs, c.steps, c.parts, c.fluids, c.readings, c.acts, c.phrases, c.examples, c.sources)
            ),
        )
        for c in counts
    ]
    return [heading, *rows]
