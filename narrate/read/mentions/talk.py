"""What stands around the values of one narrative: its segments, the things and subjects named, word by word."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from narrate.core.handoffs import Gap, Hit, Label, Token
from narrate.core.units import convert, same_dimension
from narrate.hear.speech.number_words import numbers_file
from narrate.read.mentions.found import Found
from narrate.read.mentions.shop import Range, Shop
from narrate.read.mentions.unit_words import UnitRead

_STOPS = frozenset(".!?;")
_BEFORE_NAMES = frozenset(
    ("no", "nos", "st", "dr", "mr", "ms", "vs", "mrs", "e", "a", "u", "p")
)  # their stop ends no sentence


@dataclass(frozen=True, slots=True)
class Point:
    """Something nameable that bare values near it are of: tokens `first` to `last`, and the unit they are in."""

    first: int
    last: int
    unit: str
    subject: str
    span: Range | None
    named: bool  # a reading's own name; False for a part that stands for one


class Talk:
    """The tokens with everything that settling a value asks for, made once a narrative."""

    def __init__(self, tokens: Sequence[Token], lows: Sequence[str], hits: Sequence[Hit], shop: Shop) -> None:
        self.tokens, self.lows, self.shop = tokens, lows, shop
        size = len(tokens)
        self.bare = [low[:-2] if low.endswith("'s") else low for low in lows]
        self.thing_at: list[Hit | None] = [None] * size
        self.noun_at = bytearray(size)
        self.fluids: list[Hit] = []
        self.points: list[Point] = []
        for hit in hits:
            if hit.layer in ("thing", "fluid"):
                if hit.layer == "fluid":
                    self.fluids.append(hit)
                for j in range(hit.first, hit.last):
                    self.thing_at[j] = hit
                self.noun_at[hit.first] = 1
                if shop.by_thing:
                    self._stand_in(hit)
            elif hit.layer == "reading":
                subject = shop.subjects.get(hit.id)
                if subject is not None and subject.unit:
                    self.points.append(Point(hit.first, hit.last, subject.unit, hit.id, shop.ranges.get(hit.id), True))
        self.points.sort(key=lambda p: (p.first, -p.last, not p.named))
        self.segment = _segments(tokens, lows)
        self.value_end = [0] * (size + 1)  # a token of a value -> the value's end
        self.value_at: list[Found | None] = [None] * (size + 1)

    def _stand_in(self, hit: Hit) -> None:
        for name in self.shop.by_thing.get(hit.id, ()):
            subject = self.shop.subjects[name]
            if subject.unit:
                self.points.append(Point(hit.first, hit.last, subject.unit, name, self.shop.ranges.get(name), False))

    def add_names(self, labels: Sequence[Label]) -> None:
        """Refrigerants and grades of oil that were told by their figures stand for fluids."""
        for label in labels:
            if label.kind in ("gas", "grade"):
                self.fluids.append(Hit("fluid", f"={'oz' if label.kind == 'gas' else 'floz'}", label.first, label.last))
        self.fluids.sort(key=lambda h: h.first)

    def add_headings(self, headings: Sequence[UnitRead]) -> None:
        """Unit words that stood without a number tell the unit of bare numbers behind them ("mm: LF 7 RF 7")."""
        for unit in headings:
            if not unit.choice:
                self.points.append(Point(unit.first, unit.last, unit.code, "", None, True))
        if headings:
            self.points.sort(key=lambda p: (p.first, -p.last, not p.named))

    def fluids_near(self, first: int, last: int, reach: int) -> Sequence[Hit]:
        """The fluids named within `reach` tokens of a place."""
        start = bisect_left(self.fluids, first - reach - 8, key=lambda h: h.first)
        end = bisect_left(self.fluids, last + reach + 1, key=lambda h: h.first)
        return self.fluids[start:end]

    def mark_values(self, found: Sequence[Found]) -> None:
        """Let the words of values be known for what they are when the words between values are weighed."""
        for one in found:
            for k in range(one.first, one.last):
                self.value_end[k] = one.last
                self.value_at[k] = one

    def mark_names(self, labels: Sequence[Label]) -> None:
        for label in labels:
            for k in range(label.first, label.last):
                self.value_end[k] = label.last

    def low(self, k: int) -> str:
        return self.lows[k] if 0 <= k < len(self.lows) else ""


def _segments(tokens: Sequence[Token], lows: Sequence[str]) -> list[int]:
    """A running number of the sentence or line that each token stands in; an abbreviation's stop ends none."""
    out, number, size = [], 0, len(tokens)
    for k, token in enumerate(tokens):
        if token.gap >= Gap.LINE and k:
            wrapped = token.gap == Gap.LINE and token.text[:1].islower() and lows[k - 1][-1].isalnum()
            number += not wrapped  # dictation runs over the line's end; a list starts a line of its own
        elif k and lows[k - 1] in _STOPS and token.gap != Gap.GLUED:
            ends = lows[k - 1] != "." or (token.text[:1].isupper() and not (k > 1 and lows[k - 2] in _BEFORE_NAMES))
            if ends and k < size:
                number += 1
        out.append(number)
    return out


def fits(span: Range | None, low: Fraction, high: Fraction, unit: str) -> bool:
    """Whether the value can be such a reading; a subject with no range takes anything."""
    if span is None:
        return True
    if span.unit != unit:
        if not same_dimension(span.unit, unit):
            return True
        low, high = convert(low, unit, span.unit), convert(high, unit, span.unit)
    return span.low <= low and high <= span.high


def unit_that_fits(point: Point, one: Found) -> str:
    """The unit in which the value makes sense of the subject: its own, else an alternative; "" for none."""
    if fits(point.span, one.low, one.high, point.unit):
        return point.unit
    for other in numbers_file().alternatives:
        if other.unit != point.unit or (other.subjects and point.subject not in other.subjects):
            continue
        if other.decimal and not one.number.decimals:
            continue
        if other.least is not None and other.most is not None:
            if Fraction(other.least) <= one.low and one.high <= Fraction(other.most):
                return other.other
        elif fits(point.span, one.low, one.high, other.other):
            return other.other
    return ""
