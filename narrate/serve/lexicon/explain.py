"""What the reading stages made of some words: tokens, phrases, values, statements, and which rule or cue decided.

One view serves `narrate lexicon try`, which reads a phrase, and `narrate why`, which asks it of a line on a sheet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from narrate.core.handoffs import Clause, Facts, Hit, Label, Quantity
from narrate.core.lexicon.lexicon import Lexicon

LAYERS = {
    "thing": "part", "fluid": "fluid", "reading": "reading", "verb": "act", "cue": "cue", "place": "place",
    "finding": "finding", "labour": "labour", "model": "model",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Phrase:
    """A phrase of the lexicon that was found: its layer in plain words, its id, the words, and where they stand."""

    layer: str
    id: str
    words: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Value:
    """A quantity: what it came to, in which unit, of which words, and how that is known."""

    figure: str
    unit: str
    words: str
    remarks: tuple[str, ...]
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Name:
    """Words or figures that are no quantity, and what they are taken for."""

    kind: str
    text: str
    words: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Statement:
    """A clause, the state it was told in, the rule that decided, and the words of the cue, where one did."""

    words: str
    state: str
    hedged: bool
    rule: str
    cue: str | None
    why: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Reading:
    """All that stands on a stretch of the narrative; `tokens` are pairs of a word and the key it is matched by."""

    start: int
    end: int
    words: str
    tokens: tuple[tuple[str, str], ...]
    phrases: tuple[Phrase, ...]
    values: tuple[Value, ...]
    names: tuple[Name, ...]
    statements: tuple[Statement, ...]


class Explainer:
    """Asks the facts of one narrative what stands where."""

    def __init__(self, facts: Facts, lexicon: Lexicon) -> None:
        self.facts, self.lexicon = facts, lexicon

    def whole(self) -> Reading:
        tokens = self.facts.tokens
        return self.at(tokens[0].start, tokens[-1].end) if tokens else Reading(0, 0, "", (), (), (), (), ())

    def at(self, start: int, end: int) -> Reading:
        """What stands on the characters `start` to `end`; statements in full, phrases and values that touch them."""
        facts = self.facts
        inside = [i for i, t in enumerate(facts.tokens) if t.start < end and t.end > start]
        if not inside:
            return Reading(start, end, facts.narrative[start:end], (), (), (), (), ())
        first, last = inside[0], inside[-1] + 1
        return Reading(
            start, end, " ".join(facts.narrative[start:end].split()),
            tuple((t.text, t.key) for t in facts.tokens[first:last]),
            tuple(self._phrase(h) for h in facts.hits if h.first < last and h.last > first),
            tuple(self._value(q) for q in facts.quantities if q.first < last and q.last > first),
            tuple(self._name(x) for x in facts.labels if x.first < last and x.last > first),
            tuple(self._statement(c) for c in facts.clauses if c.first < last and c.last > first),
        )  # fmt: skip

    def _chars(self, first: int, last: int) -> tuple[int, int]:
        return self.facts.tokens[first].start, self.facts.tokens[last - 1].end

    def _words(self, first: int, last: int) -> str:
        start, end = self._chars(first, last)
        return " ".join(self.facts.narrative[start:end].split())

    def _phrase(self, hit: Hit) -> Phrase:
        return Phrase(
            LAYERS.get(hit.layer, hit.layer),
            hit.id,
            self._words(hit.first, hit.last),
            *self._chars(hit.first, hit.last),
        )

    def _value(self, quantity: Quantity) -> Value:
        low, high = f"{float(quantity.low):g}", f"{float(quantity.high):g}"
        remarks = [
            words
            for words, holds in (
                ("about", quantity.approximate),
                ("less than", quantity.bound == "under"),
                ("at least", quantity.bound == "over"),
                ("the unit was not said, and follows from what it is of", quantity.elided),
                ("taken back", quantity.retracted),
            )
            if holds
        ]
        remarks += [f"in the stead of “{self._words(*span)}”" for span in quantity.replaced]
        figure = low if low == high else f"{low} to {high}"
        words = self._words(quantity.first, quantity.last)
        return Value(figure, quantity.unit, words, tuple(remarks), *self._chars(quantity.first, quantity.last))

    def _name(self, label: Label) -> Name:
        return Name(label.kind, label.text, self._words(label.first, label.last), *self._chars(label.first, label.last))

    def _statement(self, clause: Clause) -> Statement:
        cue = self._words(*clause.cue) if clause.cue and clause.cue[1] > clause.cue[0] else None
        return Statement(
            self._words(clause.first, clause.last), clause.state, clause.hedged, clause.rule, cue, self._why(clause),
            *self._chars(clause.first, clause.last),
        )  # fmt: skip

    def _why(self, clause: Clause) -> str:
        """What the lexicon says of the cue that decided."""
        cue = self.lexicon.cues.get(clause.rule)
        if cue is None and clause.cue is not None:
            on = range(*clause.cue)
            ids = [h.id for h in self.facts.hits if h.layer == "cue" and h.first in on and h.id in self.lexicon.cues]
            cue = self.lexicon.cues.get(ids[0]) if ids else None
        return cue.why if cue else ""


def facts_told(facts: Facts, lexicon: Lexicon) -> Iterable[str]:
    """Each fact that was bound from the words, as a line."""
    name = _namer(lexicon)
    for f in facts.fitted:
        count = "" if f.quantity is None else f" × {float(f.quantity):g} {f.unit or ''}".rstrip()
        more = "".join(f", {word}" for word in (f.condition, f.position, f.number and f"number {f.number}") if word)
        yield f"fitted: {f.name} ({f.thing}){count}{more} [{f.state}]"
    for m in facts.moved:
        yield f"{'put in' if m.direction == 'in' else 'came out'}: {m.name} ({m.thing}) {_said(m.quantity)} [{m.state}]"
    for r in facts.measured:
        place = f", {r.position}" if r.position else ""
        yield f"measured: {r.what} of {r.subject or 'something'}{place} {_said(r.quantity)} [{r.state}]"
    for s in facts.sized:
        yield f"size: {s.text}{f' of {s.subject}' if s.subject else ''}"
    for a in facts.acts:
        verb = lexicon.verbs[a.verb].name if a.verb in lexicon.verbs else a.verb
        place = f", {a.position}" if a.position else ""
        yield f"act: {verb} {name(a.thing)}{place} [{a.state}]".replace("  ", " ")
    for n in facts.noted:
        yield f"{n.kind}: “{_quoted(facts, n.spans)}”"
    for d in facts.deferred:
        yield f"{d.kind}: “{_quoted(facts, d.spans)}”"
    for t in facts.labour:
        yield f"time spent: {_said(t.quantity)} [{t.state}]"
    for first, last in facts.unknown:
        yield f"unknown: “{facts.narrative[facts.tokens[first].start : facts.tokens[last - 1].end]}”"


def _namer(lexicon: Lexicon) -> Callable[[str | None], str]:
    def name(thing: str | None) -> str:
        known = lexicon.things.get(thing or "")
        return f"{known.name} ({thing})" if known else (thing or "")

    return name


def _said(quantity: Quantity) -> str:
    low, high = f"{float(quantity.low):g}", f"{float(quantity.high):g}"
    ends = low if low == high else f"{low} to {high}"
    return f"{'about ' if quantity.approximate else ''}{ends} {quantity.unit}".strip()


def _quoted(facts: Facts, spans: Iterable[tuple[int, int]]) -> str:
    return " … ".join(" ".join(facts.narrative[a:b].split()) for a, b in sorted(set(spans)))
