"""Facts of one narrative, indexed for the questions that procedures ask of them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from narrate.core.handoffs import Act, Facts, Fitted, Hit, Measured, Moved, Quantity, Spans
from narrate.core.records import State
from narrate.core.values import value_class
from narrate.reckon.evidence.book import RuleBook

COMPLAINT = 160  # characters: what a customer said is short, and in speech nothing marks where it ends


@value_class(frozen=True, slots=True)
class Proof:
    """What shows something: character spans into the narrative, the clause, and the quantity where it is sure."""

    spans: Spans
    clause: int = -1
    quantity: Quantity | None = None

    @property
    def start(self) -> int:
        return self.spans[0][0] if self.spans else -1

    @property
    def end(self) -> int:
        return self.spans[-1][1] if self.spans else -1


def outermost(proofs: Iterable[Proof]) -> tuple[tuple[int, int], ...]:
    """The places that proofs rest on, in order; one that lies within another says nothing more, and is left out."""
    spans = {s for p in proofs for s in p.spans}
    if len(spans) < 2:
        return tuple(spans)
    out: list[tuple[int, int]] = []
    for start, end in sorted(spans, key=lambda s: (s[0], -s[1])):
        if not out or end > out[-1][1]:
            out.append((start, end))
    return tuple(out)


class Told:
    """One narrative's facts, by verb, by kind and by clause. Built once a sheet; asked many times."""

    def __init__(self, facts: Facts, book: RuleBook) -> None:
        self.facts = facts
        self.book = book
        self.acts: dict[str, list[Act]] = defaultdict(list)
        for act in facts.acts:
            self.acts[act.verb].append(act)
        self.fitted: tuple[Fitted, ...] = facts.fitted
        self.moved: tuple[Moved, ...] = facts.moved
        self.measured: dict[str, list[Measured]] = defaultdict(list)
        for reading in facts.measured:
            self.measured[reading.what].append(reading)
        self.heard = book.sayings.find(facts.tokens, facts.clauses, facts.clause_of)

    @cached_property
    def shown(self) -> frozenset[tuple[str, str]]:
        """Every sign, as kind and word, that a clue may need (`Clue.needs`), in whatever state it was told."""
        facts = self.facts
        return frozenset((
            *(("act", verb) for verb in self.acts),
            *(("part", thing) for thing in self.fitted_as),
            *(("amount", moved.direction) for moved in self.moved),
            *(("reading", what) for what in self.measured),
            *(("said", saying) for saying in self.heard),
            *(("noted", noted.kind) for noted in facts.noted),
            *(("label", label.kind) for label in facts.labels),
            *(("deferred", deferral.kind) for deferral in facts.deferred),
        ))  # fmt: skip

    @cached_property
    def naming(self) -> list[Hit]:
        """The hits that name a thing, in order."""
        return [hit for hit in self.facts.hits if hit.id in self.book.things]

    @cached_property
    def named(self) -> dict[str, list[tuple[int, Hit]]]:
        """Thing -> where it is named, each with its number in the order of telling."""
        named: dict[str, list[tuple[int, Hit]]] = defaultdict(list)
        for number, hit in enumerate(self.naming):
            named[hit.id].append((number, hit))
        return named

    @cached_property
    def fitted_as(self) -> frozenset[str]:
        """All that the parts fitted can be asked for by: themselves, wider names, and what a short name may stand for."""
        book, things = self.book, {part.thing for part in self.fitted}
        return frozenset(things).union(
            *(book.wider.get(t, ()) for t in things), *(book.bare.get(t, ()) for t in things)
        )

    @cached_property
    def things_in(self) -> dict[int, set[str]]:
        """Clause -> every thing named in it, with the wider things that these belong to."""
        named: dict[int, set[str]] = defaultdict(set)
        for hit in self.naming:
            named[self.facts.clause_of[hit.first]] |= self.book.wider[hit.id]
        return named

    @cached_property
    def _mentions(self) -> tuple[list[int], list[frozenset[str]]]:
        """Where things are named, in order of place, and what is named there."""
        wider = self.book.wider
        spots = [(self.facts.tokens[h.first].start, wider[h.id]) for h in self.naming]
        spots.sort(key=lambda spot: spot[0])
        return [place for place, _ in spots], [named for _, named in spots]

    def lately_named(self, at: int, within: int) -> set[str]:
        """The things named in the `within` characters before a place: what "torqued to 14" can be said of."""
        places, named = self._mentions
        last = bisect_left(places, at)
        return set().union(*named[bisect_left(places, at - within) : last])

    def named_before(self, at: int, within: int) -> frozenset[str]:
        """The things named in the `within` characters before a place, by their own ids alone."""
        things, tokens = self.book.things, self.facts.tokens
        return frozenset(h.id for h in self.facts.hits if h.id in things and at - within <= tokens[h.first].start < at)

    def keys_before(self, at: int, within: int) -> tuple[str, ...]:
        """The words said in the `within` characters before a place, as keys."""
        return tuple(t.key for t in self.facts.tokens if at - within <= t.start < at)

    def chars(self, first: int, last: int) -> tuple[int, int]:
        """A token span as characters."""
        return self.facts.tokens[first].start, self.facts.tokens[last - 1].end

    def said(self, saying: str, state: State | None) -> list[Proof]:
        """Where a saying is said in the state asked for; None: in any.

        A "not" that is the saying's own ("did not move") denies nothing else: such words still count as done. One that
        only fills a hole of it denies it ("wheel nuts not torqued").
        """
        out = []
        facts = self.facts
        for first, last in self.heard.get(saying, ()):
            ends = {facts.clause_of[first], facts.clause_of[last - 1]}
            place = self.chars(first, last)
            if state == "done" and self.is_complaint(place):
                continue
            if state is None or all(self._in_state(clause, state, saying, first, last) for clause in ends):
                out.append(Proof((place,), facts.clause_of[first]))
        return out

    def _in_state(self, clause: int, state: State, saying: str, first: int, last: int) -> bool:
        here = self.facts.clauses[clause]
        if here.state == "not_done" and here.cue is not None and here.cue[0] < last and here.cue[1] > first:
            own = self.book.sayings.words_of(saying)
            denied = self.facts.tokens[max(first, here.cue[0]) : min(last, here.cue[1])]
            if any(token.key in own for token in denied):
                return state == "done"
        return here.state == state

    @cached_property
    def complained(self) -> tuple[tuple[int, int], ...]:
        """The places that hold the customer's own words, in order: "starts hard" there is no start that was made."""
        said = [span for n in self.facts.noted if n.kind == "complaint" for span in n.spans]
        return outermost([Proof(tuple((start, min(end, start + COMPLAINT)) for start, end in said))])

    def is_complaint(self, place: tuple[int, int]) -> bool:
        """Whether words stand within what the customer said."""
        nearest = bisect_right(self.complained, (place[0], place[1] + len(self.facts.narrative))) - 1
        return nearest >= 0 and place[1] <= self.complained[nearest][1]

    def clause_text(self, clause: int) -> str:
        """The words of a clause, as said."""
        here = self.facts.clauses[clause]
        start, end = self.chars(here.first, here.last)
        return " ".join(self.facts.narrative[start:end].split())

    def neighbours(self, clause: int) -> range:
        """The clauses beside one: the reason for a thing stands next to it."""
        return range(max(0, clause - 1), min(len(self.facts.clauses), clause + 3))
