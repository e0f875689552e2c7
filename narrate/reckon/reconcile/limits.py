"""What was measured and moved against the limits of specification files -> a verdict, and a gap where one is not kept.

A limit is somebody's: every verdict names who set it, and says no more than that the figure lies within it or outside.
Where the words leave open which it is ("about 28 oz" against 28 ± 0.5), there is no verdict and the question is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from narrate.core.handoffs import Facts, Measured, Moved, Quantity, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Gap
from narrate.core.spec import Limit, SpecFile
from narrate.core.tokens import phrase_keys
from narrate.core.units import same_dimension, scale, with_unit
from narrate.reckon.evidence.ranges import ABSOLUTE
from narrate.reckon.reconcile.balances import Interval, vague_rules
from narrate.reckon.reconcile.figures import shown

Quote = Callable[[Spans], tuple[Evidence, ...]]
Standing = Literal["within", "outside"]
_MOST_WORDS = 4  # places quoted of one total


@dataclass(frozen=True, slots=True)
class Verdict:
    """How a figure stands to a limit; None where the words leave it open. `limit` is the limit and who set it."""

    standing: Standing | None
    limit: str


@dataclass(frozen=True, slots=True)
class Judged:
    """Verdicts by the index of the fact in Facts, and the questions that they raise."""

    readings: dict[int, Verdict] = field(default_factory=dict)
    amounts: dict[int, Verdict] = field(default_factory=dict)
    gaps: tuple[Gap, ...] = ()


def hold_to_limits(facts: Facts, lexicon: Lexicon, specs: Sequence[SpecFile], quote: Quote) -> Judged:
    """Every reading and amount told as done, held to each limit of it. Where two limits bind, outside counts."""
    judge = _Judge(facts, lexicon, quote)
    for spec in specs:
        if spec.trades and lexicon.id not in spec.trades:
            continue
        other = _other_vehicle(spec, facts)
        if other:
            judge.gaps.append(_not_this_one(spec, other))
            continue
        for limit in spec.specs:
            judge.hold(limit, spec.source_of(limit))
    return Judged(judge.readings, judge.amounts, tuple(judge.gaps))


class _Judge:
    def __init__(self, facts: Facts, lexicon: Lexicon, quote: Quote) -> None:
        self.facts, self.lexicon, self.quote = facts, lexicon, quote
        self.readings: dict[int, Verdict] = {}
        self.amounts: dict[int, Verdict] = {}
        self.gaps: list[Gap] = []

    def hold(self, limit: Limit, source: str) -> None:
        said = f"{limit} ({source})"
        for at, reading in enumerate(self.facts.measured):
            if reading.state == "done" and not reading.quantity.retracted and self._reads(reading, limit):
                standing = _stands(_span(reading.quantity, vague_rules().nominal), reading.quantity, limit)
                if standing != "no scale":
                    name = reading.subject or reading.what
                    self._note(self.readings, (at,), standing, said, name, shown(reading.quantity), reading.spans)
        moved = [
            (at, one) for at, one in enumerate(self.facts.moved)
            if one.state == "done" and one.direction == limit.direction and self._is(one, limit)
            and same_dimension(one.quantity.unit, limit.unit)
        ]  # fmt: skip
        for group in [[one] for one in moved] if limit.each else [moved] if moved else []:
            self._hold_total(group, limit, said)

    def _hold_total(self, group: Sequence[tuple[int, Moved]], limit: Limit, said: str) -> None:
        """A total is held to its limit in the limit's unit: what was said in many units is one amount."""
        first = group[0][1]
        total = _span(first.quantity, vague_rules().approximate)
        for _, one in group[1:]:
            total = total + _span(one.quantity, vague_rules().approximate)
        sure = all(not one.quantity.approximate for _, one in group)
        standing = _stands(total, first.quantity if len(group) == 1 else None, limit, sure)
        if standing == "no scale":
            return
        name = f"{first.name} {'put in' if limit.direction == 'in' else 'taken out'}" + (
            ", in all" if len(group) > 1 else ""
        )
        figure = shown(first.quantity) if len(group) == 1 else _in_unit(total, limit.unit)
        spans = tuple(span for _, one in group for span in one.spans[:1])[:_MOST_WORDS]
        self._note(self.amounts, tuple(at for at, _ in group), standing, said, name, figure, spans)

    def _note(
        self,
        kept: dict[int, Verdict],
        places: Sequence[int],
        standing: Standing | None,
        said: str,
        name: str,
        figure: str,
        spans: Spans,
    ) -> None:
        for at in places:
            before = kept.get(at)
            if before is None or before.standing == "within" or standing == "outside":
                kept[at] = Verdict(standing, said)
        if standing == "outside":
            self.gaps.append(Gap(
                step=f"limit: {name}", kind="out of range", severity="must",
                message=f"{name}: {figure} lies outside of {said}.",
                question=f"{figure} for the {name}, and the limit is {said}: is the figure right, and why so?",
                evidence=self.quote(spans),
            ))  # fmt: skip
        elif standing is None:
            self.gaps.append(Gap(
                step=f"limit: {name}", kind="unclear", severity="should",
                message=f"{name}: {figure} is too vague to be held to {said}.",
                question=f"What exactly was it for the {name}? The limit is {said}.", evidence=self.quote(spans),
            ))  # fmt: skip

    def _is(self, moved: Moved, limit: Limit) -> bool:
        if limit.of is not None:
            return self.lexicon.is_a(moved.thing, (limit.of,))
        return _holds_words(moved.name, limit.words)

    def _reads(self, reading: Measured, limit: Limit) -> bool:
        if limit.what is not None and limit.what != reading.what:
            return False
        if limit.side is not None and not set(limit.side.lower().split()) <= set((reading.position or "").split()):
            return False
        if limit.words is not None:
            return _holds_words(reading.subject, limit.words)
        subject = self.lexicon.subjects.get(reading.thing or "")
        wider = {*subject.of, *subject.told_of} if subject else set()
        return self.lexicon.is_a(reading.thing, (limit.of or "",)) or (limit.of in wider and limit.what is not None)


def _holds_words(said: str | None, words: str | None) -> bool:
    if not said or not words:
        return False
    have, want = phrase_keys(said.lower()), phrase_keys(words.lower())
    return any(have[i : i + len(want)] == want for i in range(len(have) - len(want) + 1))


def _span(quantity: Quantity, play: str) -> Interval:
    """What a figure leaves possible, in the SI unit of its dimension: wider by `play` (a share) where it was "about".

    An amount said vaguely was read off a jug, a reading off an instrument: vague.yaml gives the play of each.
    """
    share = Fraction(play) * abs(quantity.high) if quantity.approximate else Fraction(0)
    low, high = _si(quantity.low - share, quantity.unit), _si(quantity.high + share, quantity.unit)
    if quantity.bound == "under":
        return Interval(min(low, Fraction(0)), high)
    return Interval(low, None if quantity.bound == "over" else high)


def _stands(
    total: Interval, quantity: Quantity | None, limit: Limit, sure: bool = True
) -> Standing | Literal["no scale"] | None:
    """How a figure stands to a limit. "no scale" where the two cannot be compared, as gauge and absolute vacuum."""
    unit = quantity.unit if quantity is not None else limit.unit
    if unit != limit.unit and (not same_dimension(unit, limit.unit) or not ABSOLUTE.isdisjoint((unit, limit.unit))):
        return "no scale"
    low = None if limit.low is None else _si(limit.low, limit.unit)
    high = None if limit.high is None else _si(limit.high, limit.unit)
    above = low is None or total.low >= low
    below = high is None or (total.high is not None and total.high <= high)
    if above and below:
        return "within"
    wholly_under = low is not None and total.high is not None and total.high < low
    wholly_over = high is not None and total.low > high
    if wholly_under or wholly_over:
        return "outside"
    vague = not sure or (quantity is not None and (quantity.approximate or quantity.bound is not None))
    return None if vague else "outside"  # a range of readings with one end over the limit is over it


def _si(value: Fraction, unit: str) -> Fraction:
    here = scale(unit)
    return (value + here.offset) * here.factor


def _in_unit(total: Interval, unit: str) -> str:
    here = scale(unit)
    low, high = total.low / here.factor, (total.high if total.high is not None else total.low) / here.factor
    ends = f"{float(low):.4g}" if low == high else f"{float(low):.4g} to {float(high):.4g}"
    return with_unit(ends, unit)


# ------------------------------------------------------------------------------------------------ whose file it is
def _other_vehicle(spec: SpecFile, facts: Facts) -> str | None:
    """What the narrative says that it is, where a file is for another vehicle; None where it may be this one."""
    if spec.vehicle is None:
        return None
    for name in ("vin", "plate", "unit_number"):
        wanted, said = getattr(spec.vehicle, name), getattr(facts.unit, name)
        if wanted and said and _bare(wanted) != _bare(said):
            return f"{name.replace('_', ' ')} {said}"
    return None


def _bare(text: str) -> str:
    return "".join(c for c in text.casefold() if c.isalnum())


def _not_this_one(spec: SpecFile, other: str) -> Gap:
    named = spec.title or "the specification file"
    return Gap(
        step="limit: which vehicle",
        kind="unclear",
        severity="should",
        message=f"The limits of {named} are for another vehicle than {other}, and were not used.",
        question=f"Is it {other}, and which limits are for it?",
    )
