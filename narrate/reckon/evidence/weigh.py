"""Clues against what was told -> the proofs that meet them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property, lru_cache

from narrate.core.handoffs import Act, Fitted, Measured, Spans
from narrate.core.lexicon.procedures import KINDS, Clue
from narrate.core.records import State
from narrate.core.tokens import split_words
from narrate.reckon.evidence.told import Proof, Told

NEAR = 150  # characters: about two spoken clauses; what lies farther apart is not said together
_SHORTLY, _HARD_UPON = 60, 4  # characters: "shut it off, twenty minutes later"; "a twenty minute hold"
_LONGEST_NAME = 8  # words
LATELY = 250  # characters: how far back a number without a name of its own may reach for one
_NOTHING = Proof(())


def axle_of(position: str | None) -> str | None:
    """`front` or `rear` where a position tells it."""
    words = (position or "").split()
    return "front" if "front" in words else "rear" if "rear" in words else None


class Weigher:
    """Asks one narrative for proofs, in the view of one job: its parts, its axle, the other jobs and steps."""

    def __init__(
        self,
        told: Told,
        *,
        jobs: Iterable[str] = (),
        parts: Sequence[Fitted] = (),
        axle: str | None = None,
        own: Iterable[str] = (),
        strict: bool = False,
        step_proofs: Callable[[str], list[Proof]] | None = None,
    ) -> None:
        self.told = told
        self.jobs = frozenset(jobs)
        self.parts = parts
        self.axle = axle
        self._strict = strict  # nothing is guessed from what was named before: what makes a job must be said outright
        self._own = frozenset(own)  # what the job is about: a bare "filter" is then the one of this job
        self._step_proofs = step_proofs
        self._wider = told.book.wider

    def proofs(self, clues: Iterable[Clue], state: State | None = "done", axle: bool = False) -> list[Proof]:
        """All that meets any of the clues in the state asked for; [] where nothing does."""
        out: list[Proof] = []
        shown = self.told.shown
        for clue in clues:
            if clue.needs is None or not clue.needs.isdisjoint(shown):
                out += self.weigh(clue, state, axle)
        return out

    def met(self, clues: Iterable[Clue], state: State | None = "done") -> bool:
        shown = self.told.shown
        return any(self.weigh(clue, state) for clue in clues if clue.needs is None or not clue.needs.isdisjoint(shown))

    def weigh(self, clue: Clue, state: State | None = "done", axle: bool = False) -> list[Proof]:
        found = _WAYS[clue.kind](self, clue, None if clue.state == "any" else state)
        if axle and self.axle and clue.kind in ("act", "part", "reading"):
            found = [p for p in found if not self._other_axle(p)]
        if clue.not_with and found:
            bars = self.proofs(clue.not_with, None)
            found = [p for p in found if not any(_bars(bar, p) for bar in bars)]
        if clue.later_than and self._step_proofs:
            earlier = [p.start for step in clue.later_than for p in self._step_proofs(step) if p.spans]
            found = [p for p in found if not earlier or p.start > min(earlier)]
        if clue.times > 1 and len({p.start for p in found}) < clue.times:
            return []
        return found

    def _other_axle(self, proof: Proof) -> bool:
        at = axle_of(self._positions.get(proof.spans))
        return at is not None and at != self.axle

    @cached_property
    def _positions(self) -> dict[object, str | None]:
        facts = self.told.facts
        return {f.spans: f.position for group in (facts.acts, facts.fitted, facts.measured) for f in group}

    def _is(self, thing: str | None, wanted: Iterable[str]) -> bool:
        if thing is None:
            return False
        wider = self._wider.get(thing)
        if not wider.isdisjoint(wanted) if wider is not None else thing in wanted:
            return True
        meant = self.told.book.bare.get(thing)
        if not meant or not self._own:
            return False
        return any(w in meant and w in self._own for w in wanted)

    # -------------------------------------------------------------------------------------------- one kind each
    def _act(self, clue: Clue, state: State | None) -> list[Proof]:
        if self.told.acts.keys().isdisjoint(clue.act):
            return []
        out = []
        for verb in clue.act:
            for act in self.told.acts.get(verb, ()):
                told = state is None or (act.state == state and not self.told.is_complaint(act.spans[0]))
                if told and self._acts_on(act, clue):
                    out.append(Proof(act.spans, act.clause))
        return out

    def _acts_on(self, act: Act, clue: Clue) -> bool:
        named = self.told.things_in.get(act.clause, set())
        if clue.off and (self._is(act.thing, clue.off) or (act.thing is None and not named.isdisjoint(clue.off))):
            return False
        if not clue.on or self._is(act.thing, clue.on):
            return True
        # a verb may have more objects than it was bound to; never so where a part was fitted or taken off
        fits = act.verb in self.told.book.fits
        if (act.thing is None or not fits) and not named.isdisjoint(clue.on):
            return True
        vague = act.thing is None or act.thing in self.told.book.short
        return clue.lately and vague and not fits and self._lately(act.spans, clue.on)

    def _part(self, clue: Clue, state: State | None) -> list[Proof]:
        if self.told.fitted_as.isdisjoint(clue.part):
            return []
        return [
            Proof(f.spans, f.clause)
            for f in self.told.fitted
            if (state is None or f.state == state)
            and self._is(f.thing, clue.part)
            and (not clue.condition or f.condition in clue.condition)
        ]

    def _amount(self, clue: Clue, state: State | None) -> list[Proof]:
        return [
            Proof(m.spans, m.clause, m.quantity)
            for m in self.told.moved
            if (state is None or m.state == state)
            and m.direction == clue.amount
            and (not clue.of or self._is(m.thing, clue.of))
        ]

    def _reading(self, clue: Clue, state: State | None) -> list[Proof]:
        return [
            Proof(m.spans, m.clause, m.quantity if self._is(m.thing, clue.of) else None)
            for what in clue.reading
            for m in self.told.measured.get(what, ())
            if (state is None or m.state == state) and (not clue.of or self._reads(m, clue.of))
        ]

    def _reads(self, reading: Measured, wanted: Sequence[str]) -> bool:
        """Of what a reading is: the thing it is bound to, else its words, else what its clause names."""
        if self._is(reading.thing, wanted) or self._names(reading.subject, wanted):
            return True
        if reading.thing not in (None, reading.what) and reading.thing not in self.told.book.short:
            return False
        named = self.told.things_in.get(reading.clause, set())
        return not named.isdisjoint(wanted) or self._lately(reading.spans, wanted)

    def _lately(self, spans: Spans, wanted: Iterable[str]) -> bool:
        """Whether one of the wanted things was named not long before."""
        return not self._strict and bool(spans) and not self.told.lately_named(spans[0][0], LATELY).isdisjoint(wanted)

    def _names(self, words: str | None, wanted: Iterable[str]) -> bool:
        """Whether the words name one of the wanted things."""
        if not words:
            return False
        runs = _runs(words)
        return any(not runs.isdisjoint(self.told.book.names.of(thing)) for thing in wanted)

    def _said(self, clue: Clue, state: State | None) -> list[Proof]:
        heard = self.told.heard
        if heard.keys().isdisjoint(clue.said):
            return []
        return [proof for saying in clue.said if saying in heard for proof in self.told.said(saying, state)]

    def _noted(self, clue: Clue, state: State | None) -> list[Proof]:
        clauses = self.told.facts.clauses
        return [
            Proof(n.spans, n.clause)
            for n in self.told.facts.noted
            if n.kind in clue.noted
            and (state is None or clauses[n.clause].state == state)
            and (not clue.of or any(self._is(t, clue.of) for t in n.things))
        ]

    def _size(self, clue: Clue, state: State | None) -> list[Proof]:
        return [Proof(s.spans, s.clause) for s in self.told.facts.sized if not clue.of or self._is(s.thing, clue.of)]

    def _label(self, clue: Clue, state: State | None) -> list[Proof]:
        facts = self.told.facts
        return [
            Proof((self.told.chars(x.first, x.last),), facts.clause_of[x.first])
            for x in facts.labels
            if x.kind in clue.label and (state is None or facts.clauses[facts.clause_of[x.first]].state == state)
        ]

    def _unit(self, clue: Clue, state: State | None) -> list[Proof]:
        unit = self.told.facts.unit
        return [
            Proof((self.told.chars(*unit.spans[name]),) if name in unit.spans else ())
            for name in clue.unit
            if getattr(unit, name, None) is not None
        ]

    def _deferred(self, clue: Clue, state: State | None) -> list[Proof]:
        return [
            Proof(d.spans, d.clause)
            for d in self.told.facts.deferred
            if d.kind in clue.deferred and (not clue.of or any(self._is(t, clue.of) for t in d.things))
        ]

    def _mentioned(self, clue: Clue, state: State | None) -> list[Proof]:
        facts = self.told.facts
        hits = [one for thing, own in self.told.named.items() if self._is(thing, clue.mentioned) for one in own]
        return [
            Proof((self.told.chars(h.first, h.last),), facts.clause_of[h.first])
            for _, h in sorted(hits, key=lambda one: one[0])
            if (state is None or facts.clauses[facts.clause_of[h.first]].state == state)
        ]

    def _step(self, clue: Clue, state: State | None) -> list[Proof]:
        if self._step_proofs is None or state not in (None, "done"):
            return []
        return [proof for step in clue.step for proof in self._step_proofs(step)]

    def _job(self, clue: Clue, state: State | None) -> list[Proof]:
        return [] if self.jobs.isdisjoint(clue.job) else [_NOTHING]

    def _fitted(self, clue: Clue, state: State | None) -> list[Proof]:
        """Every part of the job that is fitted must show it: one without its count leaves the count open."""
        if not self.parts:
            return []
        if clue.fitted == "counted" and any(f.quantity is None for f in self.parts):
            return []
        if clue.fitted == "condition" and any(f.condition is None for f in self.parts):
            return []
        if clue.fitted == "number" and not any(f.number for f in self.parts):
            return []
        return [Proof(f.spans, f.clause) for f in self.parts]

    def _all(self, clue: Clue, state: State | None) -> list[Proof]:
        out: list[Proof] = []
        for inner in clue.all:
            found = self.weigh(inner, state)
            if not found:
                return []
            out += found
        return out

    def _any(self, clue: Clue, state: State | None) -> list[Proof]:
        return self.proofs(clue.any, state)

    def _together(self, clue: Clue, state: State | None) -> list[Proof]:
        """All of them within a breath or two of the first."""
        found = [self.weigh(inner, state) for inner in clue.together]
        if not all(found):
            return []
        out: list[Proof] = []
        for anchor in found[0]:
            others = [min(group, key=lambda p: _apart(anchor, p)) for group in found[1:]]
            if all(p.clause == anchor.clause or _apart(anchor, p) <= NEAR for p in others):
                out += [anchor, *others]
        return out

    def _no(self, clue: Clue, state: State | None) -> list[Proof]:
        return [] if self.met(clue.no, state) else [_NOTHING]


@lru_cache(maxsize=4096)
def _runs(words: str) -> frozenset[tuple[str, ...]]:
    """Every run of keys within some words: the names that could stand in them."""
    keys = [t.key for t in split_words(words)]
    ends = ((i, j) for i in range(len(keys)) for j in range(i + 1, min(len(keys), i + _LONGEST_NAME) + 1))
    return frozenset(tuple(keys[i:j]) for i, j in ends)


def _bars(bar: Proof, proof: Proof) -> bool:
    """Whether some words belong to a proof: said in its clause, shortly before it or hard upon it."""
    (start, end), before = proof.spans[0] if proof.spans else (0, 0), bar.end
    return bar.clause == proof.clause and (start - _SHORTLY <= before <= start or -1 <= bar.start - end <= _HARD_UPON)


def _apart(a: Proof, b: Proof) -> int:
    """Characters between two proofs; 0 where they overlap."""
    return max(0, a.start - b.end, b.start - a.end)


# Kept by the class: a weigher that held its own methods would go round in a circle, and wait for a search for garbage.
_WAYS: dict[str, Callable[[Weigher, Clue, State | None], list[Proof]]] = {
    kind: getattr(Weigher, f"_{kind}") for kind in KINDS
}
