"""How far a state reaches over a list: "needs new pads, new rotors and a hose", "Recommended:" and the lines below it.

A list goes on as long as its items are no statements of their own: names and counts, and no act. A heading speaks for
all of its sentence, or for the lines under it.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap, Hit, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import State

_MOST_LINES = 16  # lines under one heading
_MOST_WORDS = 6  # of a heading
_JOINS = frozenset(("and", "&", "plus", "or", ",", "+", "also", "then"))
_FILLS = frozenset(
    ("on", "for", "both", "all", "around", "round", "too", "also", "as", "well", "side", "sides", "with")
)
_COUNTED = frozenset("x set sets pair pairs of each ea qty off all both one two three four six eight".split())
Bound = tuple[int, int, bool]
Mark = tuple[int, int, State, Hit]


class Lists:
    """The lists of one narrative: `bounds` are its clauses (first, last, opens a sentence)."""

    def __init__(
        self,
        tokens: Sequence[Token],
        bounds: Sequence[Bound],
        hits: Sequence[Hit],
        lexicon: Lexicon,
    ) -> None:
        self.tokens, self.bounds, self.sets = tokens, bounds, lexicon.word_sets
        self.lows = [t.low for t in tokens]
        self.acts = {
            i
            for h in hits
            if h.layer == "verb" and not (h.first and self.lows[h.first - 1] in ("a", "an"))  # "and an alignment"
            for i in range(h.first, h.last)
        }
        self.named = {i for h in hits if h.layer in ("thing", "fluid", "place") for i in range(h.first, h.last)}

    def items_after(self, k: int) -> int:
        """The end of the list whose first item closes clause k: the token behind its last item; the clause's own end
        where no list goes on."""
        begin, end, _ = self.bounds[k]
        closing = next((i for i in range(end - 1, begin - 1, -1) if i in self.named or i in self.acts), begin)
        if closing in self.acts and closing not in self.named:
            return end  # "wants new blades installed": no list
        for first, last, starts in self.bounds[k + 1 :]:
            if starts or not self._item(first, last):
                break
            end = last
        return end

    def items_before(self, k: int, closing: Hit) -> int:
        """The beginning of the list that a participle alone closes: "new tires, 2, quoted"; its own place where none is."""
        begin = closing.first
        if not self.lows[closing.last - 1].endswith("ed") or self.bounds[k][2]:
            return begin
        for first, last, starts in reversed(self.bounds[max(0, k - 6) : k]):
            named = any(i in self.named for i in range(first, last))
            if any(
                (i in self.acts - self.named and self.lows[i] not in _COUNTED) or self.lows[i] in self.sets["auxiliary"]
                for i in range(first, last)
            ):
                break  # "replaced the pump, new belt, quoted"
            said = self.lows[first:last]
            figure = any(low[0].isdigit() or low in self.sets["number-word"] for low in said)
            if named and figure and not any(low in self.sets["new"] for low in said):
                break  # "rear pads at 3 mm, quoted": a reading, and what it led to
            if not named and not all(
                self.lows[i] in _COUNTED or not self.lows[i][0].isalpha() for i in range(first, last)
            ):
                break
            begin = first
            if starts:
                break
        return begin

    def _item(self, first: int, last: int) -> bool:
        """Whether a clause is an item and no statement. Without a mark or an "and" before it, it must be as new as
        what the list began with."""
        sets = self.sets
        joined = self.lows[first - 1] in _JOINS or self.lows[first] in _JOINS
        if not joined and not (self.lows[first] in sets["new"] or self.lows[first] in ("a", "an")):
            return False
        seen = some = False
        for i in range(first, last):
            low = self.lows[i]
            if i in self.named:
                seen = some = True
                continue
            if i in self.acts or low in sets["state-verb"] or low in sets["subject"]:
                return False
            known = low in _JOINS or low in _FILLS or any(low in sets[n] for n in ("determiner", "new", "number-word"))
            if not known and low[0].isalpha() and seen:
                return False  # "new battery in": it tells what was done
            seen = seen and low not in _JOINS  # "and an alignment": another item, known or not
        return some

    def under_headings(self) -> list[Mark]:
        """What stands under a heading of work not done or still to do, up to the end of its line or of its lines."""
        marks: list[Mark] = []
        for k, (first, last, starts) in enumerate(self.bounds):
            state = self._heading(first, last) if starts else None
            if state is None:
                continue
            hit = Hit("cue", f"heading-{state.replace('_', '-')}", first, last)
            marks.append((first, self._lines(k), state, hit))
        return marks

    def _heading(self, first: int, last: int) -> State | None:
        words = [w for w in self.lows[first:last] if w[0].isalpha()]
        line = self.tokens[first].gap >= Gap.LINE or first == 0
        alone = line and last < len(self.tokens) and self.tokens[last].gap >= Gap.LINE
        if not words or len(words) > _MOST_WORDS or not (self.lows[last - 1] == ":" or alone):
            return None
        said = " ".join(words)
        for name, state in (("heading-to-do", "planned"), ("heading-not-done", "not_done")):
            if said in self.sets[name]:
                return state  # type: ignore[return-value]
        return None

    def _lines(self, k: int) -> int:
        """The end of what a heading at clause k speaks for."""
        end = self.bounds[k][1]
        j = k + 1
        while j < len(self.bounds) and not self.bounds[j][2]:
            end = self.bounds[j][1]
            j += 1
        if j > k + 1:  # "Declined: new struts, new mounts."
            return end
        for _ in range(_MOST_LINES):
            if j >= len(self.bounds) or self.tokens[self.bounds[j][0]].gap >= Gap.PARAGRAPH:
                break
            first, last, _starts = self.bounds[j]
            bullet = self.lows[first] in self.sets["bullet"] or self.lows[first][0].isdigit()
            if not bullet and not self._item_line(first, last):
                break
            j += 1
            while j < len(self.bounds) and self.tokens[self.bounds[j][0]].gap < Gap.LINE:
                j += 1
            end = self.bounds[j - 1][1]
        return end

    def _item_line(self, first: int, last: int) -> bool:
        return self.lows[last - 1] != ":" and not any(i in self.acts for i in range(first, last))
