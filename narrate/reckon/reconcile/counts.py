"""Counts said of what came off and what went back: fasteners out and in, wheels off and torqued, joints and seals.

Both counts must be said, of the same thing, near each other; a reason said for the difference ends the matter.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from narrate.core.handoffs import Facts, Hit, Quantity, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Gap
from narrate.reckon.reconcile.phrases import contradictions, says

Quote = Callable[[Spans], tuple[Evidence, ...]]
_WORDS = {w: n for n, w in enumerate(["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"])}  # fmt: skip
_WHEEL = "wheel"
_RULE = "both counts are said, of one thing and near each other, and no word explains the rest (rule of this program)"
_HAD = 4  # tokens behind a count within which it is told to have been off
_PAIR, _ALL = 2, 99  # wheels of an axle, and more than any vehicle has
_TALK = 40  # tokens from a count to the one that it is held against
_BACK = frozenset(
    ("install", "refit", "reuse", "torque", "retorque", "tighten", "put-in", "put-back", "reinstall", "fit", "run-in")
)
_COUNTED = frozenset(("fastener", "part", "seal", "consumable", "assembly"))
_TIES = frozenset(
    (
        "torqued",
        "tightened",
        "reinstalled",
        "refitted",
        "of",
        "them",
        "back",
        "went",
        "in",
        "on",
        "only",
        "those",
        "the",
    )
)


@dataclass(frozen=True, slots=True)
class Count:
    """`many` of `thing` (None: "five back", of what was counted before) that came `out` or went `in`."""

    many: int
    thing: str | None
    way: Literal["out", "in"]
    first: int
    last: int


def balance_counts(facts: Facts, lexicon: Lexicon, quote: Quote) -> list[Gap]:
    """A question for each pair of counts that differ with no reason said."""
    counts = list(_counts(facts, lexicon))
    if any(c.way == "out" and c.thing == _WHEEL for c in counts):
        counted = {facts.clause_of[c.first] for c in counts if c.way == "in"}
        counts = sorted((*counts, *_torqued_by_axle(facts, counted)), key=lambda c: c.first)
    gaps = []
    for at, out in enumerate(counts):
        if out.way != "out" or out.thing is None:
            continue
        back = next(
            (
                c
                for c in counts[at + 1 :]
                if c.way == "in" and c.thing in (None, out.thing) and c.first - out.last <= _TALK
            ),
            None,
        )
        if back is None or back.many >= out.many or back.many == 0:
            continue
        more = [
            c for c in counts if c.way == "in" and c is not back and c.thing in (None, out.thing) and c.first > out.last
        ]
        if more or any(says(facts, "missing", c.first - 4, c.last + 12) for c in (out, back)):
            continue
        name = lexicon.things[out.thing].name
        span = (facts.tokens[out.first].start, facts.tokens[back.last - 1].end)
        gaps.append(Gap(
            step=f"count: {name} off and on", kind="imbalance", severity="must" if lexicon.is_a(out.thing, ("wheel",)) else "should",
            message=f"{many_of(out.many, name)} came off and {back.many} went back or were torqued; nothing tells of the rest.",
            question=f"{many_of(out.many, name)} came off, and {back.many} are told as back on or torqued: what of the other {out.many - back.many}?",
            reasoning=(f"{out.many} off, {back.many} back or torqued: {out.many} - {back.many} = {out.many - back.many} open", _RULE), evidence=quote((span,)),
        ))  # fmt: skip
    return gaps


def _torqued_by_axle(facts: Facts, counted: set[int]) -> Iterator[Count]:
    """How many wheels each torque of wheels tells of: two of "the fronts", all of them where no axle stands beside it.
    Clauses that hold a count already are left to it.

    An axle named on its own later may have been torqued alike ("rears the same"): that tells of the rest.
    """
    axles = contradictions().axle_names
    told = [
        m
        for m in facts.measured
        if m.what == "torque" and m.state == "done" and m.thing in contradictions().tightened_alike
    ]
    own: set[int] = set()
    for reading in told:
        clause = facts.clauses[reading.clause]
        if reading.clause in counted:
            continue
        named = [i for i in range(clause.first, clause.last) if facts.tokens[i].low in axles]
        own.update(named)
        first = reading.quantity.first
        if len(named) == 1:
            many = count_of(facts.tokens[named[0] - 1].low) or _PAIR
            yield Count(many, _WHEEL, "in", min(first, named[0]), max(reading.quantity.last, named[0] + 1))
        else:
            yield Count(_ALL, _WHEEL, "in", first, reading.quantity.last)
    after = min((m.quantity.first for m in told), default=len(facts.tokens))
    for i in range(after, min(len(facts.tokens), after + 2 * _TALK)):
        if facts.tokens[i].low in axles and i not in own:
            yield Count(_ALL, _WHEEL, "in", i, i + 1)


def _counts(facts: Facts, lexicon: Lexicon) -> list[Count]:
    counts = []
    tokens = facts.tokens
    things = {
        h.first: h
        for h in facts.hits
        if h.layer == "thing" and h.id in lexicon.things and lexicon.kinds[h.id] in _COUNTED
    }
    verbs: dict[int, list[Hit]] = {}
    for h in facts.hits:
        if h.layer == "verb":
            verbs.setdefault(h.first, []).append(h)
    units = {i for q in facts.quantities if _measures(q, facts, things) for i in range(q.first, q.last)}
    for i, token in enumerate(tokens):
        low = token.low
        if low not in _WORDS and not (low.isdecimal() and len(low) <= 2):
            continue
        many = _WORDS[low] if low in _WORDS else int(low)
        if not 1 <= many <= 40 or i in units:
            continue
        clause = facts.clauses[facts.clause_of[i]]
        if clause.state != "done":
            continue
        hit = next((things[j] for j in range(i + 1, min(i + 4, clause.last)) if j in things), None)
        here = [h for j in range(clause.first, clause.last) for h in verbs.get(j, ())]
        way = _way(facts, lexicon, here, clause.last, i)
        if hit is not None and way is not None:
            counts.append(Count(many, hit.id, way, i, hit.last))
        elif hit is not None and _stood_off(facts, hit.last):
            counts.append(Count(many, hit.id, "out", i, hit.last))
        elif hit is None and way == "in" and _alone(facts, i, clause.last):
            counts.append(Count(many, None, way, i, min(i + 3, clause.last)))
    return counts


def _stood_off(facts: Facts, at: int) -> bool:
    """ "eight bolts out of the pan", "four wheels off", "three wheels i had off": straight behind what was counted."""
    last = min(len(facts.tokens), at + _HAD)
    while at < last and facts.tokens[at].low in contradictions().had_off:
        at += 1
    return at < last and facts.tokens[at].low in ("out", "off")


def many_of(many: int, name: str) -> str:
    """ "4 wheels", "1 wheel"; a name that says more behind its noun ("O-ring, large") stays as it is."""
    plain = many == 1 or name.endswith("s") or not name[-1].isalpha() or "," in name
    return f"{many} {name}" if plain else f"{many} {name}s"


def count_of(word: str) -> int | None:
    """The number that a word or one or two figures tell; None for any other word."""
    return _WORDS.get(word) or (int(word) if word.isdecimal() and len(word) <= 2 else None)


def _measures(quantity: Quantity, facts: Facts, things: Mapping[int, Hit]) -> bool:
    """Whether a figure is a measure and no count; "torqued three of them" may have been read as a torque of three."""
    if quantity.unit in ("", "each"):
        return quantity.retracted
    last = quantity.last
    one = quantity.elided and last - quantity.first == 1 and last < len(facts.tokens)
    return not (one and (last in things or facts.tokens[last].low == "of"))


def _alone(facts: Facts, at: int, last: int) -> bool:
    """Whether a count stands for what was counted before: "five back", "three of them", "reinstalled 11"."""
    after = facts.tokens[at + 1].low if at + 1 < last else ""
    return after in _TIES or not after or not after[0].isalnum()


def _way(facts: Facts, lexicon: Lexicon, verbs: Sequence[Hit], last: int, at: int) -> Literal["out", "in"] | None:
    """What the nearest verb of the clause before the count says, else the first after it; "back" says in."""
    before = [h for h in verbs if h.first < at]
    chosen = before or verbs
    ways: set[Literal["out", "in"]] = set()
    nearest = max((h.first for h in before), default=min((h.first for h in verbs), default=-1))
    for hit in chosen:
        if hit.first != nearest:
            continue
        verb = lexicon.verbs[hit.id]
        if hit.id in _BACK or verb.fits:
            ways.add("in")
        elif verb.removes:
            ways.add("out")
    if any(t.low == "back" for t in facts.tokens[at : min(at + 4, last)]):
        return "in"
    return ways.pop() if len(ways) == 1 else None
