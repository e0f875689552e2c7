"""One narrative with everything found on it, for the binders to ask: what stands where, and what is said beside it."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from narrate.core.handoffs import Clause, Gap, Hit, Label, Quantity, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import State
from narrate.read.status.judge import Standing

COUNTS = frozenset(("each", "set", "pair"))
FITTABLE = frozenset(("part", "fastener", "seal", "consumable", "assembly"))  # kinds of thing that are billed
_OTHER_SIDE = 7  # tokens from one side of a list to the other
_AFTER_LEAVING = frozenset(
    ("it", "them", "that", "those", "this", "him", "her", "alone", "over", "everything", "some", "as", "in", "on")
)
_BEFORE_LEAVING = frozenset(
    ("i", "we", "was", "were", "had", "have", "is", "been", "and", "what's", "percent", "%", "life", "mm")
)
_BEFORE_NOUNS = frozenset(
    ("has", "have", "had", "a", "an", "the", "with", "no", "of", "new", "old", "by", "each", "one")
)
_HIDING = frozenset(("vin", "plate", "model", "make", "year", "date", "odometer", "part-number", "number"))


class Words:
    """One narrative's tokens with everything found on them, for the binders to ask."""

    def __init__(
        self,
        tokens: Sequence[Token],
        hits: Sequence[Hit],
        quantities: Sequence[Quantity],
        labels: Sequence[Label],
        standing: Standing,
        lexicon: Lexicon,
    ) -> None:
        self.tokens, self.hits, self.quantities, self.labels = tokens, hits, quantities, labels
        self.standing, self.lexicon = standing, lexicon
        self.lows = [t.low for t in tokens]
        self.clauses = standing.clauses
        self.clause_of = standing.clause_of
        masked = {i for label in labels if label.kind in _HIDING for i in range(label.first, label.last)}
        self.thing_hits = [h for h in hits if h.layer in ("thing", "fluid") and h.first not in masked]
        self.noun_at: dict[int, Hit] = {i: h for h in self.thing_hits for i in range(h.first, h.last)}
        figures = {q.last - 1 for q in quantities}  # where a value ends
        self.place_at: dict[int, Hit] = {
            i: h
            for h in hits
            if h.layer == "place" and h.first not in masked and not self._left_as_verb(h, figures)
            for i in range(h.first, h.last)
        }
        # a name swallows a verb ("the wire brush"); a verb that says more than the name stands ("cleared the codes")
        self.verb_hits = [
            h
            for h in hits
            if h.layer == "verb"
            and any(i not in self.noun_at and i not in self.place_at for i in range(h.first, h.last))
        ]
        counts = {i for q in quantities if q.unit in COUNTS for i in range(q.first + 1, q.last)}  # "1 set pads"
        values = {q.first for q in quantities if q.unit and q.unit not in COUNTS}  # "the tyre is in 2.0 mm": no act
        self.verb_hits = [
            h
            for h in self.verb_hits
            if h.first not in counts
            and not self._noun_like(h)
            and not (h.last in values and self.lows[h.first] in ("is", "are"))
        ]
        self.fitted_states: dict[int, State | None] = {}  # by mention, as `fitted` tells them
        self.verb_at: dict[int, list[Hit]] = {}
        for h in self.verb_hits:
            self.verb_at.setdefault(h.first, []).append(h)
        told = ("verb", "cue", "finding")
        self.verb_words = frozenset(i for h in hits if h.layer in told for i in range(h.first, h.last))
        self.reading_hits = [h for h in hits if h.layer == "reading"]
        self.by_clause: dict[int, list[Hit]] = {}
        for h in hits:
            self.by_clause.setdefault(self.clause_of[h.first], []).append(h)
        self.sentence_firsts: dict[int, int] = {}
        for clause in self.clauses:
            self.sentence_firsts.setdefault(clause.sentence, clause.index)
        ends = {h.last: h for h in self.thing_hits}
        # what lends the last word of its name to what is listed before it: the hoses of "upper and lower hoses"
        self.lends = {
            h.first
            for h in self.thing_hits
            if (named := ends.get(h.first - 1)) is not None
            and named.layer == "thing"
            and named.id not in lexicon.by_head.get(self.tokens[named.last - 1].key, ())
        }
        self.bare: dict[int, bool] = {}  # sentence -> whether it is a list and nothing else
        self.label_at: dict[int, Label] = {i: one for one in labels for i in range(one.first, one.last)}
        self.quantity_at: dict[int, Quantity] = {i: q for q in quantities for i in range(q.first, q.last)}

    def _noun_like(self, hit: Hit) -> bool:
        """A base form behind "has", an article or "with" is no act: "the tire has a screw in the tread"."""
        low = self.lows[hit.first]
        before = self.lows[hit.first - 1] if hit.first else ""
        counted = low.endswith("s") and before in self.lexicon.word_sets["number-word"]  # "two clips"
        if (not counted and before not in _BEFORE_NOUNS) or low in self.lexicon.word_sets["same-past"]:
            return False
        kinds = self.lexicon.forms_of(self.tokens, hit)
        return bool(kinds) and kinds <= {"base", "s"}

    def is_fluid(self, hit: Hit) -> bool:
        return hit.layer == "fluid"

    def _left_as_verb(self, hit: Hit, figures: Collection[int]) -> bool:
        """ "i left it alone": no side."""
        if self.lows[hit.first] != "left" or hit.last - hit.first > 1:
            return False
        after = self.lows[hit.last] if hit.last < len(self.lows) else ""
        before = self.lows[hit.first - 1] if hit.first else ""
        other = self.lows.index("right", hit.last) if "right" in self.lows[hit.last : hit.last + _OTHER_SIDE] else 0
        told = hit.first - 1 in figures and other - 1 in figures
        return (after in _AFTER_LEAVING or before in _BEFORE_LEAVING) and not told  # "2 mm left, 3 mm right"

    def span(self, first: int, last: int) -> tuple[int, int]:
        return self.tokens[first].start, self.tokens[last - 1].end

    def clause_span(self, k: int) -> tuple[int, int]:
        clause = self.clauses[k]
        return self.span(clause.first, clause.last)

    def quantities_in(self, clause: Clause) -> list[Quantity]:
        """The values of a clause, in order."""
        found = (self.quantity_at.get(i) for i in range(clause.first, clause.last))
        return list(dict.fromkeys(q for q in found if q is not None))

    def heading(self, k: int) -> bool:
        """Whether the clause is a line by itself, over others: "R&R", "Parts:"."""
        clause = self.clauses[k]
        alone = self.tokens[clause.first].gap >= Gap.LINE
        return alone and (clause.last >= len(self.tokens) or self.tokens[clause.last].gap >= Gap.LINE)

    def text(self, first: int, last: int) -> str:
        return " ".join(t.text for t in self.tokens[first:last])

    def same_sentence(self, k: int, other: int) -> bool:
        return 0 <= other < len(self.clauses) and self.clauses[k].sentence == self.clauses[other].sentence
