"""Readings against what was published or cast in -> a verdict that names who set the limit, and a question when outside.

The published limits stand in common/limits.yaml; a minimum or maximum that the narrative itself tells of is a limit too.
A figure that lies within is said to lie within that limit, and nothing beyond.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from narrate.core.handoffs import Facts, Measured, Quantity, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.published import LimitsFile, PublishedLimit
from narrate.core.records import Evidence, Gap, Requirement
from narrate.core.units import dimension, same_dimension, scale
from narrate.core.vague import vague_rules
from narrate.reckon.reconcile.dealt import dealt_with, keyed, nearest
from narrate.reckon.reconcile.figures import rounded, shown

Quote = Callable[[Spans], tuple[Evidence, ...]]
Standing = Literal["within", "outside"]
_BACK, _ON = 12, 3  # tokens about a figure within which the words of a limit stand
_TALK = 60  # tokens between a minimum and the reading that it is for
_LENGTHS = ("length", "tread")
_ABOUT, _WIDELY = Fraction(3, 2), Fraction(50)  # how many times its limit a worn length is, and a run-out


@dataclass(frozen=True, slots=True)
class Held:
    """How one reading stands to one limit, and the lines that unfold it."""

    standing: Standing
    limit: str
    reasoning: tuple[str, ...]


@lru_cache(maxsize=1)
def limits_file() -> LimitsFile:
    return read_model(lexicon_root() / "common" / "limits.yaml", LimitsFile)


@lru_cache(maxsize=1)
def _near_words() -> dict[str, tuple[tuple[tuple[str, ...], ...], tuple[tuple[str, ...], ...]]]:
    limits = limits_file().limits
    rivals = {
        limit.id: tuple(
            p for r in limits if r is not limit and limit.family and r.family == limit.family for p in r.near
        )
        for limit in limits
    }
    return {limit.id: (keyed(limit.near), keyed((*limit.not_near, *rivals[limit.id]))) for limit in limits}


def hold_to_published(facts: Facts, lexicon: Lexicon, quote: Quote) -> tuple[dict[int, Held], list[Gap]]:
    """Every reading told as done against each published limit that is of it."""
    held: dict[int, Held] = {}
    gaps: list[Gap] = []
    asked: dict[str, list[int]] = {}
    for at, reading in enumerate(facts.measured):
        if reading.state != "done" or reading.quantity.retracted:
            continue
        for limit in _limits_on(reading.thing, lexicon):
            if not _applies(limit, reading, facts, lexicon):
                continue
            standing = stands(reading.quantity, limit.low, limit.high, limit.unit)
            if standing is None:
                continue
            lines = (f"limit: {limit}, set by {limit.set_by}", f"read: {shown(reading.quantity)}{_converted(reading.quantity, limit.unit)}",
                     f"source: {limit.source}")  # fmt: skip
            held[at] = Held(standing, f"{limit} ({limit.set_by})", lines)
            if standing == "outside" and not _answered(limit, at, facts, lexicon):
                asked.setdefault(limit.id, []).append(at)
    for limit in limits_file().limits:
        if limit.id in asked:
            level: Requirement = "must" if limit.urgency == "safety" else "should"
            readings = [facts.measured[at] for at in asked[limit.id]]
            gaps.append(
                _ask(readings, str(limit), f", set by {limit.set_by}", held[asked[limit.id][0]].reasoning, quote, level)
            )
    return held, gaps


def _limits_on(thing: str | None, lexicon: Lexicon) -> list[PublishedLimit]:
    """The limits that may be of readings of a thing, whatever was measured and wherever; found once a lexicon."""
    found: dict[str | None, list[PublishedLimit]] = lexicon.made.setdefault("limits", {})
    if thing not in found:
        found[thing] = [limit for limit in limits_file().limits if _is_of(limit, thing, lexicon)]
    return found[thing]


def _is_of(limit: PublishedLimit, thing: str | None, lexicon: Lexicon) -> bool:
    if limit.trades and lexicon.id not in limit.trades:
        return False
    return thing in limit.of or (bool(limit.what) and lexicon.is_a(thing, limit.of))


def _applies(limit: PublishedLimit, reading: Measured, facts: Facts, lexicon: Lexicon) -> bool:
    if not _is_of(limit, reading.thing, lexicon):
        return False
    if limit.what and reading.what not in limit.what:
        return False
    if not same_dimension(reading.quantity.unit, limit.unit) and dimension(reading.quantity.unit) not in _LENGTHS:
        return False
    near, off = _near_words()[limit.id]
    quantity = reading.quantity
    if not near:
        return not off or nearest(facts, quantity.first, quantity.last, off, _BACK, _BACK) is None
    if limit.family and not _many_axles(facts) and _named_of_family(limit.family, facts) == {limit.id}:
        return True  # the narrative names one member of the table, and no other
    wanted = nearest(facts, quantity.first, quantity.last, near, _BACK, _ON)
    other = nearest(facts, quantity.first, quantity.last, off, _BACK, _ON)
    return wanted is not None and (other is None or wanted < other)


def _named_of_family(family: str, facts: Facts) -> set[str]:
    """The limits of one table whose words stand anywhere in the narrative; of names within each other the longest."""
    keys = facts.keys
    spans: list[tuple[int, int, str]] = []
    for limit in limits_file().limits:
        if limit.family == family:
            for phrase in _near_words()[limit.id][0]:
                spans += [
                    (i, i + len(phrase), limit.id)
                    for i in range(len(keys) - len(phrase) + 1)
                    if keys[i : i + len(phrase)] == phrase
                ]
    return {
        name for first, last, name in spans
        if not any(a <= first and last <= b and b - a > last - first and other != name for a, b, other in spans)
    }  # fmt: skip


def _many_axles(facts: Facts) -> bool:
    """Whether the narrative speaks of axles of more than one kind: what is fitted to one need not be to the other."""
    keys = facts.places.keys()
    return sum(any(phrase[0] in keys for phrase in keyed(group)) for group in limits_file().axles) > 1


def _answered(limit: PublishedLimit, at: int, facts: Facts, lexicon: Lexicon) -> bool:
    """Renewed, recommended or declined; or a later reading of the same lies within."""
    if dealt_with(facts, lexicon, limit.dealt_by):
        return True
    if not limit.dealt_by and _cause_found(facts.measured[at], facts):
        return True
    for later in facts.measured[at + 1 :]:
        if later.state == "done" and _applies(limit, later, facts, lexicon):
            if stands(later.quantity, limit.low, limit.high, limit.unit) == "within" and not limit.dealt_by:
                return True
    return False


def _cause_found(reading: Measured, facts: Facts) -> bool:
    """Whether what was behind a figure is told after it: a cause, a repair, or work that was put to the customer."""
    at = reading.spans[0][1]
    causes = [n.spans for n in facts.noted if n.kind in ("cause", "fault") and n.clause != reading.clause]
    causes += [d.spans for d in facts.deferred]
    return any(spans[0][0] >= at for spans in causes) or any(
        f.state == "done" and f.spans[0][0] >= at for f in facts.fitted
    )


def stands(quantity: Quantity, low: Fraction | None, high: Fraction | None, unit: str) -> Standing | None:
    """Within or outside, ends included; None where the words leave it open or the scales differ."""
    if quantity.unit == "32nds" and quantity.low < 1:
        return None  # "three sixteenths" with the unit of another figure: not what was read
    least, most = _si(quantity.low, quantity.unit), _si(quantity.high, quantity.unit)
    floor = None if low is None else _si(low, unit)
    ceiling = None if high is None else _si(high, unit)
    if quantity.bound == "under":
        if floor is not None and most <= floor and quantity.high != low:
            return "outside"
        return "within" if ceiling is not None and floor is None and most <= ceiling else None
    if quantity.bound == "over":
        return "within" if floor is not None and ceiling is None and least >= floor else None
    if (floor is None or least >= floor) and (ceiling is None or most <= ceiling):
        return "within"
    if quantity.approximate and not (
        (floor is not None and most < floor * Fraction(19, 20))
        or (ceiling is not None and least > ceiling * Fraction(21, 20))
    ):
        return None
    return "outside"


def _si(value: Fraction, unit: str) -> Fraction:
    here = scale(unit)
    return (value + here.offset) * here.factor


def _converted(quantity: Quantity, unit: str) -> str:
    if quantity.unit == unit or not same_dimension(quantity.unit, unit):
        return ""
    return f" = {rounded(_si(quantity.low, quantity.unit) / scale(unit).factor - scale(unit).offset, unit)}"


def _ask(
    readings: Sequence[Measured],
    limit: str,
    by: str,
    lines: tuple[str, ...],
    quote: Quote,
    level: Requirement,
    more: Spans = (),
) -> Gap:
    """One question for all figures that lie outside of one limit."""
    name = readings[0].subject or readings[0].what
    figures = " and ".join(dict.fromkeys(shown(one.quantity) for one in readings))
    lie = "lies" if len(readings) == 1 else "lie"
    return Gap(
        step=f"limit: {name}", kind="out of range", severity=level,
        message=f"{name}: {figures} {lie} outside of {limit}{by}.",
        question=f"{figures} for the {name}, and the limit is {limit}: what is to be done about it?",
        reasoning=lines, evidence=quote((*(span for one in readings for span in one.spans[:2]), *more)),
    )  # fmt: skip


# ------------------------------------------------------------------------- limits that the narrative itself tells of
def hold_to_said(facts: Facts, lexicon: Lexicon, quote: Quote) -> tuple[dict[int, Held], list[Gap]]:
    """Readings against a minimum or maximum that was said beside them: "25.2, and the minimum's 26"."""
    held: dict[int, Held] = {}
    gaps: list[Gap] = []
    for limit in facts.specified:
        if limit.quantity.bound not in ("over", "under") or dimension(limit.quantity.unit) not in _LENGTHS:
            continue
        least = limit.quantity.bound == "over"
        low, high = (limit.quantity.low, None) if least else (None, limit.quantity.high)
        word = "at least" if least else "at most"
        name = f"{word} {shown(replace(limit.quantity, bound=None))}, as the narrative tells"
        outside = []
        for at, reading in _of_same(limit, facts, lexicon):
            standing = stands(reading.quantity, low, high, limit.quantity.unit)
            if standing is None:
                continue
            lines = (f"limit: {name}", f"read: {shown(reading.quantity)}{_converted(reading.quantity, limit.quantity.unit)}",
                     "source: the words of the narrative")  # fmt: skip
            held[at] = Held(standing, name, lines)
            if standing == "outside" and not dealt_with(facts, lexicon, _parts(reading.thing, lexicon)):
                outside.append(reading)
        if outside:
            bare = name.partition(",")[0]
            gaps.append(_ask(outside, bare, ", as the narrative tells", lines, quote, "must", limit.spans[:1]))
    return held, gaps


def _parts(thing: str | None, lexicon: Lexicon) -> frozenset[str]:
    """The parts that a reading is of: a rotor's thickness is the rotor's; a part is its own."""
    subject = lexicon.subjects.get(thing or "")
    return frozenset(subject.of) if subject is not None and subject.of else frozenset((thing,) if thing else ())


def _of_same(limit: Measured, facts: Facts, lexicon: Lexicon) -> Iterator[tuple[int, Measured]]:
    """The readings that a limit said is for: of the same part and kind, in the same talk, and of a like size."""
    parts = _parts(limit.thing, lexicon)
    rivals = [
        s.quantity.first for s in facts.specified
        if s is not limit and s.quantity.bound == limit.quantity.bound and parts & _parts(s.thing, lexicon)
    ]  # fmt: skip
    for at, reading in enumerate(facts.measured):
        widely = reading.thing == limit.thing and limit.thing in vague_rules().widely
        if reading.state != "done" or dimension(reading.quantity.unit) not in _LENGTHS:
            continue
        if reading.what in ("clearance", "angle") and not widely:
            continue
        away = abs(reading.quantity.first - limit.quantity.first)
        if away > _TALK or not parts & _parts(reading.thing, lexicon):
            continue
        if not _alike(reading.quantity, limit.quantity, _WIDELY if widely else _ABOUT):
            continue
        if all(abs(reading.quantity.first - rival) >= away for rival in rivals):  # front and rear rotors have their own
            yield at, reading


def _alike(one: Quantity, other: Quantity, times: Fraction) -> bool:
    """Whether two lengths can be of one kind: a run-out in thousandths beside a thickness is not."""
    a, b = _si(one.low, one.unit), _si(other.low, other.unit)
    return a > 0 and b > 0 and 1 / times < a / b < times


def charge_at_rest(reading: Measured, facts: Facts) -> tuple[str, ...]:
    """What the voltage of a rested battery tells of its charge; () where it is none, or was not at rest."""
    rule = limits_file().at_rest
    quantity = reading.quantity
    if (
        reading.thing not in rule.of
        or reading.what != "voltage"
        or quantity.unit != "V"
        or quantity.low != quantity.high
    ):
        return ()
    rested = nearest(facts, quantity.first, quantity.last, keyed(rule.rested), 14, 8)
    if rested is None or not Fraction(23, 2) <= quantity.low <= Fraction(133, 10):
        return ()
    points = [(Fraction(p.volts), Fraction(p.percent)) for p in rule.points]
    return (
        f"{shown(quantity)} at rest: about {float(_between(points, quantity.low)):.0f} % charged, ± {rule.play} V; {rule.source}",
    )


def _between(points: Sequence[tuple[Fraction, Fraction]], volts: Fraction) -> Fraction:
    """Straight between two points of a falling table; held at its ends."""
    if volts >= points[0][0]:
        return points[0][1]
    for (above, more), (below, less) in itertools.pairwise(points):
        if volts >= below:
            return less + (more - less) * (volts - below) / (above - below)
    return points[-1][1]
